//! The end: what was found, whether it is proven, and where the record is.
//! Leaves to others: the record itself (`report/record`).

use chrono::{DateTime, FixedOffset};

use super::{prove, settled};
use crate::account::verdict::{Verdict, judge};
use crate::hunt::analysis::{Analysis, limit_of, plain_current};
use crate::hunt::question::{Kind, Question};
use crate::hunt::{Next, Step, Taken, show};
use crate::piece::{Line, Role};
use crate::reading::What;
use crate::session::case::Case;

/// What a hunt ends with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// The total after the repair is within the limit.
    Proven,
    /// Nothing was repaired, or the total after it doesn't prove it.
    NotProven,
    /// The settled total was within the limit from the start.
    WithinLimit,
}

impl Outcome {
    /// Returns it in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Proven => "repaired and proven by the total afterwards",
            Self::NotProven => "not proven",
            Self::WithinLimit => "the settled draw is within its limit",
        }
    }
}

/// Returns what the hunt ends with.
pub fn outcome(case: &Case) -> Outcome {
    if case.answer("total.within") == Some("stop") {
        return Outcome::WithinLimit;
    }
    let after = case.total_after_repair().filter(|_| prove::was_repaired(case)).map(|reading| &reading.what);
    match (after, limit_of(case)) {
        (Some(What::Total { current, .. }), Some(limit))
            if judge(&plain_current(current, case), limit.current) == Verdict::Within =>
        {
            Outcome::Proven
        }
        _ => Outcome::NotProven,
    }
}

/// Returns the last question, then the end.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<Step> {
    if !settled(case, "handover.done") {
        let mut say = vec![Line::of(Role::Heading, "Hand over")];
        say.push(Line::of(Role::Plain, format!("Outcome: {}.", outcome(case).words())));
        say.push(Line::plain("Everything back: latches, covers, fuses, plugs; charge the battery fully; set clock, windows and radio code."));
        let question = Question {
            kind: Kind::Acknowledge,
            ..Question::line(
                "handover.done",
                "Is everything back in its place?",
                "The record keeps the answer.",
            )
            .or("yes")
        };
        return Some(Step::ask(question).after(say));
    }
    let finding = Analysis::of(case).map(|analysis| show::leading(&analysis, 1)).unwrap_or_default();
    let why = format!("the hunt has reached its end: {}", outcome(case).words());
    Some(Step { say: finding, next: Next::Done { why } })
}

/// Takes the answer.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match text.to_lowercase().as_str() {
        "yes" | "y" => Taken::answer(question, "yes"),
        _ => Taken::refuse("Type yes when everything is back, or skip REASON."),
    }
}
