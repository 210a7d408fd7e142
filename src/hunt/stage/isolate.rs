//! From the circuit to the component: looking at loads, reports of the vehicle, unplugging them, or working the inputs of a held group.
//! Leaves to others: which one next (`plan/next`).

use chrono::{DateTime, FixedOffset};

use super::asking::settled;
use super::{search, total};
use crate::base::styled::{Role, StyledText};
use crate::hunt::analysis::Analysis;
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken, caution, show};
use crate::infer::assumptions::NARROWS_NOTHING;
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::measure::kind::MeasurementKind;
use crate::plan::proposal::{Proposal, StepReason, Stop};
use crate::text;

/// Returns the next reading that narrows, until the component is found or none is left.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if case.was_repaired() || settled(case, QuestionId::NarrowReading) || total::ends_within(case) {
        return None;
    }
    let analysis = Analysis::of(case);
    if !matches!(analysis.plan().stop, Stop::Decided(_) | Stop::NotWorth(_)) {
        return None;
    }
    // Where the search ended because it no longer paid, its own readings stand behind those that narrow.
    let narrows = |proposal: &&Proposal| {
        use MeasurementKind::{Input, Look, Report, Unplug};
        matches!(proposal.action, Look | Report | Unplug | Input)
    };
    let first = analysis.plan().readings.first().filter(narrows);
    let proposal = first.filter(|proposal| proposal.bits > NARROWS_NOTHING)?;
    if let Some(step) = search::asleep_again(case, now) {
        return Some(step);
    }
    // What comes off inside an alternator is no fuse: how it is done, negative first, stands in the question.
    let is_plug = proposal.action == MeasurementKind::Unplug && proposal.reason != StepReason::NarrowsInside;
    if is_plug && let Some(step) = caution::before_pull(case) {
        return Some(step);
    }
    let mut say = show::latest(case, &analysis);
    say.push(show::stop(&analysis));
    say.push(show::next_line(analysis.plan(), proposal, &analysis));
    Some(
        HuntStep::ask(search::reading_question(QuestionId::NarrowReading, proposal, &analysis, now))
            .after(say),
    )
}

/// Takes a reading.
pub fn take(case: &Case, question: &Question, text: &str, now: DateTime<FixedOffset>) -> Taken {
    if matches!(text.to_lowercase().as_str(), "done" | "end") {
        return Taken::answer(question, "done")
            .saying([StyledText::of(Role::Hint, text::ask::reading::NARROWING_ENDS)]);
    }
    search::take_reading(case, question, text, now)
}
