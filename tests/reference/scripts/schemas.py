"""Holds what the built program prints and writes against its own schemas, with PyPI `jsonschema` (Draft 2020-12).

Every command's JSON, the record, logs of this and of earlier builds, maps and answers must be valid under
`fusetrail schema NAME`; and each schema must refuse its document once a key is renamed, a key is added, or a value is of
another type. Fails if anything differs, or if a schema was held against nothing.
"""
import copy
import json
import pathlib
import subprocess
import sys
import tempfile
import time

import yaml
from jsonschema import Draft202012Validator

PROGRAM = pathlib.Path(sys.argv[1]).resolve()
ROOT = pathlib.Path(__file__).resolve().parents[3]
AT = ("--at-start", "2026-11-02T07:40:00+01:00")
MAP = """
format: fusetrail-map/1
title: Bench vehicle (invented)
limit_ma: 50
limit_source: made up for the bench
boxes:
  bay: {where: beside the battery, reach_min: 1}
  cabin:
wake_groups:
  body: {inputs: [door latch, boot latch]}
feeds:
  - {id: L1, from: battery, box: bay, fuse: {family: bolt, rating_a: 80}, probe: clamp}
  - {id: 12, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: audio unit, wake_group: body}]}
  - {id: F2, from: L1, box: cabin, fuse: {family: mini, rating_a: 15, r_mohm: 5}, loads: [body computer, clock]}
  - {id: F4, from: L1, box: cabin, fuse: {family: mini, rating_a: 5}, loads: [{name: airbag unit, kind: restraint}]}
unfused:
  - {name: alternator, from: battery, kind: alternator}
"""
LID = "box,fuse,family,rating,feeds\nbay,F1,mini,10,radio\nbay,F2,mini,15,\"clock, lamp\"\n"
ENTRIES = (
    ["zero", "0.1mV"], ["temp", "cabin=18C"], ["volts", "12.6V"], ["total", "320mA", "--as-found"], ["total", "320mA"],
    ["clamp", "L1", "318mA"], ["drop", "F2=0.1mV", "12=2.3mV"], ["drop", "F4", "9.9mV", "--why", "slipped"],
    ["pull", "F2", "321mA", "300mA", "refit", "320mA"], ["input", "door latch", "320mA", "300mA"],
    ["step", "F2", "3.0mV", "10.6mV", "1.02A"], ["unplug", "12/audio unit", "321mA", "16mA"], ["disturb", "driver door"],
    ["note", "no: # note"], ["limit", "40mA", "--source", "told"], ["total", "20mA", "--after-repair"],
)
# Objects with names given by the user or by a table as their keys: any key is right there.
FREE = {"answers", "charging", "found", "prepared", "hooked_up", "endings", "work_of", "boxes", "wake_groups"}
MUTATED_OBJECTS = 30
validated = {}
refused = 0
first = {}
failures = []


def run(folder, *arguments, code=0, typed=b""):
    done = subprocess.run([PROGRAM, *arguments, *AT], cwd=folder, input=typed, capture_output=True, timeout=300)
    if done.returncode != code:
        failures.append(f"{arguments} ended {done.returncode}: {done.stderr.decode(errors='replace')[:400]}")
    return done.stdout.decode()


def schemas(folder):
    listed = json.loads(run(folder, "schema", "--format", "json"))
    found = {}
    for name in (one["name"] for one in listed["schemas"]):
        schema = json.loads(run(folder, "schema", name))
        Draft202012Validator.check_schema(schema)
        found[name] = Draft202012Validator(schema)
    return found


def hold(known, name, document, what, change=True):
    validated[name] = validated.get(name, 0) + 1
    # The largest document is the one that is changed below.
    if change and len(str(document)) > len(str(first.get(name, ""))):
        first[name] = document
    for error in list(known[name].iter_errors(document))[:3]:
        failures.append(f"{what} is no {name}: {error.json_path}: {error.message[:200]}")


def command(known, folder, name, *arguments, code=0, typed=b""):
    out = run(folder, *arguments, "--format", "json", code=code, typed=typed)
    try:
        hold(known, name, json.loads(out), " ".join(arguments))
    except ValueError as error:
        failures.append(f"{arguments}: {error}: {out[:200]!r}")


