"""Probability that a draw is within its limit: SciPy's normal distribution."""
import numpy as np
from scipy.stats import norm

from vectorfile import write

SEED = 106
rng = np.random.default_rng(SEED)
cases = []
while len(cases) < 200:
    limit = float(np.round(rng.uniform(1, 150), 1))
    u = float(np.round(rng.uniform(0.2, 0.3 * limit), 2))
    draw = float(np.round(limit + u * rng.uniform(-6, 6), 2))
    z = (limit - draw) / u
    # The verdict uses 1.645 where the exact point is 1.64485: no case in between.
    if abs(abs(z) - 1.645) < 1e-3:
        continue
    cases.append({"limit": limit, "u": u, "draw": draw, "within": float(norm.cdf(z))})

write(__file__, ["numpy", "scipy"], SEED, "scipy.stats.norm.cdf; JCGM 106:2012, 7.2.2",
      {"relative": 1e-10, "absolute": 1e-15}, cases)
