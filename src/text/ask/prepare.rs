//! As found and prepared, in words: what is read before anything is touched, and what is done so that nothing wakes it.

use super::wording::wordings;
use crate::circuit::map::VehicleClass;

wordings! {
    FoundReach, "Can a clamp reach a battery cable without opening or moving anything that has a switch (door, bonnet, seat, hatch)?",
        "If so, the total is read before anything is touched: a hung module may restart at the first door and hide the fault.",
        "yes" => "it reaches", "no" => "something must be opened or switched first";
    FoundTotal ["mA"], "Total as found, clamped on one battery cable",
        "Zero the clamp beside the cable, close it around every cable on one post, read when steady.";
    FoundWithout ["mA"], "Total with what is plugged in taken off",
        "Take off what the customer leaves plugged in, where that opens nothing, wait a minute, and read again. The difference is what it draws.";
    PrepareOpened, "Which latches are tripped, which lids and covers open, what is unplugged?",
        "With commas between: driver door latch, bonnet, boot trim. Each is ticked off at the end. Fuse boxes, fuses and plugs of the readings come on the list by themselves.";
    PrepareDone, "Is the vehicle prepared?",
        "The wait begins with this answer.";
}

/// Returns how it is asked what is open, where that is otherwise than on a car.
pub fn opened(class: VehicleClass) -> Option<&'static str> {
    match class {
        VehicleClass::Motorcycle => Some("Which covers and seats are off, what is unplugged?"),
        VehicleClass::Boat => Some("Which hatches and covers are open, what is unplugged or shut?"),
        _ => None,
    }
}

/// What to do, in order: each with the classes that it is not for.
const LIST: [(&str, &[VehicleClass]); 7] = [
    (
        "Everything off and unplugged that the customer leaves plugged in, unless the complaint is about it.",
        &[],
    ),
    (
        "Window open and key outside: the vehicle may lock itself.",
        &[VehicleClass::Motorcycle, VehicleClass::Boat, VehicleClass::Caravan],
    ),
    (
        "Open every door, lid and bonnet that you will need, then trip its latch by hand so that the vehicle takes it for shut; note each one. Never slam a door on a tripped latch.",
        &[VehicleClass::Motorcycle, VehicleClass::Boat],
    ),
    ("Take the covers off the fuse boxes now; lay leads so that nothing need be moved later.", &[]),
    ("Nothing feeds the vehicle: charger and solar panel off.", &[]),
    (
        "Key or fob well away, out of radio reach; lock if that is how it stands at the customer's.",
        &[VehicleClass::Boat],
    ),
    ("From now on touch nothing: each door, handle, fob or light switch starts the wait again.", &[]),
];

/// What one class of vehicle needs besides.
fn besides(class: VehicleClass) -> &'static [&'static str] {
    match class {
        VehicleClass::Car => &[],
        VehicleClass::Electrified => &[
            "Charging plug out, timers and preconditioning off: it charges its own 12 V battery now and then, and the current turns round. That is no fault.",
            "Start button covered or guarded; nothing orange is opened.",
        ],
        VehicleClass::Truck => &[
            "Battery isolator as the driver leaves it: what is wired before it draws on, and a clock, a tracker or a lift may be.",
            "Read each battery by itself where something runs on 12 V: a tap shows on one of them only.",
        ],
        VehicleClass::Motorcycle => &[
            "Seat and side covers off first; on its stand, steering unlocked if the lock is wired.",
            "A draw of a milliampere or two is the limit: leave no lead, charger tail or grip heater plugged in.",
        ],
        VehicleClass::Boat => &[
            "Blow the bilge out first. Battery switch as the owner leaves it; bilge pump, its float switch and gas alarm stay on the battery by right: note what they draw.",
            "Shore supply unplugged by whoever may; gas shut.",
        ],
        VehicleClass::Caravan => &[
            "House battery and starter battery are hunted one at a time: split relay or charger between them off, note which one you read.",
            "Shore supply unplugged, gas shut; the gas alarm stays on by right: note what it draws.",
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
pub const TYPE_YES: &str = "Type yes when it is done, or skip REASON.";
