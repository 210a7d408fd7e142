//! The finding, the repair in words, and everything that was pulled or unplugged put back.
//! Leaves to others: proving it (`verify`).

use chrono::{DateTime, FixedOffset};

use super::asking::{is_handed_over, is_later, settled};
use super::{search, settle, total};
use crate::base::quantity::Ampere;
use crate::base::quantity::parse::Readable;
use crate::base::styled::{Role, StyledText};
use crate::battery::cause::SupplyKind;
use crate::hunt::analysis::Analysis;
use crate::hunt::question::Question;
use crate::hunt::typed::measured;
use crate::hunt::{HuntStep, Taken, causes, show, supply};
use crate::infer::cured::Cured;
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::Measurement;
use crate::measure::kind::MeasurementKind;
use crate::plan::proposal::Stop;
use crate::text;
use crate::text::ask::prove as words;
use crate::text::ask::settle::NOT_SEEN;

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if total::ends_within(case) {
        return None;
    }
    if let Some(step) = supply_repair(case, now) {
        return Some(step);
    }
    if Analysis::of(case).leading_supply().is_some() {
        return refit(case);
    }
    // Where a pull cured it there is nothing to repair; who was to repair it later is asked again once it is taken up.
    let due = !settled(case, QuestionId::RepairWhat)
        || (!case.was_repaired() && is_handed_over(case) && is_later(case, now));
    if due && cured(case).is_none() {
        let analysis = Analysis::of(case);
        let mut say = show::latest(case, &analysis);
        say.extend(finding(case, &analysis, 3));
        return Some(HuntStep::ask(Question::of(QuestionId::RepairWhat).or("not-repaired")).after(say));
    }
    refit(case)
}

/// Battery, charging side and use have their own repair: what was done is asked, and then the stage asks again.
fn supply_repair(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let analysis = Analysis::of(case);
    let cause = analysis.leading_supply().filter(|one| !one.mended)?;
    let (id, default) = match cause.kind() {
        SupplyKind::Battery => (QuestionId::BatteryAgain, "no"),
        SupplyKind::Charging => (QuestionId::ChargingAgain, "no"),
        SupplyKind::Use => (QuestionId::UseAgreed, "told"),
    };
    let again = is_handed_over(case) && is_later(case, now) && cause.kind() != SupplyKind::Use;
    if supply::settled(case, id) && !again {
        return None;
    }
    let mut say = show::latest(case, &analysis);
    say.extend(finding(case, &analysis, 1));
    say.extend(causes::day(case));
    Some(HuntStep::ask(Question::of(id).or(default)).after(say))
}

/// Returns the finding: why the search ended, what leads, and what it rests on that nobody saw.
pub(super) fn finding(case: &Case, analysis: &Analysis, most: usize) -> Vec<StyledText> {
    let mut say = vec![show::stop(analysis)];
    if !matches!(analysis.plan().stop, Stop::Decided(_)) {
        say.extend(show::leading(analysis, most));
    }
    say.extend(analysis.observed.inside().map(text::reading::inside));
    say.extend(settle::is_told_asleep(case).then(|| StyledText::of(Role::Doubt, NOT_SEEN)));
    say.extend(supply::sank(case));
    say
}

/// Returns the pull that may have cured the fault, if that is how it ended and nothing was repaired.
pub fn cured(case: &Case) -> Option<Cured> {
    let analysis = Analysis::of(case);
    analysis.ranking().cured.clone().filter(|_| !case.was_repaired())
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
        if let Some(taken) = search::take_event(case, text) {
            return taken;
        }
        return if text.is_empty() { Taken::refuse(words::SAY_WHAT) } else { Taken::answer(question, text) };
    };
    Taken::read(Ampere::read(text, "mA"), |total| {
        Taken::entry(measured(case, Measurement::Refit { feed: name.to_owned(), total }, case.was_repaired()))
    })
}
