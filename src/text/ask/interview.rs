//! The interview in words: what vehicle it is, the complaint, and what narrows the search before any reading.

use super::wording::wordings;
use crate::base::quantity::Minute;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::battery::capacity::Capacity;
use crate::circuit::limits::ClassLimit;
use crate::log::question_id::QuestionId;
use crate::text::stand;

wordings! {
    InterviewClass, "What kind of vehicle is it?",
        "Limit, cautions, what hangs at the battery without a fuse and what can hold it awake follow from this.",
        "car" => "car or light van", "electrified" => "hybrid or electric car", "truck" => "truck or bus",
        "motorcycle" => "motorcycle", "boat" => "boat", "caravan" => "caravan, or the living part of a motorhome";
    InterviewVolts ["V"], "Volts of its system?",
        "6, 12 or 24, as the battery or the type plate has it. Two 12 V batteries in series are 24 V.";
    InterviewBatteries, "How many batteries?",
        "24 V has two in series. More than these stand side by side and their capacities add up. A battery behind an isolator that was open while it stood does not count.";
    InterviewVehicle, "Vehicle, as the record should name it",
        "Any words: model, plate, work order. It stands in the record and nowhere else.";
    InterviewComplaint, "What is the complaint?",
        "In the customer's words. The record keeps them.";
    InterviewStand ["days"], "How long does it stand before it is flat?",
        "A time such as 3 days or 10 h. Flat overnight points to an ampere or more, flat in weeks to tens of milliampere.";
    InterviewPattern, "When does it go flat?",
        "A fault that comes at times may not be there while you measure; one at a single place points to a radio wake, a neighbour's transmitter, a key too near, or how it is left there.",
        "always" => "every time that it stands", "sometimes" => "only at times",
        "one-place" => "only at one place", "unknown" => "don't know";
    InterviewYear, "Model year?",
        "It decides how long to wait for sleep where the map doesn't say: old vehicles sleep in minutes, new ones may need over an hour.";
    InterviewRecent, "Anything added, worked on or wet lately? Jump starts, short trips, warning lamps, left unlocked?",
        "In words, several if so: add-on, work, water, jump start, driven 20 min since, 8 km a day, warning lamp, unlocked, key near. Add-on devices, repairs, bodywork, a new battery, a leak, rain inside; or nothing.";
    InterviewPlugged, "What is left plugged in when it stands?",
        "Sockets, USB, the diagnosis plug, a fridge, a charger, a dash camera; or nothing. It is unplugged before the wait unless the complaint is about it.";
}

/// Says what an answer in words was taken for.
pub fn understood(told: &str) -> String {
    format!("Understood: {told}.")
}

/// A time that is no time.
pub const ABOVE_ZERO: &str = "The time must be above zero, such as 3 days.";
/// What a time to flat looks like.
pub const A_TIME: &str = "a time such as 3 days, 2-3 weeks, overnight or 10 h; or don't know";
/// An empty answer.
pub const A_FEW_WORDS: &str = "Type a few words, or skip REASON.";

/// Says that a text is no answer to a question about the vehicle itself.
pub fn not_of_it(id: QuestionId, text: &str) -> String {
    let (what, wanted) = match id {
        QuestionId::InterviewVolts => ("system", "6, 12 or 24"),
        QuestionId::InterviewBatteries => ("number of batteries", "a number from 1 to 12"),
        _ => ("model year", "four digits such as 2014, or don't know"),
    };
    format!("\"{text}\" is no {what}; type {wanted}.")
}

/// Says why the vehicle is asked about first.
pub fn what_vehicle() -> Vec<StyledText> {
    vec![
        StyledText::of(Role::Heading, "The vehicle"),
        StyledText::plain("There is no map, so it comes first: limit, waits and cautions follow from it.")
            .indented(2),
    ]
}

/// Says what follows from the vehicle: its limit, how long it may take to sleep, its battery and what hangs at that
/// without a fuse.
pub fn follows(
    limit: Option<&ClassLimit>,
    sleep: Minute,
    battery: Option<&Capacity>,
    unfused: &[&str],
) -> Vec<StyledText> {
    let limit = match limit.and_then(|row| Some((row.limit?, row))) {
        Some((current, row)) => format!("Limit: {}, {}.", bare(current, 2), row.source),
        None => "Limit: none is published; later you are asked how long it must stand.".to_owned(),
    };
    let sleep = format!("Sleep: it may take {}.", bare(sleep, 2));
    let battery = battery.map(|found| format!("Battery: {}.", stand::capacity(found)));
    let unfused =
        (!unfused.is_empty()).then(|| format!("At the battery without a fuse: {}.", unfused.join(", ")));
    let lines = [Some(limit), Some(sleep), battery, unfused].into_iter().flatten();
    lines.map(|line| StyledText::of(Role::Hint, line).indented(2)).collect()
}
