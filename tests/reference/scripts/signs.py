"""What a look or a report says, written again apart from the Rust sources: how likely it is where a cause sits, and where
none does.

Leaves to others: the causes (causes.py), the sums (posterior.py).
"""
import yaml

import causes
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


def row(word, cause):
    rows = [one for one in SIGNS if one["found"] == word]
    return next((one for one in rows if one["cause"] == cause), None) or next(one for one in rows if one["cause"] == "any")
