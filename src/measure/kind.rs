//! The kinds of reading, in one table: how each is called, where it is taken, its values with the unit of a bare number,
//! on which circuits it needs a reason. The grammar, the log's text, the commands and their help are made from it.
//! Leaves to others: reading a typed line (`grammar`), what a reading says (`build_observations`).

mod columns;
mod rows;

pub use columns::{Bare, KindRow, MeasurementKind, Slot, SlotValue, TargetKind, TypedSlot};

use super::Measurement;
use crate::base::quantity::{Ampere, Typed, Volt};

/// A reading taken apart: its kind, the names of where it was taken, its values in the order of the table.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasurementParts {
    /// Its kind.
    pub kind: MeasurementKind,
    /// Names as the map has them: none, one, or fuse and load.
    pub names: Vec<String>,
    /// One for each slot.
    pub values: Vec<TypedSlot>,
}

impl MeasurementKind {
    /// Every kind, in the order of the help.
    pub const ALL: [Self; 16] = [
        Self::Zero,
        Self::Total,
        Self::Drop,
        Self::Below,
        Self::Pull,
        Self::Refit,
        Self::Clamp,
        Self::Unplug,
        Self::Input,
        Self::Step,
        Self::Look,
        Self::Report,
        Self::Out,
        Self::Temperature,
        Self::Volts,
        Self::Watch,
    ];

    /// Returns the kinds that have a word to be typed. Totals of a wait are typed in the wait only, bare.
    pub fn typed() -> impl Iterator<Item = Self> {
        Self::ALL.into_iter().filter(|kind| *kind != Self::Watch)
    }

    /// Returns the kind of a typed word.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::typed().find(|kind| kind.row().word.eq_ignore_ascii_case(word))
    }

    /// Returns the kind of an entry in the log.
    pub fn of_entry(entry: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.row().entry == entry)
    }

    /// Returns what this kind is.
    pub const fn row(self) -> &'static KindRow {
        match self {
            Self::Zero => &rows::ZERO,
            Self::Temperature => &rows::TEMPERATURE,
            Self::Volts => &rows::VOLTS,
            Self::Total => &rows::TOTAL,
            Self::Watch => &rows::WATCH,
            Self::Drop => &rows::DROP,
            Self::Below => &rows::BELOW,
            Self::Pull => &rows::PULL,
            Self::Refit => &rows::REFIT,
            Self::Clamp => &rows::CLAMP,
            Self::Unplug => &rows::UNPLUG,
            Self::Input => &rows::INPUT,
            Self::Step => &rows::STEP,
            Self::Look => &rows::LOOK,
            Self::Report => &rows::REPORT,
            Self::Out => &rows::OUT,
        }
    }
}

impl Measurement {
    /// Returns the kind.
    pub fn kind(&self) -> MeasurementKind {
        match self {
            Self::Total { .. } => MeasurementKind::Total,
            Self::Watch { .. } => MeasurementKind::Watch,
            Self::Drop { .. } => MeasurementKind::Drop,
            Self::Below { .. } => MeasurementKind::Below,
            Self::Pull { .. } => MeasurementKind::Pull,
            Self::Refit { .. } => MeasurementKind::Refit,
            Self::Clamp { .. } => MeasurementKind::Clamp,
            Self::Unplug { .. } => MeasurementKind::Unplug,
            Self::Input { .. } => MeasurementKind::Input,
            Self::Step { .. } => MeasurementKind::Step,
            Self::Look { .. } => MeasurementKind::Look,
            Self::Report { .. } => MeasurementKind::Report,
            Self::Out { .. } => MeasurementKind::Out,
        }
    }

    /// Returns the fuse or unfused item that it was taken at; `None` at the battery and at an input.
    pub fn place(&self) -> Option<String> {
        let MeasurementParts { kind, names, .. } = self.parts();
        let target = kind.row().target;
        let name = names.into_iter().next().filter(|_| target.is_at_fuse() || target == TargetKind::Place)?;
        // A load stands behind its fuse: FUSE/LOAD.
        Some(match name.split_once('/') {
            Some((feed, _)) if target == TargetKind::FuseOrLoad => feed.to_owned(),
            _ => name,
        })
    }

