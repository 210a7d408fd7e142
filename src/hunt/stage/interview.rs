//! The interview: the complaint and what narrows the search before any reading. Few questions, each with a default.
//! Leaves to others: what the answers mean (`log/interview`), what they weigh (`infer`).

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, first_open};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Minute, Unit};
use crate::base::styled::{Role, StyledText};
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken, supply};
use crate::log::case::Case;
use crate::log::interview::Interview;
use crate::log::question_id::QuestionId;
use crate::text::ask::interview as words;

/// Returns the next question of the interview.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    first_open(case, questions())
}

fn questions() -> [Question; 7] {
    [
        (QuestionId::InterviewVehicle, "not named"),
        (QuestionId::InterviewComplaint, "flat after standing"),
        (QuestionId::InterviewStand, "don't know"),
        (QuestionId::InterviewPattern, "unknown"),
        (QuestionId::InterviewYear, "don't know"),
        (QuestionId::InterviewRecent, "nothing known"),
        (QuestionId::InterviewPlugged, "nothing known"),
    ]
    .map(|(id, default)| Question::of(id).or(default))
}

/// Takes an answer of the interview.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    let is_unknown = text.eq_ignore_ascii_case("don't know") || text.eq_ignore_ascii_case("unknown");
    match question.id.head {
        QuestionId::InterviewStand if !is_unknown => match Minute::read(text, "d") {
            Ok(time) if time.value.base() > 0.0 => {
                Taken::answer(question, text).saying(supply::expected(case, time.value, None))
            }
            Ok(_) => Taken::refuse(words::ABOVE_ZERO),
            Err(fault) => Taken::refuse(fault.expected(words::A_TIME).to_string()),
        },
        QuestionId::InterviewYear if !is_unknown => match text.trim().parse::<u16>() {
            Ok(1900..=2100) => Taken::answer(question, text.trim()),
            _ => Taken::refuse(words::no_year(text)),
        },
        QuestionId::InterviewPattern => choice(question, text),
        _ if text.is_empty() => Taken::refuse(words::A_FEW_WORDS),
        QuestionId::InterviewRecent => {
            let told = Interview::default().with_recent(text).understood();
            Taken::answer(question, text)
                .saying(told.map(|told| StyledText::of(Role::Hint, format!("Understood: {told}."))))
        }
        _ => Taken::answer(question, text),
    }
}
