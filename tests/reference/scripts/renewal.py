"""Wake-ups of a series that come in a time: numerical integration by SciPy, and a Monte Carlo by NumPy. `times_out`: what it
does to the causes that they came, or not, while a fuse was out, by brute force.
"""
import numpy as np

import posterior

from vectorfile import digits, write
from wake_series import played, seen

SEED, ROUNDS, LONGEST = 1509, 100_000, 4
rng = np.random.default_rng(SEED)
cases = []
for period, jitter, missed in [(10, 0.2, 0.0), (10, 1.0, 0.02), (9.6, 2.0, 0.1), (25, 5.0, 0.3), (4, 0.08, 0.02)]:
    times = [round(float(period * share), 2) for share in (0.15, 0.7, 1.0, 1.6, 2.0, 3.4)]
    shares = played(rng, ROUNDS, LONGEST, times, period, jitter, missed)
    for time, share in zip(times, shares):
        cases.append({
            "period": float(period), "jitter": jitter, "missed": missed, "time": time,
            "seen": [digits(seen(came, time, period, jitter, missed), 12) for came in range(LONGEST + 1)],
            "played": share, "rounds": ROUNDS,
        })

SERIES = [10.0, 0.5, 0.02]
MODULES = posterior.HELD_BY_MODULE
OUT = [
    (posterior.LIT, [["total", 30.0]], [["F3", "none", 20.0]]),
    (posterior.LIT, [["total", 60.0], ["drop", "F1", 0.2]], [["F3", "came=2", 21.0], ["F2/relay", "none", 35.0]]),
    (posterior.LIT, [["total", 180.0]], [["F1", "none", 4.0], ["F1", "came=1", 9.0]]),
    (MODULES, posterior.FOUR_HIGH[:1], [["F4", "none", 30.0]]),
    (MODULES, posterior.FOUR_HIGH, [["F1", "came=3", 30.0], ["F4/radio", "none", 12.0]]),
]
times_out = []
for text, readings, out in OUT:
    found = [["out", *one, SERIES] for one in out]
    made = posterior.solved(text, readings, "tenth-mv", 0.0, 50.0, False, found=found)
    times_out.append({**made, "found": [one[:4] for one in found], "series": SERIES})

write(__file__, ["numpy", "scipy", "uncertainties", "PyYAML"], SEED,
      "equilibrium renewal process, integrated by scipy.integrate.quad; `played`: Monte Carlo",
      {"relative": 1e-7, "absolute": 1e-10}, cases, times_out=times_out)
