"""A small vehicle and readings on it, written again apart from the Rust sources: which currents flow where, and what
each reading claims, with its errors as variables of the package `uncertainties`, so that two readings share what
they should. Currents in ampere.

Leaves to others: what the claims add up to (account.py), who is to blame (posterior.py).
"""
import math

import yaml
from uncertainties import ufloat

import fuse_model

# Expected unlisted current and its standard deviation, on a feed and at the battery (editorial, as in the engine).
UNLISTED = (0.2e-3, 1.2e-3)
UNLISTED_AT_BATTERY = (0.3e-3, 2.0e-3)
ASLEEP_SHARE, ASLEEP_LEAST = 0.5, 0.4e-3
SOURCE_SD = 4.0e-3
WANDER, WANDER_LEAST = 0.005, 1.0e-3


class Part:
    def __init__(self, branch, kind, paths, asleep, sd, awake=0.0, source=False):
        self.branch, self.kind, self.paths = branch, kind, paths
        self.asleep, self.sd, self.awake, self.source = asleep, sd, awake, source

    def path(self, feeds_out, loads_out):
        """Returns the feeds that it flows through, or None if it is cut off."""
        if self.kind in loads_out:
            return None
        return next((path for path in self.paths if not set(path) & set(feeds_out)), None)


class Panel:
    def __init__(self, text):
        self.map = yaml.safe_load(text)
        self.feeds = self.map["feeds"]
        self.unfused = self.map.get("unfused", [])
        self.groups = self.map.get("wake_groups", {})
        self.ids = [feed["id"] for feed in self.feeds]
        self.branches = self.ids + [item["name"] for item in self.unfused] + ["battery"]
        self.parts = sorted(self._parts(), key=lambda part: (part.branch, rank(part.kind)))

    def up(self, name):
        """Returns a feed and those above it."""
        path = []
        while name != "battery":
            path.append(name)
            name = self.feeds[self.ids.index(name)]["from"]
        return path

    def _parts(self):
        for at, feed in enumerate(self.feeds):
            yield Part(at, ("unlisted",), [self.up(feed["id"])], *UNLISTED)
            for number, load in enumerate(feed.get("loads", [])):
                on = [feed["id"], *load.get("also_from", [])]
                asleep, awake = load["asleep_ma"] / 1000, load["awake_ma"] / 1000
                for one in on:
                    others = [self.up(other) for other in on if other != one]
                    yield Part(
                        self.ids.index(one), ("load", at, number), [self.up(one), *others],
                        asleep / len(on), spread(asleep) / len(on), awake / len(on),
                    )
        for at, item in enumerate(self.unfused):
            path = [] if item["from"] == "battery" else self.up(item["from"])
            asleep, source = item["asleep_ma"] / 1000, item.get("source", False)
            sd = max(SOURCE_SD, spread(asleep)) if source else spread(asleep)
            yield Part(len(self.feeds) + at, ("unfused", at), [path], asleep, sd, item["awake_ma"] / 1000, source)
        yield Part(len(self.branches) - 1, ("unlisted",), [[]], *UNLISTED_AT_BATTERY)

    def below(self, feed):
        """Returns the branches whose current flows through a feed."""
        found = [at for at, name in enumerate(self.ids) if feed in self.up(name)]
        for at, item in enumerate(self.unfused):
            if item["from"] != "battery" and feed in self.up(item["from"]):
                found.append(len(self.feeds) + at)
        return found


def rank(kind):
    """Order of the parts of one branch: loads, unfused items, unlisted."""
    return (["load", "unfused", "unlisted"].index(kind[0]), *kind[1:])


def spread(asleep):
    return math.hypot(asleep * ASLEEP_SHARE, ASLEEP_LEAST)


# Editorial, as in the engine: a clear fall, and how many standard deviations tell from nothing.
CLEAR_FALL, DETECTION = 0.2, 3.29


class Claim:
    """`scope`: ("total",), ("through", feed), ("unfused", at), ("fall", feed), ("fall-load", feed, load),
    ("input", group, input)."""

    def __init__(self, scope, feeds_out, loads_out, current, released=()):
        self.scope, self.feeds_out, self.loads_out, self.current = scope, list(feeds_out), list(loads_out), current
        # Wake groups that an input has released by then.
        self.released = tuple(released)
        # Of an input: whether the total fell clearly when it was worked.
        self.fell = True

    def coefficient(self, part):
        """How often a part's current counts: the flow now, or by how much the total falls."""
        now = part.path(self.feeds_out, self.loads_out)
        flows = now is not None
        kind = self.scope[0]
        if kind == "total":
            return float(flows)
        if kind == "through":
            return float(flows and self.scope[1] in now)
        if kind == "unfused":
            return float(flows and part.kind == self.scope)
        if kind == "fall":
            after = part.path([*self.feeds_out, self.scope[1]], self.loads_out)
            return float(flows) - float(after is not None)
        if kind == "fall-load":
            return float(flows and part.kind == ("load", *self.scope[1:]))
        return 0.0


