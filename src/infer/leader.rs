//! What leads: of all that may be to blame, what explains most of the excess; and what else matters.
//! Leaves to others: shares and probabilities (`rank`), the words (`text`).

use super::rank::{Excess, Ranking};
use crate::battery::cause::{SupplyCause, SupplyKind};
use crate::circuit::tree::BranchKind;
use crate::measure::observation::Panel;

/// What kind of thing leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeaderKind {
    /// A fuse or link: all that it carries itself, or what no map lists there or at the battery.
    Branch,
    /// A wake group held awake.
    Group,
    /// Something connected without a fuse.
    Unfused,
    /// Nothing: every current is about what the map expects.
    Nothing,
    /// A fault that is away at the moment.
    NotPresent,
    /// A pull cured it.
    Cured,
    /// The battery itself.
    Battery,
    /// The charging side, which fails to charge.
    Charging,
    /// How the vehicle is used.
    Use,
}

impl LeaderKind {
    /// Returns true if it is one circuit: a fuse or link, an item without a fuse, a pull that cured it.
    pub fn is_circuit(self) -> bool {
        matches!(self, Self::Branch | Self::Unfused | Self::Cured)
    }

    /// Returns true if nothing is wrong, or nothing now.
    pub fn is_nothing(self) -> bool {
        matches!(self, Self::Nothing | Self::NotPresent)
    }
}

/// What leads, or matters besides.
#[derive(Debug, Clone, PartialEq)]
pub struct Leader {
    /// What kind of thing.
    pub kind: LeaderKind,
    /// Its name; empty where there is none.
    pub name: String,
    /// Probability that it is a cause that matters.
    pub probability: f64,
}

/// From this probability on a further cause stands beside the leader. Editorial: likelier than not.
pub const ALSO: f64 = 0.5;

impl LeaderKind {
    /// Returns true for a cause that draws: a circuit, a group, an unfused item.
    pub fn is_draw(self) -> bool {
        matches!(self, Self::Branch | Self::Group | Self::Unfused)
    }

    /// Its name in JSON and records.
    pub fn word(self) -> &'static str {
        match self {
            Self::Branch => "branch",
            Self::Group => "group",
            Self::Unfused => "unfused",
            Self::Nothing => "nothing",
            Self::NotPresent => "not-present",
            Self::Cured => "cured",
            Self::Battery => "battery",
            Self::Charging => "charging",
            Self::Use => "use",
        }
    }
}

impl Leader {
    /// What leads before anything is known.
    pub const NOTHING: Leader = Leader { kind: LeaderKind::Nothing, name: String::new(), probability: 0.0 };
}

impl From<&SupplyCause> for Leader {
    fn from(cause: &SupplyCause) -> Self {
        let kind = match cause.kind() {
            SupplyKind::Battery => LeaderKind::Battery,
            SupplyKind::Charging => LeaderKind::Charging,
            SupplyKind::Use => LeaderKind::Use,
        };
        Self { kind, name: cause.name().to_owned(), probability: cause.probability }
    }
}

impl Ranking {
    /// Returns everything that may lead, that first which explains most of the excess.
    pub fn leaders(&self, panel: &Panel) -> Vec<Leader> {
        let kind = |branch| match panel.tree.branches().get(branch).map(|found| found.kind) {
            Some(BranchKind::Unfused(_)) => LeaderKind::Unfused,
            _ => LeaderKind::Branch,
        };
        let branches = self.suspects.iter().map(|one| (kind(one.branch), one.id.clone(), one.standing));
        let groups = self.groups.iter().map(|one| (LeaderKind::Group, one.id.clone(), one.standing));
        let causes = branches.chain(groups).map(|(kind, name, standing)| {
            // What is harmless stands behind what the customer is told.
            let first = if self.harmless > 0.0 { standing.matters } else { standing.share };
            (first, Leader { kind, name, probability: standing.matters })
        });
        let cured = self.cured.iter().map(|cured| {
            let cured =
                Leader { kind: LeaderKind::Cured, name: cured.feed.clone(), probability: cured.probability };
            (cured.probability, cured)
        });
        let sound = [
            (LeaderKind::Nothing, self.nothing_wrong + self.harmless),
            (LeaderKind::NotPresent, self.not_present_now),
        ];
        let sound =
            sound.map(|(kind, probability)| (probability, Leader { kind, name: String::new(), probability }));
        let mut all: Vec<(f64, Leader)> = cured.chain(causes).chain(sound).collect();
        all.sort_by(|a, b| b.0.total_cmp(&a.0));
        all.into_iter().map(|(_, leader)| leader).collect()
    }

    /// Returns what a leader draws too much; `None` where it is no draw.
    pub fn excess_of(&self, leader: &Leader) -> Option<&Excess> {
        match leader.kind {
            LeaderKind::Group => self.groups.iter().find(|one| one.id == leader.name).map(|one| &one.excess),
            kind if kind.is_draw() => {
                self.suspects.iter().find(|one| one.id == leader.name).map(|one| &one.excess)
            }
            _ => None,
        }
    }

    /// Returns the causes that matter beside the leader.
    pub fn also(&self, panel: &Panel) -> Vec<Leader> {
        let is_cause = |one: &Leader| one.kind.is_draw() && one.probability >= ALSO;
        self.leaders(panel).into_iter().skip(1).filter(is_cause).collect()
    }
}
