"""What a look or a report says, written again apart from the Rust sources: how likely it is where a cause sits, and where
none does.

Leaves to others: the causes (causes.py), the sums (posterior.py).
"""
import yaml

import causes
import wake_series
from vectorfile import ROOT

SIGNS = yaml.safe_load((ROOT / "circuits/signs.yaml").read_text(encoding="utf-8"))["signs"]


class Finding:
    """`place`: ("load", kind of its parts) or ("input", every group and number that is named so)."""

    def __init__(self, panel, _, of, says):
        self.word, _, count = says.partition("=")
        self.count = int(count) if count else None
        feed, slash, name = of.partition("/")
        if slash:
            at = panel.ids.index(feed)
            loads = panel.feeds[at]["loads"]
            number = next(number for number, load in enumerate(loads) if load["name"] == name)
            self.place = ("load", ("load", at, number))
            self.group = loads[number].get("wake_group")
            self.row = row(self.word, causes.KINDS[loads[number]["kind"]]["cause"])
        else:
            named = [
                (group, number) for group, found in panel.groups.items()
                for number, name in enumerate(found["inputs"]) if name == of
            ]
            self.place, self.group = ("input", named), None
            self.row = row(self.word, "input")
        self.sense = self.row["sense"]

    def is_of(self, panel, cause):
        """The cause draws its current there, or is that input; of wakings, it is what wakes the others."""
        what, where = self.place
        if what == "input":
            return cause.held in where
        if cause.held is not None:
            group, holder = cause.held
            return holder == where or (self.sense != "wakings" and group == self.group)
        return bool(cause.patterns) and where in {panel.parts[index].kind for index in cause.patterns[0].excess}

    def ratio(self, panel, found, watts):
        """Over a sound vehicle; one where what is sought is too weak to be found so."""
        if watts < self.row.get("from_w", 0.0) or not any(self.is_of(panel, cause) for cause in found):
            return 1.0
        return self.chance("draws") / self.chance("sound")

    def chance(self, which):
        share = self.row[which]
        if self.count is None:
            return share
        usual, many = ((1 / (1 + mean)) * (mean / (1 + mean)) ** self.count for mean in self.row["counts"])
        return share * many + (1 - share) * usual


class TimeOut:
    """A fuse or load left out: the wake-ups of a series that came meanwhile."""

    sense = "time out"

    def __init__(self, panel, of, came, time, series):
        _, _, count = came.partition("=")
        self.count, self.time, self.series = int(count or 0), time, series
        feed, slash, name = of.partition("/")
        at = panel.ids.index(feed)
        loads = panel.feeds[at]["loads"]
        self.load = ("load", at, next(i for i, load in enumerate(loads) if load["name"] == name)) if slash else None
        self.feed = feed
        self.place = ("out", of)

    def is_behind(self, part):
        return part.kind == self.load if self.load else self.feed in part.paths[0]

    def ratio(self, panel, found, _):
        """What holds a network is in no one place, unless it is a module of its own."""
        def is_of(cause):
            if cause.held is not None:
                parts = [part for part in panel.parts if part.kind == cause.held[1]]
            else:
                parts = [panel.parts[index] for index in cause.patterns[0].excess] if cause.patterns else []
            return any(self.is_behind(part) for part in parts)
        return wake_series.ratio(self.series, self.count, self.time) if any(map(is_of, found)) else 1.0


def made(panel, found):
    return TimeOut(panel, *found[1:]) if found[0] == "out" else Finding(panel, *found)


def row(word, cause):
    rows = [one for one in SIGNS if one["found"] == word]
    return next((one for one in rows if one["cause"] == cause), None) or next(one for one in rows if one["cause"] == "any")
