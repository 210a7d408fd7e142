"""Small invented vehicles with readings on them, drawn from a seed: what account.py and posterior.py both use.
Leaves to others: what the readings say.
"""
import numpy as np
import yaml

import fuse_model
from panel_model import Panel

KINDS = ["audio", "telematics", "phone", "body-control", "lamp-interior", "blower", "relay", "other", "tracker", "add-on"]
FAMILIES = [("mini", [5, 7.5, 10, 15, 20, 30]), ("blade", [5, 7.5, 10, 15, 20, 30]), ("micro2", [5, 10, 15])]


def known_kinds():
    from vectorfile import ROOT

    loads = yaml.safe_load((ROOT / "circuits/loads.yaml").read_text(encoding="utf-8"))
    return {kind["id"]: kind for kind in loads["kinds"]}


def draw_map(rng, feeds, groups, twins, sources=False):
    """Returns the text of a map: a link, fuses below it or at the battery, loads with every figure given."""
    kinds = known_kinds()
    assert set(KINDS) <= set(kinds)
    written = {
        "format": "fusetrail-map/1", "title": "drawn from a seed (invented)", "system_v": 12,
        "boxes": {"bay": {"where": "engine bay"}, "cabin": {"where": "cabin"}},
    }
    if groups:
        written["wake_groups"] = {"body-bus": {"inputs": ["driver door latch", "bonnet switch"]}}
    rows = [{"id": "L1", "from": "battery", "box": "bay", "fuse": {"family": "maxi", "rating_a": 40}}]
    for number in range(feeds - 1):
        family, ratings = FAMILIES[rng.integers(len(FAMILIES))]
        row = {
            "id": f"F{number + 1}", "from": "L1" if rng.random() < 0.6 else "battery",
            "box": ["bay", "cabin"][rng.integers(2)],
            "fuse": {"family": family, "rating_a": ratings[rng.integers(len(ratings))]}, "loads": [],
        }
        for _ in range(rng.integers(0, 3)):
            kind = KINDS[rng.integers(len(KINDS))]
            load = {
                "name": f"{kind} {number}{'abc'[len(row['loads'])]}", "kind": kind,
                "asleep_ma": round(float(rng.uniform(0, 8)), 1),
                "awake_ma": round(float(rng.uniform(60, 900)), 0),
            }
            if groups and rng.random() < 0.6:
                load["wake_group"] = "body-bus"
            row["loads"].append(load)
        rows.append(row)
    loaded = [row for row in rows[1:] if row["loads"]]
    if twins and len(loaded) > 0 and len(rows) > 2:
        others = [row["id"] for row in rows[1:] if row is not loaded[0]]
        loaded[0]["loads"][0]["also_from"] = [others[rng.integers(len(others))]]
    written["feeds"] = rows
    written["unfused"] = [
        {"name": "alternator", "from": "battery", "kind": "alternator", "asleep_ma": 2.0, "awake_ma": 400.0}
    ]
    if sources:
        written["unfused"].append({
            "name": "converter", "from": "battery", "kind": "other", "source": True, "asleep_ma": 1.0,
            "awake_ma": 300.0,
        })
    return yaml.safe_dump(written, sort_keys=False)


def draw_readings(rng, text, count, falls):
    """Returns the battery's truth as readings: a total, then drops, clamps and (at the end) pulls and unplugs."""
    panel = Panel(text)
    culprit = rng.integers(len(panel.parts))
    size = float(np.exp(rng.normal(np.log(0.25), 0.8)))
    true = [max(0.0, rng.normal(part.asleep, part.sd)) for part in panel.parts]
    true[culprit] += size
    if count == 0:
        return []

    def flow(test, feeds_out=(), loads_out=()):
        paths = [part.path(feeds_out, loads_out) for part in panel.parts]
        return sum(i for i, part, path in zip(true, panel.parts, paths) if path is not None and test(part, path))

    def shown(ampere, count_ma=1.0):
        return float(round((ampere * 1000 * rng.normal(1, 0.01) + rng.normal(0, 1)) / count_ma) * count_ma) + 0.0

    out, loads_out = [], []
    total = shown(flow(lambda *_: True))
    readings = [["total", total]]
    sites = [feed["id"] for feed in panel.feeds]
    rng.shuffle(sites)
    for site in sites:
        if len(readings) >= count - falls:
            break
        through = flow(lambda part, path: site in path)
        at = panel.feeds[panel.ids.index(site)]["fuse"]
        if rng.random() < 0.75:
            r25 = fuse_model.resistance(at["family"], at["rating_a"])[0]
            mv = through * r25 * rng.normal(1, 0.07) + rng.normal(0, 0.03)
            readings.append(["drop", site, float(round(mv, 1)) + 0.0])
        else:
            readings.append(["clamp", site, shown(through)])
    if len(readings) < count - falls:
        readings.append(["clamp", "alternator", shown(true[[p.kind for p in panel.parts].index(("unfused", 0))])])
    for _ in range(min(falls, count - len(readings))):
        site = sites[rng.integers(1, len(sites))]
        if site in out or site == "L1":
            continue
        loads = panel.feeds[panel.ids.index(site)].get("loads", [])
        if loads and rng.random() < 0.5:
            key = ("load", panel.ids.index(site), 0)
            if key in loads_out:
                continue
            after = shown(flow(lambda *_: True, out, [*loads_out, key]))
            readings.append(["unplug", site, loads[0]["name"], total, min(after, total)])
            loads_out.append(key)
        else:
            after = shown(flow(lambda *_: True, [*out, site], loads_out))
            readings.append(["pull", site, total, min(after, total)])
            out.append(site)
        total = min(after, total)
    return readings
