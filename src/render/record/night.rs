//! The night in the record: what a meter log showed while nobody looked, and where its ampere-hours went.
//! Leaves to others: finding it in the log (`trace`).

use crate::base::quantity::{Ampere, Unit};
use crate::log::trace_summary::{Departure, TraceSummary};
use crate::render::redact::Redaction;
use crate::text;

/// Hours of a day.
const DAY_H: f64 = 24.0;

shape! {
    /// What a meter log showed.
    NightShape(seen: &TraceSummary, redaction: Redaction) {
        file: String = redaction.free(&seen.file),
        hours: f64 = seen.span.base() / 60.0,
        /// From when on it rests, in minutes; null if it does not.
        rests_after_min: Option<f64> = seen.rests_after.map(Unit::base),
        level_ma: Option<f64> = seen.level.map(Ampere::milli),
        average_ma: Option<f64> = seen.average.map(Ampere::milli),
        /// From start to start of its wake-ups; null below three.
        period_min: Option<f64> = seen.period.map(Unit::base),
        regular: bool = seen.regular,
        count: usize = seen.count,
        in_words: String = text::settle::watched(&TraceSummary { file: redaction.free(&seen.file), ..seen.clone() }),
        /// Where a day's ampere-hours go; they sum to the average.
        ledger: Vec<LedgerShape> = ledger(seen),
        /// The first of its wake-ups.
        departures: Vec<DepartureShape> = seen.departures.iter().map(DepartureShape::of).collect(),
    }

    /// A part of the night's charge.
    LedgerShape(part: &'static str, current: Ampere) {
        what: &'static str = part,
        ma: f64 = current.milli(),
        ah_per_day: f64 = current.base() * DAY_H,
    }

    /// A departure from the rest and back.
    DepartureShape(one: &Departure) {
        after_min: f64 = one.after.base(),
        seconds: f64 = one.length.base() * 60.0,
        peak_ma: f64 = one.peak.milli(),
        charge_mah: f64 = one.charge.milli(),
    }
}

fn ledger(seen: &TraceSummary) -> Vec<LedgerShape> {
    let (Some(level), Some(average)) = (seen.level, seen.average) else { return Vec::new() };
    vec![LedgerShape::of("rest", level), LedgerShape::of("wake-ups", average - level)]
}
