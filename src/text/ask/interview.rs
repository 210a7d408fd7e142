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
        "The limit, the cautions and what can keep it awake follow from this.",
        "car" => "or light van", "electrified" => "hybrid or electric car", "truck" => "or bus",
        "motorcycle" => "", "boat" => "", "caravan" => "or the living part of a motorhome";
    InterviewVolts ["V"], "Volts of its system?",
        "6, 12 or 24, as on the battery or the type plate. Two 12 V batteries in series are 24 V.";
    InterviewBatteries, "How many batteries?",
        "24 V has two in series. More than that stand side by side and add up. Leave out a battery whose isolator was open.";
    InterviewVehicle, "Vehicle, as the record should name it",
        "Any words: model, plate, work order. They stand in the record and nowhere else.";
    InterviewComplaint, "Complaint?",
        "In the customer's words. Say after how long it is flat, such as: flat after 3 days, or flat overnight. Say so if it happens only at times or at one place.";
    InterviewStand ["days"], "Flat after how long?",
        "Such as 3 days, 2-3 weeks, a week, overnight, 10 h. Flat overnight means an ampere or more. Flat in weeks means tens of milliampere.";
    InterviewPattern, "When does it go flat?",
        "A fault that comes at times may be away while you measure. One at a single place points to a radio wake-up, a key too near, or how it is left there.",
        "always" => "each time it stands", "sometimes" => "", "one-place" => "at one place only", "unknown" => "";
    InterviewYear, "Model year?",
        "It tells how long to wait for sleep. Old vehicles sleep in minutes, new ones may take over an hour.";
    InterviewRecent, "Anything added, repaired, wet or left plugged in?",
        "A few words, such as: tracker fitted two years ago, flat since the bonnet was painted, carpet wet, phone charger in the socket. Tell of jump starts, short trips, warning lamps, a door left unlocked or ajar, a key nearby too. Or: nothing.";
    InterviewPlugged, "What is left plugged in when it stands?",
        "Sockets, USB, the diagnosis plug, a fridge, a charger, a dash camera. Or: nothing.";
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
        StyledText::plain("No map is given, so tell what it is: limit, waits and cautions follow from it.")
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
