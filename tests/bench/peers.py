"""The cut beside other programs, in one run on one machine: PyPI `skchange` (functional pruning, compiled, warm) and
PyPI `ruptures`. Prints times as ratios to ours, and fails if levels differ in number.

    cargo build --release --bench night
    python tests/bench/peers.py target/release/deps/night-…

Needs numpy, numba, skchange and ruptures.
"""
import math
import pathlib
import subprocess
import sys
import tempfile
import time

import numpy as np
import ruptures
from skchange.detectors import FPOP

SEED = 20261102
SIGMA = 0.3


def night(samples):
    """A stair down, pulses, white noise; at a hundredth."""
    rng = np.random.default_rng(SEED)
    at = np.arange(samples)
    level = np.where(at < samples // 100, 600.0, np.where(at < samples // 50, 310.0, 25.0))
    level = np.where((at >= samples // 50) & (at % 5760 < 450), 210.0, level)
    return np.round(level + rng.normal(0, SIGMA, samples), 2)


def least(runs, work):
    times = []
    for _ in range(runs):
        begun = time.perf_counter()
        found = work()
        times.append(time.perf_counter() - begun)
    return min(times), found


def ours(program, values, penalty):
    with tempfile.NamedTemporaryFile() as file:
        file.write(values.astype("<f8").tobytes())
        file.flush()
        said = subprocess.run([program, file.name, repr(penalty)], capture_output=True, text=True, check=True).stdout
    seconds, levels = said.split()
    return float(seconds), int(levels)


def main():
    program = pathlib.Path(sys.argv[1]).resolve()
    FPOP(penalty=1.0).fit(np.zeros((100, 1))).predict(night(1000).reshape(-1, 1))  # compiles
    different = False
    for samples, runs in ((10_000, 5), (100_000, 5), (1_000_000, 3), (10_000_000, 3)):
        values = night(samples)
        penalty = 6 * SIGMA**2 * math.log(samples)
        mine, levels = ours(program, values, penalty)
        column = values.reshape(-1, 1)
        detector = FPOP(penalty=penalty).fit(column)
        theirs, found = least(runs, lambda: detector.predict(column))
        different |= len(found) + 1 != levels
        print(f"{samples:>9} samples, {levels} levels: ours {mine:.4f} s; skchange {theirs / mine:.2f} times that "
              f"({len(found) + 1} levels)", flush=True)
        mine, again = ours(program, values, penalty)
        print(f"{'':>9} ours again {mine:.4f} s", flush=True)
    # Quadratic on quiet stretches, so it comes last and on few samples.
    values = night(10_000)
    penalty = 6 * SIGMA**2 * math.log(10_000)
    theirs, ends = least(1, lambda: ruptures.Pelt(model="l2", min_size=1, jump=1).fit(values).predict(pen=penalty))
    mine, levels = ours(program, values, penalty)
    different |= len(ends) != levels
    print(f"{10_000:>9} samples: ours {mine:.4f} s; ruptures {theirs / mine:.0f} times that ({len(ends)} levels)")
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main())
