"""Days that a battery stands: propagation by `uncertainties`, and how often the 95 % interval holds by Monte Carlo."""
import numpy as np
from uncertainties import ufloat

from vectorfile import digits, write

SEED = 612
DRAWS = 200_000
rng = np.random.default_rng(SEED)


def days(capacity, charge, lowest, draw, lost, temperature):
    by_day = lost / 100 * 2 ** ((temperature - 20) / 10) / 30.44
    return capacity * (charge - lowest) / (24 * draw + capacity * by_day)


cases = []
while len(cases) < 120:
    capacity = round(float(rng.uniform(8, 200)), 1)
    charge = round(float(rng.uniform(0.6, 1.0)), 3)
    lowest = round(float(rng.uniform(0.2, 0.5)), 3)
    draw = round(float(np.exp(rng.uniform(np.log(0.005), np.log(2)))), 4)
    lost = round(float(rng.uniform(1, 8)), 2)
    temperature = round(float(rng.uniform(-20, 40)), 1)
    u = {
        "capacity": round(capacity * float(rng.uniform(0.01, 0.1)), 2),
        "charge": round(float(rng.uniform(0.005, 0.05)), 4),
        "lowest": round(float(rng.uniform(0.0, 0.05)), 4),
        "draw": round(draw * float(rng.uniform(0.005, 0.1)), 5),
        "lost": round(lost * float(rng.uniform(0.05, 0.3)), 3),
    }
    wanted = round(float(rng.uniform(5, 60)), 1)
    parts = {
        "capacity": ufloat(capacity, u["capacity"]),
        "charge": ufloat(charge, u["charge"]),
        "lowest": ufloat(lowest, u["lowest"]),
        "draw": ufloat(draw, u["draw"]),
        "lost": ufloat(lost, u["lost"]),
    }
    stands = days(temperature=temperature, **parts)
    usable = parts["capacity"] * (parts["charge"] - parts["lowest"])
    leaks = parts["capacity"] * parts["lost"] / 100 * 2 ** ((temperature - 20) / 10) / 30.44 / 24
    drawn = {key: rng.normal(part.nominal_value, part.std_dev, DRAWS) for key, part in parts.items()}
    made = days(temperature=temperature, **drawn)
    low, high = stands.nominal_value - 1.959964 * stands.std_dev, stands.nominal_value + 1.959964 * stands.std_dev
    cases.append({
        "capacity": capacity, "charge": charge, "lowest": lowest, "draw": draw, "lost": lost,
        "temperature": temperature, "u": u, "wanted": wanted,
        "days": stands.nominal_value, "u_days": stands.std_dev,
        "usable": usable.nominal_value, "u_usable": usable.std_dev,
        "self_discharge": leaks.nominal_value, "u_self_discharge": leaks.std_dev,
        "allowed": usable.nominal_value / wanted / 24 - leaks.nominal_value,
        "inside": digits(float(np.mean((made >= low) & (made <= high))), 4),
    })

write(__file__, ["numpy", "uncertainties"], SEED,
      "first-order propagation by uncertainties; share inside the 95 % interval by Monte Carlo (JCGM 101:2008)",
      {"relative": 1e-9, "absolute": 1e-12}, cases)
