"""What may be wrong with a small vehicle and how likely it is beforehand, written again apart from the Rust sources.
One entry a hypothesis; to add a kind of hypothesis, add a generator below and name it in `hypotheses`.

Leaves to others: the readings (posterior.py).
"""
import math

import numpy as np
import yaml
from scipy.stats import norm

from vectorfile import ROOT

LOADS = yaml.safe_load((ROOT / "circuits/loads.yaml").read_text(encoding="utf-8"))
KINDS = {kind["id"]: kind for kind in LOADS["kinds"]}
HINTS = yaml.safe_load((ROOT / "circuits/hints.yaml").read_text(encoding="utf-8"))["hints"]
CAUSES = {cause["id"]: cause["weight"] / 100 for cause in LOADS["causes"]}
# Editorial, as in the engine.
ADD_ON_UNLISTED, OTHER_UNLISTED, UNKNOWN_INPUT = 0.6, 0.10, 0.2
# A sound vehicle, and one whose fault is away at the moment.
NOTHING_WRONG, NOT_NOW = 0.09, 0.01
# Share of the groups held by no listed input that one of their own modules holds.
BY_MODULE = 0.5
# Something unlisted at the battery post, on a cable, on a restraint or high-voltage feed, beside any other feed.
BATTERY_POST, CABLE, LEFT_ALONE = 3.0, 2.0, 0.2
UNLISTED_SIZE = (0.150, 1.1)
SPLITS = [(0.0, 0.15), (0.25, 0.2), (0.5, 0.3), (0.75, 0.2), (1.0, 0.15)]
ACTIVITY = (0.6, 0.7)
MODULE_SPREAD, PART_SPREAD, ALONE, IN_PART, BROAD, ELSEWHERE = 0.35, 1.0, 0.25, 0.3, 0.9, 0.12
# One module of a partly held group sleeps; it is seen to sleep below this share of its awake current.
SLEEPS, QUIET = 0.5, 0.3
# Normal parts that stand for a size, of one cause alone and where another blurs it; how far they reach and how wide
# each is, in steps. How sharply a settled total flattens a battery about the limit.
PARTS, ROUGH, REACH, WIDTH = 16, 8, 2.8, 0.55
FLATTENS = 0.4
# A second cause beside the first.
SECOND = 0.15


class Pattern:
    """Share within its hypothesis, excess of each part per unit of amplitude, how far each part departs from it on
    its own, and the amplitude: median and standard deviation of the logarithm. `stray`: parts that may draw along
    although the map doesn't count them in, with their standard deviation per unit of amplitude."""

    def __init__(self, share, excess, spread, median, ln_sd, stray=None):
        self.share, self.excess, self.median, self.ln_sd = share, excess, median, ln_sd
        self.module_spread = spread
        departs = {index: spread * size for index, size in excess.items()} if spread else {}
        # A part never strays and belongs at once: what strays is unlisted.
        self.departs = {**departs, **(stray or {})}


class Hypothesis:
    def __init__(self, name, prior, patterns, held=None):
        self.name, self.prior, self.patterns, self.held = name, prior, patterns, held


def listed_share(kind):
    unlisted = ADD_ON_UNLISTED if KINDS[kind]["cause"] == "add-on" else OTHER_UNLISTED
    return KINDS[kind]["weight"] / 100 * (1 - unlisted)


def load_of(panel, part):
    """Returns the map's entry of a part: its load or unfused item; None for what is unlisted."""
    if part.kind[0] == "load":
        return panel.feeds[part.kind[1]]["loads"][part.kind[2]]
    return panel.unfused[part.kind[1]] if part.kind[0] == "unfused" else None


def nothing(told):
    """How likely everything reads sound, once this was told in words of hints.yaml."""
    def factor(cause):
        return math.prod(hint["factor"] for hint in HINTS if hint["cause"] == cause and hint["told"] in told)

    return NOTHING_WRONG * factor("nothing") + NOT_NOW * factor("not-now")


def hypotheses(panel, claims, waking=(), told=()):
    """`waking`: loads that reported how often they woke the others, as kinds of parts."""
    found = [Hypothesis("nothing", nothing(told), [])]
    found += single_parts(panel, 1 - nothing(told))
    found += held_groups(panel, claims, waking, 1 - nothing(told))
    total = sum(one.prior for one in found)
    for one in found:
        one.prior /= total
    return [one for one in found if one.prior > 0]


