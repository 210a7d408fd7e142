//! What one hunt teaches. A cause counts once the repair is proven by the total afterwards; it is where the total fell most
//! when something was taken off, else the fuse that carried most above what is usual.
//! Leaves to others: many hunts (`summary`).

use chrono::Datelike;

use crate::base::quantity::{Ampere, Unit};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::loads::{Catalogue, NETWORK};
use crate::circuit::map::{Feed, Map};
use crate::hunt::stage::verify;
use crate::infer::weight::exposure;
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::measure::Measurement;
use crate::measure::observation::{Panel, Scope};
use crate::measure::observe::build_observations;

/// Part of what the repair took off the total that a fall must be to name the cause. Editorial.
const TELLING: f64 = 0.3;

/// What one hunt teaches.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// Name of the vehicle as told, else the title of its map.
    pub vehicle: String,
    /// Its class.
    pub class: &'static str,
    /// Its model year, if told.
    pub year: Option<u16>,
    /// Month in which the hunt was begun, 1 to 12.
    pub month: u32,
    /// From the first entry to the last, in minutes.
    pub minutes: f64,
    /// How many readings were taken after the total.
    pub readings: usize,
    /// The cause, if the repair was proven.
    pub cause: Option<LessonCause>,
    /// How likely each class of causes was on its map beforehand, given that it is one of those listed there.
    pub exposure: Vec<(String, f64)>,
    /// What each fuse carried that was read and is not to blame: its id, what was read and what the map expects, in mA.
    pub sound: Vec<(String, f64, f64)>,
}

/// A cause that was proven.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LessonCause {
    /// Class of causes, as in the catalogue.
    pub class: String,
    /// The fuse, item or input.
    pub place: String,
}

/// Learns from one hunt.
pub fn lesson(case: &Case, table: &FuseTable) -> Lesson {
    let panel = Panel::new(case.map.clone());
    let observed = build_observations(&case.readings, &panel, table);
    let through: Vec<(&Feed, Ampere)> = observed
        .observations
        .iter()
        .filter_map(|one| match one.scope {
            Scope::Through(feed) => Some((case.map.feeds.get(feed)?, one.current.value())),
            _ => None,
        })
        .collect();
    let cause = is_proven(case).then(|| fallen(case).or_else(|| highest(&case.map, &through))).flatten();
    let is_blamed =
        |feed: &Feed| cause.as_ref().is_some_and(|cause| cause.place.split('/').next() == Some(&feed.id));
    let is_link = |feed: &Feed| feed.loads.is_empty();
    let sound = through.iter().filter(|(feed, _)| cause.is_some() && !is_blamed(feed) && !is_link(feed));
    let is_reading =
        |what: &Measurement| !matches!(what, Measurement::Total { .. } | Measurement::Watch { .. });
    Lesson {
        vehicle: case.answer(QuestionId::InterviewVehicle).unwrap_or(&case.map.title).to_owned(),
        class: case.map.class.name(),
        year: case.map.year,
        month: case.opened_at.month(),
        minutes: (case.last_at - case.opened_at).num_seconds().max(0) as f64 / 60.0,
        readings: case.readings.iter().filter(|one| !one.after_repair && is_reading(&one.what)).count(),
        sound: sound
            .map(|(feed, current)| (feed.id.clone(), current.milli(), expected(feed).milli()))
            .collect(),
        exposure: if cause.is_some() { exposure(&panel, Catalogue::builtin()) } else { Vec::new() },
        cause,
    }
}

fn is_proven(case: &Case) -> bool {
    case.was_repaired() && case.total_after_repair().is_some() && verify::lacks(case).is_empty()
}

fn expected(feed: &Feed) -> Ampere {
    feed.loads.iter().map(|load| load.asleep).sum()
}

/// The cause by the largest fall of the total when something was taken off or worked.
fn fallen(case: &Case) -> Option<LessonCause> {
    let total = |reading: Option<&crate::measure::Reading>| match reading.map(|one| &one.what) {
        Some(Measurement::Total { current, .. }) => Some(current.value),
        _ => None,
    };
    let removed = total(case.settled_total())? - total(case.total_after_repair())?;
    let fall = |what: &Measurement| match what {
        Measurement::Unplug { before, after, .. }
        | Measurement::Pull { before, after, .. }
        | Measurement::Input { before, after, .. } => Some(before.value - after.value),
        _ => None,
    };
    let before_repair = case.readings.iter().filter(|reading| !reading.after_repair);
    let falls = before_repair.filter_map(|reading| Some((&reading.what, fall(&reading.what)?)));
    let (what, most) = falls.max_by(|a, b| a.1.base().total_cmp(&b.1.base()))?;
    if most < removed * TELLING {
        return None;
    }
    match what {
        Measurement::Unplug { feed, load, .. } => {
            let on = case.map.feeds.iter().find(|known| known.id == *feed);
            let kind =
                on.and_then(|on| on.loads.iter().find(|known| known.name == *load)).map(|load| &load.kind);
            let kind = kind.or_else(|| kind_of_item(&case.map, feed));
            Some(LessonCause { class: class_of(kind?)?, place: format!("{feed}/{load}") })
        }
        Measurement::Pull { feed, .. } => of_feed(case.map.feeds.iter().find(|known| known.id == *feed)?),
        Measurement::Input { input, .. } => {
            Some(LessonCause { class: NETWORK.to_owned(), place: input.clone() })
        }
        _ => None,
    }
}

/// The cause by the fuse that carried most above what its map expects; a link above others says less than they do.
fn highest(map: &Map, through: &[(&Feed, Ampere)]) -> Option<LessonCause> {
    let own = through.iter().filter(|(feed, _)| {
        let at = map.feeds.find_id(|known| known.id == feed.id);
        !map.feeds.iter().any(|below| below.parent.is_some() && below.parent == at)
    });
    let over = own.map(|(feed, current)| (*feed, *current - expected(feed)));
    let (feed, _) = over.max_by(|a, b| a.1.base().total_cmp(&b.1.base()))?;
    of_feed(feed)
}

/// The likeliest class of causes on a fuse.
fn of_feed(feed: &Feed) -> Option<LessonCause> {
    let catalogue = Catalogue::builtin();
    let weight = |kind: &str| catalogue.get(kind).map_or(0.0, |kind| kind.weight);
    let load = feed.loads.iter().max_by(|a, b| weight(&a.kind).total_cmp(&weight(&b.kind)))?;
    Some(LessonCause { class: class_of(&load.kind)?, place: feed.id.clone() })
}

pub(crate) fn kind_of_item<'m>(map: &'m Map, name: &str) -> Option<&'m String> {
    map.unfused.iter().find(|item| item.name == name).map(|item| &item.kind)
}

pub(crate) fn class_of(kind: &str) -> Option<String> {
    Catalogue::builtin().get(kind).map(|kind| kind.cause.clone()).filter(|cause| !cause.is_empty())
}
