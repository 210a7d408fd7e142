//! The JSON shape of `sheet`. Leaves to others: the figures (`render/sheet`).

use super::round;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Unit};
use crate::circuit::id::FeedId;
use crate::circuit::map::{Feed, Map};
use crate::plan::round::RoundRead;
use crate::render::sheet::{Column, Sheet, SheetRequest};
use crate::text::convert::remark;

shape! {
    /// What `sheet` prints. Where no resistance is known there is no column, and the warning says what to do.
    SheetShape(asked: &SheetRequest, made: Result<&Sheet, &Diagnostic>) {
        family: &'static str = asked.family.name(),
        meter: String = asked.meter.name.clone(),
        /// True if a zero is taken before the readings.
        zeroed: bool = asked.zeroed,
        temperature_c: f64 = asked.temperature.value().base(),
        /// The rows.
        currents_ma: Vec<f64> = made.map_or_else(|_| Vec::new(), |made| made.currents.iter().map(|row| round(row.milli(), 3)).collect()),
        /// The columns.
        ratings: Vec<RatingShape> = made.map_or_else(|_| Vec::new(), |made| made.columns.iter().map(RatingShape::of).collect()),
        warnings: Vec<String> = made.err().map(ToString::to_string).into_iter().collect(),
    }

    /// What `sheet --map` prints: the fuses of a bay as they are read along their rows.
    BayShape(map: &Map, sought: Ampere, fuses: &[(FeedId, Option<RoundRead>)]) {
        map: String = map.title.clone(),
        /// What a high fuse is one that carries a good part of: the excess of the hunt, or the limit.
        sought_ma: f64 = round(sought.milli(), 1),
        reads: Vec<BayReadShape> = fuses.iter().filter_map(|(feed, read)| Some(BayReadShape::of(map.feeds.get(*feed)?, map, read.as_ref()))).collect(),
    }

    /// One fuse of a bay.
    BayReadShape(feed: &Feed, map: &Map, read: Option<&RoundRead>) {
        at: String = feed.id.clone(),
        /// Box; null if the map has none for it.
        #[serde(rename = "box")]
        place: Option<String> = map.box_of(feed).map(|place| place.id.clone()),
        /// What it should show asleep, in millivolts; null where no drop is read: it is clamped, or left alone.
        asleep_mv: Option<f64> = read.map(|read| round(read.asleep.milli(), 3)),
        /// From so much on it is high.
        high_mv: Option<f64> = read.map(|read| round(read.high.value.milli(), 3)),
    }

    /// One column.
    RatingShape(column: &Column) {
        rating_a: f64 = column.rating.base(),
        resistance_mohm: f64 = round(column.resistance.milli(), 4),
        /// What the resistance rests on.
        basis: &'static str = column.figure.basis.word(),
        /// Smallest current that the meter can show.
        floor_ma: f64 = round(column.floor.milli(), 2),
        /// Half-width of the 95 % interval that fuse and temperature leave.
        interval_percent: f64 = round(column.interval * 100.0, 1),
        /// One a row; null where the meter shows nothing or the fuse would warm itself.
        drops_mv: Vec<Option<f64>> = column.cells.iter().map(|cell| cell.map(|drop| round(drop.milli(), 4))).collect(),
        sources: Vec<String> = column.figure.remarks.iter().map(remark).collect(),
    }
}