def loaded(path):
    return yaml.safe_load(path.read_text(encoding="utf-8"))


def on_log(known, folder, log, whole=0):
    """Whatever looks at a log, and the log itself."""
    for name in ("suspects", "next", "account", "record", "list"):
        command(known, folder, name, name, log)
    command(known, folder, "check", "check", log, code=whole)
    hold(known, "record", yaml.safe_load(run(folder, "record", log, "--redact")), f"record of {log}")
    hold(known, "log", loaded(folder / log), log)


def bench(known, folder):
    (folder / "bench.yaml").write_text(MAP, encoding="utf-8")
    opened = ("--map", "bench.yaml", "--temp", "20C", "--temp", "cabin=18C", "--reserve", "100", "--limit", "30mA")
    command(known, folder, "open", "open", "x.hunt.yaml", *opened)
    on_log(known, folder, "x.hunt.yaml")
    for words in ENTRIES:
        command(known, folder, "add", "add", "x.hunt.yaml", *words)
    command(known, folder, "strike", "strike", "x.hunt.yaml", "9", "--why", "slipped")
    command(known, folder, "undo", "undo", "x.hunt.yaml")
    night = str(ROOT / "samples/pulse.csv")
    command(known, folder, "settle", "settle", night, "--into", "x.hunt.yaml")
    on_log(known, folder, "x.hunt.yaml")
    command(known, folder, "record-to", "record", "x.hunt.yaml", "--to", "x.yaml")
    hold(known, "record", loaded(folder / "x.yaml"), "x.yaml")
    newer = [*loaded(folder / "x.hunt.yaml"), {"at": AT[1], "entry": "tomorrow", "seal": "0" * 32, "what": [1, {}]}]
    hold(known, "log", newer, "an entry of a kind that is not known", change=False)


def hunts(known, folder):
    answers = ROOT / "samples/practice-answers.yaml"
    hold(known, "answers", loaded(answers), answers.name)
    for seed in ("3", "17"):
        command(known, folder, "practice", "practice", "--seed", seed, "--reveal")
        log = f"practice-{seed}.hunt.yaml"
        command(known, folder, "hunt", "hunt", log, "--practice", seed, "--answers", str(answers))
        on_log(known, folder, log)
    command(known, folder, "lessons", "lessons", ".")
    command(known, folder, "practice", "practice", "--seed", "4", "--map", "van")
    command(known, folder, "practice-score", "practice", "--score", "6", "--policy", "panel", "--misses")
    for log in sorted((ROOT / "tests/data/logs").glob("*.hunt.yaml")):
        (folder / log.name).write_bytes(log.read_bytes())
        on_log(known, folder, log.name)


def maps(known, folder):
    command(known, folder, "circuits-list", "circuits", "list")
    for path in sorted((ROOT / "circuits/maps").glob("*.yaml")):
        hold(known, "map", loaded(path), path.name)
        command(known, folder, "circuits-show", "circuits", "show", path.stem)
        command(known, folder, "circuits-check", "circuits", "check", path.stem)
    hold(known, "map", yaml.safe_load(MAP), "the bench")
    (folder / "lid.csv").write_text(LID, encoding="utf-8")
    command(known, folder, "circuits-sketch", "circuits", "sketch", "lid.csv")
    hold(known, "map", yaml.safe_load(run(folder, "circuits", "sketch", "lid.csv")), "a sketch")
    # What the program refuses for its shape the schema refuses too.
    bad = ROOT / "tests/data/map-bad-shape.yaml"
    command(known, folder, "circuits-check", "circuits", "check", str(bad), code=1)
    if known["map"].is_valid(loaded(bad)):
        failures.append(f"{bad.name} is taken for a map")


