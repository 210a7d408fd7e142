"""The conversion of millivolt to milliampere as DEVELOPERS.md and the fuse table state it, written again apart
from the Rust sources: which errors there are, how large, which of them two readings share.

Figures are read from circuits/*.yaml with PyYAML; everything else is here. Units: mV, mOhm, mA, degree Celsius.
Leaves to others: propagating the errors (conversion.py, readings.py).
"""
import math

import yaml

from vectorfile import ROOT

TABLE = yaml.safe_load((ROOT / "circuits/fuses.yaml").read_text(encoding="utf-8"))
METERS = yaml.safe_load((ROOT / "circuits/meters.yaml").read_text(encoding="utf-8"))["meters"]
ALPHA = TABLE["temperature"]["per_kelvin"]
# Thermal voltage of unequal probe tips: 3 microvolt per kelvin at up to 5 K either way.
THERMAL_HALF_MV = 3e-3 * 5.0
# A steady reading wanders half a count either way.
NOISE_HALF_COUNTS = 0.5


def resistance(family, rating):
    """Returns r25, make, fuse, legs: mOhm, two relative standard deviations, half-width in mOhm."""
    row = TABLE["families"][family]
    spread = TABLE["spread"]
    legs = row["legs_mohm"]
    found = [r for r in row.get("ratings", []) if r["rating_a"] == rating]
    if not found:
        law = TABLE["law"]
        r25 = law["coefficient_mohm"] * rating ** law["exponent"]
        return r25, spread["estimate"], spread["fuse"], legs
    order = ["sheet", "band", "second-maker", "doubtful"]
    figures = sorted(found[0]["figures"], key=lambda figure: order.index(figure["role"]))
    r25 = figures[0]["r_mohm"]
    others = [
        figure[key]
        for figure in figures
        if figure["role"] != "doubtful"
        for key in ("r_mohm", "low_mohm", "high_mohm")
        if key in figure
    ]
    # The farthest other figure is the half-width of a rectangular distribution.
    farthest = max(abs(other / r25 - 1) for other in others) / math.sqrt(3)
    least = spread["memory"] if figures[0]["basis"] == "memory" else spread["make"]
    return r25, max(least, farthest), spread["fuse"], legs


def voltmeter(name):
    """Returns one count in mV, the limit of gain error (relative), and the limit of offset in mV."""
    meter = METERS[name]
    count = meter["resolution_mv"]
    return count, meter["percent"] / 100, meter["counts"] * count


def clampmeter(name):
    """The same for a clamp, in mA."""
    meter = METERS[name]
    count = meter["resolution_ma"]
    return count, meter["percent"] / 100, meter["counts"] * count
