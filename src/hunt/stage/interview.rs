//! The interview: the complaint and what narrows the search before any reading. Few questions, each with a default.
//! Leaves to others: what the answers mean (`log/interview`), what they weigh (`infer`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::{choice, first_open};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Minute, Unit};
use crate::base::styled::{Role, StyledText};
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken, supply};
use crate::log::case::Case;
use crate::log::interview::Interview;

/// Returns the next question of the interview.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    first_open(case, questions())
}

fn questions() -> [Question; 7] {
    [
        Question::line(
            QuestionId::InterviewVehicle,
            "Vehicle, as the record should name it",
            "Any words: model, plate, work order. It stands in the record and nowhere else.",
        )
        .or("not named"),
        Question::line(
            QuestionId::InterviewComplaint,
            "What is the complaint?",
            "In the customer's words. The record keeps them.",
        )
        .or("flat after standing"),
        Question::line(
            QuestionId::InterviewStand,
            "How long does it stand before it is flat?",
            "A time such as 3 days or 10 h. Flat overnight points to an ampere or more, flat in weeks to tens of milliampere.",
        )
        .in_unit("days")
        .or("don't know"),
        Question::line(
            QuestionId::InterviewPattern,
            "When does it go flat?",
            "A fault that comes at times may not be there while you measure; one at a single place points to a radio wake, a neighbour's transmitter, a key too near, or how it is left there.",
        )
        .one_of(&[
            ("always", "every time that it stands"),
            ("sometimes", "only at times"),
            ("one-place", "only at one place"),
            ("unknown", "don't know"),
        ])
        .or("unknown"),
        Question::line(
            QuestionId::InterviewYear,
            "Model year?",
            "It decides how long to wait for sleep where the map doesn't say: old vehicles sleep in minutes, new ones may need over an hour.",
        )
        .or("don't know"),
        Question::line(
            QuestionId::InterviewRecent,
            "Anything added, worked on or wet lately?",
            "In words, or: add-on, work, water. Add-on devices, repairs, bodywork, a new battery, a leak, rain inside; or nothing.",
        )
        .or("nothing known"),
        Question::line(
            QuestionId::InterviewPlugged,
            "What is left plugged in when it stands?",
            "Sockets, USB, the diagnosis plug, a fridge, a charger, a dash camera; or nothing. It is unplugged before the wait unless the complaint is about it.",
        )
        .or("nothing known"),
    ]
}

/// Takes an answer of the interview.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    let is_unknown = text.eq_ignore_ascii_case("don't know") || text.eq_ignore_ascii_case("unknown");
    match question.id.head {
        QuestionId::InterviewStand if !is_unknown => match Minute::read(text, "d") {
            Ok(time) if time.value.base() > 0.0 => {
                Taken::answer(question, text).saying(supply::expected(case, time.value, None))
            }
            Ok(_) => Taken::refuse("The time must be above zero, such as 3 days."),
            Err(fault) => {
                Taken::refuse(fault.expected("a time such as 3 days or 10 h, or don't know").to_string())
            }
        },
        QuestionId::InterviewYear if !is_unknown => match text.trim().parse::<u16>() {
            Ok(1900..=2100) => Taken::answer(question, text.trim()),
            _ => Taken::refuse(format!(
                "\"{text}\" is no model year; type four digits such as 2014, or don't know."
            )),
        },
        QuestionId::InterviewPattern => choice(question, text),
        _ if text.is_empty() => Taken::refuse("Type a few words, or skip REASON."),
        QuestionId::InterviewRecent => {
            let told = Interview::default().with_recent(text).understood();
            Taken::answer(question, text)
                .saying(told.map(|told| StyledText::of(Role::Hint, format!("Understood: {told}."))))
        }
        _ => Taken::answer(question, text),
    }
}