def figures(known, folder):
    command(known, folder, "convert", "convert", "--family", "mini", "--rating", "10", "--drop", "3.0mV", "--unbranded")
    command(known, folder, "convert", "convert", "--family", "bolt", "--rating", "80", "--drop", "1mV", code=1)
    command(known, folder, "sheet", "sheet", "--family", "mini", "--zeroed")
    command(known, folder, "sheet", "sheet", "--family", "bolt", code=1)
    command(known, folder, "sheet-map", "sheet", "--map", "hatch")
    command(known, folder, "stand", "stand", "--draw", "482mA")
    more = ("--after", "22mA", "--reserve", "100", "--ocv", "12.5V", "--temp", "-5C", "--days", "21")
    command(known, folder, "stand", "stand", "--draw", "482mA", *more)
    for night in sorted((ROOT / "samples").glob("*.csv")):
        # One that never comes to rest ends in an honest no.
        code = 1 if night.stem in {"cycling", "restless"} else 0
        command(known, folder, "settle", "settle", str(night), "--map", "hatch", "--limit", "50mA", code=code)
    (folder / "elapsed.csv").write_text("s,mA\n" + "".join(f"{s},{20 + s % 3}\n" for s in range(0, 1800, 5)))
    command(known, folder, "settle", "settle", "elapsed.csv")
    command(known, folder, "watch", "watch", "--meter", "lines:-,mA", "--to", "w.csv", typed=b"12\nOL\nhm\n")
    woken(known, folder)
    command(known, folder, "schema", "schema")
    command(known, folder, "explain", "explain", "floor")
    command(known, folder, "explain-list", "explain")


def woken(known, folder):
    """A watch of a draw that comes back: what its command is given, and what it says at its end."""
    words = ("watch", "--meter", "lines:-,mA", "--to", "woken.csv", "--flat", "1s", "--log", "x.hunt.yaml", "--format", "json")
    watch = subprocess.Popen([PROGRAM, *words, "--on-wake", "tee wake.json"], cwd=folder, stdin=subprocess.PIPE,
                             stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    for at in range(40):
        watch.stdin.write(b"24.%d\n" % (at % 3) if at < 25 or at > 32 else b"380\n")
        watch.stdin.flush()
        time.sleep(0.1)
    hold(known, "watch", json.loads(watch.communicate(timeout=60)[0]), "watch")
    hold(known, "watch-wake", json.loads((folder / "wake.json").read_text()), "wake.json")


def objects(document, way=()):
    """Every object whose keys are told, by the way to it."""
    if isinstance(document, dict):
        if document and (not way or way[-1] not in FREE):
            yield way
        for key, value in document.items():
            yield from objects(value, (*way, key))
    elif isinstance(document, list):
        for index, value in enumerate(document):
            yield from objects(value, (*way, index))


def refuses(known, name):
    """Changes the document in every way at objects spread over it; each change has to be seen."""
    global refused
    document = first[name]
    found = [()] if name == "answers" else list(objects(document))
    for way in found[:: max(1, len(found) // MUTATED_OBJECTS)]:
        for change in ("renamed", "added", "of another type"):
            if name == "answers" and change != "of another type":
                continue
            changed = copy.deepcopy(document)
            place = changed
            for step in way:
                place = place[step]
            # By turns another key, so that each gets its change somewhere.
            key = list(place)[(len(way) + refused) % len(place)]
            if change == "renamed":
                place[f"{key}_"] = place.pop(key)
            elif change == "added":
                place["further"] = 1
            else:
                place[key] = [[]]
            refused += 1
            if known[name].is_valid(changed):
                failures.append(f"{name}: {way} {key!r} {change} is taken all the same")


def main():
    with tempfile.TemporaryDirectory() as made:
        folder = pathlib.Path(made)
        known = schemas(folder)
        bench(known, folder)
        hunts(known, folder)
        maps(known, folder)
        figures(known, folder)
    for name in sorted(set(known) - set(validated)):
        failures.append(f"nothing was held against the schema {name}")
    for name in sorted(validated):
        refuses(known, name)
    for line in failures[:40]:
        print(line)
    print(f"{len(validated)} schemas, {sum(validated.values())} documents, {refused} changed ones")
    print(f"{len(failures)} failed")
    return 1 if failures or not refused else 0


if __name__ == "__main__":
    sys.exit(main())
