"""Conversion intervals: the same model by Monte Carlo (JCGM 101:2008) and by the package `uncertainties`."""
import itertools
import math
import warnings

import numpy as np
from uncertainties import correlation_matrix, ufloat

import fuse_model
from vectorfile import digits, write

# Errors of size zero (legs of a link, noise of a zero not taken) are meant.
warnings.filterwarnings("ignore", message="Using UFloat objects with std_dev==0")

SEED = 20081
DRAWS = 1_000_000
FUSES = [
    ("mini", 5), ("mini", 10), ("mini", 20), ("mini", 30), ("blade", 2), ("blade", 10), ("blade", 30),
    ("blade", 35), ("low-mini", 10), ("micro2", 20), ("maxi", 40),
]
DROPS = [0.0, 0.1, 0.4, 1.0, 3.0]
METERS = ["tenth-mv", "hundredth-mv"]
# Temperature and its standard uncertainty.
WARMTH = [(-10.0, 2.0), (20.0, 5.0), (60.0, 2.0)]
# Offset shown with the leads shorted, in counts; None: not taken.
ZEROS = [None, 2]

rng = np.random.default_rng(SEED)
NAMES = ["make", "fuse", "legs", "warmth", "gain", "offset", "offset_noise", "digit", "noise", "thermal"]
NORMAL = {"make", "fuse", "warmth"}
# Standard draws, used for every case: errors of one case against the next do not matter here.
Z = {
    name: rng.standard_normal(DRAWS) if name in NORMAL else rng.uniform(-1, 1, DRAWS)
    for name in NAMES
}
# The legs are left out or taken in, seldom in between: arc sine (JCGM 101:2008, 6.4.6).
Z["legs"] = np.sin(np.pi / 2 * Z["legs"])


def current(drop, zero, r25, at, per_kelvin, e):
    """I = V / R(T), relative errors on the conductance; e: errors in their own units."""
    volts = (drop - zero) * (1 + e["gain"]) + e["offset"] + e["offset_noise"] + e["digit"] + e["noise"] + e["thermal"]
    conductance = (1 + e["make"]) * (1 + e["fuse"]) * (1 + e["legs"]) / r25
    return 1000 * volts * conductance / (1 + per_kelvin * (at + e["warmth"] - 25))


def sizes(family, rating, meter, warmth, zeroed):
    """Returns r25 and the size of every error: standard deviation if normal, half-width if rectangular."""
    r25, make, fuse, legs = fuse_model.resistance(family, rating)
    count, gain, offset = fuse_model.voltmeter(meter)
    noise = fuse_model.NOISE_HALF_COUNTS * count
    return r25, {
        "make": make,
        "fuse": fuse,
        "legs": legs / r25,
        "warmth": warmth,
        "gain": gain,
        # A zero leaves its own digit and noise in place of the counts.
        "offset": count / 2 if zeroed else offset,
        "offset_noise": noise if zeroed else 0.0,
        "digit": count / 2,
        "noise": noise,
        "thermal": fuse_model.THERMAL_HALF_MV,
    }


def standard(name, size):
    if name in NORMAL:
        return size
    return size / math.sqrt(2 if name == "legs" else 3)


def by_uncertainties(first, second, r25s, errors, zero, shared):
    """Two readings of one meter; `shared` names the errors that both have in common."""
    common = {name: ufloat(0, standard(name, errors[0][name])) for name in shared}
    both = []
    for (drop, at), r25, sizes_here in zip((first, second), r25s, errors):
        e = {name: common.get(name) for name in NAMES}
        for name in NAMES:
            if e[name] is None:
                e[name] = ufloat(0, standard(name, sizes_here[name]))
        both.append(current(drop, zero, r25, at, fuse_model.ALPHA, e))
    return both


cases = []
for (family, rating), drop, meter, (at, u_at), zero in itertools.product(FUSES, DROPS, METERS, WARMTH, ZEROS):
    r25, size = sizes(family, rating, meter, u_at, zero is not None)
    count = fuse_model.voltmeter(meter)[0]
    offset = 0.0 if zero is None else zero * count
    draws = current(drop, offset, r25, at, fuse_model.ALPHA, {name: Z[name] * size[name] for name in NAMES})
    low, high = np.percentile(draws, [2.5, 97.5])
    one = by_uncertainties((drop, at), (drop, at), (r25, r25), (size, size), offset, ())[0]
    half = 1.959963984540054 * one.std_dev
    inside = float(np.mean(np.abs(draws - one.nominal_value) <= half))
    # Share of the variance that the largest rectangular error has.
    variances = {variable: term**2 for variable, term in one.error_components().items()}
    total = sum(variances.values())
    flat = [
        (1000 / (r25 * (1 + fuse_model.ALPHA * (at - 25))) * size[name] / math.sqrt(3)) ** 2
        for name in ("offset", "offset_noise", "digit", "noise", "thermal")
    ] + [(one.nominal_value * standard(name, size[name])) ** 2 for name in ("legs", "gain")]
    cases.append({
        "family": family, "rating_a": rating, "drop_mv": drop, "meter": meter, "celsius": at, "u_celsius": u_at,
        "zero_mv": None if zero is None else offset,
        "r25_mohm": digits(r25, 12), "value_ma": digits(one.nominal_value, 14), "u_ma": digits(one.std_dev, 14),
        "mc_mean_ma": digits(draws.mean()), "mc_u_ma": digits(draws.std()),
        "mc_low_ma": digits(low), "mc_high_ma": digits(high), "mc_inside": digits(inside, 5),
        "flat_share": digits(max(flat) / total, 6),
    })

# Two readings and what they share. Same family: make; same box: warmth; same meter: zero and gain, always.
pairs = []
for ((f1, r1), (f2, r2)), same_box, meter, zero in itertools.product(
    [(("mini", 10), ("mini", 15)), (("mini", 10), ("blade", 10)), (("maxi", 40), ("micro2", 10))],
    [True, False], METERS, ZEROS,
):
    count = fuse_model.voltmeter(meter)[0]
    offset = 0.0 if zero is None else zero * count
    at = (35.0, 5.0)
    (ra, ea), (rb, eb) = (sizes(f, r, meter, at[1], zero is not None) for f, r in ((f1, r1), (f2, r2)))
    shared = ["gain", "offset", "offset_noise"] + (["warmth"] if same_box else []) + (["make"] if f1 == f2 else [])
    a, b = by_uncertainties((2.4, at[0]), (0.7, at[0]), (ra, rb), (ea, eb), offset, shared)
    pairs.append({
        "first": [f1, r1, 2.4], "second": [f2, r2, 0.7], "same_box": same_box, "meter": meter,
        "zero_mv": None if zero is None else offset, "celsius": at[0], "u_celsius": at[1],
        "u_ma": [digits(a.std_dev, 14), digits(b.std_dev, 14)],
        "correlation": digits(float(correlation_matrix([a, b])[0][1]), 12),
        "u_sum_ma": digits((a + b).std_dev, 14), "u_difference_ma": digits((a - b).std_dev, 14),
    })

write(
    __file__, ["numpy", "uncertainties", "PyYAML"], SEED,
    "the model of DEVELOPERS.md written again in fuse_model.py; propagation by Monte Carlo after JCGM 101:2008 "
    f"({DRAWS} draws a case, probabilistically symmetric 95 % interval) and by `uncertainties`",
    {"relative": 1e-6, "absolute": 1e-9}, cases, pairs=pairs,
)
