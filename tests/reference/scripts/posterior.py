"""How likely each cause is given readings on a small vehicle, by brute force.

`brute`: the engine's own model (sizes of an excess as sums of normal parts) enumerated: a full multivariate normal
density for every cause or pair of causes, pattern, part and bad reading, no update formulas. `smooth`: the same with
the log-normals themselves integrated over their amplitudes, which shows what the parts cost; pairs below 1e-5 are left
as they are. `network`: for some cases the enumeration is done by pgmpy, as a Bayesian network over explanation, part
and bad reading.
"""
import itertools
import logging
import math

import numpy as np
from scipy.special import logsumexp
from scipy.stats import multivariate_normal
from uncertainties import covariance_matrix

import causes
import signs
from panel_model import Bench, Panel
from vectorfile import digits, write
from vehicles import draw_map, draw_readings

SEED = 1763
# Editorial, as in the engine.
SHARED_SCALE, BAD_READING, STALE_TOTAL, HOW_BAD = 0.2, 0.004, 0.02, (0.5, 0.03)

# Probability that the total stands after the input that holds a group was worked: at once, and once its modules slept.
STILL_UP = {False: 0.3, True: 0.01}


def bad_reading(claim):
    """Probability beforehand that a reading is bad; a total may be stale besides."""
    return STALE_TOTAL if claim.scope[0] == "total" else BAD_READING



