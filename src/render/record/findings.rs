//! The sections of a record that say what follows: suspects, what narrowed them, repair, proof, cautions.
//! Leaves to others: what was found at the vehicle (`sections`).

use super::sections::{ShownShape, SkipShape, passed_over};
use super::timeline::meant;
use crate::base::quantity::{Ampere, Typed};
use crate::base::styled::StyledText;
use crate::circuit::loads::Catalogue;
use crate::hunt::analysis::{Analysis, told_of};
use crate::hunt::stage::back::{self, BackStep, ToldBy};
use crate::hunt::stage::handover::{Outcome, outcome};
use crate::hunt::stage::verify::{difference, is_repaired, lacks, leaves_open, proof as proof_of};
use crate::hunt::{NextStep, caution, next, show};
use crate::infer::rank::Suspect;
use crate::infer::weight::{Background, Weights};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::measure::{Measurement, Reading};
use crate::render::json::probability;
use crate::render::json::suspects::{CuredShape, GroupShape, LeaderShape, PairShape, SuspectShape};
use crate::render::redact::Redaction;
use crate::text::{self, reading};

/// Suspects below this are only counted.
const WORTH_A_LINE: f64 = 0.001;

shape! {
    /// Who is to blame, and why the search stands where it does.
    RecordSuspectsShape(case: &Case, analysis: &Analysis) [
        let ranking = analysis.ranking();
        let (listed, others): (Vec<_>, Vec<_>) =
            ranking.suspects.iter().partition(|suspect| suspect.probability >= WORTH_A_LINE);
    ] {
        leader: LeaderShape = LeaderShape::of(&analysis.leader()),
        also: Vec<LeaderShape> = analysis.also().iter().map(LeaderShape::of).collect(),
        search: String = match &analysis.total {
            Some(_) => show::stop(analysis).text(),
            None => text::record::NO_TOTAL.to_owned(),
        },
        /// Likeliest first.
        branches: Vec<SuspectShape> = listed.into_iter().map(|one| SuspectShape::of(one, analysis)).collect(),
        other_branches: OthersShape = OthersShape::of(&others),
        wake_groups: Vec<GroupShape> = ranking.groups.iter().map(|one| GroupShape::of(one, analysis)).collect(),
        pairs: Vec<PairShape> = ranking.pairs.iter().map(PairShape::of).collect(),
        /// Probability that nothing is wrong.
        nothing_wrong: f64 = probability(ranking.nothing_wrong),
        /// Probability that the fault is not there now.
        not_present_now: f64 = probability(ranking.not_present_now),
        cured_by_pull: Option<CuredShape> = ranking.cured.as_ref().map(CuredShape::of),
        weights: WeightsShape = WeightsShape::of(case, analysis),
    }

    /// Suspects that are not worth a line each.
    OthersShape(others: &[&Suspect]) {
        count: usize = others.len(),
        probability: f64 = probability(others.iter().map(|one| one.probability).sum()),
    }

    /// What was held likely before any reading.
    WeightsShape(case: &Case, analysis: &Analysis) [
        let hints = told_of(case);
        let limit = analysis.limit.as_ref().map(|limit| limit.current);
        let background = Background { told: hints.clone(), limit, ..Background::default() };
    ] {
        basis: &'static str = text::record::WEIGHTS,
        nothing_wrong: f64 = Weights::new(&analysis.panel.map, Catalogue::builtin(), &background).nothing,
        /// What was told of the vehicle.
        told: Vec<&'static str> = hints,
        causes: Vec<CauseShape> = Catalogue::builtin().causes().iter().map(|cause| CauseShape::of(&cause.words, cause.weight)).collect(),
    }

    /// One cause with its share.
    CauseShape(words: &str, weight: f64) {
        cause: String = words.to_owned(),
        percent: f64 = weight,
    }

    /// What was pulled, unplugged, worked and put back.
    NarrowedShape(case: &Case, analysis: &Analysis, redaction: Redaction) {
        steps: Vec<NarrowingShape> = case.readings.iter().filter(|reading| narrows(&reading.what)).map(|reading| NarrowingShape::of(reading, case, analysis)).collect(),
        passed_over: Vec<SkipShape> = passed_over(case, &["trail", "narrow"], redaction),
    }

    /// One such step.
    NarrowingShape(reading: &Reading, case: &Case, analysis: &Analysis) {
        entry: usize = reading.entry,
        said: String = reading::said(&reading.what),
        meant: Vec<String> = meant(case, analysis, reading.entry),
    }

    /// What was done about it.
    RepairShape(case: &Case, redaction: Redaction) [
        let unplugged = case.unplugged().into_iter().map(|(feed, load)| format!("{feed}/{load}"));
    ] {
        what: Option<String> = case.answer(QuestionId::RepairWhat).map(|what| redaction.answer(&QuestionId::RepairWhat.into(), what)),
        /// What was pulled or unplugged and is not back.
        still_out: Vec<String> = case.pulled().into_iter().map(str::to_owned).chain(unplugged).collect(),
        passed_over: Vec<SkipShape> = passed_over(case, &["repair"], redaction),
    }

    /// What the hunt ended with. A hunt that has not reached its end says so, with the question that is open.
    ProofShape(case: &Case, redaction: Redaction) [
        let (is_finished, told) = match next(case, case.last_at).next {
            NextStep::Done { why } => (true, why),
            NextStep::Ask(question) => {
                (false, format!("unfinished: open is {}, \"{}\"", question.id, question.prompt))
            }
        };
        let ended = outcome(case);
        let after = case.total_after_repair();
        let total = after.and_then(total_of);
        let open = back::open(case);
    ] {
        finished: bool = is_finished,
        end: String = told,
        outcome: &'static str = word(ended, is_finished),
        total_after_repair: Option<ShownShape> = after.map(|reading| ShownShape::of(reading, case)),
        in_words: Option<String> = total.and_then(|total| proof_of(case, total)).as_ref().map(StyledText::text),
        fell_by: Option<String> = total.and_then(|total| difference(case, total)).as_ref().map(StyledText::text),
        cause_worked_again: Option<String> = case.answer(QuestionId::ProveProvoke).map(str::to_owned),
        overnight_log: Option<String> = case.answer(QuestionId::ProveLog).map(str::to_owned),
        /// What a proof lacks.
        lacks: Vec<String> = if is_repaired(case) { lacks(case) } else { Vec::new() },
        /// What a proof leaves open.
        leaves_open: Vec<&'static str> = if ended == Outcome::Proven { leaves_open(case) } else { Vec::new() },
        put_back: Vec<PutBackShape> = back::all(case).iter().map(|item| PutBackShape::of(item, &open, redaction)).collect(),
        passed_over: Vec<SkipShape> = passed_over(case, &["prove", "handover"], redaction),
    }

    /// One thing that goes back.
    PutBackShape(step: &BackStep, open: &[BackStep], redaction: Redaction) {
        // What was noted in words is free text.
        item: String = if step.told_by == ToldBy::Note { redaction.free(&step.name) } else { step.name.clone() },
        back: bool = !open.contains(step),
    }

    /// A caution, with when it was acknowledged; null if it was not.
    CautionShape(id: QuestionId, case: &Case, redaction: Redaction) [
        let shown = case.answers.iter().rev().find(|said| said.what.question.plain() == Some(id));
    ] {
        caution: String = id.name().trim_start_matches("caution.").to_owned(),
        text: &'static str = text::ask::caution::text(id),
        acknowledged: Option<String> = shown.map(|said| said.stamp.at.to_rfc3339()),
        passed_over: Option<String> = case.skipped(id).map(|why| redaction.free(why)),
    }
}

impl CautionShape {
    /// Returns every caution that this vehicle needs.
    pub(super) fn all(case: &Case, redaction: Redaction) -> Vec<Self> {
        caution::needed(&case.map).map(|id| Self::of(id, case, redaction)).collect()
    }
}

fn narrows(what: &Measurement) -> bool {
    use Measurement::{Input, Pull, Refit, Unplug};
    matches!(what, Pull { .. } | Unplug { .. } | Input { .. } | Refit { .. })
}

fn total_of(reading: &Reading) -> Option<&Typed<Ampere>> {
    match &reading.what {
        Measurement::Total { current, .. } => Some(current),
        _ => None,
    }
}

fn word(outcome: Outcome, finished: bool) -> &'static str {
    match (outcome, finished) {
        (Outcome::NotProven, false) => "not proven yet",
        (other, _) => other.words(),
    }
}
