//! The sections of a record that say what follows: suspects, what narrowed them, repair, proof, cautions.
//! Leaves to others: what was found at the vehicle (`sections`).

use super::sections::{ShownShape, SkipShape, passed_over};
use super::timeline::meant;
use crate::base::quantity::show::Q;
use crate::base::quantity::{Ampere, Typed};
use crate::base::styled::StyledText;
use crate::circuit::loads::Catalogue;
use crate::hunt::analysis::{Analysis, told_of};
use crate::hunt::stage::back::{self, BackStep, ToldBy};
use crate::hunt::stage::handover::{Outcome, outcome};
use crate::hunt::stage::verify::{difference, is_repaired, lacks, leaves_open, proof as proof_of};
use crate::hunt::{NextStep, caution, next, show};
use crate::infer::leader::LeaderKind;
use crate::infer::rank::{HeldGroup, Suspect};
use crate::infer::weight::{Background, Weights};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::measure::{Measurement, Reading};
use crate::render::json::probability;
use crate::render::json::suspects::{self, CuredShape, GroupShape, LeaderShape, PairShape, SuspectShape};
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
        /// The same before any circuit was read: what the total and the customer's words alone made likely.
        before: Vec<BeforeShape> = before(analysis),
        weights: WeightsShape = WeightsShape::of(case, analysis),
    }

    /// What leads, ready to be said: for the work order.
    FoundShape(analysis: &Analysis) [
        let leader = analysis.leader();
        let ranking = analysis.ranking();
        let branch = ranking.suspects.iter().find(|one| one.id == leader.name);
        let branch = branch.filter(|_| leader.kind.is_circuit());
        let group = ranking.groups.iter().find(|one| one.id == leader.name).filter(|_| leader.kind == LeaderKind::Group);
    ] {
        kind: &'static str = leader.kind.word(),
        name: Option<String> = Some(leader.name.clone()).filter(|name| !name.is_empty()),
        probability: f64 = probability(leader.probability),
        odds: &'static str = text::suspects::odds(leader.probability),
        /// What it is, as one says it.
        words: String = text::suspects::called(&leader, None),
        /// What fails there: its loads, likeliest first; of a network the input or module that holds it awake.
        parts: Vec<String> = branch.map(likely_loads).or(group.map(holders)).unwrap_or_default(),
        /// What it draws above normal; null where it is no circuit.
        excess: Option<Q> = branch.map(|one| suspects::excess(&one.excess)).or(group.map(|one| suspects::excess(&one.excess))),
        /// The reading that decided, in a sentence.
        why: Option<String> = branch.map(|one| text::suspects::why(one, analysis.excess.as_ref(), &analysis.facts.night, &analysis.panel)).or(group.map(|one| text::suspects::why_group(one, &analysis.facts.night, &analysis.panel))),
    }

    /// What was held likely once the total was known, before any circuit was read.
    BeforeShape(name: &str, chance: f64) {
        name: String = name.to_owned(),
        probability: f64 = probability(chance),
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
        let learnt = case.learnt.clone();
        let background = Background { told: hints.clone(), limit, learnt, ..Background::default() };
    ] {
        basis: &'static str = text::record::WEIGHTS,
        /// How many proven hunts moved the editorial shares; 0 where none did.
        learnt_from: usize = case.learnt.cases,
        nothing_wrong: f64 = Weights::new(&analysis.panel.map, Catalogue::builtin(), &background).nothing,
        /// What was told of the vehicle.
        told: Vec<&'static str> = hints,
        causes: Vec<CauseShape> = Catalogue::builtin().causes().iter().map(|cause| CauseShape::of(&cause.words, cause.weight * case.learnt.factor(Catalogue::builtin(), &cause.id))).collect(),
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
        /// True if something was repaired.
        is_made: bool = case.was_repaired(),
        /// What was pulled or unplugged and is not back.
        still_out: Vec<String> = case.pulled().into_iter().map(str::to_owned).chain(unplugged).collect(),
        passed_over: Vec<SkipShape> = passed_over(case, &["repair"], redaction),
    }

    /// What the hunt ended with. A hunt that has not reached its end says so, with the question that is open.
    ProofShape(case: &Case, redaction: Redaction) [
        let (is_finished, told) = match next(case, case.last_at).next {
            NextStep::Done { why } => (true, why),
            NextStep::Ask(question) => {
                (false, text::page::unfinished(&question.prompt))
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

/// A load with less than this share of its branch's probability is not named. Editorial.
const NAMED: f64 = 0.15;

fn likely_loads(suspect: &Suspect) -> Vec<String> {
    let likely = suspect.loads.iter().filter(|(_, share)| *share > NAMED).take(3);
    likely.map(|(name, _)| name.clone().unwrap_or_else(|| suspects::UNLISTED.to_owned())).collect()
}

fn holders(group: &HeldGroup) -> Vec<String> {
    [&group.input, &group.module].into_iter().flatten().map(|(name, _)| name.clone()).collect()
}

/// The suspects as they stood with the totals alone.
fn before(analysis: &Analysis) -> Vec<BeforeShape> {
    let mut facts = analysis.facts.clone();
    facts.readings.retain(|reading| matches!(reading.what, Measurement::Total { .. }));
    if analysis.total.is_none() || facts.readings.len() == analysis.facts.readings.len() {
        return Vec::new();
    }
    let before = Analysis::of_facts(facts);
    let ranking = before.ranking();
    let branches = ranking.suspects.iter().map(|one| (&one.id, one.probability));
    let groups = ranking.groups.iter().map(|one| (&one.id, one.probability));
    let mut all: Vec<(&String, f64)> = branches.chain(groups).filter(|one| one.1 >= WORTH_A_LINE).collect();
    all.sort_by(|a, b| b.1.total_cmp(&a.1));
    all.into_iter().map(|(name, chance)| BeforeShape::of(name, chance)).collect()
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
