//! What can be added to a log, each kind in one line of the help.
//! Leaves to others: its words and values (`measure/kind/rows`, `log/typed`), what it meant once it is read (`reading`).

use crate::log::typed::{AFTER_REPAIR, TypedEvent};
use crate::measure::kind::MeasurementKind;

/// Why a barred reading is taken all the same.
pub const WHY: &str = "Why it is taken on a circuit that can hurt (restraint, high voltage)";

/// Who says so.
pub const SOURCE_OF_LIMIT: &str = "Where the limit is from";

/// Says what a kind of reading is.
pub fn kind(kind: MeasurementKind) -> &'static str {
    match kind {
        MeasurementKind::Zero => "Leads shorted: the offset of the millivolt meter",
        MeasurementKind::Temperature => "Temperature of a box, or of all boxes",
        MeasurementKind::Volts => "Rested volts of the battery",
        MeasurementKind::Total => "Settled total, by clamp or in series",
        MeasurementKind::Watch => "Total seen while waiting",
        MeasurementKind::Drop => "Drop across a fuse, or across several: FUSE=DROP for each",
        MeasurementKind::Below => "Drop read below this",
        MeasurementKind::Pull => {
            "Fuse pulled: the total before and after; refit TOTAL behind it if it is back"
        }
        MeasurementKind::Refit => "Fuse, or FUSE/LOAD, back in its place: the total then",
        MeasurementKind::Clamp => "Clamp around a fuse's cable, a link or an unfused branch",
        MeasurementKind::Unplug => "Load unplugged, as FUSE/LOAD: the total before and after",
        MeasurementKind::Input => "Input of a network worked: the total before and after",
        MeasurementKind::Step => "Known load on a fuse switched on: calibrates its resistance",
        MeasurementKind::Look => "What eye, ear, hand or a thermal camera found at a fuse or FUSE/LOAD",
        MeasurementKind::Out => "Left out, wake-ups counted",
        MeasurementKind::Report => {
            "What the vehicle says of itself on a scan tool: of an input open or shut, of a load awake, asleep or woke=N"
        }
    }
}

/// Says what an event is.
pub fn event(event: TypedEvent) -> &'static str {
    match event {
        TypedEvent::Others => "The other fuses of the box last read, really probed: one value for all",
        TypedEvent::Disturb => "Something that restarts the sleep clock, such as \"driver door\"",
        TypedEvent::Note => "Note in words",
        TypedEvent::Limit => "Limit for the settled draw, and where it is from",
        TypedEvent::Vehicle => "Plate, VIN, order, technician",
    }
}

/// Says what a flag of a reading means.
pub fn flag(word: &str) -> &'static str {
    if word == AFTER_REPAIR {
        "Taken after the repair"
    } else {
        "Taken before anything was switched or opened"
    }
}
