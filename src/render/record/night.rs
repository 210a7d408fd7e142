//! The night in the record: what a meter log showed while nobody looked, what it cost, and where its ampere-hours went.
//! Leaves to others: finding it in the log (`trace`), judging it (`hunt/night_cost`), its picture (`page`).

use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::show::{Q, q};
use crate::base::quantity::{Ampere, Unit};
use crate::hunt::night_cost::{NightCost, night_cost};
use crate::log::case::Case;
use crate::log::trace_summary::{Departure, TraceSummary};
use crate::measure::night::{ChannelShare, CurvePart, Ledger, LedgerLine};
use crate::render::redact::Redaction;
use crate::text;
use crate::trace::known::Attribution;

/// Hours of a day.
const DAY_H: f64 = 24.0;

shape! {
    /// What a meter log showed.
    NightShape(seen: &TraceSummary, case: &Case, redaction: Redaction) [
        let cost = night_cost(case, seen);
    ] {
        file: String = redaction.free(&seen.file),
        hours: f64 = seen.span.base() / 60.0,
        /// When its first sample was taken; null where the log has no dates.
        start: Option<String> = seen.started.map(|at| at.to_rfc3339()),
        /// From when on it rests, in minutes; null if it does not.
        rests_after_min: Option<f64> = seen.rests_after.map(Unit::base),
        level_ma: Option<f64> = seen.level.map(Ampere::milli),
        average_ma: Option<f64> = seen.average.map(Ampere::milli),
        /// What a day takes at that average.
        ah_per_day: Option<f64> = seen.average.map(|average| average.base() * DAY_H),
        /// Rest and average against the limit: over if either is, within only if both are; null without a limit.
        verdict: Option<&'static str> = cost.verdict.map(DrawVerdict::word),
        /// Days that a full battery stands at the average.
        days: Option<Q> = cost.days.as_ref().map(q),
        /// From start to start of its wake-ups; null below three.
        period_min: Option<f64> = seen.period.map(Unit::base),
        regular: bool = seen.regular,
        count: usize = seen.count,
        in_words: String = text::settle::watched(&TraceSummary { file: redaction.free(&seen.file), ..seen.clone() }),
        /// Where a day's ampere-hours go; they sum to the average.
        ledger: Vec<LedgerShape> = ledger(seen, &cost),
        /// Columns logged beside the total.
        channels: Vec<ChannelShape> = seen.channels.iter().map(ChannelShape::of).collect(),
        /// The first of its wake-ups.
        departures: Vec<DepartureShape> = seen.departures.iter().map(DepartureShape::of).collect(),
        /// Lowest and highest sample of equal parts of the time.
        curve: Vec<CurveShape> = seen.curve.iter().map(CurveShape::of).collect(),
    }

    /// A part of the night's charge.
    LedgerShape(line: &LedgerLine, ledger: &Ledger, may_be: Option<&Attribution>) {
        /// rest, series, single, cycle or unfinished.
        what: &'static str = line.what.word(),
        times: usize = line.times,
        /// From start to start; null where there is no rhythm.
        period_min: Option<f64> = line.period.map(Unit::base),
        /// Mean length of one; of the rest the time at it.
        seconds: f64 = line.length.base() * 60.0,
        /// Mean of the peaks; of the rest its level.
        peak_ma: f64 = line.peak.milli(),
        /// What it takes on average.
        ma: f64 = ledger.per_day(line) / DAY_H * 1e3,
        /// Of the rest its level over all the time, of the others what lies above it.
        ah_per_day: f64 = ledger.per_day(line),
        /// When it was first there, in minutes from the first sample.
        first_min: f64 = line.first.base(),
        /// What it may be.
        may_be: Option<String> = may_be.map(|one| one.name.clone()),
        /// True if it is known to be normal and takes too little to matter.
        usual: bool = may_be.is_some_and(|one| one.usual),
        in_words: String = text::settle::ledger_line(line, &text::settle::span),
    }

    /// A column logged beside the total.
    ChannelShape(channel: &ChannelShare) {
        name: String = channel.name.clone(),
        /// Share of the charge of the total's departures that it carries.
        share: f64 = channel.share,
        /// How often it rose with the total, and how often first.
        with: usize = channel.with,
        first: usize = channel.first,
        /// By how much it led, in the middle.
        lead_s: Option<f64> = channel.lead.map(|lead| lead.base() * 60.0),
    }

    /// A departure from the rest and back.
    DepartureShape(one: &Departure) {
        after_min: f64 = one.after.base(),
        seconds: f64 = one.length.base() * 60.0,
        peak_ma: f64 = one.peak.milli(),
        charge_mah: f64 = one.charge.milli(),
    }

    /// Lowest and highest sample of a part of the time.
    CurveShape(part: &CurvePart) {
        after_min: f64 = part.after.base(),
        low_ma: f64 = part.low.milli(),
        high_ma: f64 = part.high.milli(),
    }
}

fn ledger(seen: &TraceSummary, cost: &NightCost) -> Vec<LedgerShape> {
    let ledger = seen.whole_ledger();
    let may_be = |at: usize| cost.attributed.get(at).and_then(Option::as_ref);
    let lines = ledger.lines.iter().enumerate();
    lines.map(|(at, line)| LedgerShape::of(line, &ledger, may_be(at))).collect()
}
