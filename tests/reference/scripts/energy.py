"""Ampere-hours that a day of driving puts back and takes: propagation by `uncertainties`, and how often the 95 % interval
holds by Monte Carlo, where of surplus and acceptance each draw takes the smaller one."""
import numpy as np
from uncertainties import ufloat

from vectorfile import digits, write

SEED = 1127
DRAWS = 200_000
rng = np.random.default_rng(SEED)

# Figures of circuits/battery.yaml, written again.
REFERENCE = 60
SPARE = {"town": 5, "mixed": 10, "fast": 15}
SPARE_U = 0.40
START, START_U = 0.13, 0.023
TAKES = [(0.50, 0.33), (0.75, 0.20), (0.90, 0.08), (1.00, 0.01)]
TAKES_U = 0.30
WARMTH = [(-18, 0.15), (0, 0.45), (27, 1.00)]


def between(points, x):
    return float(np.interp(x, [point[0] for point in points], [point[1] for point in points]))


def day(capacity, spare, takes, start, draw, lost, starts, minutes, current):
    """Net ampere-hours of a day; `current` picks what charges."""
    hours = starts * minutes / 60
    driving = current(spare * capacity / REFERENCE, takes * capacity) * hours
    starting = start * capacity / REFERENCE * starts
    standing = draw * (24 - hours)
    own = capacity * lost
    return driving, starting, standing, own, driving - starting - standing - own


cases = []
while len(cases) < 120:
    capacity = round(float(rng.uniform(8, 200)), 1)
    lowest = round(float(rng.uniform(0.5, 0.95)), 3)
    temperature = round(float(rng.uniform(-20, 35)), 1)
    draw = round(float(np.exp(rng.uniform(np.log(0.001), np.log(0.2)))), 4)
    lost = round(float(rng.uniform(1, 8)), 2)
    road = str(rng.choice(list(SPARE)))
    starts = round(float(rng.uniform(0.2, 12)), 1)
    minutes = round(float(rng.uniform(1, 40)), 1)
    u = {
        "capacity": round(capacity * float(rng.uniform(0.01, 0.1)), 2),
        "draw": round(draw * float(rng.uniform(0.005, 0.1)), 5),
        "lost": round(lost * float(rng.uniform(0.05, 0.3)), 3),
    }
    takes = between(TAKES, lowest) * between(WARMTH, temperature)
    fades = lost / 100 * 2 ** ((temperature - 20) / 10) / 30.44
    means = {
        "capacity": (capacity, u["capacity"]),
        "spare": (SPARE[road], SPARE[road] * SPARE_U),
        "takes": (takes, takes * TAKES_U),
        "start": (START, START_U),
        "draw": (draw, u["draw"]),
        "lost": (fades, fades * u["lost"] / lost),
    }
    held = takes * REFERENCE < SPARE[road]
    parts = {key: ufloat(*pair) for key, pair in means.items()}
    *_, net = found = day(**parts, starts=starts, minutes=minutes, current=lambda a, b: b if held else a)
    drawn = {key: rng.normal(*pair, DRAWS) for key, pair in means.items()}
    *_, made = day(**drawn, starts=starts, minutes=minutes, current=np.minimum)
    low, high = net.nominal_value - 1.959964 * net.std_dev, net.nominal_value + 1.959964 * net.std_dev
    names = ["driving", "starting", "standing", "own", "net"]
    cases.append({
        "capacity": capacity, "lowest": lowest, "temperature": temperature, "draw": draw, "lost": lost, "road": road,
        "starts": starts, "minutes": minutes, "u": u, "held": held,
        "ratio": digits(takes * REFERENCE / SPARE[road]),
        **{name: part.nominal_value for name, part in zip(names, found)},
        **{f"u_{name}": part.std_dev for name, part in zip(names, found)},
        "inside": digits(float(np.mean((made >= low) & (made <= high))), 4),
        "loses": digits(float(np.mean(made < 0)), 4),
    })

write(__file__, ["numpy", "uncertainties"], SEED,
      "first-order propagation by uncertainties; share inside the 95 % interval, and of days that lose, by Monte Carlo "
      "(JCGM 101:2008), the smaller of surplus and acceptance taken in each draw",
      {"relative": 1e-9, "absolute": 1e-12}, cases)
