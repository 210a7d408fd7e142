"""Reads a record's forms with what others wrote: pandas the CSV, PyYAML and jsonschema the whole, a reader of the
registries the QR code, axe-core the page.

Fails where a value changes on its way, where the page asks for anything outside itself, or where axe-core finds something.
"""
import html.parser
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import jsonschema
import numpy
import pandas
import yaml
import zxingcpp

PROGRAM = pathlib.Path(sys.argv[1]).resolve()
HERE = pathlib.Path(__file__).resolve().parent
# Where npm puts what it fetches: beside what cargo builds.
NODE = PROGRAM.parents[1] / "reference-node"
AXE = ["axe-core@4.10.3", "jsdom@26.1.0"]
# A record of so many readings stays below so many bytes.
READINGS, BYTES = 300, 500_000
# Kinds of reading that are held against what was typed.
READ = ("total", "drop", "below")
# Pixels of a module of the code, and of the quiet zone around it.
PIXELS = 8


def run(folder, *arguments, feed=None):
    done = subprocess.run([PROGRAM, *arguments], cwd=folder, input=feed, capture_output=True, text=True)
    assert done.returncode == 0, f"{arguments}: {done.returncode}\n{done.stderr}"
    return done.stdout


def whole_hunt(folder):
    """A practice hunt on Enter alone, to its proof."""
    run(folder, "hunt", "a.hunt.yaml", "--practice", "3", "--map", "hatch", feed="\n" * 200)
    return "a.hunt.yaml"


def long_hunt(folder):
    """A hunt of so many readings."""
    run(folder, "open", "b.hunt.yaml", "--map", "hatch")
    run(folder, "add", "b.hunt.yaml", "total", "380mA")
    feeds = json.loads(run(folder, "account", "b.hunt.yaml", "--format", "json"))["feeds"]
    fuses = [feed["id"] for feed in feeds if feed["id"] in {"C5", "C8", "C11", "C12", "C14"}]
    for start in range(0, READINGS, len(fuses)):
        batch = [f"{fuse}={(start + at) % 7 / 10}mV" for at, fuse in enumerate(fuses)]
        run(folder, "add", "b.hunt.yaml", "drop", *batch)
    return "b.hunt.yaml"


def reads_as_table(folder, log):
    """Every reading of the log is a row, its value as it was typed."""
    table = pandas.read_csv(folder / "r.csv")
    entries = yaml.safe_load((folder / log).read_text(encoding="utf-8"))
    readings = [(number, entry) for number, entry in enumerate(entries, 1) if entry["entry"] in READ]
    assert pandas.api.types.is_numeric_dtype(table["first"]), table.dtypes
    assert len(readings) > 5
    for number, entry in readings:
        row = table[table["entry"] == number].iloc[0]
        typed = next(value for key, value in entry.items() if key in ("drop", "total", "current"))["typed"]
        shown = float(re.match(r"-?[\d.]+", typed).group())
        assert row["kind"] == entry["entry"] and row["first"] == shown, (row, entry)
    return len(table)


def reads_as_yaml(folder):
    record = yaml.safe_load((folder / "r.yaml").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(json.loads(run(folder, "schema", "record"))).validate(record)
    return record


class Page(html.parser.HTMLParser):
    """Notes whatever a browser would fetch or run."""

    def __init__(self):
        super().__init__()
        self.outside = []

    def handle_starttag(self, tag, attrs):
        values = dict(attrs)
        fetched = [values.get(name) or "" for name in ("src", "href", "xlink:href", "action")]
        self.outside += [value for value in fetched if value and not value.startswith(("#", "data:"))]
        self.outside += [tag] * (tag in {"script", "iframe", "object", "embed"})
        self.outside += [name for name in values if name.startswith("on")]


def stands_alone(text):
    page = Page()
    page.feed(text)
    assert not page.outside, page.outside
    assert "url(" not in text and "@import" not in text


def code_of(text):
    """The QR code's text, from its modules as the page draws them."""
    drawing = re.search(r'<svg viewBox="0 0 (\d+) \1" class="code".*?</svg>', text, re.DOTALL)
    side = int(drawing.group(1))
    image = numpy.full((side, side), 255, dtype=numpy.uint8)
    for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", drawing.group(0)):
        image[int(y), int(x)] = 0
    found = zxingcpp.read_barcodes(numpy.kron(image, numpy.ones((PIXELS, PIXELS), dtype=numpy.uint8)))
    assert len(found) == 1, found
    return found[0].text


def axe_finds(page):
    """What axe-core finds on the page; colours it can't see without a browser."""
    if not (NODE / "node_modules").is_dir():
        npm = [shutil.which("npm") or "npm", "install", "--silent", "--no-audit", "--no-fund", "--prefix", NODE, *AXE]
        subprocess.run(npm, check=True)
    shutil.copy(HERE / "axe.mjs", NODE / "axe.mjs")
    done = subprocess.run(["node", NODE / "axe.mjs", page], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def check(folder, log):
    for form in ("csv", "yaml", "html", "txt"):
        run(folder, "record", log, "--to", f"r.{form}")
    rows = reads_as_table(folder, log)
    record = reads_as_yaml(folder)
    page = folder / "r.html"
    text = page.read_text(encoding="utf-8")
    stands_alone(text)
    seal = json.loads(run(folder, "check", log, "--format", "json"))["last_seal"]
    assert code_of(text) == seal == record["seal"], (code_of(text), seal, record["seal"])
    finds = axe_finds(page)
    assert finds["passes"] > 10 and not finds["violations"], finds
    print(f"{log}: {rows} rows, page of {page.stat().st_size / 1000:.0f} kB, its code reads as the seal, "
          f"{finds['passes']} rules of axe-core passed")
    return page.stat().st_size


with tempfile.TemporaryDirectory() as name:
    here = pathlib.Path(name)
    check(here, whole_hunt(here))
    (here / "long").mkdir()
    size = check(here / "long", long_hunt(here / "long"))
    assert size < BYTES, size
