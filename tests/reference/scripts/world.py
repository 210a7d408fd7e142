"""How likely each cause is in the world that the model stands for, by Monte Carlo: nothing linearised, nothing normal
that isn't. Asleep currents are gamma distributed and never below zero, sizes of an excess log-normal, limits of a meter
rectangular; a drop's spread goes by the true current, not by the one read off it. The readings' own noise is
integrated, everything that readings share is drawn. Vehicles without wake groups and twice-fed loads.

Leaves to others: which causes there are (causes.py), the model's own answers (posterior.py).
"""
import math

import numpy as np
from scipy.special import logsumexp
from scipy.stats import multivariate_normal, norm

import causes
import fuse_model
from panel_model import WANDER, WANDER_LEAST, Bench, Panel
from posterior import SHARED_SCALE, Problem, bad_reading
from vectorfile import digits, write
from vehicles import draw_map, draw_readings

SEED = 1949
DRAWS = 100_000
# Explanations below this in the model keep the model's own weight; so few can't move the others.
LEAST = 2e-4
rng = None


def ln_log_normal(amplitude, pattern):
    return norm.logpdf(np.log(amplitude / pattern.median), 0, pattern.ln_sd) - np.log(amplitude)


class World:
    """What all readings on one vehicle share, drawn so many times."""

    def __init__(self, bench, draws):
        self.bench, self.draws = bench, draws
        _, gain, offset = fuse_model.voltmeter(bench.meter)
        self.volt_gain = self.rectangular(gain)
        # A zero leaves the error of its own digit.
        digit = bench.count * math.hypot(1 / math.sqrt(12), fuse_model.NOISE_HALF_COUNTS / math.sqrt(3))
        self.volt_offset = rng.normal(0, digit, draws) if bench.zero_mv else self.rectangular(offset)
        _, gain, offset = fuse_model.clampmeter("clamp-1ma")
        self.clamp_gain, self.clamp_offset, self.clamp_limit = self.rectangular(gain), self.rectangular(offset), offset
        self.makes, self.warmth = {}, {}
        scale = 1 + SHARED_SCALE * rng.normal(size=draws)
        self.asleep = [self.current(part) * scale for part in bench.panel.parts]

    def rectangular(self, limit):
        return rng.uniform(-limit, limit, self.draws)

    def current(self, part):
        if part.source or part.asleep <= 0:
            return rng.normal(part.asleep, part.sd, self.draws)
        shape = (part.asleep / part.sd) ** 2
        return rng.gamma(shape, part.asleep / shape, self.draws)

    def flow(self, claim):
        """Returns what a claim is about, in ampere, with everything asleep."""
        counts = [claim.coefficient(part) for part in self.bench.panel.parts]
        return sum(count * current for count, current in zip(counts, self.asleep) if count) + np.zeros(self.draws)

    def expected(self, reading, claim, flow):
        """Returns what a reading is expected to show and the standard deviation of its own noise."""
        wander = np.hypot(WANDER * flow, WANDER_LEAST)
        kind, *rest = reading
        own = self.bench.clamp_own
        if kind in ("total", "clamp"):
            anew = (self.clamp_offset + self.rectangular(self.clamp_limit)) / math.sqrt(2)
            return (flow * 1000 - anew) / (1 + self.clamp_gain), np.hypot(own, wander * 1000)
        if kind == "drop":
            return self.drop(rest[0], flow, wander)
        fall = np.hypot(WANDER * rest[-2], WANDER_LEAST * 1000)
        return flow * 1000 / (1 + self.clamp_gain), np.full(self.draws, math.hypot(own * math.sqrt(2), fall))

    def drop(self, feed, flow, wander):
        bench = self.bench
        at = bench.panel.feeds[bench.panel.ids.index(feed)]
        r25, make, fuse, legs = fuse_model.resistance(at["fuse"]["family"], at["fuse"]["rating_a"])
        make = make * self.makes.setdefault(at["fuse"]["family"], rng.normal(size=self.draws))
        warmth = self.warmth.setdefault(at.get("box"), rng.normal(0, bench.u_celsius, self.draws))
        resistance = r25 * (1 + fuse_model.ALPHA * (bench.celsius + warmth - 25)) / (1 + make)
        # Ampere and milliohm give millivolt.
        mv = (flow * resistance - self.volt_offset) / (1 + self.volt_gain) + bench.zero_mv
        own = np.sqrt((mv * math.hypot(fuse, legs / r25 / math.sqrt(2))) ** 2 + (wander * resistance) ** 2)
        return mv, np.hypot(own, bench.volt_own)


