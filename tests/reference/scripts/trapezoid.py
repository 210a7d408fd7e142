"""The average of a night, and what its pulses took, by numpy's trapezoidal rule on the same samples.

Each night rests from its first sample on, so that all of it counts; samples are unevenly apart, none further than a gap.
"""
import numpy as np

from vectorfile import write

SEED = 1867


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for _ in range(12):
        times = np.concatenate([[0.0], np.cumsum(np.round(rng.uniform(2.0, 6.0, 599), 1))])
        rest, more = round(float(rng.uniform(10, 60)), 1), round(float(rng.uniform(80, 500)), 0)
        period, lasts = rng.uniform(280, 420), rng.uniform(25, 50)
        up = (times > 150) & ((times - 150) % period < lasts)
        ma = np.round(rest + more * up + rng.normal(0, 0.2, len(times)), 1)
        cases.append({
            "seconds": [float(round(at, 1)) for at in times],
            "ma": [float(value) for value in ma],
            "average": float(np.trapezoid(ma, times) / times[-1]),
        })
    write(__file__, ["numpy"], SEED, "numpy.trapezoid", {"relative": 1e-12, "absolute": 1e-12}, cases)


if __name__ == "__main__":
    main()
