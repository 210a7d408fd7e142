"""Drives the built program and reads what it writes with PyYAML and the JSON of Python's own library.

A log must hold every text that went in, whatever YAML might take it for; every JSON result must parse, with all its
keys; a whole practice hunt must end 0 and leave a log that reads. Fails if nothing was read.
"""
import csv
import html.parser
import json
import pathlib
import re
import subprocess
import sys
import tempfile

import yaml

PROGRAM = pathlib.Path(sys.argv[1]).resolve()
ROOT = pathlib.Path(__file__).resolve().parents[3]
AT = "2026-11-02T07:40:00+01:00"
HOSTILE = [
    "no", "yes", "on", "Off", "~", "null", "True", "12:30", "1:30:00", "0x1F", "0o17", "017", "1e3", "1_000", ".5",
    ".inf", "-.INF", ".NaN", "2026-11-02", "2026-11-02T07:40:00Z", "=", "<<", "- item", "? key", "key: value", "a: ",
    ": a", "#comment", "text # comment", "'", "''", '"', 'say "hm"', "\\", "\\n", "{a: 1}", "[x", "]", "}", ",",
    "&anchor", "*alias", "!tag", "!!python/object:os.system", "%YAML 1.1", "@at", "`tick`", "|", ">", "|-", "---",
    "...", "two  blanks", "umlaut äöü ß", "ﬁ ligature", "emoji 🔧 🚗", "العربية", "日本語", "e\u0301", "\u00a0nbsp",
    "zero\u200bwidth", "\u202ereversed", "\u2028line separator", "\u0085next line", "\ufeffmark",
    "\x1b[31mred\x1b[0m", "bell\x07", "tab\tin it", "line\nbreak", "cr\rlf\r\n", "\ttab first", "\x7f", "x" * 5000,
    "ends in a colon:", "=HYPERLINK(1)", "<script>alert(1)</script>", "&amp;", "$(exit 3)", "-dash", "--dash",
    "\u22123 with a true minus",
]
# Texts known to come back changed, with the reason. One that comes back whole must leave this list.
KNOWN = {
    ("disturb", "\u22123 with a true minus"): "a true minus sign at the beginning is taken for a hyphen",
    ("note", "\u22123 with a true minus"): "a true minus sign at the beginning is taken for a hyphen",
}
# Commands that are not there yet. One that is there must leave this list and get its keys below.
NOT_YET = set()
KEYS = {
    "suspects": {
        "total", "limit", "verdict", "excess", "unplaced", "suspects", "pairs", "wake_groups", "nothing_wrong",
        "not_present_now",
    },
    "next": {"done", "why", "readings"},
    "account": {"total", "placed", "unplaced", "feeds", "conflicts"},
    "settle": {
        "settled", "at", "after_min", "level", "average", "steps", "wakes", "wake_period_min", "samples", "skipped", "why",
    },
    "convert": {"current", "below_floor", "floor", "resistance_mohm", "basis", "warnings"},
}
RECORD = {
    "format", "complaint", "vehicle", "battery", "setup", "timeline", "limit", "total", "account", "suspects",
    "narrowed", "repair", "proof", "cautions", "versions", "struck", "leader", "charging", "night", "seal",
}
checked = {"texts": 0, "json": 0, "documents": 0}
failures = []


def run(folder, *arguments, code=0):
    done = subprocess.run([PROGRAM, *arguments], cwd=folder, stdin=subprocess.DEVNULL, capture_output=True)
    if done.returncode != code:
        failures.append(f"{arguments} ended {done.returncode}: {done.stderr.decode(errors='replace')[:400]}")
    return done.stdout.decode()


def as_json(folder, *arguments, keys=frozenset(), code=0):
    out = run(folder, "--format", "json", *arguments, code=code)
    try:
        found = json.loads(out, parse_constant=lambda word: failures.append(f"{arguments}: {word} is no JSON"))
    except ValueError as error:
        failures.append(f"{arguments}: {error}: {out[:200]!r}")
        return {}
    missing = set(keys) - set(found if isinstance(found, dict) else [])
    if missing:
        failures.append(f"{arguments}: no {sorted(missing)}")
    checked["json"] += 1
    return found


def document(path):
    checked["documents"] += 1
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def equal(found, expected, what):
    checked["texts"] += 1
    if found != expected:
        failures.append(f"{what}: {expected!r} came back as {found!r}")


def log_with_hostile_texts(folder):
    """Every text as a note, a disturbance, a name on the map and a reason to strike."""
    written = {
        "format": "fusetrail-map/1", "title": "no", "boxes": {"12:30": {"where": "yes"}},
        "feeds": [
            {"id": "F1", "from": "battery", "box": "12:30", "fuse": {"family": "mini", "rating_a": 10},
             "loads": [{"name": text, "kind": "other"} for text in ("off", "1e3", "a: b #c", "'q'", "日本 🔧")]},
        ],
    }
    # Quoted throughout: a bare 1e3 is a text to YAML 1.1 and a number to YAML 1.2.
    text = yaml.safe_dump(written, allow_unicode=True, default_style='"')
    text = re.sub(r'"rating_a": !!int "10"', '"rating_a": 10', text)
    (folder / "map.yaml").write_text(text, encoding="utf-8")
    as_json(folder, "circuits", "check", "map.yaml", keys={"ok", "problems", "warnings"})
    run(folder, "open", "x.hunt.yaml", "--map", "map.yaml", "--at", AT)
    for text in HOSTILE:
        as_json(folder, "add", "x.hunt.yaml", "note", "--", text, keys={"entry", "reading", "warnings"})
    for text in HOSTILE:
        run(folder, "add", "x.hunt.yaml", "disturb", "--", text)
    for number, text in enumerate(HOSTILE):
        run(folder, "strike", "x.hunt.yaml", str(number + 2), f"--why={text}")
    log = document(folder / "x.hunt.yaml")
    if not isinstance(log, list) or any(not isinstance(entry, dict) for entry in log):
        failures.append("the log is no sequence of mappings")
        return
    equal(log[0]["map"]["title"], "no", "title")
    equal(list(log[0]["map"]["boxes"]), ["12:30"], "box")
    names = [load["name"] for load in log[0]["map"]["feeds"][0]["loads"]]
    equal(names, [load["name"] for load in written["feeds"][0]["loads"]], "loads")
    count = len(HOSTILE)
    for at, (kind, field) in enumerate([("note", "text"), ("disturb", "what"), ("strike", "why")]):
        entries = log[1 + at * count:1 + (at + 1) * count]
        equal(len(entries), count, f"entries of kind {kind}")
        for entry, text in zip(entries, HOSTILE):
            equal(entry["entry"], kind, "kind")
            # A reason is trimmed.
            expected = text.strip() if kind == "strike" else text
            if (kind, text) not in KNOWN:
                equal(entry[field], expected, kind)
            elif entry[field] == expected:
                failures.append(f"{kind} {text!r} comes back whole: take it off the list")
            equal(type(entry["at"]), str, "time")


