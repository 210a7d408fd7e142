//! The finding, the repair in words, and everything that was pulled or unplugged put back.
//! Leaves to others: proving it (`verify`).

use chrono::{DateTime, FixedOffset};

use super::asking::settled;
use crate::base::quantity::Ampere;
use crate::base::quantity::parse::Readable;
use crate::base::styled::{Role, StyledText};
use crate::hunt::analysis::Analysis;
use crate::hunt::question::Question;
use crate::hunt::typed::measured;
use crate::hunt::{HuntStep, Taken, show};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::Measurement;
use crate::measure::kind::MeasurementKind;
use crate::text::ask::prove as words;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if case.answer(QuestionId::TotalWithin) == Some("stop") {
        return None;
    }
    if !settled(case, QuestionId::RepairWhat) {
        let mut say = Vec::new();
        if let Ok(analysis) = Analysis::of(case) {
            say.extend(show::latest(case, &analysis));
            say.push(StyledText::of(Role::Heading, "The finding"));
            say.push(show::stop(&analysis));
            say.extend(show::leading(&analysis, 3));
        }
        return Some(HuntStep::ask(Question::of(QuestionId::RepairWhat).or("not-repaired")).after(say));
    }
    refit(case)
}

/// Every fuse and plug that is out goes back, together, before the wait that proves the repair.
fn refit(case: &Case) -> Option<HuntStep> {
    let loads = case.unplugged().into_iter().map(|(feed, load)| format!("{feed}/{load}"));
    let out = case.pulled().into_iter().map(str::to_owned).chain(loads);
    let open = out
        .map(|name| (QuestionId::RepairRefit.with(format!(".{name}")), name))
        .find(|(id, _)| !settled(case, id.clone()));
    open.map(|(id, name)| {
        let question = Question { id, prompt: words::refit(&name), ..Question::of(QuestionId::RepairRefit) };
        HuntStep::ask(question.reading(Proposed::at(MeasurementKind::Refit, &name)))
    })
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    let Some(name) = question.id.tail.strip_prefix('.') else {
        return if text.is_empty() { Taken::refuse(words::SAY_WHAT) } else { Taken::answer(question, text) };
    };
    Taken::read(Ampere::read(text, "mA"), |total| {
        Taken::entry(measured(case, Measurement::Refit { feed: name.to_owned(), total }, true))
    })
}
