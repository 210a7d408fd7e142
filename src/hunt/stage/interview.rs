//! The interview: the complaint and what narrows the search before any reading.
//! Leaves to others: what the answers weigh (`suspects`).

use chrono::{DateTime, FixedOffset};

use super::first_open;
use crate::hunt::question::Question;
use crate::hunt::{Step, Taken};
use crate::quantity::parse::Readable;
use crate::quantity::{Minute, Unit};
use crate::session::case::Case;

/// Returns the next question of the interview.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<Step> {
    first_open(case, questions())
}

fn questions() -> [Question; 5] {
    [
        Question::line(
            "interview.vehicle",
            "Vehicle, as the record should name it",
            "Any words: model, plate, work order. It stands in the record and nowhere else.",
        )
        .or("not named"),
        Question::line(
            "interview.complaint",
            "What is the complaint?",
            "In the customer's words. The record keeps them.",
        )
        .or("flat after standing"),
        Question::line(
            "interview.stand",
            "How long does it stand before it is flat?",
            "A time such as 3 days or 10 h. Flat overnight points to an ampere or more, flat in weeks to tens of milliampere.",
        )
        .in_unit("days")
        .or("don't know"),
        Question::line(
            "interview.year",
            "Model year?",
            "It decides how long to wait for sleep where the map doesn't say: old vehicles sleep in minutes, new ones may need over an hour.",
        )
        .or("don't know"),
        Question::line(
            "interview.recent",
            "Anything added, repaired or wet lately?",
            "Add-on devices, bodywork, a new battery, a water leak, or nothing. The record keeps it.",
        )
        .or("nothing known"),
    ]
}

/// Takes an answer of the interview.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    let is_unknown = text.eq_ignore_ascii_case("don't know") || text.eq_ignore_ascii_case("unknown");
    match question.id.as_str() {
        "interview.stand" if !is_unknown => match Minute::read(text, "d") {
            Ok(time) if time.value.base() > 0.0 => Taken::answer(question, text),
            Ok(_) => Taken::refuse("The time must be above zero, such as 3 days."),
            Err(fault) => Taken::refuse(fault.to_string()),
        },
        "interview.year" if !is_unknown => match text.trim().parse::<u16>() {
            Ok(1900..=2100) => Taken::answer(question, text.trim()),
            _ => Taken::refuse(format!(
                "\"{text}\" is no model year; type four digits such as 2014, or don't know."
            )),
        },
        _ if text.is_empty() => Taken::refuse("Type a few words, or skip REASON."),
        _ => Taken::answer(question, text),
    }
}
