"""Least squares with bounds of zero, with correlated errors: SciPy's lsq_linear on the whitened problem."""
import numpy as np
from scipy.optimize import lsq_linear

from vectorfile import digits, write

SEED = 1974
rng = np.random.default_rng(SEED)


def solve(a, covariance, y, expected, spread, free):
    """Returns the minimum of (Ax − y)ᵀ C⁻¹ (Ax − y) + Σ ((x − e)/s)², x ≥ 0 but where free."""
    whitener = np.linalg.inv(np.linalg.cholesky(covariance))
    rows = np.vstack([whitener @ a, np.diag(1 / spread)])
    right = np.concatenate([whitener @ y, expected / spread])
    low = np.where(free, -np.inf, 0.0)
    found = lsq_linear(rows, right, bounds=(low, np.inf), method="bvls", tol=1e-14, max_iter=1000)
    assert found.status > 0, found.message
    return found.x


def main():
    cases = []
    for _ in range(60):
        m, n = int(rng.integers(1, 10)), int(rng.integers(2, 14))
        a = rng.choice([0.0, 1.0, -1.0], size=(m, n), p=[0.5, 0.45, 0.05])
        own = np.round(rng.uniform(0.002, 0.05, m), 4)
        shared = np.round(rng.normal(0, 0.02, (m, 2)), 4)
        covariance = np.diag(own**2) + shared @ shared.T
        y = np.round(rng.normal(0.05, 0.25, m), 4)
        expected = np.round(rng.uniform(0, 0.02, n), 4)
        spread = np.round(np.exp(rng.uniform(np.log(0.001), np.log(0.3), n)), 5)
        free = rng.random(n) < 0.15
        x = solve(a, covariance, y, expected, spread, free)
        cases.append({
            "a": a.tolist(), "own": own.tolist(), "shared": shared.tolist(), "y": y.tolist(),
            "expected": expected.tolist(), "spread": spread.tolist(), "free": free.tolist(),
            "x": [digits(value, 13) if value else 0.0 for value in x.tolist()],
        })
    write(__file__, ["numpy", "scipy"], SEED,
          "scipy.optimize.lsq_linear (bvls) on the problem whitened by the Cholesky factor of the covariance",
          {"relative": 1e-7, "absolute": 1e-9}, cases)


if __name__ == "__main__":
    main()
