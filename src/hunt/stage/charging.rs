//! The charging side: a vehicle that isn't charged goes flat without any draw. One answer where it is known to be good.
//! What is asked where it is measured depends on the vehicle: alternator, converter, two batteries, a motorcycle's
//! regulator, several sources. High voltage is left to trained people: its figures come from the maker's procedure.
//! Leaves to others: what the figures mean (`battery/charging` through `hunt/supply`), the words (`text/battery`).

use chrono::{DateTime, FixedOffset};

use super::asking::{AnswerTrouble, choice, first_of, seen_to};
use super::battery_detail::{NOT_MEASURED, above_zero, is_unknown};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Volt};
use crate::base::styled::{Role, StyledText};
use crate::battery::cause::SupplyKind;
use crate::battery::charging::Finding;
use crate::battery::converter;
use crate::battery::table::BatteryTable;
use crate::circuit::loads::Catalogue;
use crate::circuit::map::VehicleClass;
use crate::hunt::causes::causes;
use crate::hunt::question::Question;
use crate::hunt::supply::{self, answer, settled};
use crate::hunt::{HuntStep, Taken, typed};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::Measurement;
use crate::measure::kind::MeasurementKind;
use crate::text;
use crate::text::ask::charging as words;

/// The class of causes that alternators belong to, in the load catalogue.
const ALTERNATOR: &str = "alternator";
/// More batteries than this in series are charged and read each by itself.
const ONE_AND_A_HALF: f64 = 1.5;

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let was_seen_to = case.answer(QuestionId::ChargingAgain).is_some_and(supply::is_seen_to);
    if was_seen_to && !settled(case, QuestionId::ChargingDone) {
        return Some(HuntStep::ask(Question::of(QuestionId::ChargingDone)));
    }
    if !settled(case, QuestionId::ChargingKnown) {
        // What the battery stage found stands above the next question.
        let say = supply::judgement(case).map(|found| text::battery::judgement(&found)).unwrap_or_default();
        return Some(HuntStep::ask(Question::of(QuestionId::ChargingKnown).or("later")).after(say));
    }
    if answer(case, QuestionId::ChargingKnown) != Some("measure") {
        return None;
    }
    if supply::has_converter(case) && !settled(case, QuestionId::ChargingReady) {
        return Some(HuntStep::ask(unknown(QuestionId::ChargingReady)));
    }
    if supply::converter(case).ready == Some(false) {
        return None;
    }
    if !settled(case, QuestionId::ChargingVolts) {
        return Some(HuntStep::ask(volts(case.map.class)));
    }
    first_of(case, details(case), settled).or_else(|| gate(case, now))
}

/// Returns what was found on the charging side, a line each.
pub fn findings(case: &Case) -> Vec<StyledText> {
    let mut lines = text::battery::charging(&supply::charging(case), supply::has_converter(case));
    if let Some(table) = BatteryTable::builtin().ok().filter(|_| supply::has_converter(case)) {
        let found = converter::judge(table, &supply::converter(case));
        lines.extend(text::converter::converter(&found));
        lines.extend((!found.is_empty()).then(|| StyledText::of(Role::Hint, text::converter::TOP_UP)));
    }
    lines.extend(supply::pair_charging(case).and_then(text::pair::charging));
    if supply::is_tapped(case) {
        lines.push(text::battery::tapped());
    }
    lines
}

/// A charging side that plainly doesn't charge flattens the battery without any draw: it may be seen to first.
fn gate(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let cause = causes(case).into_iter().find(|one| one.kind() == SupplyKind::Charging && !one.mended)?;
    let mut why = text::suspects::listed(&[text::supply::row(&cause)]);
    why.push(StyledText::plain(text::supply::why(&cause)).indented(6));
    match answer(case, QuestionId::ChargingGate) {
        None if !settled(case, QuestionId::ChargingGate) => Some(
            HuntStep::ask(Question::of(QuestionId::ChargingGate).or("go-on"))
                .after([findings(case), why].concat()),
        ),
        Some("stop") => {
            let trouble = AnswerTrouble { why: words::comes_first(&text::supply::why(&cause)), say: why };
            Some(seen_to(case, QuestionId::ChargingAgain, trouble, now))
        }
        _ => None,
    }
}

fn volts(class: VehicleClass) -> Question {
    let mut question = Question::of(QuestionId::ChargingVolts);
    if let Some((prompt, help)) = words::running(class) {
        (question.prompt, question.help) = (prompt.to_owned(), help.to_owned());
    }
    question.reading(Proposed { running: true, ..Proposed::at(MeasurementKind::Volts, "") })
}