    /// Takes a reading apart; [`Measurement::build`] puts it together again.
    pub fn parts(&self) -> MeasurementParts {
        let current = |typed: &Typed<Ampere>| TypedSlot::Ampere(typed.clone());
        let volts = |typed: &Typed<Volt>| TypedSlot::Volt(typed.clone());
        let (names, values) = match self {
            Self::Total { current: total, as_found } => {
                (vec![], vec![current(total), TypedSlot::Flag(*as_found)])
            }
            Self::Watch { current: total } => (vec![], vec![current(total)]),
            Self::Drop { feed, drop } | Self::Below { feed, drop } => (vec![feed], vec![volts(drop)]),
            Self::Pull { feed, before, after } => (vec![feed], vec![current(before), current(after)]),
            Self::Refit { feed, total } => (vec![feed], vec![current(total)]),
            Self::Clamp { at, current: shown } => (vec![at], vec![current(shown)]),
            Self::Unplug { feed, load, before, after } => {
                (vec![feed, load], vec![current(before), current(after)])
            }
            Self::Input { input, before, after } => (vec![input], vec![current(before), current(after)]),
            Self::Look { at, found: word } | Self::Report { of: at, says: word } => {
                (vec![at], vec![TypedSlot::Word(word.clone())])
            }
            Self::Out { at, came, time } => {
                (vec![at], vec![TypedSlot::Word(came.clone()), TypedSlot::Minute(time.clone())])
            }
            Self::Step { feed, before, after, current: load } => {
                (vec![feed], vec![volts(before), volts(after), current(load)])
            }
        };
        MeasurementParts { kind: self.kind(), names: names.into_iter().cloned().collect(), values }
    }

    /// Puts a reading together; `None` if the parts are not those of its kind, or the kind is none of a reading's.
    pub fn build(parts: MeasurementParts) -> Option<Self> {
        use TypedSlot::{Ampere as A, Flag, Volt as V, Word};
        let mut names = parts.names.into_iter();
        let mut name = || names.next();
        let mut values = parts.values.into_iter();
        Some(match (parts.kind, values.next()?, values.next(), values.next()) {
            (MeasurementKind::Total, A(current), Some(Flag(as_found)), None) => {
                Self::Total { current, as_found }
            }
            (MeasurementKind::Watch, A(current), None, None) => Self::Watch { current },
            (MeasurementKind::Drop, V(drop), None, None) => Self::Drop { feed: name()?, drop },
            (MeasurementKind::Below, V(drop), None, None) => Self::Below { feed: name()?, drop },
            (MeasurementKind::Pull, A(before), Some(A(after)), None) => {
                Self::Pull { feed: name()?, before, after }
            }
            (MeasurementKind::Refit, A(total), None, None) => Self::Refit { feed: name()?, total },
            (MeasurementKind::Clamp, A(current), None, None) => Self::Clamp { at: name()?, current },
            (MeasurementKind::Unplug, A(before), Some(A(after)), None) => {
                Self::Unplug { feed: name()?, load: name()?, before, after }
            }
            (MeasurementKind::Input, A(before), Some(A(after)), None) => {
                Self::Input { input: name()?, before, after }
            }
            (MeasurementKind::Step, V(before), Some(V(after)), Some(A(current))) => {
                Self::Step { feed: name()?, before, after, current }
            }
            (MeasurementKind::Look, Word(found), None, None) => Self::Look { at: name()?, found },
            (MeasurementKind::Report, Word(says), None, None) => Self::Report { of: name()?, says },
            (MeasurementKind::Out, Word(came), Some(TypedSlot::Minute(time)), None) => {
                Self::Out { at: name()?, came, time }
            }
            _ => return None,
        })
    }
}
