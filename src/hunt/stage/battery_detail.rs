//! What was measured on the battery, asked for only where somebody has results: each question has "not measured" as
//! its default. Two batteries in series are each read by itself, unless the pair is known to be good.
//! Leaves to others: what it means (`battery/judge`).

use super::asking::{choice, first_of};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, AmpereHour, Celsius, Minute, Volt};
use crate::battery::judge::{BatteryEvidence, frost_is_asked};
use crate::battery::rating;
use crate::battery::reason::BatteryReason;
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

/// Rested volts of a 12 V battery between which its type changes nothing of what comes next. Editorial: an acid battery of
/// any type is then half charged or better, and none was charged just now.
const ANY_TYPE: (Volt, Volt) = (Volt::new(12.4), Volt::new(12.9));

/// Returns true if the type of the battery changes what comes next: results are to be judged, or the volts are odd.
pub(super) fn type_matters(case: &Case) -> bool {
    let is_odd = |volts: Volt| {
        let each = volts / supply::batteries(case);
        each < ANY_TYPE.0 || each > ANY_TYPE.1
    };
    let test = supply::answer(case, QuestionId::BatteryTest);
    matches!(test, Some("results" | "bad")) || supply::rested(case).is_some_and(is_odd)
}

/// Returns the next question about what was measured.
pub fn next(case: &Case) -> Option<HuntStep> {
    let test = supply::answer(case, QuestionId::BatteryTest);
    if test == Some("unsafe") {
        return None;
    }
    // Of a pair each is read by itself where its charge is in doubt, or results are judged.
    let doubt = matches!(test, Some("results" | "not-tested")) || type_matters(case);
    let pair = doubt && supply::batteries(case) > ONE_AND_A_HALF && supply::rested(case).is_some();
    let first = || Question::of(QuestionId::BatteryFirst).or(NOT_MEASURED);
    let mut questions: Vec<Question> = pair.then(first).into_iter().collect();
    if test == Some("results") {
        questions.extend(details());
    }
    questions.extend(of_low_volts(case));
    if supply::is_replaced(case) {
        questions.extend(of_new(case));
    }
    first_of(case, questions, supply::settled)
}

/// What low volts ask for: the temperature where the acid may freeze, and whether it was charged where they are those
/// of five cells.
fn of_low_volts(case: &Case) -> Vec<Question> {
    let (Ok(table), Ok(found)) = (BatteryTable::builtin(), supply::judgement(case)) else {
        return Vec::new();
    };
    let BatteryEvidence { volts, chemistry, charged, .. } = supply::evidence(case);
    let least = volts.into_iter().reduce(Volt::min);
    let cold = least.is_some_and(|least| frost_is_asked(table, least, chemistry));
    let is_shorted = |one: &BatteryReason| matches!(one, BatteryReason::ShortedCell { .. });
    let shorted = charged.is_none() && found.reasons.iter().any(is_shorted);
    let asked = [
        (cold, QuestionId::BatteryTemperature, UNKNOWN),
        // Once it was answered it stays in the list, settled.
        (
            shorted || supply::answer(case, QuestionId::BatteryCharged).is_some(),
            QuestionId::BatteryCharged,
            "unknown",
        ),
    ];
    asked.into_iter().filter(|(due, ..)| *due).map(|(_, id, default)| Question::of(id).or(default)).collect()
}

/// What the record keeps of a new battery.
fn of_new(case: &Case) -> [Question; 4] {
    let today = case.last_at.format("%Y-%m-%d").to_string();
    [
        Question::of(QuestionId::BatteryRating).or(UNKNOWN),
        Question::of(QuestionId::BatterySerial).or("not noted"),
        Question::of(QuestionId::BatteryFitted).or(today),
        Question::of(QuestionId::BatteryRegistered).or("unknown"),
    ]
}

fn details() -> [Question; 10] {
    let standards = BatteryTable::builtin().map(|table| words::measured_help(table.standards()));
    [
        (QuestionId::BatteryRating, UNKNOWN),
        (QuestionId::BatteryMade, UNKNOWN),
        (QuestionId::BatteryRest, UNKNOWN),
        (QuestionId::BatteryTemperature, UNKNOWN),
        (QuestionId::BatteryPosts, "unknown"),
        (QuestionId::BatteryMeasured, NOT_MEASURED),
        (QuestionId::BatteryLoad, NOT_MEASURED),
        (QuestionId::BatteryCapacity, NOT_MEASURED),
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
        QuestionId::BatteryPosts
        | QuestionId::BatteryClamps
        | QuestionId::BatteryCharged
        | QuestionId::BatteryRegistered => return choice(question, text),
        _ if nothing => return Taken::answer(question, question.default.as_deref().unwrap_or(UNKNOWN)),
        QuestionId::BatteryRating | QuestionId::ProveRating => rating::read(text).map(|_| ()),
        QuestionId::BatteryMade | QuestionId::BatterySerial | QuestionId::BatteryFitted => Ok(()),
        QuestionId::BatteryCapacity => above_zero::<AmpereHour>(text, "Ah"),
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
