"""How many wake-ups of a series come in a time, written again apart from the Rust sources: the distribution of the time to
the next ones integrated numerically, and the same played.

Leaves to others: which vectors are made of it (renewal.py), what it says of a cause (signs.py).
"""
import math

import numpy as np
from scipy.integrate import quad
from scipy.stats import norm

# Editorial, as in the engine.
STRAY_SERIES, FOREIGN_WAKE = 0.05, 0.05


def sum_below(count, x, period, jitter):
    """Distribution of the sum of so many intervals."""
    return 1.0 if count == 0 else norm.cdf(x, count * period, jitter * math.sqrt(count))


def at_least(count, time, period, jitter):
    """P(N >= count): the first of them begins anywhere in its interval."""
    if count == 0:
        return 1.0
    def density(x):
        return (sum_below(count - 1, x, period, jitter) - sum_below(count, x, period, jitter)) / period
    knots = [x for k in (count - 1, count) for x in (k * period + s * jitter * math.sqrt(max(k, 1)) for s in (-6, -3, 0, 3, 6))]
    edges = sorted({0.0, time, *(x for x in knots if 0 < x < time)})
    return sum(quad(density, a, b, epsabs=1e-13, epsrel=1e-12)[0] for a, b in zip(edges, edges[1:]))


def seen(came, time, period, jitter, missed):
    total = 0.0
    for happened in range(came, int(time / period + 12 + 8 * math.sqrt(time / period)) + came):
        exactly = at_least(happened, time, period, jitter) - at_least(happened + 1, time, period, jitter)
        if happened > time / period + 1 and exactly < 1e-15:
            break
        total += exactly * math.comb(happened, came) * (1 - missed) ** came * missed ** (happened - came)
    # The integral's own error may be below nothing.
    return total if total > 1e-14 else 0.0


def played(rng, rounds, longest, times, period, jitter, missed):
    """Share of so many wake-ups, 0 to `longest`, in each time that begins long after the series did, anywhere."""
    steps = 45 + int(max(times) / period * 1.5 + 10)
    at = np.cumsum(rng.normal(period, jitter, (rounds, steps)), axis=1)
    begin = period * (30 + rng.uniform(size=(rounds, 1)))
    told = rng.uniform(size=at.shape) >= missed
    found = []
    for time in times:
        count = ((at >= begin) & (at < begin + time) & told).sum(axis=1)
        found.append([float(np.mean(count == came)) for came in range(longest + 1)])
    return found


def ratio(series, came, time):
    """How much likelier that is if what was out wakes the series."""
    elsewhere = seen(came, time, *series)
    silent = (1 - FOREIGN_WAKE) * FOREIGN_WAKE**came
    mixed = [(1 - STRAY_SERIES) * p + STRAY_SERIES / 2 for p in (silent, elsewhere)]
    return mixed[0] / mixed[1]
