//! As found and prepared, in words: what is read before anything is touched, and what is done so that nothing wakes it.

use super::wording::wordings;
use crate::circuit::map::VehicleClass;

wordings! {
    FoundReach, "Does a clamp reach a battery cable with nothing opened?",
        "Doors, bonnet, seats and hatches have switches. If you can reach it, read the total first: a hung module may restart at the first door, and the fault is gone.",
        "yes" => "it reaches", "no" => "something must be opened first";
    FoundTotal ["mA"], "Total as found, clamped on one battery cable",
        "Nothing is opened yet: this is what the customer's vehicle does.";
    FoundWithout ["mA"], "Total with what is plugged in taken off",
        "Take it off where that opens nothing, wait a minute, read again the same way. Good: the total falls. The difference is what it draws. Beware: a door or a lid that you open wakes the vehicle.";
    PrepareOpened, "Done? Name what you opened, tripped, unplugged",
        "Never slam a door on a tripped latch. Name them with commas between: driver door latch, bonnet, boot trim. Each is ticked off at the end. Fuse boxes and fuses go on the list by themselves. The wait begins with this answer.";
    PrepareDone, "Is the vehicle prepared?",
        "The wait begins with this answer.";
}

/// Returns how it is asked what is open, where that is otherwise than on a car.
pub fn opened(class: VehicleClass) -> Option<&'static str> {
    match class {
        VehicleClass::Motorcycle => Some("Done? Name the covers off, and what you unplugged"),
        VehicleClass::Boat => Some("Done? Name what you opened, unplugged or shut"),
        _ => None,
    }
}

/// What to do, in order: each with the classes that it is not for.
const LIST: [(&str, &[VehicleClass]); 4] = [
    ("All off, charger and panel too. Sockets empty, but for what the complaint is about.", &[]),
    (
        "Open what you will need, trip its latches by hand. A window open: it may lock.",
        &[VehicleClass::Motorcycle, VehicleClass::Boat],
    ),
    ("Covers off the fuse boxes, leads laid.", &[]),
    ("Lock it as the customer does, key out of radio reach.", &[]),
];

/// A lid that current opens, with the battery behind it.
const LATCH: &str = "Battery behind an electric latch: that lid stays open until the end.";

/// What one class of vehicle needs besides.
fn besides(class: VehicleClass) -> &'static [&'static str] {
    match class {
        VehicleClass::Car => &[LATCH],
        VehicleClass::Electrified => &[
            LATCH,
            "Charging plug out, timers off. It may charge its 12 V battery now and then: the current turns round, no fault.",
            "Start button guarded; nothing orange is opened.",
        ],
        VehicleClass::Truck => &[
            "Battery isolator as the driver leaves it. A clock, a tracker or a lift may be wired before it.",
        ],
        VehicleClass::Motorcycle => &["Seat and side covers off first, no charger tail left in."],
        VehicleClass::Boat => &[
            "Blow the bilge out first. Battery switch as the owner leaves it. Bilge pump and gas alarm stay on: note their draw.",
            "Shore supply unplugged by whoever may; gas shut.",
        ],
        VehicleClass::Caravan => &[
            "House and starter battery one at a time: split relay or charger between them off. Note which one you read.",
            "Shore supply unplugged, gas shut. The gas alarm stays on: note its draw.",
        ],
    }
}

/// Returns what to do to a class of vehicle before the wait, in order.
pub fn to_do(class: VehicleClass) -> impl Iterator<Item = &'static str> {
    let usual = LIST.iter().filter(move |(_, not_for)| !not_for.contains(&class)).map(|(text, _)| *text);
    usual.chain(besides(class).iter().copied())
}

/// What stands above it.
pub const HEADING: &str = "Prepare the vehicle";
/// What restarts the sleep clock.
pub const PREPARED: &str = "vehicle prepared";
/// Something else than yes.
pub const TYPE_YES: &str = "Type yes when that's done, or skip REASON.";
