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

/// A stage: its name begins the ids of its questions.
pub struct Stage {
    /// Name, and beginning of the ids of its questions.
    pub name: &'static str,
    /// What to ask next in this stage; `None` once it is done.
    pub next: fn(&Case, DateTime<FixedOffset>) -> Option<HuntStep>,
    /// What an answer makes.
    pub take: fn(&Case, &Question, &str, DateTime<FixedOffset>) -> Taken,
}

/// The stages in order.
pub const ALL: [Stage; 14] = [
    Stage { name: "interview", next: interview::next, take: interview::take },
    Stage { name: "caution", next: super::caution::next, take: super::caution::take },
    Stage { name: "found", next: found::next, take: found::take },
    Stage { name: "battery", next: battery::next, take: battery::take },
    Stage { name: "charging", next: charging::next, take: charging::take },
    Stage { name: "prepare", next: prepare::next, take: prepare::take },
    Stage { name: "hook-up", next: hook_up::next, take: hook_up::take },
    Stage { name: "settle", next: settle::next, take: settle::take },
    Stage { name: "total", next: total::next, take: total::take },
    Stage { name: "trail", next: search::next, take: search::take },
    Stage { name: "narrow", next: isolate::next, take: isolate::take },
    Stage { name: "repair", next: repair::next, take: repair::take },
    Stage { name: "prove", next: verify::next, take: verify::take },
    Stage { name: "handover", next: handover::next, take: handover::take },
];

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
