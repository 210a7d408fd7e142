//! The charging side: a vehicle that isn't charged goes flat without any draw. One answer where it is known to be good.
//! What is asked where it is measured depends on the vehicle: alternator, converter, two batteries, a motorcycle's
//! regulator, several sources. High voltage is left to trained people: its figures come from the maker's procedure.
//! Leaves to others: what the figures mean (`battery/charging` through `hunt/supply`), the words (`text/battery`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::{AnswerTrouble, choice, first_of, seen_to};
use super::battery_detail::{NOT_MEASURED, above_zero, is_unknown};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Volt};
use crate::base::styled::StyledText;
use crate::battery::charging::Finding;
use crate::battery::table::BatteryTable;
use crate::circuit::map::VehicleClass;
use crate::hunt::question::Question;
use crate::hunt::supply::{self, answer, settled};
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::typed::Proposed;
use crate::measure::kind::MeasurementKind;
use crate::text;

/// More batteries than this in series are charged and read each by itself.
const ONE_AND_A_HALF: f64 = 1.5;

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !settled(case, QuestionId::ChargingKnown) {
        // What the battery stage found stands above the next question.
        let say = supply::judgement(case).map(|found| text::battery::judgement(&found)).unwrap_or_default();
        return Some(HuntStep::ask(known()).after(say));
    }
    if answer(case, QuestionId::ChargingKnown) != Some("measure") {
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
    let (output, input) = supply::converter(case);
    lines.extend(output.map(text::battery::converter_output));
    if let (Some(input), Ok(table)) = (input, BatteryTable::builtin()) {
        lines.push(text::battery::converter_input(input, table.converter_input()));
    }
    if supply::is_tapped(case) {
        lines.push(text::battery::tapped());
    }
    lines
}

/// A charging side that plainly doesn't charge flattens the battery without any draw: it may be seen to first.
fn gate(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let plainly = |finding: &&Finding| {
        matches!(finding, Finding::Low { .. } | Finding::High { .. } | Finding::DoesNotRise(_))
    };
    let found = supply::charging(case);
    let finding = found.iter().find(plainly)?;
    let why = text::battery::charging(std::slice::from_ref(finding), supply::has_converter(case));
    match answer(case, QuestionId::ChargingGate) {
        None if !settled(case, QuestionId::ChargingGate) => {
            Some(HuntStep::ask(gate_question()).after(findings(case)))
        }
        Some("stop") => {
            let first = why.first().map(StyledText::text).unwrap_or_default();
            let trouble = AnswerTrouble { why: format!("the charging side comes first: {first}"), say: why };
            Some(seen_to(
                case,
                QuestionId::ChargingAgain,
                "Has the charging side been seen to?",
                trouble,
                now,
            ))
        }
        _ => None,
    }
}

fn gate_question() -> Question {
    Question::line(
        QuestionId::ChargingGate,
        "See to the charging side first?",
        "A vehicle that is not charged goes flat without any draw, and both may be wrong. The draw can be measured all the same.",
    )
    .one_of(&[
        ("go-on", "go on with the draw; the record says so"),
        ("stop", "stop here, go on with this log later"),
    ])
    .or("go-on")
}

fn known() -> Question {
    Question::line(
        QuestionId::ChargingKnown,
        "Is the charging side known to be good?",
        "A plain regulator gives 13.7 to 14.6 V at 20 °C; smart charging may show 12.2 to 15.5 V and be right. Rested battery volts are read before the engine runs.",
    )
    .one_of(&[("good", "checked, charging"), ("measure", "measure it now"), ("later", "not now; the record says so")])
    .or("later")
}

fn volts(class: VehicleClass) -> Question {
    let (prompt, help) = match class {
        VehicleClass::Electrified => (
            "Battery volts with the vehicle made ready",
            "It can move by itself: in Park, wheels chocked, nobody in front of it. The 12 V side must rise when it is made ready; there is no alternator. Orange cables and what hangs on them are left alone.",
        ),
        VehicleClass::Motorcycle => (
            "Battery volts with the engine at 4000 to 5000 a minute",
            "Exhaust gas outside, clear of chain and fan, on its stand and in neutral. At idle a stator gives little: that is no fault. The maker's figure for the regulator comes first.",
        ),
        VehicleClass::Boat => (
            "Battery volts with the engine running, or its charger on",
            "Blow the bilge out first: petrol vapour. Shore supply and mains chargers are for licensed trades; read at the battery posts only.",
        ),
        VehicleClass::Caravan => (
            "Volts of the house battery while its charger, panel or split relay charges it",
            "Each source by itself: towing vehicle, panel, mains charger. Mains is for licensed trades; read at the battery posts only.",
        ),
        VehicleClass::Truck => (
            "Volts of both batteries with the engine running at a fast idle",
            "Exhaust gas outside, hands off belts and fans, parked safe. Each battery by itself comes next.",
        ),
        VehicleClass::Car => (
            "Battery volts with the engine running at a fast idle",
            "Exhaust gas outside, hands off belts and fans, parked safe.",
        ),
    };
    Question::line(QuestionId::ChargingVolts, prompt, help)
        .in_unit("V")
        .reading(Proposed { running: true, ..Proposed::at(MeasurementKind::Volts, "") })
}