class Bench:
    """The meters on one vehicle: errors that readings share exist once."""

    def __init__(self, panel, meter="tenth-mv", clamp="clamp-1ma", zero_mv=None, celsius=20.0, u_celsius=5.0):
        self.panel, self.celsius = panel, celsius
        self.count, gain, offset = fuse_model.voltmeter(meter)
        self.zero_mv = zero_mv or 0.0
        flat = math.sqrt(3)
        digits = self.count * math.hypot(1 / math.sqrt(12), fuse_model.NOISE_HALF_COUNTS / flat)
        self.volt_offset = ufloat(0, offset / flat if zero_mv is None else digits)
        self.volt_gain = ufloat(0, gain / flat)
        self.volt_own = math.hypot(digits, fuse_model.THERMAL_HALF_MV / flat)
        self.clamp_count, gain, offset = fuse_model.clampmeter(clamp)
        self.clamp_offset, self.clamp_gain = ufloat(0, offset / flat), ufloat(0, gain / flat)
        self.clamp_own = self.clamp_count * math.hypot(1 / math.sqrt(12), fuse_model.NOISE_HALF_COUNTS / flat)
        self.makes, self.warmth, self.u_celsius = {}, {}, u_celsius
        self.feeds_out, self.loads_out = [], []

    def shown(self, ma):
        """A clamp or series reading, in ampere."""
        return (ma * (1 + self.clamp_gain) + self.clamp_offset + ufloat(0, self.clamp_own)) / 1000

    def placed(self, ma):
        """A clamp put on for this reading: half of its offset's variance comes anew."""
        anew = ufloat(0, self.clamp_offset.std_dev / math.sqrt(2))
        own = ufloat(0, self.clamp_own)
        return (ma * (1 + self.clamp_gain) + self.clamp_offset / math.sqrt(2) + anew + own) / 1000

    def drop(self, feed, mv):
        at = self.panel.feeds[self.panel.ids.index(feed)]
        family, rating = at["fuse"]["family"], at["fuse"]["rating_a"]
        r25, make, fuse, legs = fuse_model.resistance(family, rating)
        # One make for the whole vehicle: how far it shows differs by rating, not which way.
        make = make * self.makes.setdefault(family, ufloat(0, 1))
        warmth = self.warmth.setdefault(at.get("box"), ufloat(0, self.u_celsius))
        volts = (mv - self.zero_mv) * (1 + self.volt_gain) + self.volt_offset + ufloat(0, self.volt_own)
        conductance = (1 + make) * (1 + ufloat(0, fuse)) * (1 + ufloat(0, legs / r25 / math.sqrt(2))) / r25
        return volts * conductance / (1 + fuse_model.ALPHA * (self.celsius + warmth - 25))

    def all(self, readings):
        """Claims of readings in order. An input that clearly lowers the draw and leaves some of it makes two: by how
        much it fell, and what is left, a total with the group asleep."""
        claims = []
        for reading in readings:
            claim = self.take(reading)
            claims.append(claim)
            if claim.scope[0] == "input":
                before, after = reading[-2] / 1000, self.shown(reading[-1])
                asleep = sum(part.asleep for part in self.panel.parts)
                fell = claim.current.nominal_value
                left = after.nominal_value - asleep
                claim.fell = fell > max(DETECTION * claim.current.std_dev, CLEAR_FALL * before)
                if claim.fell and left > max(DETECTION * after.std_dev, asleep):
                    total = wandering(self.placed(reading[-1]))
                    claims.append(Claim(("total",), claim.feeds_out, claim.loads_out, total, [claim.scope[1]]))
        return claims

    def take(self, reading):
        """Returns the claim of a reading: a list of its kind and figures as in the vector file."""
        kind, *rest = reading
        out = (list(self.feeds_out), list(self.loads_out))
        if kind == "total":
            return Claim(("total",), *out, wandering(self.placed(rest[0])))
        if kind == "drop":
            return Claim(("through", rest[0]), *out, wandering(self.drop(*rest)))
        if kind == "clamp":
            names = [item["name"] for item in self.panel.unfused]
            scope = ("unfused", names.index(rest[0])) if rest[0] in names else ("through", rest[0])
            return Claim(scope, *out, wandering(self.placed(rest[1])))
        before, after = rest[-2:]
        wander = ufloat(0, math.hypot(WANDER * abs(before) / 1000, WANDER_LEAST))
        fall = self.shown(before) - self.shown(after) + wander
        if kind == "pull":
            self.feeds_out.append(rest[0])
            return Claim(("fall", rest[0]), *out, fall)
        if kind == "unplug":
            feed = self.panel.ids.index(rest[0])
            names = [load["name"] for load in self.panel.feeds[feed]["loads"]]
            load = names.index(rest[1])
            self.loads_out.append(("load", feed, load))
            return Claim(("fall-load", feed, load), *out, fall)
        group, number = next(
            (group, inputs["inputs"].index(rest[0]))
            for group, inputs in self.panel.groups.items() if rest[0] in inputs["inputs"]
        )
        return Claim(("input", group, number), *out, fall)


def wandering(current):
    return current + ufloat(0, math.hypot(WANDER * abs(current.nominal_value), WANDER_LEAST))
