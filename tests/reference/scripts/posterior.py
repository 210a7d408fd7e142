"""How likely each cause is given readings on a small vehicle, by brute force.

`brute`: the engine's own model (sizes of an excess as normal slices) enumerated: a full multivariate normal density
for every cause, pattern, slice and bad reading, no update formulas. `smooth`: the same with the log-normal itself,
integrated over its amplitude, which shows what the slices cost. `network`: for some cases the enumeration is done by
pgmpy, as a Bayesian network over cause, slice and bad reading.
"""
import functools
import logging

import numpy as np
from scipy.special import logsumexp
from scipy.stats import multivariate_normal
from uncertainties import covariance_matrix

import causes
from panel_model import Bench, Panel
from vectorfile import digits, write
from vehicles import draw_map, draw_readings

SEED = 1763
# Editorial, as in the engine.
SHARED_SCALE, BAD_READING, HOW_BAD = 0.2, 0.004, (0.5, 0.03)

sizes = functools.lru_cache(causes.sizes)


class Problem:
    def __init__(self, panel, claims):
        self.panel, self.claims = panel, claims
        n = len(claims)
        a = np.array([[claim.coefficient(part) for part in panel.parts] for claim in claims]).reshape(n, len(panel.parts))
        expected = np.array([part.asleep for part in panel.parts])
        asleep = np.diag([part.sd**2 for part in panel.parts]) + SHARED_SCALE**2 * np.outer(expected, expected)
        read = np.array([claim.current.nominal_value for claim in claims])
        errors = np.array(covariance_matrix([claim.current for claim in claims])).reshape(n, n)
        self.residual = read - a @ expected
        self.covariance = a @ asleep @ a.T + errors
        self.bad_sd = max(HOW_BAD[0] * np.abs(read).max(initial=0.0), HOW_BAD[1])
        self.hypotheses = causes.hypotheses(panel)

    def along(self, hypothesis, excess):
        return np.array([causes.signal(self.panel, hypothesis, excess, claim) for claim in self.claims])

    def bad_views(self):
        """Yields the probability beforehand and the added covariance of each assumption about a bad reading."""
        n = len(self.claims)
        yield max(1 - BAD_READING * n, 0.5), np.zeros((n, n))
        for k in range(n):
            added = np.zeros((n, n))
            added[k, k] = self.bad_sd**2
            yield BAD_READING, added

    def spread(self, hypothesis, pattern, size):
        """Covariance of the independent departures of a pattern's parts at one amplitude."""
        added = np.zeros_like(self.covariance)
        for index, excess in pattern.excess.items():
            one = self.along(hypothesis, {index: 1.0})
            added += (pattern.spread * size * excess) ** 2 * np.outer(one, one)
        return added

    def ln_density(self, mean, covariance):
        if not len(mean):
            return 0.0
        return multivariate_normal.logpdf(self.residual, mean, covariance)

    def terms(self, hypothesis):
        """Yields (slice label, log prior, log density) for each slice and each assumption about a bad reading."""
        if not hypothesis.patterns:
            for view, (prior, bad) in enumerate(self.bad_views()):
                yield (0, view), np.log(prior), self.ln_density(0 * self.residual, self.covariance + bad)
        slot = 0
        for pattern in hypothesis.patterns:
            along = self.along(hypothesis, pattern.excess)
            for weight, mean, sd in sizes(pattern.median, pattern.ln_sd):
                covariance = self.covariance + sd**2 * np.outer(along, along)
                if pattern.spread:
                    covariance = covariance + self.spread(hypothesis, pattern, mean)
                for view, (prior, bad) in enumerate(self.bad_views()):
                    ln = np.log(pattern.share * weight * prior)
                    yield (slot, view), ln, self.ln_density(mean * along, covariance + bad)
                slot += 1

    def brute(self):
        ln = [
            np.log(one.prior) + logsumexp([prior + density for _, prior, density in self.terms(one)])
            for one in self.hypotheses
        ]
        return np.exp(np.array(ln) - logsumexp(ln))

    def smooth(self):
        """The amplitude itself is log-normal: integrated over 1201 even steps of its logarithm."""
        z = np.linspace(-6, 6, 1201)
        weights = np.exp(-0.5 * z**2) / np.exp(-0.5 * z**2).sum()
        ln = []
        for one in self.hypotheses:
            terms = [prior + density for _, prior, density in self.terms(one)] if not one.patterns else []
            for pattern in one.patterns:
                amplitude = pattern.median * np.exp(pattern.ln_sd * z)
                along = self.along(one, pattern.excess)
                unit = self.spread(one, pattern, 1.0)
                for prior, bad in self.bad_views():
                    covariance = self.covariance + bad + amplitude[:, None, None] ** 2 * unit
                    off = self.residual - amplitude[:, None] * along
                    root = np.linalg.cholesky(covariance)
                    scaled = np.linalg.solve(root, off[:, :, None])[:, :, 0]
                    half = np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
                    density = -0.5 * (scaled**2).sum(axis=1) - half - 0.5 * len(self.claims) * np.log(2 * np.pi)
                    terms.append(np.log(pattern.share * prior) + logsumexp(density, b=weights))
            ln.append(np.log(one.prior) + logsumexp(terms))
        return np.exp(np.array(ln) - logsumexp(ln))

    def network(self):
        """Lets pgmpy do the sums: cause → slice, bad reading apart, and the readings as one node that was seen."""
        logging.getLogger("pgmpy").setLevel(logging.ERROR)
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork

        tables = [{label: (prior, density) for label, prior, density in self.terms(one)} for one in self.hypotheses]
        slots = 1 + max(slot for table in tables for slot, _ in table)
        views = list(self.bad_views())
        k = len(tables)
        size = np.zeros((slots, k))
        seen = np.full((k, slots, len(views)), -np.inf)
        for at, table in enumerate(tables):
            for (slot, view), (prior, density) in table.items():
                if view == 0:
                    size[slot, at] = np.exp(prior) / views[0][0]
                seen[at, slot, view] = density
        seen = np.exp(seen - seen.max()).reshape(1, -1)
        model = DiscreteBayesianNetwork([("cause", "size"), ("cause", "seen"), ("size", "seen"), ("bad", "seen")])
        bad = np.array([[prior] for prior, _ in views])
        model.add_cpds(
            TabularCPD("cause", k, [[one.prior] for one in self.hypotheses]),
            TabularCPD("size", slots, size / size.sum(axis=0), ["cause"], [k]),
            TabularCPD("bad", len(views), bad / bad.sum()),
            TabularCPD("seen", 2, np.vstack([1 - seen, seen]), ["cause", "size", "bad"], [k, slots, len(views)]),
        )
        answer = VariableElimination(model).query(["cause"], evidence={"seen": 1}, show_progress=False)
        return answer.values


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for number in range(36):
        groups, twins = number % 3 == 1, number % 3 == 2
        text = draw_map(rng, int(rng.integers(2, 8)), groups, twins, sources=number % 6 == 0)
        meter, zero = [("tenth-mv", None), ("tenth-mv", 0.1), ("hundredth-mv", 0.02)][number % 3]
        readings = draw_readings(rng, text, number % 9, falls=number % 2)
        if groups and readings:
            # An input worked at the end, without effect or with one.
            before = readings[-1][-1] if readings[-1][0] in ("pull", "unplug") else readings[0][1]
            readings.append(["input", "bonnet switch", before, float(round(before * [1.0, 0.3][number % 2]))])
        bench = Bench(Panel(text), meter, "clamp-1ma", zero)
        problem = Problem(bench.panel, [bench.take(reading) for reading in readings])
        case = {
            "map": text, "meter": meter, "zero_mv": zero, "readings": readings,
            "causes": [one.name for one in problem.hypotheses],
            "prior": [digits(one.prior, 12) for one in problem.hypotheses],
            "brute": [digits(float(p), 12) for p in problem.brute()],
        }
        if readings:
            case["smooth"] = [digits(float(p), 9) for p in problem.smooth()]
        if not groups and not twins and 0 < len(readings) <= 5:
            case["network"] = [digits(float(p), 9) for p in problem.network()]
        cases.append(case)
    write(__file__, ["numpy", "scipy", "uncertainties", "PyYAML", "pgmpy"], SEED,
          "the model of causes.py and panel_model.py enumerated with scipy.stats.multivariate_normal; `network` by pgmpy",
          {"relative": 1e-6, "absolute": 1e-10}, cases)


if __name__ == "__main__":
    main()
