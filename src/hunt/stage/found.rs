//! As found: total and rested volts before anything is switched or opened, if a clamp reaches a battery cable.
//! A draw that is gone after a wake and a sleep is itself a finding, and an opened door would hide it.
//! Leaves to others: the settled total (`total`).

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, settled};
use super::battery_detail::{NOT_MEASURED, is_unknown};
use crate::base::quantity::Ampere;
use crate::base::quantity::parse::Readable;
use crate::hunt::question::Question;
use crate::hunt::typed::{measured_total, volts_entry};
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !settled(case, QuestionId::FoundReach) {
        return Some(HuntStep::ask(Question::of(QuestionId::FoundReach).or("no")));
    }
    if case.answer(QuestionId::FoundReach) != Some("yes") {
        return None;
    }
    if case.total_as_found().is_none() && !settled(case, QuestionId::FoundTotal) {
        let total = Proposed { as_found: true, ..Proposed::total() };
        return Some(HuntStep::ask(Question::of(QuestionId::FoundTotal).reading(total)));
    }
    let told = case.told().plugged_in && case.total_as_found().is_some();
    if told && !settled(case, QuestionId::FoundWithout) {
        return Some(HuntStep::ask(Question::of(QuestionId::FoundWithout).or(NOT_MEASURED)));
    }
    if case.volts.is_empty() && !settled(case, QuestionId::FoundVolts) {
        return Some(HuntStep::ask(super::battery::volts_question(QuestionId::FoundVolts)));
    }
    None
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::FoundReach => choice(question, text),
        QuestionId::FoundTotal => measured_total(case, text, true, false),
        QuestionId::FoundWithout if is_unknown(text) => Taken::answer(question, NOT_MEASURED),
        QuestionId::FoundWithout => match Ampere::read(text, "mA") {
            Ok(_) => Taken::answer(question, text),
            Err(fault) => Taken::refuse(fault.to_string()),
        },
        _ => volts_entry(text),
    }
}
