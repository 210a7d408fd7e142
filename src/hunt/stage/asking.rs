//! Asking within a stage: what is settled, what is open, how a choice is taken.

use chrono::{DateTime, Duration, FixedOffset};

use crate::base::styled::StyledText;
use crate::hunt::question::Question;
use crate::hunt::step::{HuntStep, NextStep, Taken};
use crate::log::case::Case;
use crate::log::question_id::{QuestionId, QuestionKey};
use crate::measure::Measurement;
use crate::text::ask::always;

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
pub fn settled(case: &Case, id: impl Into<QuestionKey>) -> bool {
    let id = id.into();
    case.answer(id.clone()).is_some() || case.skipped(id).is_some()
}

/// Returns the first of these questions that is still open.
pub fn first_open(case: &Case, questions: impl IntoIterator<Item = Question>) -> Option<HuntStep> {
    first_of(case, questions, settled)
}

/// A hunt that is taken up again after this long is asked whether what stopped it was seen to. Editorial: nothing is
/// charged, replaced or repaired in less.
const SEEN_TO: Duration = Duration::minutes(15);

/// What stops the hunt before battery or charging side.
pub(super) struct AnswerTrouble {
    /// In one clause.
    pub(super) why: String,
    /// What is said.
    pub(super) say: Vec<StyledText>,
}

/// The hunt has stopped here. Whoever takes it up later is asked whether it was seen to; yes asks the stage again.
pub(super) fn seen_to(
    case: &Case,
    again: QuestionId,
    trouble: AnswerTrouble,
    now: DateTime<FixedOffset>,
) -> HuntStep {
    if !is_later(case, now) {
        return HuntStep { say: trouble.say, next: NextStep::Done { why: trouble.why } };
    }
    HuntStep::ask(Question::of(again).or("yes"))
}

/// Returns true if the hunt has been left for so long that something may have been done meanwhile.
pub(super) fn is_later(case: &Case, now: DateTime<FixedOffset>) -> bool {
    now - case.last_at >= SEEN_TO
}

/// Returns true if the hunt was handed over.
pub(super) fn is_handed_over(case: &Case) -> bool {
    case.answer(QuestionId::HandoverDone).is_some()
}

/// Returns the first of these questions that is not settled, as somebody sees it.
pub fn first_of(
    case: &Case,
    questions: impl IntoIterator<Item = Question>,
    settled: impl Fn(&Case, QuestionId) -> bool,
) -> Option<HuntStep> {
    questions.into_iter().find(|question| !settled(case, question.id.head)).map(HuntStep::ask)
}

/// Returns true if a text says yes.
pub fn is_yes(text: &str) -> bool {
    matches!(text.to_lowercase().as_str(), "yes" | "y" | "ok")
}

/// Takes one of the offered keys, by its first letters.
pub fn choice(question: &Question, text: &str) -> Taken {
    use crate::hunt::question::QuestionKind;
    let QuestionKind::Choice(choices) = &question.kind else { return Taken::answer(question, text) };
    let typed = text.trim().to_lowercase();
    let by_number = typed.parse::<usize>().ok().and_then(|number| choices.get(number.checked_sub(1)?));
    let exact = choices.iter().find(|(key, _)| *key == typed);
    let mut starting = choices.iter().filter(|(key, _)| !typed.is_empty() && key.starts_with(&typed));
    let only = starting.next().filter(|_| starting.next().is_none());
    match exact.or(only).or(by_number) {
        Some((key, _)) => Taken::answer(question, key),
        None => {
            let keys: Vec<&str> = choices.iter().map(|(key, _)| key.as_str()).collect();
            Taken::refuse(always::none_of(text, &keys))
        }
    }
}
