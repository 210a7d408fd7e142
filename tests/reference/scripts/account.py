"""The account of small vehicles, its equations made again and solved with SciPy's lsq_linear."""
import numpy as np
from uncertainties import covariance_matrix

from bounded import solve
from panel_model import Bench, Panel
from vectorfile import digits, write
from vehicles import draw_map, draw_readings

SEED = 1789
LOOSE, WEAK_SHARE, WEAK_LEAST = 2.0, 0.6, 0.02


def measured_branches(panel, claims):
    """A branch is told alone, or its feed was read and so was all below it (and likewise upwards)."""
    read = {claim.scope[1] for claim in claims if claim.scope[0] in ("through", "fall")}
    known = {len(panel.ids) + claim.scope[1] for claim in claims if claim.scope[0] == "unfused"}
    known |= {panel.ids.index(feed) for feed in read if len(panel.below(feed)) == 1}
    for feed in sorted(read, key=lambda feed: -len(panel.up(feed))):
        own = panel.ids.index(feed)
        if all(branch in known for branch in panel.below(feed) if branch != own):
            known.add(own)
    return known


def equations(panel, claims):
    """Returns the unknowns with their columns, expectations, spreads, and which may be negative."""
    known = measured_branches(panel, claims)
    weak = max(WEAK_SHARE * max(abs(claim.current.nominal_value) for claim in claims), WEAK_LEAST)
    columns = {}
    for part in panel.parts:
        key = (part.branch, tuple(claim.coefficient(part) for claim in claims))
        column = columns.setdefault(key, {"expected": 0.0, "variance": 0.0, "free": False})
        column["expected"] += part.asleep
        column["variance"] += part.sd**2
        column["free"] |= part.source
    unknowns = []
    for (branch, coefficients), column in columns.items():
        sd = LOOSE * np.sqrt(column["variance"])
        sd = np.hypot(sd, weak) if branch in known else sd
        unknowns.append((("branch", branch), coefficients, column["expected"], sd, column["free"]))
    nodes = []
    for claim in claims:
        if claim.scope[0] == "total" and None not in nodes:
            nodes.append(None)
        if claim.scope[0] in ("through", "fall") and len(panel.below(claim.scope[1])) > 1 and claim.scope[1] not in nodes:
            nodes.append(claim.scope[1])

    def counts(node, claim):
        kind, path = claim.scope[0], [] if node is None else panel.up(node)
        whole = not set(path) & set(claim.feeds_out)
        if kind == "total":
            return float(whole)
        if kind == "through":
            return float(claim.scope[1] in path and whole)
        return float(kind == "fall" and claim.scope[1] in path)

    for node in nodes:
        unknowns.append((("node", node), tuple(counts(node, claim) for claim in claims), 0.0, weak, False))
    return unknowns, known


def account(panel, claims):
    unknowns, known = equations(panel, claims)
    a = np.array([[unknown[1][row] for unknown in unknowns] for row in range(len(claims))])
    expected, spread = (np.array([unknown[at] for unknown in unknowns]) for at in (2, 3))
    covariance = np.array(covariance_matrix([claim.current for claim in claims]))
    y = np.array([claim.current.nominal_value for claim in claims])
    x = solve(a, covariance, y, expected, spread, np.array([unknown[4] for unknown in unknowns]))
    loose = np.linalg.inv(a.T @ np.linalg.solve(covariance, a) + np.diag(1 / spread**2))

    def total(chosen):
        pick = np.array([float(chosen(*unknown[0])) for unknown in unknowns])
        return [digits(1000 * float(pick @ x), 12), digits(1000 * float(np.sqrt(pick @ loose @ pick)), 12)]

    def placed(kind, which):
        return kind == "branch" and which in known

    def inside(feed):
        below = panel.below(feed)
        return lambda kind, which: which in below if kind == "branch" else which is not None and feed in panel.up(which)

    return {
        "total_ma": total(lambda *_: True),
        "placed_ma": total(placed),
        "unplaced_ma": total(lambda *unknown: not placed(*unknown)),
        "feeds_ma": [total(inside(feed)) for feed in panel.ids],
        "own_ma": [total(lambda kind, which: (kind, which) == ("branch", at)) for at in range(len(panel.ids))],
        "unfused_ma": [
            total(lambda kind, which: (kind, which) == ("branch", len(panel.ids) + at))
            for at in range(len(panel.unfused))
        ],
    }


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for number in range(40):
        text = draw_map(rng, int(rng.integers(3, 9)), groups=False, twins=number % 3 == 0, sources=number % 4 == 0)
        meter, zero = [("tenth-mv", None), ("tenth-mv", 0.1), ("hundredth-mv", 0.02)][number % 3]
        readings = draw_readings(rng, text, int(rng.integers(2, 9)), falls=number % 3)
        bench = Bench(Panel(text), meter, "clamp-1ma", zero)
        claims = [bench.take(reading) for reading in readings]
        cases.append({
            "map": text, "meter": meter, "zero_mv": zero, "readings": readings,
            "claims_ma": [
                [digits(1000 * claim.current.nominal_value, 12), digits(1000 * claim.current.std_dev, 12)]
                for claim in claims
            ],
            **account(bench.panel, claims),
        })
    write(__file__, ["numpy", "scipy", "uncertainties", "PyYAML"], SEED,
          "equations of the account made again in account.py; scipy.optimize.lsq_linear on the whitened problem",
          {"relative": 1e-7, "absolute": 1e-7}, cases)


if __name__ == "__main__":
    main()