class Problem:
    def __init__(self, panel, claims, limit, watched=False, found=(), told=()):
        """`watched`: the modules that an input wakes had their time to sleep before the total was read. `found`: looks and
        reports. `told`: words of hints.yaml."""
        self.panel, self.limit = panel, limit
        self.findings = [signs.made(panel, one) for one in found]
        waking = [one.place[1] for one in self.findings if one.sense == "wakings"]
        self.hypotheses = causes.hypotheses(panel, claims, waking, told)
        # An input without a fall is no current: it only speaks against its own holding the group.
        self.still_up = STILL_UP[watched]
        self.not_fallen = [claim.scope[1:] for claim in claims if not claim.fell]
        self.claims = claims = [claim for claim in claims if claim.fell]
        self.asleep = sum(part.asleep for part in panel.parts)
        n = len(claims)
        a = np.array([[claim.coefficient(part) for part in panel.parts] for claim in claims]).reshape(n, len(panel.parts))
        expected = np.array([part.asleep for part in panel.parts])
        asleep = np.diag([part.sd**2 for part in panel.parts]) + SHARED_SCALE**2 * np.outer(expected, expected)
        read = np.array([claim.current.nominal_value for claim in claims])
        errors = np.array(covariance_matrix([claim.current for claim in claims])).reshape(n, n)
        self.residual = read - a @ expected
        self.covariance = a @ asleep @ a.T + errors
        self.bad_sd = max(HOW_BAD[0] * np.abs(read).max(initial=0.0), HOW_BAD[1])

        totals = [claim.current.nominal_value for claim in claims if claim.scope == ("total",)]
        self.watts = (totals[-1] - self.asleep) * panel.map.get("system_v", 12) if totals else 0.0

    def seen(self, found):
        """How likely what was found without a figure is under an explanation, over how likely where nothing is wrong."""
        ratio = math.prod(self.still_up for one in found if one.held in self.not_fallen)
        return ratio * math.prod(finding.ratio(self.panel, found, self.watts) for finding in self.findings)

    def sizes(self, pattern, beside=False):
        """Parts of the amplitude; another cause or spread modules blur it anyway."""
        rough = beside or pattern.departs
        return causes.sizes(pattern, causes.ROUGH if rough else causes.PARTS, self.asleep, self.limit)

    def along(self, hypothesis, excess):
        return np.array([causes.signal(self.panel, hypothesis, excess, claim) for claim in self.claims])

    def sound(self):
        """Probability beforehand that no reading is bad."""
        return max(1 - sum(map(bad_reading, self.claims)), 0.5)

    def bad_views(self):
        """Yields the probability beforehand and the added covariance of each assumption about a bad reading."""
        n = len(self.claims)
        yield self.sound(), np.zeros((n, n))
        for k in range(n):
            added = np.zeros((n, n))
            added[k, k] = self.bad_sd**2
            yield bad_reading(self.claims[k]), added

    def spread(self, hypothesis, pattern, size):
        """Covariance of the independent departures of a pattern's parts at one amplitude."""
        added = np.zeros_like(self.covariance)
        for index, sd in pattern.departs.items():
            one = self.along(hypothesis, {index: 1.0})
            added += (sd * size) ** 2 * np.outer(one, one)
        return added

    def ln_density(self, means, covariances):
        """Multivariate normal log densities of the residual, for a stack of means and one of covariances; the first is
        done by scipy as well."""
        n = len(self.residual)
        if n == 0:
            return np.zeros(covariances.shape[:-2])
        factors = np.linalg.cholesky(covariances)
        off = np.broadcast_to(self.residual - means, covariances.shape[:-1])
        white = np.linalg.solve(factors, off[..., None])[..., 0]
        ln_root = np.log(np.diagonal(factors, axis1=-2, axis2=-1)).sum(axis=-1)
        found = -0.5 * (n * np.log(2 * np.pi) + (white**2).sum(axis=-1)) - ln_root
        first = (0,) * (covariances.ndim - 2)
        scipy = multivariate_normal.logpdf(off[first], 0 * self.residual, covariances[first])
        assert np.isclose(found[first], scipy, rtol=1e-9, atol=1e-9), (found[first], scipy)
        return found

    def terms(self, explanation):
        """Yields (slice, bad-reading view), log prior and log density of each way in which an explanation works out."""
        found, prior = explanation
        slot = 0
        if not found:
            options = [(1.0, [])]
        elif len(found) == 1:
            options = [
                (pattern.share, [(found[0], pattern, self.sizes(pattern))])
                for pattern in found[0].patterns
            ]
        else:
            options = [
                (a.share * b.share, [(found[0], a, self.sizes(a, True)), (found[1], b, self.sizes(b, True))])
                for a in found[0].patterns for b in found[1].patterns
            ]
        chances, bad = zip(*self.bad_views())
        for share, chosen in options:
            alongs = [self.along(cause, pattern.excess) for cause, pattern, _ in chosen]
            lns, means, covariances = [], [], []
            for combination in itertools.product(*[slices for _, _, slices in chosen]):
                mean, covariance, ln = 0 * self.residual, self.covariance.copy(), np.log(prior * share)
                for (cause, pattern, _), along, (weight, size, sd) in zip(chosen, alongs, combination):
                    mean = mean + size * along
                    covariance += sd**2 * np.outer(along, along)
                    if pattern.departs:
                        covariance += self.spread(cause, pattern, size)
                    ln += np.log(weight)
                lns.append(ln)
                means.append(mean)
                covariances.append(covariance)
            stacked = np.array(covariances)[:, None] + np.array(bad)[None]
            for ln, densities in zip(lns, self.ln_density(np.array(means)[:, None], stacked)):
                for view, (chance, density) in enumerate(zip(chances, densities)):
                    yield (slot, view), ln + np.log(chance), density
                slot += 1

    def explanations(self):
        """Returns every explanation: its causes and its weight beforehand; single ones first."""
        singles = [
            ([one], one.prior * self.seen([one]) * (1 - causes.SECOND)) if one.patterns else ([], one.prior)
            for one in self.hypotheses
        ]
        pairs = causes.pairs(self.panel, self.hypotheses)
        return singles + [([a, b], prior * self.seen([a, b])) for a, b, prior in pairs]

    def weights(self):
        """Returns the log weight of every explanation, apart by which reading is bad."""
        found = []
        for one in self.explanations():
            by_view = {}
            for (_, view), prior, density in self.terms(one):
                by_view.setdefault(view, []).append(prior + density)
            found.append({view: logsumexp(each) for view, each in by_view.items()})
        return found

    def brute(self, weights):
        ln = [logsumexp(list(by_view.values())) for by_view in weights]
        return np.exp(np.array(ln) - logsumexp(ln))

    def amplitudes(self, pattern, steps):
        """Returns even steps of a pattern's log-normal amplitude and the weight of each."""
        z = np.linspace(-5, 5, steps)
        amplitude = pattern.median * np.exp(pattern.ln_sd * z)
        weight = np.exp(-0.5 * z**2) * causes.flattens(self.asleep + amplitude * sum(pattern.excess.values()), self.limit)
        return amplitude, weight / weight.sum()

    def products(self, covariance, alongs):
        """Returns the log density of the residual without any cause, and what makes it one with amplitudes m along
        these directions: adding b·m − ½ m·A·m."""
        white = np.linalg.solve(np.linalg.cholesky(covariance), np.column_stack([self.residual, *alongs]))
        products = white.T @ white
        plain = multivariate_normal.logpdf(self.residual, 0 * self.residual, covariance)
        return plain, products[0, 1:], products[1:, 1:]

    def smooth_single(self, one, prior):
        """Log weight of a cause alone, its amplitude in 2001 even steps of the logarithm."""
        terms = []
        for pattern in one.patterns:
            along = self.along(one, pattern.excess)
            # Where the modules' spread grows with the amplitude, each step has a covariance of its own.
            amplitude, weights = self.amplitudes(pattern, 401 if pattern.departs else 2001)
            for chance, bad in self.bad_views():
                if pattern.departs:
                    each = [
                        self.products(self.covariance + bad + self.spread(one, pattern, m), [along]) for m in amplitude
                    ]
                    density = [p + b[0] * m - a[0, 0] * m**2 / 2 for m, (p, b, a) in zip(amplitude, each)]
                else:
                    plain, b, a = self.products(self.covariance + bad, [along])
                    density = plain + b[0] * amplitude - a[0, 0] * amplitude**2 / 2
                terms.append(np.log(prior * pattern.share * chance) + logsumexp(density, b=weights))
        return logsumexp(terms)

    def smooth_pair(self, found, prior, by_view):
        """The same of two causes; only the first may have a spread of its own. Bad readings that by the parts weigh less
        than a millionth of the pair are left out: they can't move it."""
        least = max(by_view.values()) + np.log(1e-6)
        views = [view for at, view in enumerate(self.bad_views()) if by_view[at] > least]
        terms = []
        for (first, second), (chance, bad) in itertools.product(
            itertools.product(found[0].patterns, found[1].patterns), views
        ):
            alongs = [self.along(one, pattern.excess) for one, pattern in zip(found, (first, second))]
            m1, w1 = self.amplitudes(first, 201 if first.departs else 601)
            m2, w2 = self.amplitudes(second, 601)
            share = np.log(prior * first.share * second.share * chance)
            covariance = self.covariance + bad
            if first.departs:
                lines = []
                for m, w in zip(m1, w1):
                    plain, b, a = self.products(covariance + self.spread(found[0], first, m), alongs)
                    line = plain + b[0] * m - a[0, 0] * m**2 / 2 + (b[1] - a[0, 1] * m) * m2 - a[1, 1] * m2**2 / 2
                    lines.append(np.log(w) + logsumexp(line, b=w2))
                terms.append(share + logsumexp(lines))
            else:
                plain, b, a = self.products(covariance, alongs)
                grid = plain + (b[0] * m1 - a[0, 0] * m1**2 / 2)[:, None] + b[1] * m2 - a[1, 1] * m2**2 / 2
                terms.append(share + logsumexp(grid - a[0, 1] * np.outer(m1, m2), b=np.outer(w1, w2)))
        return logsumexp(terms)

    def smooth(self, weights, brute):
        """Every explanation with its amplitudes integrated."""
        ln = []
        for (found, prior), by_view, rough in zip(self.explanations(), weights, brute):
            if len(found) == 1:
                ln.append(self.smooth_single(found[0], prior))
            elif found and rough > 1e-5:
                ln.append(self.smooth_pair(found, prior, by_view))
            else:
                ln.append(logsumexp(list(by_view.values())))
        return np.exp(np.array(ln) - logsumexp(ln))

    def network(self):
        """Lets pgmpy do the sums: explanation → slice, bad reading apart, and the readings as one node that was seen."""
        logging.getLogger("pgmpy").setLevel(logging.ERROR)
        from pgmpy.factors.discrete import TabularCPD
        from pgmpy.inference import VariableElimination
        from pgmpy.models import DiscreteBayesianNetwork

        explanations = self.explanations()
        tables = [{label: (ln, density) for label, ln, density in self.terms(one)} for one in explanations]
        slots = 1 + max(slot for table in tables for slot, _ in table)
        bad = np.array([[chance] for chance, _ in self.bad_views()])
        k = len(tables)
        size = np.zeros((slots, k))
        seen = np.full((k, slots, len(bad)), -np.inf)
        for at, table in enumerate(tables):
            for (slot, view), (ln, density) in table.items():
                size[slot, at] = np.exp(ln) / bad[view, 0]
                seen[at, slot, view] = density
        seen = np.exp(seen - seen.max()).reshape(1, -1)
        prior = np.array([[prior] for _, prior in explanations])
        model = DiscreteBayesianNetwork([("cause", "size"), ("cause", "seen"), ("size", "seen"), ("bad", "seen")])
        model.add_cpds(
            TabularCPD("cause", k, prior / prior.sum()),
            TabularCPD("size", slots, size / size.sum(axis=0), ["cause"], [k]),
            TabularCPD("bad", len(bad), bad / bad.sum()),
            TabularCPD("seen", 2, np.vstack([1 - seen, seen]), ["cause", "size", "bad"], [k, slots, len(bad)]),
        )
        answer = VariableElimination(model).query(["cause"], evidence={"seen": 1}, show_progress=False)
        return answer.values


