//! How the vehicle is used, where nothing else explains that it goes flat: within its limit, battery and charging side
//! sound, and told of short trips or flat sooner than the draw can make it.
//! Leaves to others: the balance (`battery/energy`), what was told (`log/interview`), the words (`text/ask/usage`).

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, first_open};
use super::battery_detail::is_unknown;
use crate::balance::verdict::DrawVerdict;
use crate::battery::cause::SupplyKind;
use crate::battery::energy::Trips;
use crate::hunt::analysis::{Analysis, is_flat_sooner};
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    let analysis = Analysis::of(case).ok()?;
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

/// Takes an answer.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::UseTrips if !is_unknown(text) => {
            Taken::read(Trips::read(text), |_| Taken::answer(question, text.trim()))
        }
        QuestionId::UseTrips => Taken::answer(question, text),
        _ => choice(question, text),
    }
}