def single_parts(panel, something):
    every = [load["kind"] for feed in panel.feeds for load in feed.get("loads", [])]
    every += [item["kind"] for item in panel.unfused]
    counts = {kind: every.count(kind) for kind in every}
    network = CAUSES["network"] if panel.groups else 0.0
    unlisted = max(sum(CAUSES.values()) - sum(listed_share(kind) for kind in counts) - network, 0.05)
    nodes = sum(unlisted_at(panel, feed) for feed in range(len(panel.feeds))) + BATTERY_POST
    for index, part in enumerate(panel.parts):
        entry = load_of(panel, part)
        twins = [
            other for other, found in enumerate(panel.parts)
            if part.kind[0] == "load" and found.kind == part.kind and other != index
        ]
        home = part.branch
        if part.kind[0] == "load":
            home = part.kind[1]
            if twins and part.branch != home:
                continue
        if entry is None:
            share = unlisted / nodes * (unlisted_at(panel, home) if part.paths[0] else BATTERY_POST)
            median, ln_sd = UNLISTED_SIZE
            name = f"{panel.branches[home]}/?"
        else:
            share = max(listed_share(entry["kind"]), 0.002) / counts[entry["kind"]]
            excess, awake = KINDS[entry["kind"]]["excess"], entry["awake_ma"]
            median = max(math.sqrt(awake * excess["ma"]) if awake > 0 else excess["ma"], 5.0) / 1000
            ln_sd = excess["log_sd"]
            name = f"{panel.branches[home]}/{entry['name']}"
        ln_sd = max(ln_sd, BROAD)
        if twins:
            patterns = [
                Pattern(weight, {index: first, twins[0]: 1 - first}, 0.0, median, ln_sd) for first, weight in SPLITS
            ]
        else:
            patterns = [Pattern(1.0, {index: 1.0}, 0.0, median, ln_sd)]
        yield Hypothesis(name, share * something, patterns)


def unlisted_at(panel, feed):
    """How likely something unlisted sits on a feed, beside others."""
    if panel.feeds[feed].get("guard") in ("restraint", "hv"):
        return LEFT_ALONE
    return CABLE if any(other.get("from") == panel.ids[feed] for other in panel.feeds) else 1.0


def is_quiet(panel, part, size, claims):
    """A feed of the part was read and carries far less than the part would draw awake."""
    for claim in claims:
        if claim.scope[0] != "through" or claim.coefficient(panel.parts[part]) <= 0:
            continue
        normal = sum(claim.coefficient(one) * one.asleep for one in panel.parts)
        high = claim.current.nominal_value + 1.96 * claim.current.std_dev
        if high - normal < QUIET * size:
            return True
    return False


def held_groups(panel, claims, waking, something):
    for group, row in panel.groups.items():
        excess = {
            index: max(part.awake - part.asleep, 0.0) for index, part in enumerate(panel.parts)
            if part.kind[0] == "load" and load_of(panel, part).get("wake_group") == group
        }
        excess = {index: size for index, size in excess.items() if size > 0}
        if not excess:
            continue
        modules = {}
        for index, size in excess.items():
            modules.setdefault(panel.parts[index].kind, {})[index] = size
        alone = [Pattern(ALONE / len(modules), module, 0.0, *ACTIVITY) for module in modules.values()]
        # Modules that the map puts elsewhere: one place at the battery and at each branch of it. They draw along with those
        # that are awake.
        def stray(excess):
            return {
                index: ELSEWHERE * sum(excess.values()) for index, part in enumerate(panel.parts)
                if part.kind[0] == "unlisted" and len(part.paths[0]) <= 1
            }

        awake = {index: size for index, size in excess.items() if not is_quiet(panel, index, size, claims)}
        spread = [Pattern(1 - ALONE - IN_PART, excess, MODULE_SPREAD, *ACTIVITY, stray(excess))]
        if len(awake) > 1:
            chance = IN_PART * SLEEPS ** (len(excess) - len(awake))
            spread.append(Pattern(chance, awake, PART_SPREAD, *ACTIVITY, stray(awake)))
        share = CAUSES["network"] * something / len(panel.groups)
        inputs = row["inputs"]
        for number, name in enumerate(inputs):
            prior = share * (1 - UNKNOWN_INPUT) / len(inputs)
            yield Hypothesis(f"{group}/{name}", prior, [*spread, *alone], (group, number))
        prior = share * (UNKNOWN_INPUT if inputs else 1.0)
        unknown = [
            Pattern(one.share / (1 - ALONE), one.excess, one.module_spread, *ACTIVITY, stray(one.excess))
            for one in spread
        ]
        # A module that was never out can't be told from what is unlisted; one that was, or that counts its wakings,
        # stands apart, and so do all of them once every input was tried.
        each = prior * BY_MODULE / len(modules)
        tried = {claim.scope[2] for claim in claims if claim.scope[:2] == ("input", group)}
        apart = [
            kind for kind in sorted(modules)
            if len(tried) == len(inputs) or kind in waking or any(is_out(panel, kind, claim, after=True) for claim in claims)
        ]
        yield Hypothesis(f"{group}/?", prior - each * len(apart), unknown, (group, None))
        for kind in apart:
            name = panel.feeds[kind[1]]["loads"][kind[2]]["name"]
            yield Hypothesis(f"{group}/{name}", each, unknown, (group, kind))


