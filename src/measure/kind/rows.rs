//! What each kind of reading is: a row a kind.
//! Leaves to others: what the columns mean (`columns`).

use super::columns::{Bare, KindRow, MeasurementKind, Slot, SlotValue, TargetKind};
use crate::circuit::map::Hazard;

const fn slot(key: &'static str, told: &'static str, bare: Bare) -> Slot {
    Slot { key, told, value: SlotValue::Number(bare) }
}

/// A total before and after something was done.
const BOTH: &[Slot] =
    &[slot("before", "total before", Bare::MilliAmpere), slot("after", "total after", Bare::MilliAmpere)];

/// Nothing is measured there by touching the circuit, unless somebody says why.
const DANGEROUS: &[Hazard] = &[Hazard::Restraint, Hazard::Hv];

const fn row(word: &'static str, target: TargetKind, slots: &'static [Slot]) -> KindRow {
    KindRow {
        word,
        entry: word,
        target,
        slots,
        barred_on: &[],
        cuts_below: false,
        several: false,
        then: None,
    }
}

pub(super) static ZERO: KindRow =
    row("zero", TargetKind::Battery, &[slot("offset", "offset", Bare::MilliVolt)]);
pub(super) static TEMPERATURE: KindRow = KindRow {
    entry: "temperature",
    several: true,
    ..row("temp", TargetKind::BoxIfAny, &[slot("temperature", "temperature", Bare::Celsius)])
};
pub(super) static VOLTS: KindRow = row("volts", TargetKind::Battery, &[slot("volts", "volts", Bare::Volt)]);
pub(super) static TOTAL: KindRow = row(
    "total",
    TargetKind::Battery,
    &[
        slot("current", "total", Bare::MilliAmpere),
        Slot { key: "as_found", told: "as found", value: SlotValue::Flag("--as-found") },
    ],
);
pub(super) static WATCH: KindRow =
    row("watch", TargetKind::Battery, &[slot("current", "total", Bare::MilliAmpere)]);
pub(super) static DROP: KindRow = KindRow {
    barred_on: DANGEROUS,
    several: true,
    ..row("drop", TargetKind::Fuse, &[slot("drop", "drop", Bare::MilliVolt)])
};
pub(super) static BELOW: KindRow = KindRow {
    barred_on: DANGEROUS,
    several: true,
    ..row("below", TargetKind::Fuse, &[slot("drop", "drop", Bare::MilliVolt)])
};
pub(super) static PULL: KindRow = KindRow {
    barred_on: DANGEROUS,
    cuts_below: true,
    then: Some(MeasurementKind::Refit),
    ..row("pull", TargetKind::Fuse, BOTH)
};
pub(super) static REFIT: KindRow =
    row("refit", TargetKind::FuseOrLoad, &[slot("current", "total", Bare::MilliAmpere)]);
pub(super) static CLAMP: KindRow =
    row("clamp", TargetKind::Place, &[slot("current", "current", Bare::MilliAmpere)]);
pub(super) static UNPLUG: KindRow = KindRow { barred_on: DANGEROUS, ..row("unplug", TargetKind::Load, BOTH) };
pub(super) static INPUT: KindRow = row("input", TargetKind::Input, BOTH);
pub(super) static STEP: KindRow = KindRow {
    barred_on: DANGEROUS,
    ..row(
        "step",
        TargetKind::Fuse,
        &[
            slot("before", "drop before", Bare::MilliVolt),
            slot("after", "drop after", Bare::MilliVolt),
            slot("current", "current of the load", Bare::Ampere),
        ],
    )
};

/// What can be seen, heard or felt of a load or a fuse.
const FOUND: &[&str] = &["lit", "dark", "warm", "cold", "humming", "clicking", "silent", "wet"];

pub(super) static LOOK: KindRow = row(
    "look",
    TargetKind::FuseOrLoad,
    &[Slot { key: "found", told: "what was found", value: SlotValue::Word(FOUND) }],
);

/// How many wake-ups came.
const CAME: &[&str] = &["none", "came=N"];

pub(super) static OUT: KindRow = KindRow {
    barred_on: DANGEROUS,
    cuts_below: true,
    ..row(
        "out",
        TargetKind::FuseOrLoad,
        &[
            Slot { key: "came", told: "wake-ups that came", value: SlotValue::Word(CAME) },
            slot("time", "time", Bare::Minute),
        ],
    )
};

/// What a vehicle says of itself: of an input whether it stands as it must not in a parked vehicle (open, pressed, on, not in
/// Park) or as it should (shut), of a module whether it sleeps, and how often it woke the others.
const REPORTED: &[&str] = &["open", "shut", "awake", "asleep", "woke=N"];

pub(super) static REPORT: KindRow = row(
    "report",
    TargetKind::InputOrLoad,
    &[Slot { key: "says", told: "what it says", value: SlotValue::Word(REPORTED) }],
);
