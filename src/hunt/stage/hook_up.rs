//! Connecting the meter without breaking the supply, and what the arithmetic needs of it: method, temperature, zero.
//! For a map without feeds the fuse-box lid is typed in here.
//! Leaves to others: what a meter adds (`instrument`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::{choice, settled};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Celsius, Ohm, Volt};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::hunt::analysis::limit_of;
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken};
use crate::instrument::uncertainty::{Zero, current_floor, drop_floor};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::typed::Proposed;
use crate::measure::kind::MeasurementKind;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !settled(case, QuestionId::HookUpMethod) {
        return Some(method(case));
    }
    if case.temperatures.is_empty() && !settled(case, QuestionId::HookUpTemperature) {
        return Some(HuntStep::ask(
            Question::line(
                QuestionId::HookUpTemperature,
                "Temperature at the fuse boxes",
                "A fuse at 60 °C has 13 % more resistance than at 25 °C, at -10 °C 13 % less. Unknown costs a wider interval: skip it then.",
            )
            .in_unit("°C")
            .reading(Proposed::at(MeasurementKind::Temperature, "")),
        ));
    }
    if case.zeros.is_empty() && !settled(case, QuestionId::HookUpZero) {
        return Some(HuntStep::ask(
            Question::line(
                QuestionId::HookUpZero,
                "Millivolt meter: leads shorted on one bare metal spot, it shows",
                "The offset is taken off every drop and the floor falls by about half. Use the range that you will use on the fuses.",
            )
            .in_unit("mV")
            .reading(Proposed::at(MeasurementKind::Zero, "")),
        ));
    }
    (case.map.feeds.is_empty() || lid_open(case)).then(|| lid_question(case)).flatten()
}

/// Says which methods can't show a draw at the limit of this vehicle with these meters.
fn too_coarse(case: &Case) -> Vec<StyledText> {
    let Some(limit) = limit_of(case) else { return Vec::new() };
    let meter = &case.opened.meter;
    let zero = Some(Zero { entry: 0, offset: Volt::ZERO });
    let resistances = FuseTable::builtin().map(|table| {
        let known = |fuse| table.resistance(fuse).ok().map(|found| found.r25);
        case.map.feeds.iter().filter_map(|feed| known(&feed.fuse)).collect::<Vec<Ohm>>()
    });
    let largest = resistances.unwrap_or_default().into_iter().reduce(Ohm::max);
    let floor = largest.map(|resistance| drop_floor(meter, zero) / resistance);
    let limit = limit.current;
    let mut lines = Vec::new();
    if let Some(floor) = floor.filter(|floor| *floor > limit) {
        lines.push(format!(
            "Millivolts across a fuse can't show {} here: the smallest that {} shows on any of its fuses is {}.",
            bare(limit, 2),
            meter.name,
            bare(floor, 2)
        ));
    }
    if is_clamp_too_coarse(case) {
        lines.push(format!(
            "{} can't show it either (its smallest is {}): an ammeter in series in the negative cable, bridged until in place, on its mA range once the vehicle sleeps.",
            case.opened.clamp.name,
            bare(current_floor(&case.opened.clamp), 2)
        ));
    }
    lines.into_iter().map(|text| StyledText::of(Role::Doubt, text).indented(2)).collect()
}

fn is_clamp_too_coarse(case: &Case) -> bool {
    limit_of(case).is_some_and(|limit| current_floor(&case.opened.clamp) > limit.current)
}

fn method(case: &Case) -> HuntStep {
    let mut say = vec![
        StyledText::of(Role::Heading, "Connect the meter"),
        StyledText::plain("Clamp: zero it beside the cable, same place and direction each time; every cable on one post is inside, accessory leads too.").indented(2),
        StyledText::of(Role::Caution, "Caution: an ammeter in series: never crank, switch on or open a door with it (door locks alone draw about 20 A). Leads in the current jacks are a short across the battery posts.").indented(2),
        StyledText::plain("Switch the meter's own auto-off off. Probe tips bare 4 mm at most.").indented(2),
    ];
    say.extend(too_coarse(case));
    let default = if is_clamp_too_coarse(case) { "series" } else { "clamp" };
    HuntStep::ask(
        Question::line(
            QuestionId::HookUpMethod,
            "How is the total read?",
            "A clamp needs no break in the supply. An ammeter goes in with a fused jumper across it until it carries the current, so that nothing loses its supply.",
        )
        .one_of(&[("clamp", "clamp around every cable on one post"), ("series", "ammeter in the negative cable, bridged until in place")])
        .or(default),
    )
    .after(say)
}

/// The lid is open while lines have been typed and no empty one has ended it.
fn lid_open(case: &Case) -> bool {
    case.answers
        .iter()
        .any(|said| said.what.question.head == QuestionId::HookUpLid && !said.what.question.tail.is_empty())
}

fn lid_question(case: &Case) -> Option<HuntStep> {
    if settled(case, QuestionId::HookUpLid) {
        return None;
    }
    let count = case.map.feeds.len();
    let question = Question::line(
        QuestionId::HookUpLid,
        format!("Fuse {} from the lid (Enter ends the list)", count + 1),
        "One line a fuse: name, family, rating, what it feeds: F12 mini 10 radio, clock. Families: blade, mini, low-mini, micro2, micro3, maxi, cartridge, bolt, glass, torpedo, wire.",
    )
    .or("");
    let say = match count {
        0 => vec![StyledText::plain(
            "The map has no fuses yet. Type them from the fuse-box lid, one line a fuse, as in: F12 mini 10 radio, clock",
        )],
        _ => Vec::new(),
    };
    Some(HuntStep::ask(question).after(say))
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::HookUpMethod => choice(question, text),
        QuestionId::HookUpTemperature => match Celsius::read(text, "C") {
            Ok(temperature) => Taken::entry(LogEvent::Temperature { place: None, temperature }),
            Err(fault) => Taken::refuse(fault.to_string()),
        },
        QuestionId::HookUpZero => match Volt::read(text, "mV") {
            Ok(offset) => Taken::entry(LogEvent::Zero { offset }),
            Err(fault) => Taken::refuse(fault.to_string()),
        },
        _ if text.trim().is_empty() => Taken::answer(question, "end of the list"),
        _ => match case.map.clone().add_feed(None, text) {
            Ok(_) => Taken {
                entries: vec![
                    LogEvent::Feed { place: None, line: text.trim().to_owned() },
                    LogEvent::Answer {
                        question: QuestionId::HookUpLid.with(format!(".{}", case.map.feeds.len() + 1)),
                        answer: text.trim().to_owned(),
                    },
                ],
                ..Taken::default()
            },
            Err(faults) => Taken::refuse(faults.to_string()),
        },
    }
}