def practice(folder, seed):
    answers = ROOT / "samples/practice-answers.yaml"
    log = f"practice-{seed}.hunt.yaml"
    run(folder, "hunt", log, "--practice", str(seed), "--answers", str(answers))
    entries = document(folder / log)
    kinds = [entry["entry"] for entry in entries]
    for wanted in ("open", "total", "drop"):
        if wanted not in kinds:
            failures.append(f"practice {seed}: no entry of kind {wanted}")
    return log


def commands(folder, log):
    """Every command that gives a result, on the log of a whole hunt."""
    known = run(folder, "--help")
    wanted = {*KEYS, "sheet", "record"}
    there = {name for name in NOT_YET | wanted if f"\n  {name} " in known}
    failures.extend(f"no command {name}" for name in sorted(wanted - there))
    for name in sorted(there & NOT_YET):
        failures.append(f"{name} is there: take it off the list of what is not")
    as_json(folder, "circuits", "list")
    as_json(folder, "circuits", "show", "hatch")
    as_json(folder, "add", log, "total", "77mA", "--after-repair", keys={"entry", "reading", "warnings"})
    for name in sorted({"suspects", "next", "account"} & there):
        as_json(folder, name, log, keys=KEYS[name])
    if "settle" in there:
        rows = (f"{second},{900 if second < 600 else 20 + second % 3}" for second in range(0, 3600, 5))
        (folder / "trace.csv").write_text("s,mA\n" + "\n".join(rows) + "\n", encoding="utf-8")
        as_json(folder, "settle", "trace.csv", keys=KEYS["settle"])
    if "convert" in there:
        as_json(folder, "convert", "--family", "mini", "--rating", "10", "--drop", "3.0mV", keys=KEYS["convert"])
    if "sheet" in there:
        as_json(folder, "sheet", "--family", "mini")
    if "record" in there:
        shown = yaml.safe_load(run(folder, "record", log))
        run(folder, "record", log, "--to", "record.yaml")
        for found in (shown, document(folder / "record.yaml")):
            if set(found) < RECORD:
                failures.append(f"the record lacks {sorted(RECORD - set(found))}")


class Page(html.parser.HTMLParser):
    """Collects what a page is made of: tags, addresses, the text within them."""

    def __init__(self):
        super().__init__()
        self.tags, self.addresses, self.text = set(), [], []

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.addresses += [value for name, value in attrs if name in ("href", "src", "action", "data", "poster", "srcset")]
        failures.extend(f"page: {name} on {tag}" for name, _ in attrs if name.startswith("on") or name == "style")

    def handle_data(self, data):
        self.text.append(data)


def for_people(folder, log):
    """The page as HTML, parsed by others, and the table of readings, its figures held against the log."""
    run(folder, "record", log, "--to", "page.html")
    page = Page()
    page.feed((folder / "page.html").read_text(encoding="utf-8"))
    wrong = page.tags & {"script", "img", "iframe", "object", "embed", "form", "base"}
    if wrong or any(address != "data:," for address in page.addresses):
        failures.append(f"the page has {wrong} and addresses {page.addresses}")
    record = as_json(folder, "record", log)
    if record.get("seal") not in "".join(page.text):
        failures.append("the page does not show the last seal")
    run(folder, "record", log, "--to", "readings.csv")
    with open(folder / "readings.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    drops = {number: entry for number, entry in enumerate(document(folder / log), 1) if entry["entry"] == "drop"}
    found = {int(row["entry"]): float(row["first"]) / 1000 for row in rows if row["kind"] == "drop"}
    if not drops or set(found) != set(drops):
        failures.append(f"drops of the table {sorted(found)}, of the log {sorted(drops)}")
    for number, entry in drops.items():
        checked["texts"] += 1
        if abs(found.get(number, 1e9) - entry["drop"]["value"]) > 1e-12:
            failures.append(f"entry {number}: {found.get(number)} V in the table, {entry['drop']['value']} V in the log")


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        log_with_hostile_texts(folder)
        for seed in (3, 17):
            log = practice(folder, seed)
        commands(folder, log)
        for_people(folder, log)
    for line in failures[:40]:
        print(line)
    passed = sum(checked.values()) - len(failures)
    print(f"{checked['texts']} texts, {checked['json']} JSON results, {checked['documents']} documents")
    print(f"{passed} passed, {len(failures)} failed")
    return 1 if failures or not all(checked.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
