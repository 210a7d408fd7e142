"""What a meter log of the night says of a draw that comes and goes, by brute force: the causes as posterior.py enumerates
them, and each one's share of what is away now.

The log shows too much charge above the rest. Whoever stands by an explanation in which nothing comes and goes holds that
the log misleads. What is away is shared among the causes by their weights beforehand and by what the log says of each
load, network and fuse (signs.yaml), written again here apart from the Rust sources.
"""
import math

import numpy as np

import causes
import signs
from posterior import HELD_BY_MODULE, LIT, Problem
from panel_model import Bench, Panel
from vectorfile import digits, write
from vehicles import draw_map, draw_readings

SEED = 1822
# Editorial, as in the engine: that a log misleads.
MISLEADS = 0.002
# These say something of a load by itself, and nothing of the network that wakes it.
ALONE = ("rises", "wakings")


class LogFinding:
    """`of`: a fuse, FUSE/LOAD, or a network."""

    def __init__(self, panel, of, word):
        self.panel, self.word = panel, word
        self.sense = next(one["sense"] for one in signs.SIGNS if one["found"] == word)
        feed, slash, load = of.partition("/")
        self.feed = self.load = self.group = None
        if slash:
            at = panel.ids.index(feed)
            number = next(n for n, one in enumerate(panel.feeds[at]["loads"]) if one["name"] == load)
            self.load = ("load", at, number)
        elif of in panel.groups:
            self.group = of
        else:
            self.feed = of

    def members(self, cause):
        """The parts that a cause may draw through."""
        if cause.held is not None:
            return [part for part in self.panel.parts if self.network(part) == cause.held[0]]
        first = self.panel.parts[next(iter(cause.patterns[0].excess))]
        if first.kind[0] not in ("load", "unfused"):
            return [first]
        return [part for part in self.panel.parts if part.kind == first.kind]

    def network(self, part):
        entry = causes.load_of(self.panel, part)
        return None if entry is None else entry.get("wake_group")

    def speaks_of(self, cause):
        if self.group is not None:
            return cause.held is not None and cause.held[0] == self.group
        if self.feed is not None:
            return any(self.feed in part.path([], []) for part in self.members(cause))
        if cause.held is not None and cause.held[1] == self.load:
            return True
        if cause.held is not None and self.sense in ALONE:
            return False
        return any(part.kind == self.load for part in self.members(cause))

    def row(self, cause):
        if self.load is not None:
            entry = self.panel.feeds[self.load[1]]["loads"][self.load[2]]
            return signs.row(self.word, causes.KINDS[entry["kind"]]["cause"])
        if cause.held is not None:
            return signs.row(self.word, "network")
        entry = causes.load_of(self.panel, self.members(cause)[0])
        return signs.row(self.word, causes.KINDS[entry["kind"]]["cause"] if entry else "")

    def ratio(self, cause):
        if not self.speaks_of(cause):
            return 1.0
        row = self.row(cause)
        return row["draws"] / row["sound"]


def solved(text, readings, limit, log):
    panel = Panel(text)
    problem = Problem(panel, Bench(panel, "tenth-mv", "clamp-1ma", 0.0).all(readings), limit / 1000)
    brute = problem.brute(problem.weights())
    singles = brute[: len(problem.hypotheses)]
    findings = [LogFinding(panel, *one) for one in log]
    weights = np.array([
        one.prior * math.prod(finding.ratio(one) for finding in findings) if one.patterns else 0.0
        for one in problem.hypotheses
    ])
    sound = sum(share for one, share in zip(problem.hypotheses, singles) if not one.patterns)
    not_now = causes.NOT_NOW / causes.nothing(())
    away = sound * not_now
    kept = MISLEADS * (1 - away)
    now = [
        MISLEADS * share if one.patterns else away + MISLEADS * (share - away)
        for one, share in zip(problem.hypotheses, singles)
    ]
    return {
        "map": text, "readings": readings, "meter": "tenth-mv", "zero_mv": 0.0, "hours_apart": 0, "limit_ma": limit, "log": log,
        "causes": [one.name for one in problem.hypotheses],
        "pairs_weighed": len(brute) - len(singles),
        "now": [digits(share / (away + kept), 12) for share in now],
        "away": [digits(share * away / (away + kept), 12) for share in weights / weights.sum()],
    }


def drawn(rng, text):
    """Findings of every kind at places of a map."""
    panel = Panel(text)
    log = []
    for feed in panel.feeds:
        for load in feed.get("loads", []):
            log.append([f"{feed['id']}/{load['name']}", ["rises-so", "rises-otherwise"][rng.integers(2)]])
    log += [[group, ["rises-so", "rises-otherwise"][rng.integers(2)]] for group in panel.groups]
    for feed in rng.permutation(panel.ids)[: rng.integers(0, 3)]:
        log.append([str(feed), ["carries", "carries-nothing"][rng.integers(2)]])
        if rng.random() < 0.5:
            log.append([str(feed), "rises-first"])
    return log


def main():
    rng = np.random.default_rng(SEED)
    cases = []
    for number in range(16):
        text = [HELD_BY_MODULE, LIT][number % 4] if number % 4 < 2 else draw_map(rng, 4, number % 4 == 3, False)
        readings = [[], [["total", 30.0]], [["total", 70.0]]][number % 3]
        if number % 4 == 2 and readings:
            readings = draw_readings(rng, text, 3, falls=0)
        cases.append(solved(text, readings, 50.0, drawn(rng, text)))
    write(__file__, ["numpy", "scipy", "uncertainties", "PyYAML"], SEED,
          "the model of posterior.py, and what comes and goes weighed apart",
          {"relative": 1e-6, "absolute": 1e-10}, cases)


if __name__ == "__main__":
    main()