class Drawn(Problem):
    """The model's problem with the world that it stands for beside it."""

    def __init__(self, bench, readings, limit):
        super().__init__(bench.panel, bench.all(readings), limit)
        self.readings, self.world = readings, World(bench, DRAWS)
        self.flows = [self.world.flow(claim) for claim in self.claims]

    def ln_prior(self, pattern, amplitude):
        """Log density of an amplitude beforehand."""
        z = np.linspace(-6, 6, 4001)
        steps = pattern.median * np.exp(pattern.ln_sd * z)
        kept = np.average(causes.flattens(self.asleep + steps, self.limit), weights=norm.pdf(z))
        return ln_log_normal(amplitude, pattern) + np.log(causes.flattens(self.asleep + amplitude, self.limit) / kept)

    def amplitudes_of(self, found):
        """Draws amplitudes near those that fit; returns them with their log importance weights."""
        patterns = [one.patterns[0] for one in found]
        alongs = [self.along(one, pattern.excess) for one, pattern in zip(found, patterns)]
        _, b, a = self.products(self.covariance, alongs)
        # A weak prior keeps directions that no reading sees within reach.
        loose = np.diag([1 / (2 * pattern.median) ** 2 for pattern in patterns])
        middle = np.linalg.solve(a + loose, b + loose @ [pattern.median for pattern in patterns])
        spread = np.linalg.inv(a + loose) * 2.5**2
        near = rng.random(DRAWS) < 0.6
        prior = np.array([p.median * np.exp(p.ln_sd * rng.normal(size=DRAWS)) for p in patterns]).T
        fitted = rng.multivariate_normal(middle, spread, DRAWS)
        drawn = np.where(near[:, None], fitted, prior)
        sound = (drawn > 0).all(axis=1)
        drawn = np.maximum(drawn, 1e-9)
        proposed = sum(ln_log_normal(m, p) for m, p in zip(drawn.T, patterns))
        mixed = np.logaddexp(
            np.log(0.6) + multivariate_normal.logpdf(drawn, middle, spread), np.log(0.4) + proposed
        )
        wanted = sum(self.ln_prior(p, m) for m, p in zip(drawn.T, patterns))
        return drawn.T, alongs, np.where(sound, wanted - mixed, -np.inf)

    def ln_likelihood(self, found):
        """Returns the log likelihood of an explanation and its relative standard error."""
        amplitudes, alongs, importance = self.amplitudes_of(found) if found else ([], [], np.zeros(DRAWS))
        good, bad = [], []
        for at, (reading, claim, flow) in enumerate(zip(self.readings, self.claims, self.flows)):
            for amplitude, along in zip(amplitudes, alongs):
                flow = flow + amplitude * along[at]
            expected, sd = self.world.expected(reading, claim, flow)
            shown = reading[-2] - reading[-1] if reading[0] in ("pull", "unplug") else reading[-1]
            good.append(norm.logpdf(shown, expected, sd))
            # A bad reading is so many ampere off, as the meter would show them.
            unit = 1000 * self.bad_sd if reading[0] != "drop" else self.bad_sd * self.milliohm(reading[1])
            bad.append(norm.logpdf(shown, expected, np.hypot(sd, unit)))
        good, bad = np.array(good), np.array(bad)
        views = [np.log(self.sound()) + good.sum(axis=0)]
        views += [
            np.log(bad_reading(claim)) + good.sum(axis=0) - good[k] + bad[k] for k, claim in enumerate(self.claims)
        ]
        weight = importance + logsumexp(views, axis=0)
        ln = logsumexp(weight) - np.log(DRAWS)
        relative = math.sqrt(max(np.mean(np.exp(2 * (weight - ln))) - 1, 0) / DRAWS)
        return ln, relative

    def milliohm(self, feed):
        fuse = self.panel.feeds[self.panel.ids.index(feed)]["fuse"]
        return fuse_model.resistance(fuse["family"], fuse["rating_a"])[0]

    def drawn(self):
        """Probability of every explanation and its standard error, with the model's own beside it."""
        model, explanations = self.brute(self.weights()), self.explanations()
        # The model's likelihoods are densities of currents, these of what was shown: the likeliest one's own joins them.
        seen = [at for at, p in enumerate(model) if p > LEAST]
        ln, error = np.full(len(model), -np.inf), np.zeros(len(model))
        for at in seen:
            found, prior = explanations[at]
            ln[at], error[at] = self.ln_likelihood(found)
            ln[at] += np.log(prior)
        drawn = np.exp(ln - logsumexp(ln)) * model[seen].sum()
        drawn[model <= LEAST] = model[model <= LEAST]
        return drawn, error * drawn * (1 - drawn)


