//! The battery comes first: type, rested volts, test. A flat, failed, frozen or swollen battery stops the hunt with
//! advice, for no draw can be judged on it. Who knows that it is good is through in three answers; results that are at
//! hand are asked for only where somebody says so.
//! Leaves to others: the judgement (`battery/judge` through `hunt/supply`), its words (`text/battery`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::{AnswerTrouble, choice, seen_to};
use super::battery_detail;
use crate::base::quantity::Volt;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::hunt::question::Question;
use crate::hunt::supply::{self, settled};
use crate::hunt::typed::volts_entry;
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::typed::Proposed;
use crate::measure::kind::MeasurementKind;
use crate::text;

/// Rested volts of a 12 V battery below which it is plainly flat.
///
/// # Source
/// BCI table of open-circuit voltage as reprinted by makers: 11.89 V is 0 % (flooded, 27 °C); 11.80 V for absorbent
/// glass mat. The lower one is taken for all, so that only what is flat by any table stops the hunt.
const FLAT: Volt = Volt::new(11.8);
/// The same for lithium iron phosphate, four cells. From memory: about 12.0 V is a few per cent.
const FLAT_LITHIUM: Volt = Volt::new(12.0);
/// Returns the question for rested volts.
pub fn volts_question(id: QuestionId) -> Question {
    Question::line(
        id,
        "Battery volts at rest, at the posts",
        "Hours after the last charge or drive, nothing switched on, before the engine runs. After a charge take the surface charge off first: headlamps 15 s, then wait 2 min.",
    )
    .in_unit("V")
    .reading(Proposed::at(MeasurementKind::Volts, ""))
}

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !settled(case, QuestionId::BatteryType) {
        return Some(HuntStep::ask(battery_type()));
    }
    if supply::rested(case).is_none() && !settled(case, QuestionId::BatteryVolts) {
        return Some(HuntStep::ask(volts_question(QuestionId::BatteryVolts)));
    }
    if !settled(case, QuestionId::BatteryTest) {
        return Some(HuntStep::ask(test_question()));
    }
    battery_detail::next(case).or_else(|| gate(case, now))
}

fn battery_type() -> Question {
    Question::line(
        QuestionId::BatteryType,
        "Battery type?",
        "It stands on the label: flooded (filler caps), efb, agm (absorbent glass mat), gel, lithium (iron phosphate). Unknown costs a wider interval on its charge.",
    )
    .one_of(&[
        ("flooded", "liquid acid"),
        ("efb", "enhanced flooded"),
        ("agm", "absorbent glass mat"),
        ("gel", "gel"),
        ("lithium", "lithium iron phosphate"),
        ("unknown", "don't know"),
    ])
    .or("unknown")
}

fn test_question() -> Question {
    Question::line(
        QuestionId::BatteryTest,
        "Is the battery known to be good?",
        "A load test or a conductance tester, on the charged battery. A worn battery is often mistaken for a draw. results asks for what was measured and judges it.",
    )
    .one_of(&[
        ("good", "tested good"),
        ("results", "enter what was measured, and have it judged"),
        ("bad", "tested bad"),
        ("unsafe", "frozen, swollen or leaking"),
        ("not-tested", "not tested yet"),
    ])
    .or("not-tested")
}

/// What keeps the hunt before the battery.
struct BadNumber {
    why: String,
    /// True if nobody may go on with it.
    stops: bool,
}

/// Stops before a flat, failed or dangerous battery, unless told to go on where that is safe.
fn gate(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let trouble = trouble(case)?;
    let say = || vec![StyledText::of(Role::Doubt, &trouble.why), advice(trouble.stops)];
    match supply::answer(case, QuestionId::BatteryGate) {
        Some("go-on") if !trouble.stops => None,
        None if !trouble.stops && settled(case, QuestionId::BatteryGate) => None,
        Some("stop") => {
            let trouble =
                AnswerTrouble { why: format!("the battery comes first: {}", trouble.why), say: say() };
            Some(seen_to(
                case,
                QuestionId::BatteryAgain,
                "Has the battery been charged or replaced, and rested?",
                trouble,
                now,
            ))
        }
        _ => Some(HuntStep::ask(gate_question(trouble.stops)).after(say())),
    }
}

fn gate_question(stops: bool) -> Question {
    let question = Question::line(
        QuestionId::BatteryGate,
        "Stop here and see to the battery first?",
        "A draw read on a flat battery is too low, and modules behave oddly below about 11 V. Go on only if the battery cannot be charged or replaced now.",
    );
    let stop = ("stop", "charge or replace it, then go on with this log");
    let keys = [stop, ("go-on", "go on all the same; the record says so")];
    question.one_of(if stops { &keys[..1] } else { &keys[..] }).or("stop")
}

fn advice(stops: bool) -> StyledText {
    if stops {
        return StyledText::of(
            Role::Caution,
            "Caution: eyes and hands guarded, no charger, no jump leads, no tester. Replace it, or thaw it slowly in an aired place and look at it again.",
        );
    }
    StyledText::plain(
        "Charge it fully (never a frozen one; by the charger's setting for its type), let it rest for hours, test it, and go on with this log.",
    )
}

/// What speaks against going on, if anything does.
fn trouble(case: &Case) -> Option<BadNumber> {
    let judgement = supply::judgement(case).ok()?;
    if let Some(reason) = judgement.reasons.iter().find(|reason| reason.stops()) {
        return Some(BadNumber { why: text::battery::reason(reason), stops: true });
    }
    if supply::answer(case, QuestionId::BatteryTest) == Some("bad") {
        let why = "the battery tested bad; a bad battery goes flat by itself and no draw need be wrong";
        return Some(BadNumber { why: why.to_owned(), stops: false });
    }
    let volts = supply::rested(case)?;
    let batteries = supply::batteries(case);
    let flat =
        if supply::answer(case, QuestionId::BatteryType) == Some("lithium") { FLAT_LITHIUM } else { FLAT };
    (volts < flat * batteries).then(|| BadNumber {
        why: format!(
            "{} at rest is flat: below {}, the lowest of the tables",
            bare(volts, 4),
            bare(flat * batteries, 3)
        ),
        stops: false,
    })
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::BatteryVolts => volts_taken(case, text),
        QuestionId::BatteryType
        | QuestionId::BatteryTest
        | QuestionId::BatteryGate
        | QuestionId::BatteryAgain => choice(question, text),
        _ => battery_detail::take(question, text),
    }
}

/// Takes rested volts; what they are worth is said at once where the type is known already.
fn volts_taken(case: &Case, text: &str) -> Taken {
    let taken = volts_entry(text);
    let Some(crate::log::entry::LogEvent::Volts { volts }) = taken.entries.first() else { return taken };
    if volts.value <= Volt::ZERO {
        return Taken::refuse(format!(
            "{} are no volts of this battery: the system has {}.",
            volts.text,
            bare(case.map.system, 2)
        ));
    }
    taken
}
