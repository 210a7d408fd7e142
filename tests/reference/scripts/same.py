"""Makes every vector file again in a folder of its own and compares it with the frozen one.

Fails on: a script that fails, a vector file without a script or the other way round, a different shape, another
package version, numbers further apart than the file's own `same_within`, or nothing compared at all.
"""
import concurrent.futures
import json
import math
import os
import pathlib
import subprocess
import sys
import tempfile

SCRIPTS = pathlib.Path(__file__).resolve().parent
FROZEN = SCRIPTS.parent / "vectors"
# Modules and tools that make no vector file.
HELPERS = {"vectorfile", "fuse_model", "panel_model", "vehicles", "causes", "signs", "wake_series"}
NO_VECTORS = HELPERS | {"same", "read_back", "live", "schemas", "pages", "readable"}


def differences(old, new, relative, absolute, at=""):
    """Yields each place at which two values differ, and counts the numbers compared in `seen`."""
    if isinstance(old, dict) and isinstance(new, dict):
        if list(old) != list(new):
            yield f"{at}: keys {list(old)} became {list(new)}"
            return
        for key in old:
            yield from differences(old[key], new[key], relative, absolute, f"{at}.{key}")
    elif isinstance(old, list) and isinstance(new, list):
        if len(old) != len(new):
            yield f"{at}: {len(old)} entries became {len(new)}"
            return
        for index, (a, b) in enumerate(zip(old, new)):
            yield from differences(a, b, relative, absolute, f"{at}[{index}]")
    elif isinstance(old, float) or isinstance(new, float):
        seen[0] += 1
        if not isinstance(new, (int, float)) or not math.isclose(old, new, rel_tol=relative, abs_tol=absolute):
            yield f"{at}: {old!r} became {new!r}"
    elif old != new:
        yield f"{at}: {old!r} became {new!r}"


def main():
    failed = False
    makers = sorted(path for path in SCRIPTS.glob("*.py") if path.stem not in NO_VECTORS)
    names = {path.stem for path in makers}
    frozen = {path.stem for path in FROZEN.glob("*.json")}
    if names != frozen:
        print(f"scripts and vector files do not match: {sorted(names ^ frozen)}")
        failed = True
    with tempfile.TemporaryDirectory() as folder, concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        made = {maker: pool.submit(subprocess.run, [sys.executable, maker, folder], check=True) for maker in makers}
        for maker in makers:
            before = seen[0]
            made[maker].result()
            old = json.loads((FROZEN / f"{maker.stem}.json").read_text(encoding="utf-8"))
            new = json.loads((pathlib.Path(folder) / f"{maker.stem}.json").read_text(encoding="utf-8"))
            bounds = old["same_within"]
            found = list(differences(old, new, bounds["relative"], bounds["absolute"], maker.stem))
            for line in found[:20]:
                print(line)
            print(f"{maker.stem}: {seen[0] - before} numbers made again, {len(found)} differences")
            failed |= bool(found)
    if seen[0] == 0:
        print("nothing was compared")
        failed = True
    return 1 if failed else 0


seen = [0]
if __name__ == "__main__":
    sys.exit(main())
