//! The interview in words: the complaint, and what narrows the search before any reading.

use super::wording::wordings;

wordings! {
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
    InterviewRecent, "Anything added, worked on or wet lately?",
        "In words, or: add-on, work, water. Add-on devices, repairs, bodywork, a new battery, a leak, rain inside; or nothing.";
    InterviewPlugged, "What is left plugged in when it stands?",
        "Sockets, USB, the diagnosis plug, a fridge, a charger, a dash camera; or nothing. It is unplugged before the wait unless the complaint is about it.";
}

/// A time that is no time.
pub const ABOVE_ZERO: &str = "The time must be above zero, such as 3 days.";
/// What a time to flat looks like.
pub const A_TIME: &str = "a time such as 3 days or 10 h, or don't know";
/// An empty answer.
pub const A_FEW_WORDS: &str = "Type a few words, or skip REASON.";

/// Says that a text is no year.
pub fn no_year(text: &str) -> String {
    format!("\"{text}\" is no model year; type four digits such as 2014, or don't know.")
}
