//! The kinds of reading, in one table: how each is called, where it is taken, its values with the unit of a bare number,
//! on which circuits it needs a reason. The grammar, the log's text, the commands and their help are made from it.
//! Leaves to others: reading a typed line (`grammar`), what a reading says (`build_observations`).

mod rows;

use super::Measurement;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Celsius, Typed, Volt};
use crate::circuit::map::Hazard;

/// A kind of reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MeasurementKind {
    /// Leads shorted.
    Zero,
    /// Temperature of a box, or of all.
    Temperature,
    /// Volts of the battery.
    Volts,
    /// Settled total.
    Total,
    /// A total seen while waiting.
    Watch,
    /// Millivolts across a fuse.
    Drop,
    /// A fuse pulled.
    Pull,
    /// A fuse, or a load, back in its place.
    Refit,
    /// Clamp on a fuse, a link or an unfused item.
    Clamp,
    /// A load unplugged.
    Unplug,
    /// An input of a network worked.
    Input,
    /// A known load on a fuse switched on.
    Step,
}

/// What a kind of reading is.
#[derive(Debug)]
pub struct KindRow {
    /// The word that is typed, and in the log unless `entry` differs.
    pub word: &'static str,
    /// Its kind in the log.
    pub entry: &'static str,
    /// What it is, in one line for the help.
    pub about: &'static str,
    /// Where it is taken.
    pub target: TargetKind,
    /// Its values, in the order in which they are typed.
    pub slots: &'static [Slot],
    /// Guards of circuits on which it needs a reason: it touches what can hurt.
    pub barred_on: &'static [Hazard],
    /// True if it takes the supply off everything below its fuse, whose guards then count too.
    pub cuts_below: bool,
    /// True if several may be typed at once, as TARGET=VALUE.
    pub several: bool,
    /// The kind that may follow in the same line, behind its word.
    pub then: Option<MeasurementKind>,
}

/// Where a reading is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TargetKind {
    /// At the battery: it is not named.
    Battery,
    /// In a box, or in all where none is named.
    BoxIfAny,
    /// On a fuse or link.
    Fuse,
    /// On a fuse, or on a load as FUSE/LOAD.
    FuseOrLoad,
    /// On a fuse, a link or an unfused item.
    Place,
    /// On a load, as FUSE/LOAD.
    Load,
    /// At an input of a network.
    Input,
}

/// One value of a reading.
#[derive(Debug)]
pub struct Slot {
    /// Its key in the log.
    pub key: &'static str,
    /// What it is, for people: `total before`.
    pub told: &'static str,
    /// What stands there.
    pub value: SlotValue,
}

/// What stands in a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SlotValue {
    /// A number with its unit, or a bare one in this unit.
    Number(Bare),
    /// A property that is there or not, and its word when typed.
    Flag(&'static str),
}

/// The unit of a bare number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bare {
    /// Millivolt: drops and offsets.
    MilliVolt,
    /// Volt: the battery.
    Volt,
    /// Milliampere: totals and clamps.
    MilliAmpere,
    /// Ampere: a known load.
    Ampere,
    /// Degree Celsius.
    Celsius,
}

/// A value as it was typed.
#[derive(Debug, Clone, PartialEq)]
pub enum TypedSlot {
    /// A voltage.
    Volt(Typed<Volt>),
    /// A current.
    Ampere(Typed<Ampere>),
    /// A temperature.
    Celsius(Typed<Celsius>),
    /// A property that is there or not.
    Flag(bool),
}

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
    pub const ALL: [Self; 12] = [
        Self::Zero,
        Self::Total,
        Self::Drop,
        Self::Pull,
        Self::Refit,
        Self::Clamp,
        Self::Unplug,
        Self::Input,
        Self::Step,
        Self::Temperature,
        Self::Volts,
        Self::Watch,
    ];

    /// Returns the kind of a typed word.
    pub fn of_word(word: &str) -> Option<Self> {
        // Totals of a wait are typed in the wait only.
        Self::ALL.into_iter().find(|kind| *kind != Self::Watch && kind.row().word.eq_ignore_ascii_case(word))
    }

    /// Returns true if the stage of the question doesn't take it itself: temperature and volts belong to stages.
    pub fn is_reading(self) -> bool {
        !matches!(self, Self::Temperature | Self::Volts | Self::Watch)
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
            Self::Pull => &rows::PULL,
            Self::Refit => &rows::REFIT,
            Self::Clamp => &rows::CLAMP,
            Self::Unplug => &rows::UNPLUG,
            Self::Input => &rows::INPUT,
            Self::Step => &rows::STEP,
        }
    }
}

