//! The settled total and the verdict against the limit.
//! Leaves to others: the rule (`balance/verdict`), the default limits (`circuit/limits`).

use chrono::{DateTime, FixedOffset};

use super::asking::{begun_by_hand, choice, settled};
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::Ampere;
use crate::base::quantity::parse::Readable;
use crate::base::styled::{Role, StyledText};
use crate::circuit::limits::Limits;
use crate::hunt::analysis::{Analysis, limit_of};
use crate::hunt::gone::gone;
use crate::hunt::question::Question;
use crate::hunt::typed::{measured, volts_entry};
use crate::hunt::{HuntStep, Taken, show, supply};
use crate::log::case::Case;
use crate::log::entry::{LogEvent, Measured};
use crate::log::question_id::QuestionId;
use crate::log::typed::{self, Proposed};
use crate::measure::Measurement;
use crate::measure::kind::MeasurementKind;
use crate::text::ask::total as words;

/// The answer of somebody who knows no limit.
const UNKNOWN: &str = "don't know";

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !has_total(case) && !settled(case, QuestionId::TotalReading) {
        return Some(HuntStep::ask(Question::of(QuestionId::TotalReading).reading(Proposed::total())));
    }
    if !settled(case, QuestionId::TotalVolts) && !begun_by_hand(case) {
        let volts = Proposed::at(MeasurementKind::Volts, "");
        return Some(HuntStep::ask(Question::of(QuestionId::TotalVolts).reading(volts)));
    }
    if limit_of(case).is_none() && !settled(case, QuestionId::TotalLimit) {
        let say = supply::for_orientation(case).into_iter().collect();
        return Some(HuntStep::ask(Question::of(QuestionId::TotalLimit).or(UNKNOWN)).after(say));
    }
    verdict_question(case)
}

/// A provisional total counts too: the trail goes on with it until a settled one is read.
fn has_total(case: &Case) -> bool {
    let is_total = |what: &Measurement| matches!(what, Measurement::Total { as_found: false, .. });
    case.readings.iter().any(|reading| is_total(&reading.what) && !reading.after_repair)
}

/// Within the limit there may be nothing to find; the readings say so and the technician decides. After a repair the
/// totals say something else, and it is not asked any more.
fn verdict_question(case: &Case) -> Option<HuntStep> {
    if settled(case, QuestionId::RepairWhat) {
        return None;
    }
    let analysis = Analysis::of(case).ok()?;
    let verdict = analysis.verdict?;
    if verdict != DrawVerdict::Within || settled(case, QuestionId::TotalWithin) {
        return None;
    }
    let mut say: Vec<StyledText> = show::verdict(&analysis, &case.opened.clamp).into_iter().collect();
    let gone = gone(case, analysis.limit.as_ref().map(|limit| limit.current));
    say.push(
        gone.map_or_else(|| StyledText::plain(words::ELSEWHERE), |[found, now]| words::gone(&found, &now)),
    );
    Some(HuntStep::ask(Question::of(QuestionId::TotalWithin).or("stop")).after(say))
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::TotalReading => Taken::read(Ampere::read(text, "mA"), |current| {
            let fell = still_falling(case, current.value);
            total_entry(case, Measurement::Total { current, as_found: false }).saying(fell)
        }),
        QuestionId::TotalVolts => {
            let mut taken = volts_entry(text);
            if !taken.entries.is_empty() {
                taken
                    .entries
                    .push(LogEvent::Answer { question: question.id.clone(), answer: text.to_owned() });
                taken
                    .say
                    .extend(Analysis::of(case).map(|analysis| judged(case, &analysis)).unwrap_or_default());
            }
            taken
        }
        QuestionId::TotalLimit if is_unknown(text) => {
            Taken::answer(question, UNKNOWN).saying([StyledText::plain(words::NO_LIMIT)])
        }
        QuestionId::TotalLimit => match typed::read_limit(text) {
            Ok(limit) => Taken::entry(limit),
            Err(fault) => Taken::refuse(format!("{fault}; or don't know")),
        },
        _ => choice(question, text),
    }
}

/// The verdict, and beside it what else speaks of the draw: the reserve's advice, and the time to flat.
fn judged(case: &Case, analysis: &Analysis) -> Vec<StyledText> {
    let mut lines: Vec<StyledText> = show::verdict(analysis, &case.opened.clamp).into_iter().collect();
    let advice = supply::ratings(case).reserve.and_then(|reserve| Limits::builtin().reserve_advice(reserve));
    lines.extend(advice.map(|advice| words::advised(advice.current, &advice.source)));
    if let Some(stood) = case.told().stand {
        lines.extend(supply::expected(case, stood, analysis.total.as_ref()));
    }
    lines
}

/// A total read before sleep was proved is marked, and a later one replaces it.
fn total_entry(case: &Case, what: Measurement) -> Taken {
    let provisional = case.answer(QuestionId::SettleWait) != Some("settled");
    let body = match measured(case, what, false) {
        LogEvent::Reading(reading) => LogEvent::Reading(Box::new(Measured { provisional, ..*reading })),
        other => other,
    };
    let note = provisional.then(|| StyledText::of(Role::Doubt, words::PROVISIONAL));
    Taken::entry(body).saying(note)
}

/// A total so much below the last one of the wait means that something fell asleep only now. Editorial.
const STILL_FALLING: f64 = 0.9;

/// Returns what to say where the draw fell between the end of the wait and the total.
fn still_falling(case: &Case, total: Ampere) -> Option<StyledText> {
    let waited = case.readings.iter().rev().find_map(|reading| match &reading.what {
        Measurement::Watch { current } if !reading.after_repair => Some(current.value),
        _ => None,
    })?;
    (total < waited * STILL_FALLING).then(|| words::still_falling(waited))
}

fn is_unknown(text: &str) -> bool {
    [UNKNOWN, "unknown", "none"].iter().any(|word| text.eq_ignore_ascii_case(word))
}