def shown(text, meter, zero, plan, limit):
    """Returns the readings of `plan` as the meters of one vehicle drawn from this world show them."""
    bench = Bench(Panel(text), meter, "clamp-1ma", zero)
    bench.meter = meter
    singles = causes.hypotheses(bench.panel, [])
    both = rng.random() < causes.SECOND
    chosen = rng.choice(len(singles), 2, p=[one.prior for one in singles])
    amplitudes, asleep = [], sum(part.asleep for part in bench.panel.parts)
    for one in {singles[at].name: singles[at] for at in chosen[: 1 + both]}.values():
        for pattern in one.patterns:
            # Drawn again until somebody complains of it.
            while True:
                amplitude = pattern.median * math.exp(pattern.ln_sd * rng.normal())
                if rng.random() < causes.flattens(np.array(asleep + amplitude), limit):
                    break
            amplitudes.append((pattern, amplitude))
    world, readings = World(bench, 1), []
    for reading in plan:
        if reading[0] in ("pull", "unplug"):
            reading = [*reading[:-2], readings[-1][-1] if readings[-1][0] in ("pull", "unplug") else readings[0][-1], 0.0]
        claim = bench.take(reading)
        flow = world.flow(claim)
        for pattern, amplitude in amplitudes:
            flow = flow + amplitude * sum(
                size * claim.coefficient(bench.panel.parts[index]) for index, size in pattern.excess.items()
            )
        expected, sd = world.expected(reading, claim, flow)
        digit = bench.count if reading[0] == "drop" else bench.clamp_count
        value = round(float(rng.normal(expected, sd)[0]) / digit) * digit
        if reading[0] in ("pull", "unplug"):
            value = reading[-2] - max(value, 0.0)
        readings.append([*reading[:-1], round(value, 3) + 0.0])
    return readings


def main():
    global rng
    cases = []
    for number in range(24):
        # A vehicle is the same whatever was drawn for the others.
        rng = np.random.default_rng([SEED, number])
        text = draw_map(rng, int(rng.integers(3, 8)), False, False, sources=number % 6 == 0)
        meter, zero = [("tenth-mv", None), ("tenth-mv", 0.1), ("hundredth-mv", 0.02)][number % 3]
        limit = [None, 50.0][number // 2 % 2]
        plan = draw_readings(rng, text, 1 + number % 6, falls=number % 2)
        readings = shown(text, meter, zero, plan, limit and limit / 1000)
        bench = Bench(Panel(text), meter, "clamp-1ma", zero)
        bench.meter = meter
        problem = Drawn(bench, readings, limit and limit / 1000)
        names = [one.name for one in problem.hypotheses]
        drawn, error = problem.drawn()
        pairs = [[one.name for one in found] for found, _ in problem.explanations()[len(names):]]
        cases.append({
            "map": text, "meter": meter, "zero_mv": zero, "limit_ma": limit, "readings": readings, "causes": names,
            "drawn": [digits(float(p), 4) for p in drawn[:len(names)]],
            "pairs": [[*both, digits(float(p), 4)] for both, p in zip(pairs, drawn[len(names):]) if p > LEAST],
            "largest_error": digits(float(error.max()), 2),
        })
    write(__file__, ["numpy", "scipy", "uncertainties", "PyYAML"], SEED,
          f"the world that the model stands for, {DRAWS} draws for each explanation, with the largest standard error",
          {"relative": 1e-3, "absolute": 1e-4}, cases)


if __name__ == "__main__":
    main()
