//! The questions about the battery in words, and why the hunt stops before one that is flat or failed.

use super::always::AGAIN;
use super::wording::wordings;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Typed, Unit, Volt};
use crate::base::styled::{Role, StyledText};
use crate::battery::reason::Remedy;

/// Help of the measured cranking rating.
const MEASURED: &str = "A tester on both posts, battery charged. Type what it shows, in ampere, by the standard that is printed. Good: 80 % of the rating or more. Beware: below 70 % is worn out (common practice). On bolts of side posts it reads too low.";

wordings! {
    BatteryVolts | FoundVolts ["V"], "Battery volts at rest, at the posts",
        "Just charged or driven? Headlamps on for 15 s, wait 2 min, then read.";
    BatteryType, "Battery type?",
        "It stands on the label. Each type shows other volts for the same charge. Filler caps mean flooded.",
        "flooded" => "liquid acid", "efb" => "enhanced flooded", "agm" => "glass mat", "gel" => "",
        "lithium" => "iron phosphate", "unknown" => "";
    BatteryTest, "Is the battery good?",
        "A load test or a conductance tester on the charged battery tells. A worn battery is often taken for a draw.",
        "both" => "it and the charging tested good", "good" => "only the battery", "results" => "type what was measured",
        "bad" => "", "unsafe" => "frozen, swollen, leaking", "not-tested" => "";
    BatteryFirst ["V"], "Volts of the first battery alone",
        "Its own negative post to its own positive post. Good: within 0.2 V of the other battery. Beware: further apart, one is worn or something is tapped off one of them.";
    BatteryRating, "What is printed on the battery?",
        "As the label has it: 70 Ah 640 A EN, RC 120, CCA 540 SAE. Don't know takes a usual size.";
    BatteryMade, "Maker's code or year?",
        "As printed or stamped. The year tells its age: A6 2019.";
    BatteryRest ["h"], "How long has it rested?",
        "Since it was charged or driven, such as 8 h. After a short rest it shows more charge than there is.";
    BatteryTemperature ["°C"], "Temperature of the battery?",
        "Hold the thermometer to its case. Good: as the air around it. Beware: outside it may be colder than the air.";
    BatteryPosts, "Top or side posts?",
        "On side posts screw lead adapters in and measure there. On the bolts it reads too low.",
        "top" => "", "side" => "", "unknown" => "";
    BatteryMeasured ["A"], "Cranking rating that a tester measured",
        MEASURED;
    BatteryLoad ["V"], "Load test: volts after 15 s at half the cranking rating",
        "Load tester on the posts, battery at 75 % charge or more, 15 s. Good: 9.6 V at 21 °C, 9.3 at 4 °C, 8.9 at -7 °C, 8.5 at -18 °C, or more. Beware: sparks. Tester off before its clips move.";
    BatteryLeak ["V"], "Volts from a post to the case top beside it",
        "One probe on the post, draw the other over the top of the case. Good: under 0.5 V. Beware: more runs through dirt and acid. Eye protection, wipe it with soda and water.";
    BatteryClamps, "Do the clamps hold?",
        "Turn each a little on its post. They must hold, and be bare beneath.",
        "hold" => "tight and clean", "bad" => "loose or corroded", "unknown" => "not looked at";
    BatteryCharged, "Was it charged before these volts were read?",
        "Five sound cells give about 10.5 V. A battery that is flat right down may show as little until it is charged and has rested.",
        "yes" => "charged and rested", "no" => "not charged since", "unknown" => "don't know";
    BatteryCapacity ["Ah"], "Capacity that a tester or a discharge measured",
        "Tester or discharge on the full battery, in ampere-hours. Good: 80 % of what is printed, or more. Beware: below that it is worn out (common practice). The days that it stands are then those of this battery.";
    BatterySerial, "New battery: serial number or code?",
        "As printed or stamped. The record keeps it.";
    BatteryFitted, "New battery: fitted when?",
        "A date, as the work order has it.";
    BatteryRegistered, "New battery: told to the vehicle?",
        "Vehicles that watch their battery charge a new one as the worn one until they are told, with a scan tool, of its type and capacity.",
        "registered" => "registered with a scan tool", "not-needed" => "this vehicle doesn't need it",
        "not-done" => "not done yet", "unknown" => "don't know";
    BatteryGate, "Stop here and see to the battery first?",
        "On a flat battery the draw reads too low, and modules behave oddly below about 11 V. Go on only if you can't charge or replace it now.",
        "stop" => "charge or replace it, then go on with this log", "go-on" => "all the same; the record says so";
    BatteryAgain, "Has the battery been charged or replaced, and rested?",
        AGAIN,
        "yes" => "charged; judge it again", "replaced" => "judge the new one", "no" => "not yet";
}

/// Returns the help of the measured cranking rating, with each standard's name, seconds and volts.
pub fn measured_help<'a>(standards: impl Iterator<Item = (&'a str, f64, Volt)>) -> String {
    let one = |(name, seconds, volts): (&str, f64, Volt)| format!("{name} {seconds} s to {} V", volts.base());
    let each = standards.map(one).collect::<Vec<_>>().join(", ");
    format!("{MEASURED} At -18 °C these are: {each}.")
}

/// Says what to do about a battery that stops the hunt.
pub fn advice(remedy: Remedy) -> StyledText {
    match remedy {
        Remedy::HandsOff => StyledText::of(
            Role::Caution,
            "Caution: guard eyes and hands. No charger, no jump leads, no tester. Replace it, or thaw it slowly in an aired place and look again.",
        ),
        Remedy::Replace => StyledText::plain("Fit a new one, let it rest, test it, and go on with this log."),
        Remedy::Charge => StyledText::plain(
            "Charge it fully, never a frozen one. Let it rest for hours, test it, and go on with this log.",
        ),
    }
}

/// Asks for the volts of two batteries in series.
pub const VOLTS_OF_A_PAIR: &str = "Volts at rest of both, and of the first alone";

/// Says that it is flat.
pub fn flat(rested: Volt, least: Volt) -> String {
    format!("{} at rest is flat: the lowest of the tables is {}.", bare(rested, 4), bare(least, 3))
}

/// Says that the hunt stops for this.
pub fn comes_first(why: &str) -> String {
    format!("the battery comes first: {why}")
}

/// Says that volts can't be this battery's.
pub fn no_volts(typed: &Typed<Volt>, system: Volt) -> String {
    format!("{} can't be this battery: the system has {}. Read it again.", typed.text, bare(system, 2))
}
