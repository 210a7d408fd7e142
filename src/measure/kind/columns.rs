//! What the table of the kinds of reading tells of each: its columns.
//! Leaves to others: the rows (`rows`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Volt};
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
    /// Millivolts across a fuse, read along a row and not above this.
    Below,
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
    /// What eye, ear, hand or a thermal camera found.
    Look,
    /// What the vehicle says of itself on a scan tool.
    Report,
    /// A fuse, or a load, left out: how many wake-ups came meanwhile.
    Out,
}

/// What a kind of reading is.
#[derive(Debug)]
pub struct KindRow {
    /// The word that is typed, and in the log unless `entry` differs.
    pub word: &'static str,
    /// Its kind in the log.
    pub entry: &'static str,
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
    /// At an input of a network, or on a load as FUSE/LOAD or by its name alone.
    InputOrLoad,
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
    /// One of these words; one that ends in `=N` takes a count there.
    Word(&'static [&'static str]),
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
    /// Minute.
    Minute,
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
    /// A span of time.
    Minute(Typed<Minute>),
    /// A property that is there or not.
    Flag(bool),
    /// A word of the table.
    Word(String),
}

impl KindRow {
    /// Returns its values that are numbers.
    pub fn numbers(&self) -> impl Iterator<Item = &'static Slot> {
        self.slots.iter().filter(|slot| matches!(slot.value, SlotValue::Number(_)))
    }

    /// Returns the unit of its first bare number; empty if it has none.
    pub fn unit(&self) -> &'static str {
        self.slots.iter().find_map(|slot| slot.value.unit()).unwrap_or("")
    }
}

impl SlotValue {
    /// Returns the unit of a bare number that stands there.
    pub fn unit(self) -> Option<&'static str> {
        match self {
            Self::Number(bare) => Some(bare.unit()),
            Self::Flag(_) | Self::Word(_) => None,
        }
    }
}

impl TypedSlot {
    /// Returns the value as it was typed; empty for a property.
    pub fn text(&self) -> &str {
        match self {
            Self::Volt(value) => &value.text,
            Self::Ampere(value) => &value.text,
            Self::Celsius(value) => &value.text,
            Self::Minute(value) => &value.text,
            Self::Word(word) => word,
            Self::Flag(_) => "",
        }
    }
}

impl TargetKind {
    /// Returns true if its first name is a fuse, or begins with one.
    pub fn is_at_fuse(self) -> bool {
        matches!(self, Self::Fuse | Self::FuseOrLoad | Self::Load)
    }

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
            Self::InputOrLoad => &["of"],
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
            Self::Minute => "min",
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
            Self::Minute => TypedSlot::Minute(Minute::read(text, "min")?),
        })
    }
}
