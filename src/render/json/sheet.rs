//! The JSON shape of `sheet`. Leaves to others: the figures (`render/sheet`).

use super::round;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Unit;
use crate::render::sheet::{Column, Sheet, SheetRequest};

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
        sources: Vec<String> = column.figure.remarks.clone(),
    }
}