# Four modules of one bus are high, and most of the draw goes when one of them is unplugged.
HELD_BY_MODULE = """
format: fusetrail-map/1
title: a bus held awake by one of its modules (invented)
boxes: {engine: {where: left wing}}
wake_groups: {drive-bus: {inputs: [selector in Park, ignition switch]}}
feeds:
  - {id: F1, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: gearbox, kind: other, asleep_ma: 9, awake_ma: 120, wake_group: drive-bus}]}
  - {id: F2, from: battery, box: engine, fuse: {family: mini, rating_a: 15}, loads: [{name: engine, kind: other, asleep_ma: 12, awake_ma: 300, wake_group: drive-bus}]}
  - {id: F3, from: battery, box: engine, fuse: {family: mini, rating_a: 10}, loads: [{name: cluster, kind: other, asleep_ma: 9, awake_ma: 210, wake_group: drive-bus}]}
  - {id: F4, from: battery, box: engine, fuse: {family: mini, rating_a: 20}, loads: [{name: radio, kind: audio, asleep_ma: 4, awake_ma: 220}]}
"""
FOUR_HIGH = [["total", 460.0], ["drop", "F1", 0.6], ["drop", "F2", 1.0], ["drop", "F3", 0.9]]
WITHOUT_ONE = [
    [["unplug", "F1", "gearbox", 460.0, 40.0]],
    [["unplug", "F1", "gearbox", 460.0, 380.0]],
    [["pull", "F3", 460.0, 40.0], ["drop", "F2", 0.1]],
]