impl KindRow {
    /// Returns its values that are numbers.
    pub fn numbers(&self) -> impl Iterator<Item = &'static Slot> {
        self.slots.iter().filter(|slot| matches!(slot.value, SlotValue::Number(_)))
    }
}

impl TypedSlot {
    /// Returns the value as it was typed; empty for a property.
    pub fn text(&self) -> &str {
        match self {
            Self::Volt(value) => &value.text,
            Self::Ampere(value) => &value.text,
            Self::Celsius(value) => &value.text,
            Self::Flag(_) => "",
        }
    }
}

impl TargetKind {
    /// Returns the names of a place: fuse and load of `FUSE/LOAD`, else the one; none at the battery.
    pub fn names(self, at: &str) -> Vec<String> {
        match (self, at.split_once('/')) {
            (_, _) if at.is_empty() => Vec::new(),
            (Self::Load, Some((feed, load))) => vec![feed.to_owned(), load.to_owned()],
            _ => vec![at.to_owned()],
        }
    }

    /// Returns the keys of the names in the log.
    pub fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Battery => &[],
            Self::BoxIfAny => &["box"],
            Self::Fuse | Self::FuseOrLoad => &["feed"],
            Self::Place => &["branch"],
            Self::Load => &["feed", "load"],
            Self::Input => &["input"],
        }
    }
}

impl Bare {
    /// Returns the unit as it is typed and shown.
    pub fn unit(self) -> &'static str {
        match self {
            Self::MilliVolt => "mV",
            Self::Volt => "V",
            Self::MilliAmpere => "mA",
            Self::Ampere => "A",
            Self::Celsius => "°C",
        }
    }

    /// Reads a value.
    ///
    /// # Errors
    /// It is none of this quantity.
    pub fn read(self, text: &str) -> Result<TypedSlot, Diagnostic> {
        Ok(match self {
            Self::MilliVolt | Self::Volt => TypedSlot::Volt(Volt::read(text, self.unit())?),
            Self::MilliAmpere | Self::Ampere => TypedSlot::Ampere(Ampere::read(text, self.unit())?),
            Self::Celsius => TypedSlot::Celsius(Celsius::read(text, "C")?),
        })
    }
}

impl Measurement {
    /// Returns the kind.
    pub fn kind(&self) -> MeasurementKind {
        match self {
            Self::Total { .. } => MeasurementKind::Total,
            Self::Watch { .. } => MeasurementKind::Watch,
            Self::Drop { .. } => MeasurementKind::Drop,
            Self::Pull { .. } => MeasurementKind::Pull,
            Self::Refit { .. } => MeasurementKind::Refit,
            Self::Clamp { .. } => MeasurementKind::Clamp,
            Self::Unplug { .. } => MeasurementKind::Unplug,
            Self::Input { .. } => MeasurementKind::Input,
            Self::Step { .. } => MeasurementKind::Step,
        }
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
            Self::Drop { feed, drop } => (vec![feed], vec![volts(drop)]),
            Self::Pull { feed, before, after } => (vec![feed], vec![current(before), current(after)]),
            Self::Refit { feed, total } => (vec![feed], vec![current(total)]),
            Self::Clamp { at, current: shown } => (vec![at], vec![current(shown)]),
            Self::Unplug { feed, load, before, after } => {
                (vec![feed, load], vec![current(before), current(after)])
            }
            Self::Input { input, before, after } => (vec![input], vec![current(before), current(after)]),
            Self::Step { feed, before, after, current: load } => {
                (vec![feed], vec![volts(before), volts(after), current(load)])
            }
        };
        MeasurementParts { kind: self.kind(), names: names.into_iter().cloned().collect(), values }
    }

    /// Puts a reading together; `None` if the parts are not those of its kind, or the kind is none of a reading's.
    pub fn build(parts: MeasurementParts) -> Option<Self> {
        use TypedSlot::{Ampere as A, Flag, Volt as V};
        let mut names = parts.names.into_iter();
        let mut name = || names.next();
        let mut values = parts.values.into_iter();
        Some(match (parts.kind, values.next()?, values.next(), values.next()) {
            (MeasurementKind::Total, A(current), Some(Flag(as_found)), None) => {
                Self::Total { current, as_found }
            }
            (MeasurementKind::Watch, A(current), None, None) => Self::Watch { current },
            (MeasurementKind::Drop, V(drop), None, None) => Self::Drop { feed: name()?, drop },
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
            _ => return None,
        })
    }
}
