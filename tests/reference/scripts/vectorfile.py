"""Writes a vector file: where its numbers come from first, then one case a line.

Leaves to others: the numbers themselves.
"""
import json
import pathlib
import sys
from importlib.metadata import version

ROOT = pathlib.Path(__file__).resolve().parents[3]


def write(script, packages, seed, source, same_within, cases, **more):
    """Writes vectors/NAME.json beside the scripts, or into the folder given as the first argument.

    same_within: relative and absolute difference that a second run may show (other processor, other build of the
    same package); it is not the tolerance of the check, which stands in the Rust test with its reason.
    """
    folder = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "tests/reference/vectors"
    name = pathlib.Path(script).stem
    head = {
        "made_by": f"tests/reference/scripts/{name}.py",
        "packages": {package: version(package) for package in packages},
        "seed": seed,
        "source": source,
        "same_within": same_within,
    }
    entries = [f" {json.dumps(key)}: {dump(value)}" for key, value in head.items()]
    for key, rows in {**more, "cases": cases}.items():
        lines = ",\n".join("  " + dump(row) for row in rows)
        entries.append(f" {json.dumps(key)}: [\n{lines}\n ]")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.json").write_text("{\n" + ",\n".join(entries) + "\n}\n", encoding="utf-8")


def dump(value):
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def digits(value, count=9):
    """Rounds to significant digits: what a Monte Carlo run can't promise is not written down."""
    return float(f"{value:.{count - 1}e}")