/// What is asked further where the charging side is measured: only what belongs to this vehicle.
fn details(case: &Case) -> Vec<Question> {
    let mut questions = Vec::new();
    let smart = |finding: &Finding| {
        matches!(finding, Finding::WithinSmart(_) | Finding::Low { .. } | Finding::High { .. })
    };
    let alternator = matches!(case.map.class, VehicleClass::Car | VehicleClass::Truck);
    if alternator && (settled(case, QuestionId::ChargingKind) || supply::charging(case).iter().any(smart)) {
        questions.push(unknown(QuestionId::ChargingKind));
    }
    if supply::batteries(case) > ONE_AND_A_HALF {
        questions.extend([measured(QuestionId::ChargingFirst), unknown(QuestionId::ChargingEqualiser)]);
    }
    if supply::has_converter(case) {
        questions.extend(converter_questions(case));
    } else {
        questions.extend([QuestionId::ChargingRipple, QuestionId::ChargingCables].map(measured));
        if case.map.class != VehicleClass::Caravan {
            questions.push(measured(QuestionId::ChargingLeak));
        }
        if supply::charging(case).iter().any(|one| matches!(one, Finding::Low { .. })) {
            questions.extend(located(case));
        }
    }
    questions
}

/// What tells where a charging side that gives too little fails: post, cable, earth side, belt.
fn located(case: &Case) -> Vec<Question> {
    let mut questions = vec![measured(QuestionId::ChargingPost)];
    let is_lost = |finding: &Finding| matches!(finding, Finding::Cable(_, true));
    if supply::charging(case).iter().any(is_lost) {
        questions.push(measured(QuestionId::ChargingEarth));
    } else if !matches!(case.map.class, VehicleClass::Motorcycle | VehicleClass::Caravan) {
        questions.push(unknown(QuestionId::ChargingBelt));
    }
    questions
}

/// What tells where a converter's charge is lost: only what the answers before leave open.
fn converter_questions(case: &Case) -> Vec<Question> {
    let read = supply::converter(case);
    let mut questions = vec![measured(QuestionId::ChargingConverter)];
    if supply::rises_little(case) {
        questions.push(measured(QuestionId::ChargingStud));
    }
    questions.push(input());
    if read.input.is_some() && read.output.is_some() {
        questions.push(measured(QuestionId::ChargingTraction));
    }
    questions
}

fn measured(id: QuestionId) -> Question {
    Question::of(id).or(NOT_MEASURED)
}

fn unknown(id: QuestionId) -> Question {
    Question::of(id).or("unknown")
}

fn input() -> Question {
    let question = measured(QuestionId::ChargingInput);
    let usual = BatteryTable::builtin().map(|table| words::usual(table.converter_input()));
    Question { help: question.help + &usual.unwrap_or_default(), ..question }
}

/// Takes an answer. A running engine wakes everything, which restarts the sleep clock.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    let checked = match question.id.head {
        QuestionId::ChargingVolts => above_zero::<Volt>(text, "V"),
        QuestionId::ChargingKnown
        | QuestionId::ChargingKind
        | QuestionId::ChargingEqualiser
        | QuestionId::ChargingReady
        | QuestionId::ChargingGate
        | QuestionId::ChargingBelt
        | QuestionId::ChargingAgain => {
            return choice(question, text);
        }
        QuestionId::ChargingDone if text.is_empty() => return Taken::refuse(words::SAY_WHAT),
        QuestionId::ChargingDone => Ok(()),
        _ if text.is_empty() || is_unknown(text) => return Taken::answer(question, NOT_MEASURED),
        QuestionId::ChargingRipple => Volt::read(text, "mV").map(|_| ()),
        QuestionId::ChargingFirst
        | QuestionId::ChargingCables
        | QuestionId::ChargingPost
        | QuestionId::ChargingStud
        | QuestionId::ChargingEarth
        | QuestionId::ChargingTraction => Volt::read(text, "V").map(|_| ()),
        QuestionId::ChargingLeak => Ampere::read(text, "mA").map(|_| ()),
        _ => Ampere::read(text, "A").map(|_| ()),
    };
    if let Err(fault) = checked {
        return Taken::refuse(fault.to_string());
    }
    let mut taken = Taken::answer(question, text);
    if question.id.head == QuestionId::ChargingVolts {
        taken.entries.insert(0, LogEvent::Disturb { what: words::ENGINE_RUN.to_owned() });
    }
    if question.id.head == QuestionId::ChargingLeak {
        taken.entries.extend(leak(case, text));
    }
    taken
}

/// What flows to the alternator with the key off is a reading like any other: it weighs among the suspects.
fn leak(case: &Case, text: &str) -> Option<LogEvent> {
    let is_it = |kind: &str| Catalogue::builtin().get(kind).is_some_and(|kind| kind.cause == ALTERNATOR);
    let item = case.map.unfused.iter().find(|item| is_it(&item.kind))?;
    let current = Ampere::read(text, "mA").ok()?;
    Some(typed::measured(case, Measurement::Clamp { at: item.name.clone(), current }, false))
}
