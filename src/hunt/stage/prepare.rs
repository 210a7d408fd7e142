//! Preparing the vehicle so that nothing wakes it again, by its class, and noting what is opened and tripped for it.
//! Leaves to others: the wait (`settle`), putting it all back (`back`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::settled;
use super::charging;
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::VehicleClass;
use crate::hunt::question::{Question, QuestionKind};
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::entry::LogEvent;

/// What to do, in order: each with the classes that it is not for.
const LIST: [(&str, &[VehicleClass]); 7] = [
    (
        "Everything off and unplugged that the customer leaves plugged in, unless the complaint is about it.",
        &[],
    ),
    (
        "Window open and key outside: the vehicle may lock itself.",
        &[VehicleClass::Motorcycle, VehicleClass::Boat, VehicleClass::Caravan],
    ),
    (
        "Open every door, lid and bonnet that you will need, then trip its latch by hand so that the vehicle takes it for shut; note each one. Never slam a door on a tripped latch.",
        &[VehicleClass::Motorcycle, VehicleClass::Boat],
    ),
    ("Take the covers off the fuse boxes now; lay leads so that nothing need be moved later.", &[]),
    ("Nothing feeds the vehicle: charger and solar panel off.", &[]),
    (
        "Key or fob well away, out of radio reach; lock if that is how it stands at the customer's.",
        &[VehicleClass::Boat],
    ),
    ("From now on touch nothing: each door, handle, fob or light switch starts the wait again.", &[]),
];

/// What one class of vehicle needs besides.
fn besides(class: VehicleClass) -> &'static [&'static str] {
    match class {
        VehicleClass::Car => &[],
        VehicleClass::Electrified => &[
            "Charging plug out, timers and preconditioning off: it charges its own 12 V battery now and then, and the current turns round. That is no fault.",
            "Start button covered or guarded; nothing orange is opened.",
        ],
        VehicleClass::Truck => &[
            "Battery isolator as the driver leaves it: what is wired before it draws on, and a clock, a tracker or a lift may be.",
            "Read each battery by itself where something runs on 12 V: a tap shows on one of them only.",
        ],
        VehicleClass::Motorcycle => &[
            "Seat and side covers off first; on its stand, steering unlocked if the lock is wired.",
            "A draw of a milliampere or two is the limit: leave no lead, charger tail or grip heater plugged in.",
        ],
        VehicleClass::Boat => &[
            "Blow the bilge out first. Battery switch as the owner leaves it; bilge pump, its float switch and gas alarm stay on the battery by right: note what they draw.",
            "Shore supply unplugged by whoever may; gas shut.",
        ],
        VehicleClass::Caravan => &[
            "House battery and starter battery are hunted one at a time: split relay or charger between them off, note which one you read.",
            "Shore supply unplugged, gas shut; the gas alarm stays on by right: note what it draws.",
        ],
    }
}

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    let class = case.map.class;
    if !settled(case, QuestionId::PrepareOpened) && !settled(case, QuestionId::PrepareDone) {
        let mut say = charging::findings(case);
        say.push(StyledText::of(Role::Heading, "Prepare the vehicle"));
        let usual = LIST.iter().filter(|(_, not_for)| !not_for.contains(&class)).map(|(text, _)| *text);
        say.extend(
            usual
                .chain(besides(class).iter().copied())
                .map(|item| StyledText::plain(format!("- {item}")).indented(2)),
        );
        return Some(HuntStep::ask(opened(class)).after(say));
    }
    if settled(case, QuestionId::PrepareDone) {
        return None;
    }
    let question = Question {
        kind: QuestionKind::Acknowledge,
        ..Question::line(
            QuestionId::PrepareDone,
            "Is the vehicle prepared?",
            "The wait begins with this answer.",
        )
        .or("yes")
    };
    Some(HuntStep::ask(question))
}

fn opened(class: VehicleClass) -> Question {
    let prompt = match class {
        VehicleClass::Motorcycle => "Which covers and seats are off, what is unplugged?",
        VehicleClass::Boat => "Which hatches and covers are open, what is unplugged or shut?",
        _ => "Which latches are tripped, which lids and covers open, what is unplugged?",
    };
    Question::line(
        QuestionId::PrepareOpened,
        prompt,
        "With commas between: driver door latch, bonnet, boot trim. Each is ticked off at the end. Fuse boxes, fuses and plugs of the readings come on the list by themselves.",
    )
    .or("none")
}

/// Takes the answer: preparing was the last disturbance.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    if question.id.head == QuestionId::PrepareOpened {
        let text = if text.is_empty() { "none" } else { text };
        return Taken::answer(question, text);
    }
    if !text.eq_ignore_ascii_case("yes") && !text.eq_ignore_ascii_case("y") {
        return Taken::refuse("Type yes when it is done, or skip REASON.");
    }
    Taken {
        entries: vec![
            LogEvent::Disturb { what: "vehicle prepared".to_owned() },
            LogEvent::Answer { question: question.id.clone(), answer: "yes".to_owned() },
        ],
        ..Taken::default()
    }
}