def is_out(panel, kind, claim, after):
    """A load has no current while a claim is read or, `after`, once what it is about was taken out."""
    feeds, loads = list(claim.feeds_out), list(claim.loads_out)
    if after and claim.scope[0] == "fall":
        feeds.append(claim.scope[1])
    if after and claim.scope[0] == "fall-load":
        loads.append(("load", *claim.scope[1:]))
    return all(part.path(feeds, loads) is None for part in panel.parts if part.kind == kind)


def signal(panel, hypothesis, excess, claim):
    """What a unit of a pattern adds to a claim; an input releases the group that it holds as a whole."""
    if hypothesis.held is not None and hypothesis.held[0] in claim.released:
        return 0.0
    paths = [panel.parts[index].path(claim.feeds_out, claim.loads_out) for index in excess]
    flowing = sum(size for size, path in zip(excess.values(), paths) if path is not None)
    if claim.scope[0] == "input":
        return flowing if hypothesis.held == claim.scope[1:] else 0.0
    if hypothesis.held is not None and isinstance(hypothesis.held[1], tuple):
        # A module that holds its group lets it sleep once it has no current itself.
        if is_out(panel, hypothesis.held[1], claim, after=False):
            return 0.0
        if claim.scope[0].startswith("fall") and is_out(panel, hypothesis.held[1], claim, after=True):
            return flowing
    return sum(size * claim.coefficient(panel.parts[index]) for index, size in excess.items())


def flattens(total, limit):
    """How likely somebody complains of a flat battery for this total, beside larger ones; 1 without a limit."""
    return norm.cdf(np.log(total / limit) / FLATTENS) if limit else np.ones_like(total)


def sizes(pattern, parts, asleep, limit):
    """Returns weight, mean and standard deviation of the normal parts that stand for the log-normal of a pattern."""
    step = 2 * REACH * pattern.ln_sd / parts
    width = WIDTH * step
    places = (np.arange(parts) - (parts - 1) / 2) * step
    weight = norm.pdf(places, 0, math.sqrt(pattern.ln_sd**2 - width**2))
    # Mean and standard deviation of a log-normal about each place.
    mean = pattern.median * np.exp(places + width**2 / 2)
    weight = weight * flattens(asleep + mean * sum(pattern.excess.values()), limit)
    return list(zip(weight / weight.sum(), mean, mean * math.sqrt(math.exp(width**2) - 1)))


def pairs(panel, singles):
    """Yields two causes with their weight beforehand: two parts, or a held group and a part that is none of its
    modules. A cause does not go with itself."""
    something = sum(one.prior for one in singles if one.patterns)
    parts = [one for one in singles if one.patterns and one.held is None]
    for at, second in enumerate(parts):
        modules = {
            group.name for group in singles if group.held is not None and group_of(panel, second) == group.held[0]
        }
        groups = [one for one in singles if one.held is not None and one.name not in modules]
        for first in groups + parts[:at]:
            yield first, second, 2 * SECOND * first.prior * second.prior / something


def group_of(panel, hypothesis):
    """Returns the wake group of the load that a single part's hypothesis is about."""
    entry = load_of(panel, panel.parts[next(iter(hypothesis.patterns[0].excess))])
    return None if entry is None else entry.get("wake_group")
