//! A cause of too much draw, and what holds a wake group awake.
//! Leaves to others: what each would show (`hypothesis`), how likely it is beforehand (`weight`).

use crate::circuit::id::{BranchId, GroupId, InputId, LoadId};
use crate::circuit::loads::Catalogue;
use crate::measure::observation::Panel;
use crate::measure::sources::PartKind;

/// A cause.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Cause {
    /// Nothing is wrong: every current is about what the map expects asleep.
    Nothing,
    /// One part draws too much: branch and part.
    Part(BranchId, PartKind),
    /// A wake group is held awake: group, and what holds it.
    Held(GroupId, HeldBy),
}

impl Cause {
    /// Returns true if a load by itself draws too much.
    pub fn is_load(self, load: LoadId) -> bool {
        matches!(self, Self::Part(_, PartKind::Load(found)) if found == load)
    }
}

/// What holds a wake group awake.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum HeldBy {
    /// One of its inputs.
    Input(InputId),
    /// One of its own modules, which keeps calling the others.
    Module(LoadId),
    /// Something that the map doesn't list, or a module that no reading has told apart yet.
    Unlisted,
}

/// What a hunt decides for: a branch, or a wake group.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum CauseClass {
    /// Nothing is wrong.
    Nothing,
    /// A branch, whichever part of it.
    Branch(BranchId),
    /// A wake group, whatever holds it.
    Group(GroupId),
}

/// Returns the class of a cause.
pub fn class(cause: Cause) -> CauseClass {
    match cause {
        Cause::Nothing => CauseClass::Nothing,
        Cause::Part(branch, _) => CauseClass::Branch(branch),
        Cause::Held(group, _) => CauseClass::Group(group),
    }
}

/// Returns the kind of a part in the load catalogue; `None` for what no map lists.
pub(super) fn kind_of(kind: PartKind, panel: &Panel) -> Option<&str> {
    match kind {
        PartKind::Load(load) => panel.map.load(load).map(|load| load.kind.as_str()),
        PartKind::Unfused(item) => panel.map.unfused.get(item).map(|item| item.kind.as_str()),
        PartKind::Unlisted => None,
    }
}

/// Returns the class of causes that a part belongs to in the catalogue; empty for what no map lists.
pub(super) fn class_of_kind(kind: PartKind, panel: &Panel) -> &'static str {
    let found = kind_of(kind, panel).and_then(|name| Catalogue::builtin().get(name));
    found.map_or("", |kind| &kind.cause)
}
