//! Cautions: which ones, before which step, acknowledged once each and kept in the record. They never replace the
//! vehicle maker's service information, local codes or licensed practice.
//! Leaves to others: looks (`cli/paint`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::question::{Question, QuestionKind};
use super::stage::asking::{begun_by_hand, settled};
use super::{HuntStep, Taken};
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::{Hazard, Map, VehicleClass};
use crate::log::case::Case;
use crate::log::entry::LogEvent;

/// A caution: its name, its text, and the vehicles it is for.
struct Caution {
    id: QuestionId,
    text: &'static str,
    applies: fn(&Map) -> bool,
}

/// Cautions before any work, in the order in which they are shown.
const BEFORE_WORK: [Caution; 10] = [
    Caution {
        id: QuestionId::CautionBattery,
        text: "Batteries give off explosive gas and hold acid: eye protection on, no sparks or flames, charger off before its clips move, jewellery off. Negative cable off first and on last. Never charge or jump a frozen battery.",
        applies: |_| true,
    },
    Caution {
        id: QuestionId::CautionServiceInformation,
        text: "The vehicle maker's service information comes first. Some makers forbid taking the battery, cables or fuses off at all; radio codes, window and steering learning and tracker alerts may follow a loss of supply.",
        applies: |_| true,
    },
    Caution {
        id: QuestionId::CautionMoving,
        text: "Parked safe, wheels chocked, out of gear or in Park. Fans, tailgates, roofs and doors can move by themselves when something wakes: hands off them, also when you trip a latch by hand.",
        applies: |map| map.class != VehicleClass::Boat,
    },
    Caution {
        id: QuestionId::CautionRestraints,
        text: "Airbags and belt tensioners (yellow plugs): never pull or probe their fuses, never measure on their plugs. This tool proposes none. Work on them is for trained people with the supply off for the maker's waiting time.",
        applies: |map| !matches!(map.class, VehicleClass::Motorcycle | VehicleClass::Boat),
    },
    Caution {
        id: QuestionId::CautionHighVoltage,
        text: "This vehicle has high voltage: orange cables, the service plug and what hangs on them are for trained people with rated gloves and meters only. This tool stops there. The vehicle can start by itself: cover or guard the start button and keep the key away.",
        applies: |map| {
            map.class == VehicleClass::Electrified
                || map.feeds.iter().any(|feed| feed.hazard == Some(Hazard::Hv))
        },
    },
    Caution {
        id: QuestionId::CautionTwoBatteries,
        text: "24 V: two batteries in series. A short between them or across either is a welding current. Measure each battery by itself, and look for loads tapped off one of them.",
        applies: |map| map.class == VehicleClass::Truck,
    },
    Caution {
        id: QuestionId::CautionVapour,
        text: "Petrol vapour and battery gas gather low in a boat: blow the bilge out and sniff before anything is switched, probed or unplugged, and again after each pause. No sparks.",
        applies: |map| map.class == VehicleClass::Boat,
    },
    Caution {
        id: QuestionId::CautionSeveralSources,
        text: "Solar, a towing vehicle, a mains charger or a second battery may feed it: a cable that is off at one battery can be live from the other. Every source off, each battery by itself.",
        applies: |map| matches!(map.class, VehicleClass::Boat | VehicleClass::Caravan),
    },
    Caution {
        id: QuestionId::CautionMotorcycle,
        text: "On its stand on level ground, in neutral, exhaust cold. A meter in series on its milliampere range must not carry ignition or starter: the key stays out while it is in.",
        applies: |map| map.class == VehicleClass::Motorcycle,
    },
    Caution {
        id: QuestionId::CautionGasAndMains,
        text: "Gas, mains and shore supply are for licensed trades: shut the gas, unplug the shore supply, leave their alarms' fuses alone.",
        applies: |map| matches!(map.class, VehicleClass::Boat | VehicleClass::Caravan),
    },
];

/// Returns the next caution that is not acknowledged yet.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    let applying = || BEFORE_WORK.iter().filter(|caution| (caution.applies)(&case.map));
    if begun_by_hand(case) {
        // Whoever is in the middle of the work reads them on one page.
        let open = applying().filter(|caution| !settled(case, caution.id));
        let page: Vec<StyledText> = open.map(|caution| said(caution.text)).collect();
        return (!page.is_empty()).then(|| HuntStep::ask(acknowledge(PAGE)).after(page));
    }
    applying().find_map(|caution| ask(case, caution.id, caution.text))
}

/// Id of the question that acknowledges all cautions before the work at once.
const PAGE: QuestionId = QuestionId::CautionPage;

fn said(text: &str) -> StyledText {
    StyledText::of(Role::Caution, format!("Caution: {text}"))
}

fn acknowledge(id: QuestionId) -> Question {
    Question {
        kind: QuestionKind::Acknowledge,
        ..Question::line(id, "Understood?", "The record keeps that this caution was shown and acknowledged.")
            .or("yes")
    }
}

/// Returns the caution before the first pull or unplugging, if it is not acknowledged yet.
pub fn before_pull(case: &Case) -> Option<HuntStep> {
    ask(case, PULL.id, PULL.text)
}

/// The caution before the first pull.
const PULL: Caution = Caution {
    id: QuestionId::CautionPull,
    text: "Pull a fuse in one clean motion, never twice: a second touch wakes the vehicle. Read after a minute, leave it out, refit all together at the end. Never pull restraint fuses. Brake, steering, fuel, airbag and gas-alarm fuses are back before the vehicle moves.",
    applies: |_| true,
};

/// Returns the cautions that a vehicle needs, each by the id of its question and its text.
pub fn needed(map: &Map) -> impl Iterator<Item = (QuestionId, &'static str)> {
    let all = BEFORE_WORK.iter().chain(std::iter::once(&PULL)).filter(|caution| (caution.applies)(map));
    all.map(|caution| (caution.id, caution.text))
}

fn ask(case: &Case, id: QuestionId, text: &str) -> Option<HuntStep> {
    (!settled(case, id)).then(|| HuntStep::ask(acknowledge(id)).after(vec![said(text)]))
}

/// Takes the acknowledgement.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match text.to_lowercase().as_str() {
        "yes" | "y" if question.id.head == PAGE => {
            let applying = BEFORE_WORK.iter().filter(|caution| (caution.applies)(&case.map));
            let open = applying.map(|caution| caution.id).filter(|id| !settled(case, *id));
            let answer = |id: QuestionId| LogEvent::Answer { question: id.into(), answer: "yes".to_owned() };
            Taken { entries: open.map(answer).collect(), ..Taken::default() }
        }
        "yes" | "y" => Taken::answer(question, "yes"),
        _ => Taken::refuse("Type yes once it is understood, or quit."),
    }
}
