//! The stages of the hunt, in order: each says which of its questions is open and what an answer makes.
//! Leaves to others: the order of questions within a stage (its own file).

pub mod back;
pub mod battery;
pub mod battery_detail;
pub mod charging;
pub mod found;
pub mod handover;
pub mod hook_up;
pub mod interview;
pub mod isolate;
pub mod prepare;
pub mod verify;
pub mod repair;
pub mod settle;
pub mod total;
pub mod search;

use chrono::{DateTime, Duration, FixedOffset};

use super::question::Question;
use super::{HuntStep, NextStep, Taken};
use crate::base::styled::StyledText;
use crate::log::case::Case;
use crate::measure::Measurement;

/// A stage: its name begins the ids of its questions.
pub struct Stage {
    /// Name, and beginning of the ids of its questions.
    pub name: &'static str,
    /// True if nothing of it is asked any more once readings were entered by hand.
    pub before_readings: bool,
    /// What to ask next in this stage; `None` once it is done.
    pub next: fn(&Case, DateTime<FixedOffset>) -> Option<HuntStep>,
    /// What an answer makes.
    pub take: fn(&Case, &Question, &str, DateTime<FixedOffset>) -> Taken,
}

const fn stage(
    name: &'static str,
    before_readings: bool,
    next: fn(&Case, DateTime<FixedOffset>) -> Option<HuntStep>,
    take: fn(&Case, &Question, &str, DateTime<FixedOffset>) -> Taken,
) -> Stage {
    Stage { name, before_readings, next, take }
}

/// The stages in order.
pub const ALL: [Stage; 14] = [
    stage("interview", true, interview::next, interview::take),
    stage("caution", false, super::caution::next, super::caution::take),
    stage("found", true, found::next, found::take),
    stage("battery", true, battery::next, battery::take),
    stage("charging", true, charging::next, charging::take),
    stage("prepare", true, prepare::next, prepare::take),
    stage("hook-up", true, hook_up::next, hook_up::take),
    stage("settle", true, settle::next, settle::take),
    stage("total", false, total::next, total::take),
    stage("trail", false, search::next, search::take),
    stage("narrow", false, isolate::next, isolate::take),
    stage("repair", false, repair::next, repair::take),
    stage("prove", false, verify::next, verify::take),
    stage("handover", false, handover::next, handover::take),
];

/// Returns true if readings were entered before any question was answered, as `add` does: the hunt goes on where the log
/// stands, and asks only what a conclusion lacks.
pub fn begun_by_hand(case: &Case) -> bool {
    let is_begun = |what: &Measurement| {
        !matches!(what, Measurement::Watch { .. } | Measurement::Total { as_found: true, .. })
    };
    let first = case.readings.iter().find(|reading| is_begun(&reading.what));
    let answered = case.answers.iter().chain(&case.skips).map(|said| said.stamp.entry).min();
    first.is_some_and(|first| answered.is_none_or(|answered| first.entry < answered))
}

/// Returns true if a question needs no asking any more: it was answered, or passed over with a reason.
pub fn settled(case: &Case, id: &str) -> bool {
    case.answer(id).is_some() || case.skipped(id).is_some()
}

/// Returns true if a whole stage was passed over.
pub fn stage_skipped(case: &Case, stage: &str) -> bool {
    case.skipped(&format!("stage {stage}")).is_some()
}

/// Returns the first of these questions that is still open.
pub fn first_open(case: &Case, questions: impl IntoIterator<Item = Question>) -> Option<HuntStep> {
    first_of(case, questions, settled)
}

/// A hunt that is taken up again after this long is asked whether what stopped it was seen to. Editorial: nothing is
/// charged, replaced or repaired in less.
const SEEN_TO: Duration = Duration::minutes(15);

/// What stops the hunt before battery or charging side.
struct AnswerTrouble {
    /// In one clause.
    why: String,
    /// What is said.
    say: Vec<StyledText>,
}

/// The hunt has stopped here. Whoever takes it up later is asked whether it was seen to; yes asks the stage again.
fn seen_to(
    case: &Case,
    stage: &str,
    prompt: &str,
    trouble: AnswerTrouble,
    now: DateTime<FixedOffset>,
) -> HuntStep {
    if now - case.last_at < SEEN_TO {
        return HuntStep { say: trouble.say, next: NextStep::Done { why: trouble.why } };
    }
    HuntStep::ask(
        Question::line(
            format!("{stage}.again"),
            prompt,
            "Yes asks this stage again from its beginning. What was read before stays in the record.",
        )
        .one_of(&[("yes", "it has; judge it again"), ("no", "not yet")])
        .or("yes"),
    )
}

/// Returns the first of these questions that is not settled, as somebody sees it.
pub fn first_of(
    case: &Case,
    questions: impl IntoIterator<Item = Question>,
    settled: impl Fn(&Case, &str) -> bool,
) -> Option<HuntStep> {
    questions.into_iter().find(|question| !settled(case, &question.id)).map(HuntStep::ask)
}
