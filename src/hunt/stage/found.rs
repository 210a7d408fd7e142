//! As found: total and rested volts before anything is switched or opened, if a clamp reaches a battery cable.
//! A draw that is gone after a wake and a sleep is itself a finding, and an opened door would hide it.
//! Leaves to others: the settled total (`total`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::{choice, settled};
use crate::hunt::question::Question;
use crate::hunt::typed::{measured_total, volts_entry};
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::typed::Proposed;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !settled(case, QuestionId::FoundReach) {
        return Some(HuntStep::ask(
            Question::line(
                QuestionId::FoundReach,
                "Can a clamp reach a battery cable without opening or moving anything that has a switch (door, bonnet, seat, hatch)?",
                "If so, the total is read before anything is touched: a hung module may restart at the first door and hide the fault.",
            )
            .one_of(&[("yes", "it reaches"), ("no", "something must be opened or switched first")])
            .or("no"),
        ));
    }
    if case.answer(QuestionId::FoundReach) != Some("yes") {
        return None;
    }
    if case.total_as_found().is_none() && !settled(case, QuestionId::FoundTotal) {
        return Some(HuntStep::ask(
            Question::line(
                QuestionId::FoundTotal,
                "Total as found, clamped on one battery cable",
                "Zero the clamp beside the cable, close it around every cable on one post, read when steady.",
            )
            .in_unit("mA")
            .reading(Proposed { as_found: true, ..Proposed::total() }),
        ));
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
        _ => volts_entry(text),
    }
}
