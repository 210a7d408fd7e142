//! The sections of a record that say what follows: suspects, what narrowed them, repair, proof, cautions.
//! Leaves to others: what was found at the vehicle (`sections`).

use serde_json::{Value, json};

use super::sections::{passed_over, shown};
use super::timeline::meant;
use crate::base::quantity::{Ampere, Typed};
use crate::base::styled::StyledText;
use crate::circuit::loads::Catalogue;
use crate::hunt::analysis::{Analysis, told_of};
use crate::hunt::stage::back::{self, BackStep, ToldBy};
use crate::hunt::stage::handover::{Outcome, outcome};
use crate::hunt::stage::verify::{difference, lacks, leaves_open, proof as proof_of, was_repaired};
use crate::hunt::{NextStep, caution, next, show};
use crate::infer::weight::{Background, Weights};
use crate::log::case::Case;
use crate::measure::{Measurement, Reading};
use crate::render::json::{cured, group, pairs, probability, suspect};
use crate::render::redact::Redaction;
use crate::text::reading;

/// Suspects below this are only counted.
const WORTH_A_LINE: f64 = 0.001;

/// Returns the suspects, why the search stands where it does, and that the weights are editorial.
pub(super) fn suspects(case: &Case, analysis: &Analysis) -> Value {
    let ranking = &analysis.ranking;
    let (listed, others): (Vec<_>, Vec<_>) =
        ranking.suspects.iter().partition(|suspect| suspect.probability >= WORTH_A_LINE);
    let (leader, p) = analysis.leader();
    let search = match &analysis.total {
        Some(_) => show::stop(analysis).text(),
        None => "no settled total: these are the weights before any reading".to_owned(),
    };
    json!({
        "leader": {"name": leader, "probability": probability(p)},
        "search": search,
        "branches": listed.into_iter().map(|one| suspect(one, analysis)).collect::<Vec<_>>(),
        "other_branches": {
            "count": others.len(),
            "probability": probability(others.iter().map(|one| one.probability).sum()),
        },
        "wake_groups": ranking.groups.iter().map(|one| group(one, analysis)).collect::<Vec<_>>(),
        "pairs": pairs(analysis),
        "nothing_wrong": probability(ranking.nothing_wrong),
        "not_present_now": probability(ranking.not_present_now),
        "cured_by_pull": cured(ranking),
        "weights": weights(case, analysis),
    })
}

fn weights(case: &Case, analysis: &Analysis) -> Value {
    let catalogue = Catalogue::builtin();
    let told = told_of(case);
    let background =
        Background { told: told.clone(), limit: analysis.limit.as_ref().map(|limit| limit.current) };
    let shares =
        catalogue.causes().iter().map(|cause| json!({"cause": cause.words, "percent": cause.weight}));
    json!({
        "basis": "editorial: how likely each cause is before any reading is our own choice, for nobody publishes shares",
        "nothing_wrong": Weights::new(&analysis.panel.map, catalogue, &background).nothing,
        "told": told,
        "causes": shares.collect::<Vec<_>>(),
    })
}

/// Returns what was pulled, unplugged, worked and put back, with what each meant.
pub(super) fn narrowed(case: &Case, analysis: &Analysis, redaction: Redaction) -> Value {
    let narrows = |what: &Measurement| {
        matches!(
            what,
            Measurement::Pull { .. }
                | Measurement::Unplug { .. }
                | Measurement::Input { .. }
                | Measurement::Refit { .. }
        )
    };
    let one = |reading: &Reading| {
        json!({
            "entry": reading.entry,
            "said": reading::said(&reading.what),
            "meant": meant(case, analysis, reading.entry),
        })
    };
    let steps = case.readings.iter().filter(|reading| narrows(&reading.what)).map(one);
    json!({
        "steps": steps.collect::<Vec<_>>(),
        "passed_over": passed_over(case, &["trail", "narrow"], redaction),
    })
}

pub(super) fn repair(case: &Case, redaction: Redaction) -> Value {
    let what = case.answer("repair.what");
    let unplugged = case.unplugged().into_iter().map(|(feed, load)| format!("{feed}/{load}"));
    json!({
        "what": what.map(|what| redaction.answer("repair.what", what)),
        "still_out": case.pulled().into_iter().map(str::to_owned).chain(unplugged).collect::<Vec<_>>(),
        "passed_over": passed_over(case, &["repair"], redaction),
    })
}

/// Returns what the hunt ended with. A hunt that has not reached its end says so, with the question that is open.
pub(super) fn proof(case: &Case, redaction: Redaction) -> Value {
    let (finished, end) = match next(case, case.last_at).next {
        NextStep::Done { why } => (true, why),
        NextStep::Ask(question) => {
            (false, format!("unfinished: open is {}, \"{}\"", question.id, question.prompt))
        }
    };
    let outcome = outcome(case);
    let after = case.total_after_repair();
    let open = back::open(case);
    let sentence = after.and_then(|reading| match &reading.what {
        Measurement::Total { current, .. } => proof_of(case, current),
        _ => None,
    });
    json!({
        "finished": finished,
        "end": end,
        "outcome": word(outcome, finished),
        "total_after_repair": after.map(|reading| shown(reading, case)),
        "in_words": sentence.as_ref().map(StyledText::text),
        "fell_by": after.and_then(total_of).and_then(|total| difference(case, total)).as_ref().map(StyledText::text),
        "cause_worked_again": case.answer("prove.provoke"),
        "overnight_log": case.answer("prove.log"),
        "lacks": if was_repaired(case) { lacks(case) } else { Vec::new() },
        "leaves_open": if outcome == Outcome::Proven { leaves_open(case) } else { Vec::new() },
        "put_back": back::all(case).into_iter().map(|item| put_back(&item, &open, redaction)).collect::<Vec<_>>(),
        "passed_over": passed_over(case, &["prove", "handover"], redaction),
    })
}

fn total_of(reading: &Reading) -> Option<&Typed<Ampere>> {
    match &reading.what {
        Measurement::Total { current, .. } => Some(current),
        _ => None,
    }
}

/// One thing that goes back; what was noted in words is free text.
fn put_back(item: &BackStep, open: &[BackStep], redaction: Redaction) -> Value {
    let name = if item.told_by == ToldBy::Note { redaction.free(&item.name) } else { item.name.clone() };
    json!({"item": name, "back": !open.contains(item)})
}

fn word(outcome: Outcome, finished: bool) -> &'static str {
    match (outcome, finished) {
        (Outcome::NotProven, false) => "not proven yet",
        (other, _) => other.words(),
    }
}

/// Returns every caution that this vehicle needs, with when it was acknowledged; null if it was not.
pub(super) fn cautions(case: &Case, redaction: Redaction) -> Value {
    let one = |(id, text): (String, &str)| {
        let shown = case.answers.iter().rev().find(|said| said.what.question == id);
        json!({
            "caution": id.trim_start_matches("caution."),
            "text": text,
            "acknowledged": shown.map(|said| said.stamp.at.to_rfc3339()),
            "passed_over": case.skipped(&id).map(|why| redaction.free(why)),
        })
    };
    Value::Array(caution::needed(&case.map).map(one).collect())
}
