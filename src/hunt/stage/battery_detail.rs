//! What was measured on the battery, asked for only where somebody has results: each question has "not measured" as
//! its default. Two batteries in series are each read by itself, unless the pair is known to be good.
//! Leaves to others: what it means (`battery/judge`).

use super::asking::{choice, first_of};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Celsius, Minute, Volt};
use crate::battery::rating;
use crate::battery::table::BatteryTable;
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken, supply};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::text::ask::battery as words;

/// The default where nothing was measured.
pub const NOT_MEASURED: &str = "not measured";
/// The default where nothing is known.
const UNKNOWN: &str = "don't know";
/// More batteries than this in series are read each by itself.
const ONE_AND_A_HALF: f64 = 1.5;

/// Returns the next question about what was measured.
pub fn next(case: &Case) -> Option<HuntStep> {
    let test = supply::answer(case, QuestionId::BatteryTest);
    if !matches!(test, Some("results" | "not-tested")) {
        return None;
    }
    // Of a pair each is read by itself where its charge is in doubt, or results are judged.
    let doubt = test == Some("results") || super::battery::type_matters(case);
    let pair = doubt && supply::batteries(case) > ONE_AND_A_HALF && supply::rested(case).is_some();
    let first = || Question::of(QuestionId::BatteryFirst).or(NOT_MEASURED);
    let mut questions: Vec<Question> = pair.then(first).into_iter().collect();
    if test == Some("results") {
        questions.extend(details());
    }
    first_of(case, questions, supply::settled)
}

fn details() -> [Question; 9] {
    let standards = BatteryTable::builtin().map(|table| words::measured_help(table.standards()));
    [
        (QuestionId::BatteryRating, UNKNOWN),
        (QuestionId::BatteryMade, UNKNOWN),
        (QuestionId::BatteryRest, UNKNOWN),
        (QuestionId::BatteryTemperature, UNKNOWN),
        (QuestionId::BatteryPosts, "unknown"),
        (QuestionId::BatteryMeasured, NOT_MEASURED),
        (QuestionId::BatteryLoad, NOT_MEASURED),
        (QuestionId::BatteryLeak, NOT_MEASURED),
        (QuestionId::BatteryClamps, "unknown"),
    ]
    .map(|(id, default)| {
        let question = Question::of(id).or(default);
        match &standards {
            Ok(help) if id == QuestionId::BatteryMeasured => Question { help: help.clone(), ..question },
            _ => question,
        }
    })
}

/// Takes an answer: what says that nothing is known is kept as it is, anything else must be a value.
pub fn take(question: &Question, text: &str) -> Taken {
    let nothing = text.is_empty() || question.default.as_deref() == Some(text) || is_unknown(text);
    let checked = match question.id.head {
        QuestionId::BatteryPosts | QuestionId::BatteryClamps => return choice(question, text),
        _ if nothing => return Taken::answer(question, question.default.as_deref().unwrap_or(UNKNOWN)),
        QuestionId::BatteryRating | QuestionId::ProveRating => rating::read(text).map(|_| ()),
        QuestionId::BatteryMade => Ok(()),
        QuestionId::BatteryRest => above_zero::<Minute>(text, "h"),
        QuestionId::BatteryTemperature => Celsius::read(text, "C").map(|_| ()),
        QuestionId::BatteryMeasured => above_zero::<Ampere>(text, "A"),
        QuestionId::BatteryLeak => Volt::read(text, "V").map(|_| ()),
        _ => above_zero::<Volt>(text, "V"),
    };
    Taken::read(checked, |()| Taken::answer(question, text.trim()))
}

/// Returns true if a text says that nobody knows.
pub fn is_unknown(text: &str) -> bool {
    ["don't know", "unknown", "not measured", "none"]
        .iter()
        .any(|known| text.trim().eq_ignore_ascii_case(known))
}

/// Reads a value that must be above zero.
///
/// # Errors
/// Not a value of this quantity, or not above zero.
pub fn above_zero<U: Readable + crate::base::quantity::show::Shown>(
    text: &str,
    unit: &str,
) -> Result<(), Diagnostic> {
    let typed = U::read(text, unit)?;
    if typed.value.base() > 0.0 {
        return Ok(());
    }
    Err(Diagnostic::new(format!("{} is not above zero", bare(typed.value, 3))).expected(U::EXAMPLE))
}
