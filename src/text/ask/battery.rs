//! The questions about the battery in words, and why the hunt stops before one that is flat or failed.

use super::always::AGAIN;
use super::wording::wordings;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Typed, Unit, Volt};
use crate::base::styled::{Role, StyledText};

/// Help of the measured cranking rating.
const MEASURED: &str = "In ampere, set to the standard that is printed. 80 % of the rated one or more is sound, below 70 % it is worn out (common practice).";

wordings! {
    BatteryVolts | FoundVolts ["V"], "Battery volts at rest, at the posts",
        "Hours after the last charge or drive, nothing switched on, before the engine runs. After a charge take the surface charge off first: headlamps 15 s, then wait 2 min.";
    BatteryType, "Battery type?",
        "It stands on the label: flooded (filler caps), efb, agm (absorbent glass mat), gel, lithium (iron phosphate). Without it the charge is told less closely.",
        "flooded" => "liquid acid", "efb" => "enhanced flooded", "agm" => "absorbent glass mat", "gel" => "gel",
        "lithium" => "lithium iron phosphate", "unknown" => "don't know";
    BatteryTest, "Is the battery known to be good?",
        "A load test or a conductance tester, on the charged battery. A worn battery is often mistaken for a draw. results asks for what was measured and judges it.",
        "good" => "tested good", "results" => "enter what was measured, and have it judged",
        "bad" => "tested bad", "unsafe" => "frozen, swollen or leaking", "not-tested" => "not tested yet";
    BatteryFirst ["V"], "The two batteries in series: volts of the first one alone",
        "From its own negative to its own positive post. The second is the rest. Further apart than 0.2 V, one of them is worn or something is tapped off one of them.";
    BatteryRating, "What is printed on the battery?",
        "As the label has it: 70 Ah 640 A EN, RC 120, CCA 540 SAE.";
    BatteryMade, "Maker's code or year?",
        "As printed or stamped, with the year if you can read it: A6 2019. The year tells its age.";
    BatteryRest ["h"], "How long has it rested since it was charged or driven?",
        "A time such as 8 h. A short rest leaves surface charge, which looks like more than there is.";
    BatteryTemperature ["°C"], "Temperature of the battery?",
        "It may be colder than the air around it.";
    BatteryPosts, "Top or side posts?",
        "On side posts measure and test on lead adapters screwed in, not on the bolts: bolts make the reading fall short.",
        "top" => "top posts", "side" => "side posts", "unknown" => "don't know";
    BatteryMeasured ["A"], "Cranking rating that a tester measured",
        MEASURED;
    BatteryLoad ["V"], "Load test: volts at the end of 15 s at half the cranking rating",
        "At 75 % charge or more. Least volts: 9.6 at 21 °C, 9.3 at 4 °C, 8.9 at -7 °C, 8.5 at -18 °C.";
    BatteryLeak ["V"], "Volts from a post to the case top beside it",
        "One probe on the post, the other drawn over the top of the case. Half a volt or more is a path through dirt and acid.";
    BatteryClamps, "Do the clamps hold?",
        "Turn each a little on its post, so that its teeth break through the oxide: they must hold and be bare beneath. With the vehicle asleep this wakes it, so it is done now.",
        "hold" => "tight and clean", "bad" => "loose or corroded", "unknown" => "not looked at";
    BatteryCharged, "Was it charged before these volts were read?",
        "Five sound cells give about 10.5 V. A battery that is flat right down may show as little until it is charged and has rested.",
        "yes" => "charged and rested", "no" => "not charged since", "unknown" => "don't know";
    BatteryCapacity ["Ah"], "Capacity that a tester or a discharge measured",
        "In ampere-hours, not the rated one. With it the days that it stands are those of this battery. Below 80 % of the rated capacity it is worn out (common practice).";
    BatterySerial, "New battery: serial number or code?",
        "As printed or stamped. The record keeps it.";
    BatteryFitted, "New battery: fitted when?",
        "A date, as the work order has it.";
    BatteryRegistered, "New battery: told to the vehicle?",
        "Vehicles that watch their battery charge a new one as the worn one until they are told, with a scan tool, of its type and capacity.",
        "registered" => "registered with a scan tool", "not-needed" => "this vehicle doesn't need it",
        "not-done" => "not done yet", "unknown" => "don't know";
    BatteryGate, "Stop here and see to the battery first?",
        "A draw read on a flat battery is too low, and modules behave oddly below about 11 V. Go on only if the battery cannot be charged or replaced now.",
        "stop" => "charge or replace it, then go on with this log",
        "go-on" => "go on all the same; the record says so";
    BatteryAgain, "Has the battery been charged or replaced, and rested?",
        AGAIN,
        "yes" => "charged; judge it again", "replaced" => "replaced; judge the new one", "no" => "not yet";
}

/// Returns the help of the measured cranking rating, with each standard's name, seconds and volts.
pub fn measured_help<'a>(standards: impl Iterator<Item = (&'a str, f64, Volt)>) -> String {
    let one = |(name, seconds, volts): (&str, f64, Volt)| format!("{name} {seconds} s to {} V", volts.base());
    let each = standards.map(one).collect::<Vec<_>>().join(", ");
    format!("{MEASURED} At -18 °C these are: {each}.")
}

/// Says what to do about a battery that stops the hunt.
pub fn advice(stops: bool) -> StyledText {
    if stops {
        return StyledText::of(
            Role::Caution,
            "Caution: eyes and hands guarded, no charger, no jump leads, no tester. Replace it, or thaw it slowly in an aired place and look at it again.",
        );
    }
    StyledText::plain(
        "Charge it fully (never a frozen one; by the charger's setting for its type), let it rest for hours, test it, and go on with this log.",
    )
}

/// Says that it is flat.
pub fn flat(rested: Volt, least: Volt) -> String {
    format!("{} at rest is flat: below {}, the lowest of the tables", bare(rested, 4), bare(least, 3))
}

/// Says that the hunt stops for this.
pub fn comes_first(why: &str) -> String {
    format!("the battery comes first: {why}")
}

/// Says that volts can't be this battery's.
pub fn no_volts(typed: &Typed<Volt>, system: Volt) -> String {
    format!("{} are no volts of this battery: the system has {}.", typed.text, bare(system, 2))
}
