//! Connecting the meter without breaking the supply, and what the arithmetic needs of it: method, temperature, zero.
//! Leaves to others: what a meter adds (`instrument`), the fuse-box lid where there is no map (`lid`).

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, settled};
use super::lid;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Celsius, Ohm, Volt};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::hunt::analysis::limit_of;
use crate::hunt::question::Question;
use crate::hunt::typed::with_beside;
use crate::hunt::{HuntStep, Taken};
use crate::instrument::uncertainty::{Zero, current_floor, drop_floor};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::kind::MeasurementKind;
use crate::text::ask::hook_up as words;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    // A clamp that shows the limit is what everybody takes; who has an ammeter in the cable says so.
    if is_clamp_too_coarse(case) && !settled(case, QuestionId::HookUpMethod) {
        return Some(method(case));
    }
    if case.zeros.is_empty() && !settled(case, QuestionId::HookUpZero) {
        let zero = Proposed::at(MeasurementKind::Zero, "").with(MeasurementKind::Temperature);
        let say = if settled(case, QuestionId::HookUpMethod) { Vec::new() } else { connect(case) };
        return Some(HuntStep::ask(Question::of(QuestionId::HookUpZero).reading(zero)).after(say));
    }
    if case.temperatures.is_empty() && !settled(case, QuestionId::HookUpTemperature) {
        let temperature = Proposed::at(MeasurementKind::Temperature, "");
        return Some(HuntStep::ask(Question::of(QuestionId::HookUpTemperature).reading(temperature)));
    }
    lid::next(case)
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
        lines.push(words::drops_too_coarse(limit, &meter.name, floor));
    }
    if is_clamp_too_coarse(case) {
        let clamp = &case.opened.clamp;
        lines.push(words::clamp_too_coarse(&clamp.name, current_floor(clamp)));
    }
    lines.into_iter().map(|text| StyledText::of(Role::Doubt, text).indented(2)).collect()
}

fn is_clamp_too_coarse(case: &Case) -> bool {
    limit_of(case).is_some_and(|limit| current_floor(&case.opened.clamp) > limit.current)
}

fn connect(case: &Case) -> Vec<StyledText> {
    words::connect().into_iter().chain(too_coarse(case)).collect()
}

fn method(case: &Case) -> HuntStep {
    HuntStep::ask(Question::of(QuestionId::HookUpMethod).or("series")).after(connect(case))
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::HookUpMethod => choice(question, text),
        QuestionId::HookUpTemperature => Taken::read(Celsius::read(text, "C"), |temperature| {
            Taken::entry(LogEvent::Temperature { place: None, temperature })
        }),
        QuestionId::HookUpZero => match text.to_lowercase().as_str() {
            method @ ("series" | "clamp") => Taken::entry(LogEvent::Answer {
                question: QuestionId::HookUpMethod.into(),
                answer: method.to_owned(),
            }),
            _ => Taken::read(with_beside::<Volt, Celsius>(text, "mV", "C"), |(offset, temperature)| {
                let zero = Taken::entry(LogEvent::Zero { offset });
                match temperature {
                    Some(temperature) => zero.and(LogEvent::Temperature { place: None, temperature }),
                    None => zero,
                }
            }),
        },
        _ => lid::take(case, question, text),
    }
}