/// What is asked further where the charging side is measured: only what belongs to this vehicle.
fn details(case: &Case) -> Vec<Question> {
    let mut questions = Vec::new();
    let smart = |finding: &Finding| {
        matches!(finding, Finding::WithinSmart(_) | Finding::Low { .. } | Finding::High { .. })
    };
    let alternator = matches!(case.map.class, VehicleClass::Car | VehicleClass::Truck);
    if alternator && (settled(case, QuestionId::ChargingKind) || supply::charging(case).iter().any(smart)) {
        questions.push(kind());
    }
    if supply::batteries(case) > ONE_AND_A_HALF {
        questions.extend(pair());
    }
    if supply::has_converter(case) {
        questions.extend(converter());
    } else {
        questions.extend(cables(case.map.class));
    }
    questions
}

fn measured(id: QuestionId, prompt: &str, help: &str, unit: &'static str) -> Question {
    Question::line(id, prompt, help).in_unit(unit).or(NOT_MEASURED)
}

fn kind() -> Question {
    Question::line(
        QuestionId::ChargingKind,
        "Does the engine computer set the charging volts?",
        "A sensor on the battery's negative post or a single wire to the alternator's plug tells it. Then 12.2 to 15.5 V may be right.",
    )
    .one_of(&[("smart", "it does"), ("plain", "a plain regulator"), ("unknown", "don't know")])
    .or("unknown")
}

fn pair() -> [Question; 2] {
    [
        measured(
            QuestionId::ChargingFirst,
            "The same for the first battery alone",
            "Each battery must be within the band by itself: a 12 V tap pulls one of them down while the sum looks right.",
            "V",
        ),
        Question::line(
            QuestionId::ChargingEqualiser,
            "How is 12 V made on this vehicle?",
            "An equaliser keeps a tapped pair level; a converter takes from both. A tap without either flattens one battery.",
        )
        .one_of(&[
            ("converter", "a 24 to 12 V converter"),
            ("equaliser", "a tap with an equaliser"),
            ("tap", "a tap off one battery"),
            ("none", "nothing runs on 12 V"),
            ("unknown", "don't know"),
        ])
        .or("unknown"),
    ]
}

fn converter() -> [Question; 2] {
    let usual = BatteryTable::builtin().map(|table| {
        let (low, high, source) = table.converter_input();
        format!(" Usual are {} to {} ({source}).", bare(low, 2), bare(high, 2))
    });
    [
        measured(
            QuestionId::ChargingConverter,
            "Clamp on the converter's 12 V output, vehicle ready",
            "The cable from the converter to the 12 V battery or its fuse box, never an orange one.",
            "A",
        ),
        measured(
            QuestionId::ChargingInput,
            "Converter input current, as the maker's scan procedure shows it",
            &format!(
                "Read from the scan tool only, as information. Nothing is clamped, opened or probed on the high-voltage side.{}",
                usual.unwrap_or_default()
            ),
            "A",
        ),
    ]
}

fn cables(class: VehicleClass) -> Vec<Question> {
    let mut questions = vec![
        measured(
            QuestionId::ChargingRipple,
            "Ripple at the battery, meter on AC volts",
            "Engine running, headlamps on. Printed limits are 90, 100 and 300 mV; more means diodes.",
            "mV",
        ),
        measured(
            QuestionId::ChargingCables,
            "Larger drop of the two cables, charging post to battery plus, case to battery minus",
            "Engine running, headlamps and blower on. Up to 0.2 V on either side is common practice.",
            "V",
        ),
    ];
    if class != VehicleClass::Caravan {
        questions.push(measured(
            QuestionId::ChargingLeak,
            "Clamp on the cable to the alternator or regulator, engine off and key off",
            "A good one takes about 2 mA or less. Leave it out where the cable can't be reached: the hunt can clamp it later.",
            "mA",
        ));
    }
    questions
}

/// Takes an answer. A running engine wakes everything, which restarts the sleep clock.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    let checked = match question.id.head {
        QuestionId::ChargingVolts => above_zero::<Volt>(text, "V"),
        QuestionId::ChargingKnown
        | QuestionId::ChargingKind
        | QuestionId::ChargingEqualiser
        | QuestionId::ChargingGate
        | QuestionId::ChargingAgain => {
            return choice(question, text);
        }
        _ if text.is_empty() || is_unknown(text) => return Taken::answer(question, NOT_MEASURED),
        QuestionId::ChargingRipple => Volt::read(text, "mV").map(|_| ()),
        QuestionId::ChargingFirst | QuestionId::ChargingCables => Volt::read(text, "V").map(|_| ()),
        QuestionId::ChargingLeak => Ampere::read(text, "mA").map(|_| ()),
        _ => Ampere::read(text, "A").map(|_| ()),
    };
    if let Err(fault) = checked {
        return Taken::refuse(fault.to_string());
    }
    let mut taken = Taken::answer(question, text);
    if question.id.head == QuestionId::ChargingVolts {
        taken.entries.insert(0, LogEvent::Disturb { what: "engine run, or vehicle made ready".to_owned() });
    }
    taken
}