# What is found there, once each and together, without readings of fuses and with them; `input`: one worked without effect.
FINDINGS = [
    [["report", "selector in Park", "open"]],
    [["report", "selector in Park", "shut"], ["report", "ignition switch", "open"]],
    [["report", "F2/engine", "awake"], ["look", "F2/engine", "warm"]],
    [["report", "F4/radio", "asleep"], ["look", "F4/radio", "cold"], ["look", "F4/radio", "silent"]],
    [["report", "F1/gearbox", "woke=14"]],
    [["report", "F1/gearbox", "woke=0"], ["report", "F3/cluster", "woke=60"], ["report", "F3/cluster", "awake"]],
]
# A lamp, a relay and an add-on, found to draw or not; on 12 V a draw of 36 mA is too little to be felt.
LIT = """
format: fusetrail-map/1
title: a lamp, a relay, a tracker (invented)
boxes: {cabin: {where: dash}}
feeds:
  - {id: F1, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: lamp one, kind: lamp-interior, asleep_ma: 0, awake_ma: 400}, {name: lamp two, kind: lamp-interior, asleep_ma: 0, awake_ma: 400}]}
  - {id: F2, from: battery, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: relay, kind: relay, asleep_ma: 0, awake_ma: 160}]}
  - {id: F3, from: battery, box: cabin, fuse: {family: mini, rating_a: 5}, loads: [{name: tracker, kind: tracker, asleep_ma: 4, awake_ma: 80}]}
"""
LOOKED = [
    ([["total", 410.0], ["drop", "F1", 2.9]], [["look", "F1/lamp one", "dark"], ["look", "F1/lamp two", "lit"]]),
    ([["total", 410.0]], [["look", "F1/lamp one", "lit"], ["look", "F2/relay", "cold"], ["look", "F3/tracker", "wet"]]),
    ([["total", 180.0]], [["look", "F2/relay", "warm"], ["look", "F3/tracker", "clicking"]]),
    ([["total", 40.0]], [["look", "F2/relay", "warm"], ["look", "F3/tracker", "humming"]]),
]


