//! Connecting the meter without breaking the supply, and what the arithmetic needs of it: method, temperature, zero.
//! Leaves to others: what a meter adds (`instrument`), the fuse-box lid where there is no map (`lid`).

use std::ops::Range;

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, settled};
use super::lid;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Celsius, Ohm, Typed, Volt};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::map::{Feed, VehicleClass, in_series};
use crate::circuit::meters;
use crate::hunt::limit::limit_of;
use crate::hunt::question::Question;
use crate::hunt::typed::with_beside;
use crate::hunt::{HuntStep, Taken};
use crate::instrument::profile::{Profile, Way};
use crate::instrument::uncertainty::{Zero, current_floor, drop_floor};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::kind::MeasurementKind;
use crate::text::ask::hook_up as words;

/// Half a decade: digits closer than this are the same one.
const DECADE: f64 = 3.162_277_66;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !settled(case, QuestionId::HookUpMethod) {
        return Some(method(case));
    }
    if case.zeros.is_empty() && !settled(case, QuestionId::HookUpZero) {
        let zero = Proposed::at(MeasurementKind::Zero, "").with(MeasurementKind::Temperature);
        return Some(HuntStep::ask(Question::of(QuestionId::HookUpZero).reading(zero)));
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
    let known = |feed: &Feed| FuseTable::builtin().resistance(&feed.fuse).ok().map(|found| found.r25);
    let largest = case.map.feeds.iter().filter_map(known).reduce(Ohm::max);
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
    if case.map.class == VehicleClass::Motorcycle {
        lines.push(crate::text::care::FUSES_PLACE.to_owned());
    }
    lines.into_iter().map(|text| StyledText::of(Role::Doubt, text).indented(2)).collect()
}

fn is_clamp_too_coarse(case: &Case) -> bool {
    limit_of(case).is_some_and(|limit| current_floor(&case.opened.clamp) > limit.current)
}

fn connect(case: &Case) -> Vec<StyledText> {
    let pair = (in_series(case.map.system) > 1).then(words::pair);
    words::connect().into_iter().chain(pair).chain(too_coarse(case)).collect()
}

fn method(case: &Case) -> HuntStep {
    let fits = WAYS.iter().find(|way| way.is(&case.opened.clamp)).map_or("clamp", |way| way.key);
    // On a motorcycle it is milliamperes that are looked for.
    let fine = case.map.class == VehicleClass::Motorcycle || is_clamp_too_coarse(case);
    let default = if fine { "series" } else { fits };
    HuntStep::ask(Question::of(QuestionId::HookUpMethod).or(default)).after(connect(case))
}

/// A way to read current, by the last digit that is shown.
struct CurrentWay {
    key: &'static str,
    way: Way,
    /// Last digits that count as this one, in ampere: the middle between two decades.
    digits: Range<f64>,
    /// The built-in meter with this last digit.
    meter: &'static str,
}

impl CurrentWay {
    fn is(&self, profile: &Profile) -> bool {
        self.way == profile.way && self.digits.contains(&profile.resolution)
    }
}

const WAYS: [CurrentWay; 4] = [
    CurrentWay { key: "clamp", way: Way::Clamp, digits: 0.0..0.003, meter: "clamp-1ma" },
    CurrentWay { key: "clamp-10ma", way: Way::Clamp, digits: 0.003..1.0, meter: "clamp-10ma" },
    CurrentWay { key: "series", way: Way::Series, digits: 0.0..0.000_3, meter: "series-ma" },
    CurrentWay { key: "series-10a", way: Way::Series, digits: 0.000_3..1.0, meter: "series-10a" },
];

/// Names the meter of a way, unless the one in use is of it already: its own figures are better than a usual one's.
fn named(key: &str, in_use: &Profile) -> Option<LogEvent> {
    let way = WAYS.iter().find(|way| way.key == key).filter(|way| !way.is(in_use))?;
    Some(LogEvent::Meter(Box::new(meters::find(way.meter, false).ok()?)))
}

/// Asks for the clamp where the total is read in series and a cable is clamped for the first time.
pub(super) fn clamp_question(case: &Case) -> Option<HuntStep> {
    let in_series = case.ammeter().way == Way::Series;
    let is_due = in_series && !settled(case, QuestionId::HookUpClamp);
    is_due.then(|| HuntStep::ask(Question::of(QuestionId::HookUpClamp).or("1ma")))
}

/// Names the millivolt meter by the digits of its zero, where they are finer than those of the one in use. A bare 0
/// tells nothing.
fn millivolts(case: &Case, offset: &Typed<Volt>) -> Option<LogEvent> {
    let is_finer = offset.step * DECADE < case.meter().resolution;
    let mut known = meters::builtin().ok()?.into_iter().filter(|one| one.way == Way::Volts);
    let shows_it = |one: &Profile| (one.resolution / offset.step).ln().abs() < DECADE.ln();
    let found = known.find(shows_it).filter(|_| is_finer)?;
    Some(LogEvent::Meter(Box::new(found)))
}

/// Adds the meter that an answer names, before the answer.
fn with_meter(mut taken: Taken, named: impl Fn(&str) -> Option<LogEvent>) -> Taken {
    if let Some(LogEvent::Answer { answer, .. }) = taken.entries.first() {
        let meter = named(answer);
        taken.entries.splice(0..0, meter);
    }
    taken
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::HookUpMethod => with_meter(choice(question, text), |key| named(key, case.ammeter())),
        QuestionId::HookUpClamp => with_meter(choice(question, text), |key| {
            named(if key == "10ma" { "clamp-10ma" } else { "clamp" }, case.clamp())
        }),
        QuestionId::HookUpTemperature => Taken::read(Celsius::read(text, "C"), |temperature| {
            Taken::entry(LogEvent::Temperature { place: None, temperature })
        }),
        QuestionId::HookUpZero => {
            Taken::read(with_beside::<Volt, Celsius>(text, "mV", "C"), |(offset, temperature)| {
                let meter = millivolts(case, &offset);
                let temperature =
                    temperature.map(|temperature| LogEvent::Temperature { place: None, temperature });
                let entries =
                    meter.into_iter().chain([LogEvent::Zero { offset }]).chain(temperature).collect();
                Taken { entries, ..Taken::default() }
            })
        }
        _ => lid::take(case, question, text),
    }
}
