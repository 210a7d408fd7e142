//! The battery comes first: type, rested volts, test. A flat, failed, frozen or swollen battery stops the hunt with
//! advice, for no draw can be judged on it. Who knows that it is good is through in three answers; results that are at
//! hand are asked for only where somebody says so.
//! Leaves to others: the judgement (`battery/judge` through `hunt/supply`), its words (`text/ask/battery`).

use chrono::{DateTime, FixedOffset};

use super::asking::{AnswerTrouble, choice, seen_to};
use super::battery_detail;
use crate::base::quantity::Volt;
use crate::base::styled::{Role, StyledText};
use crate::battery::reason::Remedy;
use crate::hunt::question::{Question, QuestionKind};
use crate::hunt::supply::{self, settled};
use crate::hunt::typed::with_beside;
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::kind::MeasurementKind;
use crate::text;
use crate::text::ask::battery as words;

/// Rested volts of a 12 V battery below which it is plainly flat.
///
/// # Source
/// BCI table of open-circuit voltage as reprinted by makers: 11.89 V is 0 % (flooded, 27 °C); 11.80 V for absorbent
/// glass mat. The lower one is taken for all, so that only what is flat by any table stops the hunt.
const FLAT: Volt = Volt::new(11.8);
/// The same for lithium iron phosphate, four cells. From memory: about 12.0 V is a few per cent.
const FLAT_LITHIUM: Volt = Volt::new(12.0);

/// The answer that speaks for the charging side too.
const BOTH: &str = "both";

/// Returns the question for rested volts.
pub fn volts_question(id: QuestionId) -> Question {
    Question::of(id).reading(Proposed::at(MeasurementKind::Volts, ""))
}

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !settled(case, QuestionId::BatteryTest) {
        return Some(HuntStep::ask(Question::of(QuestionId::BatteryTest).or("not-tested")));
    }
    if supply::rested(case).is_none() && !settled(case, QuestionId::BatteryVolts) {
        let question = volts_question(QuestionId::BatteryVolts);
        return Some(HuntStep::ask(match supply::batteries(case) {
            pair if pair > 1.5 => Question { prompt: words::VOLTS_OF_A_PAIR.to_owned(), ..question },
            _ => question,
        }));
    }
    if battery_detail::type_matters(case) && !settled(case, QuestionId::BatteryType) {
        return Some(HuntStep::ask(Question::of(QuestionId::BatteryType).or("unknown")));
    }
    battery_detail::next(case).or_else(|| gate(case, now))
}

/// What keeps the hunt before the battery.
struct BadNumber {
    why: String,
    /// What is to be done about it.
    remedy: Remedy,
}

/// Stops before a flat, failed or dangerous battery, unless told to go on where that is safe.
fn gate(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let trouble = trouble(case)?;
    let stops = trouble.remedy == Remedy::HandsOff;
    let say = || vec![StyledText::of(Role::Doubt, &trouble.why), words::advice(trouble.remedy)];
    match supply::answer(case, QuestionId::BatteryGate) {
        Some("go-on") if !stops => None,
        None if !stops && settled(case, QuestionId::BatteryGate) => None,
        Some("stop") => {
            let trouble = AnswerTrouble { why: words::comes_first(&trouble.why), say: say() };
            Some(seen_to(case, QuestionId::BatteryAgain, trouble, now))
        }
        _ => Some(HuntStep::ask(gate_question(stops)).after(say())),
    }
}

fn gate_question(stops: bool) -> Question {
    let mut question = Question::of(QuestionId::BatteryGate).or("stop");
    if let QuestionKind::Choice(choices) = &mut question.kind {
        choices.retain(|(key, _)| !stops || key == "stop");
    }
    question
}

/// What speaks against going on, if anything does.
fn trouble(case: &Case) -> Option<BadNumber> {
    let judgement = supply::judgement(case).ok()?;
    let reasons = || judgement.reasons.iter();
    if let Some(reason) = reasons().find(|one| one.stops()).or_else(|| reasons().find(|one| one.is_fault())) {
        return Some(BadNumber { why: text::battery::reason(reason), remedy: reason.remedy() });
    }
    let volts = supply::rested(case)?;
    let batteries = supply::batteries(case);
    let flat =
        if supply::answer(case, QuestionId::BatteryType) == Some("lithium") { FLAT_LITHIUM } else { FLAT };
    let least = flat * batteries;
    (volts < least).then(|| BadNumber { why: words::flat(volts, least), remedy: Remedy::Charge })
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::BatteryVolts => volts_taken(case, text),
        QuestionId::BatteryTest => {
            let mut taken = choice(question, text);
            // One answer for both: the charging side is not asked about any more.
            if let Some(LogEvent::Answer { answer, .. }) = taken.entries.first_mut()
                && answer == BOTH
            {
                "good".clone_into(answer);
                let question = QuestionId::ChargingKnown.into();
                taken.entries.push(LogEvent::Answer { question, answer: "good".to_owned() });
            }
            taken
        }
        QuestionId::BatteryType | QuestionId::BatteryGate | QuestionId::BatteryAgain => {
            choice(question, text)
        }
        _ => battery_detail::take(question, text),
    }
}

/// Takes rested volts; what they are worth is said at once where the type is known already.
fn volts_taken(case: &Case, text: &str) -> Taken {
    // Of two in series the first may be typed behind both.
    let read =
        with_beside::<Volt, Volt>(text, "V", "V").map(|(volts, first)| match supply::batteries(case) {
            pair if pair > 1.5 => (volts, first),
            _ => (volts, None),
        });
    Taken::read(read, |(volts, first)| {
        if volts.value <= Volt::ZERO {
            return Taken::refuse(words::no_volts(&volts, case.map.system));
        }
        let taken = Taken::entry(LogEvent::Volts { volts });
        match first {
            Some(first) => {
                taken.and(LogEvent::Answer { question: QuestionId::BatteryFirst.into(), answer: first.text })
            }
            None => taken,
        }
    })
}