def with_findings():
    """Yields the cases of looks and reports, and of a draw as found that is gone once settled."""
    for number, found in enumerate(FINDINGS):
        readings = [[], FOUR_HIGH[:1], FOUR_HIGH][number % 3]
        for more in [[], FOUR_HIGH + [["input", "ignition switch", 460.0, 458.0]]]:
            yield solved(HELD_BY_MODULE, more or readings, "tenth-mv", 0.0, 50.0, False, bool(more), found)
    for readings, found in LOOKED:
        yield solved(LIT, readings, "tenth-mv", 0.0, None, False, found=found)
    for readings in [[], [["total", 24.0]], [["total", 60.0], ["drop", "F1", 0.2]]]:
        yield solved(LIT, readings, "tenth-mv", 0.0, 50.0, False, told=["gone"])
    yield solved(HELD_BY_MODULE, FOUR_HIGH, "tenth-mv", 0.0, 50.0, False, found=FINDINGS[0], told=["gone"])


def unplugged_module(text, before):
    """The first module of the group goes out and takes most of the draw with it."""
    on = [(feed, load) for feed in Panel(text).feeds for load in feed.get("loads", []) if load.get("wake_group")]
    return [["unplug", feed["id"], load["name"], before, float(round(before * 0.3))] for feed, load in on[:1]]


def solved(text, readings, meter, zero, limit, network, watched=False, found=(), told=()):
    """Returns a case with its answers; where it is watched, its readings lie a day apart."""
    bench = Bench(Panel(text), meter, "clamp-1ma", zero)
    problem = Problem(bench.panel, bench.all(readings), limit and limit / 1000, watched, found, told)
    explanations, weights = problem.explanations(), problem.weights()
    brute = problem.brute(weights)
    singles = len(problem.hypotheses)
    case = {
        "map": text, "meter": meter, "zero_mv": zero, "limit_ma": limit, "readings": readings,
        "hours_apart": 24 if watched else 0,
        "causes": [one.name for one in problem.hypotheses],
        "prior": [digits(one.prior, 12) for one in problem.hypotheses],
        "brute": [digits(float(p), 12) for p in brute[:singles]],
        "pairs": [
            [found[0].name, found[1].name, digits(float(p), 12)]
            for (found, _), p in zip(explanations[singles:], brute[singles:]) if p > 1e-7
        ],
        "pairs_weighed": len(explanations) - singles,
    }
    if found or told:
        case["found"], case["told"] = [list(one) for one in found], list(told)
    elif readings:
        smooth = problem.smooth(weights, brute)
        case["smooth"] = [digits(float(p), 9) for p in smooth[:singles]]
        case["smooth_pairs"] = [
            [found[0].name, found[1].name, digits(float(p), 9)]
            for (found, _), p in zip(explanations[singles:], smooth[singles:]) if p > 1e-4
        ]
    if network:
        case["network"] = [digits(float(p), 9) for p in problem.network()[:singles]]
    return case


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for number in range(36):
        groups, twins = number % 3 == 1, number % 3 == 2
        text = draw_map(rng, int(rng.integers(2, 8)), groups, twins, sources=number % 6 == 0)
        meter, zero = [("tenth-mv", None), ("tenth-mv", 0.1), ("hundredth-mv", 0.02)][number % 3]
        readings = draw_readings(rng, text, number % 9, falls=number % 2)
        if groups and readings:
            # An input worked at the end, without effect or with one; without, a module may go out where more was read.
            before = readings[-1][-1] if readings[-1][0] in ("pull", "unplug") else readings[0][1]
            more = number % 2 == 0 and len(readings) > 1
            readings.append(["input", "bonnet switch", before, float(round(before * [1.0, 0.3][number % 2]))])
            readings += unplugged_module(text, before) if more else []
        limit = [None, 50.0][number // 2 % 2]
        network = not groups and not twins and 0 < len(readings) <= 5
        cases.append(solved(text, readings, meter, zero, limit, network, watched=number // 3 % 2 == 1))
    for without in WITHOUT_ONE:
        cases.append(solved(HELD_BY_MODULE, FOUR_HIGH + without, "tenth-mv", 0.0, None, False, watched=True))
    cases += with_findings()
    write(__file__, ["numpy", "scipy", "uncertainties", "PyYAML", "pgmpy"], SEED,
          "the model of causes.py and panel_model.py enumerated with scipy.stats.multivariate_normal; `network` by pgmpy",
          {"relative": 1e-6, "absolute": 1e-10}, cases)


if __name__ == "__main__":
    main()
