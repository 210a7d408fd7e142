"""Cuts of random traces, and of the Nile series, by PyPI `ruptures`.

The values of a trace are whole numbers, to be multiplied by `scale`; `starts` are the first points of the levels;
the objective is the sum of squares about the levels plus the penalty for each change.
"""

import math

import numpy as np
import ruptures
import statsmodels.api

from vectorfile import write

SEED = 20261102
SCALE = 0.01


def trace(rng):
    """A stair of levels with wakes, under white, correlated, held or quantised noise."""
    n = int(rng.integers(50, 501))
    level = np.full(n, 25.0)
    for at in rng.integers(0, n, size=rng.integers(0, 6)):
        level[: at] += rng.uniform(5, 400)
    for at in rng.integers(0, n, size=rng.integers(0, 5)):
        level[at : at + rng.integers(1, 20)] += rng.uniform(20, 200)
    sigma = 10 ** rng.uniform(-1, 1.3)
    noise = rng.normal(0, sigma, n)
    kind = rng.choice(["white", "correlated", "held", "quantised"])
    if kind == "correlated":
        phi = rng.uniform(0.2, 0.8)
        for at in range(1, n):
            noise[at] = phi * noise[at - 1] + math.sqrt(1 - phi**2) * noise[at]
    values = level + noise
    if kind == "held":
        values = np.repeat(values, 4)[:n]
    if kind == "quantised":
        step = rng.choice([1.0, 5.0, 10.0])
        values = np.round(values / step) * step
    return np.round(values / SCALE).astype(int), 2 * sigma**2 * math.log(n) * rng.choice([0.5, 1, 3])


def cut(values, penalty):
    """Returns the starts of the levels and the objective."""
    ends = ruptures.Pelt(model="l2", min_size=1, jump=1).fit(values).predict(pen=penalty)
    starts = [0] + ends[:-1]
    squares = sum(float(((values[a:b] - values[a:b].mean()) ** 2).sum()) for a, b in zip(starts, ends))
    return starts, squares + penalty * (len(starts) - 1)


def main():
    rng = np.random.default_rng(SEED)
    lines = []
    for _ in range(200):
        whole, penalty = trace(rng)
        starts, objective = cut(whole * SCALE, penalty)
        case = {"scale": SCALE, "penalty": penalty, "starts": starts, "objective": objective, "values": whole.tolist()}
        lines.append(case)
    nile = statsmodels.api.datasets.nile.load_pandas().data["volume"].to_numpy()
    starts, objective = cut(nile, 400_000.0)
    lines.append({"scale": 1.0, "penalty": 400_000.0, "starts": starts, "objective": objective, "values": nile.astype(int).tolist()})
    write(__file__, ["numpy", "ruptures", "statsmodels"], SEED,
          "ruptures.Pelt(model='l2', min_size=1, jump=1); the Nile series from statsmodels.datasets",
          {"relative": 1e-9, "absolute": 0.0}, lines)


if __name__ == "__main__":
    main()
