//! What was measured on the battery, asked for only where somebody has results: each question has "not measured" as
//! its default. Two batteries in series are each read by itself, unless the pair is known to be good.
//! Leaves to others: what it means (`battery/judge`).

use super::asking::{choice, first_of};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Celsius, Minute, Unit, Volt};
use crate::battery::rating;
use crate::battery::table::BatteryTable;
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken, supply};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;

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
    let pair = supply::batteries(case) > ONE_AND_A_HALF && supply::rested(case).is_some();
    let mut questions: Vec<Question> = pair.then(first_of_pair).into_iter().collect();
    if test == Some("results") {
        questions.extend(details());
    }
    first_of(case, questions, supply::settled)
}

fn first_of_pair() -> Question {
    Question::line(
        QuestionId::BatteryFirst,
        "The two batteries in series: volts of the first one alone",
        "From its own negative to its own positive post. The second is the rest. Further apart than 0.2 V, one of them is worn or something is tapped off one of them.",
    )
    .in_unit("V")
    .or(NOT_MEASURED)
}

fn details() -> [Question; 9] {
    let line = |id: QuestionId, prompt: &str, help: &str| Question::line(id, prompt, help).or(UNKNOWN);
    [
        line(
            QuestionId::BatteryRating,
            "What is printed on it?",
            "As the label has it: 70 Ah 640 A EN, RC 120, CCA 540 SAE.",
        ),
        line(
            QuestionId::BatteryMade,
            "Maker's code or year?",
            "As printed or stamped, with the year if you can read it: A6 2019. From it its age.",
        ),
        line(
            QuestionId::BatteryRest,
            "How long has it rested since it was charged or driven?",
            "A time such as 8 h. A short rest leaves surface charge, which looks like more than there is.",
        )
        .in_unit("h"),
        line(QuestionId::BatteryTemperature, "Temperature of the battery?", "It may be colder than the air around it.").in_unit("°C"),
        line(
            QuestionId::BatteryPosts,
            "Top or side posts?",
            "On side posts measure and test on lead adapters screwed in, not on the bolts: bolts make the reading fall short.",
        )
        .one_of(&[("top", "top posts"), ("side", "side posts"), ("unknown", "don't know")])
        .or("unknown"),
        measured_question(),
        line(
            QuestionId::BatteryLoad,
            "Load test: volts at the end of 15 s at half the cranking rating",
            "At 75 % charge or more. Least volts: 9.6 at 21 °C, 9.3 at 4 °C, 8.9 at -7 °C, 8.5 at -18 °C.",
        )
        .in_unit("V")
        .or(NOT_MEASURED),
        line(
            QuestionId::BatteryLeak,
            "Volts from a post to the case top beside it",
            "One probe on the post, the other drawn over the top of the case. Half a volt or more is a path through dirt and acid.",
        )
        .in_unit("V")
        .or(NOT_MEASURED),
        line(
            QuestionId::BatteryClamps,
            "Do the clamps hold?",
            "Turn each a little on its post, so that its teeth break through the oxide: they must hold and be bare beneath. With the vehicle asleep this wakes it, so it is done now.",
        )
        .one_of(&[("hold", "tight and clean"), ("bad", "loose or corroded"), ("unknown", "not looked at")])
        .or("unknown"),
    ]
}

fn measured_question() -> Question {
    let standards = BatteryTable::builtin().map(|table| {
        let one =
            |(name, seconds, volts): (&str, f64, Volt)| format!("{name} {seconds} s to {} V", volts.base());
        table.standards().map(one).collect::<Vec<_>>().join(", ")
    });
    Question::line(
        QuestionId::BatteryMeasured,
        "Cranking rating that a tester measured",
        format!(
            "In ampere, set to the standard that is printed (at -18 °C: {}). 80 % of the rated one or more is sound, below 70 % it is worn out (common practice).",
            standards.unwrap_or_default()
        ),
    )
    .in_unit("A")
    .or(NOT_MEASURED)
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
    match checked {
        Ok(()) => Taken::answer(question, text.trim()),
        Err(fault) => Taken::refuse(fault.to_string()),
    }
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
