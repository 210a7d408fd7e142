//! How the vehicle is used, where nothing else explains that it goes flat: within its limit, battery and charging side
//! sound, and told of short trips or flat sooner than the draw can make it; and whether what was agreed on helped.
//! Leaves to others: the balance (`battery/energy`), what was told (`log/interview`), the words (`text/ask/usage`).

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, first_open, is_handed_over, is_later, settled};
use super::battery_detail::is_unknown;
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::Volt;
use crate::base::quantity::parse::Readable;
use crate::base::styled::StyledText;
use crate::battery::cause::SupplyKind;
use crate::battery::energy::Trips;
use crate::battery::judge::{BatteryEvidence, judge};
use crate::battery::reason::BatteryReason;
use crate::battery::table::BatteryTable;
use crate::hunt::analysis::{Analysis, is_flat_sooner};
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken, supply};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::text::ask::usage as words;

/// What is agreed that may change something.
const AGREED: [&str; 2] = ["charger", "drives"];

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let analysis = Analysis::of(case);
    if is_proof_due(case, &analysis, now) {
        return Some(HuntStep::ask(Question::of(QuestionId::UseVolts)));
    }
    let other = analysis.leading_supply().is_some_and(|one| one.kind() != SupplyKind::Use);
    let told = !case.told().was_full() || is_flat_sooner(case);
    if !told || other || analysis.verdict != Some(DrawVerdict::Within) || case.was_repaired() {
        return None;
    }
    let trips = Question::of(QuestionId::UseTrips).or("don't know");
    let unknown = case.answer(QuestionId::UseTrips).is_some_and(is_unknown);
    let road = (!unknown).then(|| Question::of(QuestionId::UseRoad).or("mixed"));
    first_open(case, [trips].into_iter().chain(road))
}

/// Once the vehicle was used as agreed for a while, its rested volts tell whether that is enough.
fn is_proof_due(case: &Case, analysis: &Analysis, now: DateTime<FixedOffset>) -> bool {
    let is_use = analysis.leading_supply().is_some_and(|one| one.kind() == SupplyKind::Use);
    let agreed = case.answer(QuestionId::UseAgreed).is_some_and(|told| AGREED.contains(&told));
    is_use && agreed && is_handed_over(case) && is_later(case, now) && !settled(case, QuestionId::UseVolts)
}

/// Returns whether the battery stays charged as the vehicle is used now; `None` if nobody told its volts.
pub fn stays_charged(case: &Case) -> Option<bool> {
    is_charged(case, Volt::read(case.answer(QuestionId::UseVolts)?, "V").ok()?.value)
}

/// Returns true if rested volts stand for so much charge that the battery could be tested.
fn is_charged(case: &Case, volts: Volt) -> Option<bool> {
    let evidence = BatteryEvidence {
        volts: vec![volts / supply::batteries(case)],
        chemistry: supply::chemistry(case),
        ..BatteryEvidence::default()
    };
    let judged = judge(BatteryTable::builtin().ok()?, &evidence).ok()?;
    Some(judged.reasons.iter().any(|reason| matches!(reason, BatteryReason::Charged(_))))
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::UseTrips if !is_unknown(text) => {
            Taken::read(Trips::read(text), |_| Taken::answer(question, text.trim()))
        }
        QuestionId::UseTrips => Taken::answer(question, text),
        QuestionId::UseVolts => Taken::read(Volt::read(text, "V"), |volts| {
            let told = is_charged(case, volts.value).map(|stays| StyledText::plain(words::told(stays)));
            Taken::answer(question, volts.text).saying(told)
        }),
        _ => choice(question, text),
    }
}
