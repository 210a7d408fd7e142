//! The JSON shape of `settle`. Leaves to others: what a meter log shows (`trace`), the words in `why` (`text/settle`).

use schemars::JsonSchema;
use serde::Serialize;

use super::round;
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::show::{Q, q};
use crate::base::quantity::{Day, Minute, Uncertain, Unit};
use crate::battery::capacity::Capacity;
use crate::trace::channel::ChannelFound;
use crate::trace::clocks::ClockOffset;
use crate::trace::known::Attribution;
use crate::trace::ledger::{Ledger, LedgerLine};
use crate::trace::settle::Settling;
use crate::trace::step::LevelStep;
use crate::trace::table::{Recording, Start};
use crate::trace::wake::Wake;

/// A moment: RFC 3339 where the meter log has dates, seconds of its clock where it has not.
#[derive(Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum MomentShape {
    /// A date and time.
    Time(String),
    /// Seconds.
    Seconds(f64),
}

/// How long a battery stands.
#[derive(Debug, Clone)]
pub struct StandDays {
    /// Days at the average, from full.
    pub days: Uncertain<Day>,
    /// Of what battery.
    pub capacity: Capacity,
}

/// What is said of a night besides what the trace shows.
#[derive(Debug, Clone, Default)]
pub struct SettleWords {
    /// Why it is settled, or not.
    pub why: String,
    /// What each line of the ledger may be.
    pub attributed: Vec<Option<Attribution>>,
    /// Against the limit, where there is one.
    pub verdict: Option<DrawVerdict>,
    /// How long a full battery stands at the average.
    pub days: Option<StandDays>,
    /// What columns beside the total show.
    pub channels: Vec<ChannelFound>,
    /// How the clock of a second log lies to that of the first.
    pub offset: Option<ClockOffset>,
    /// Numbers of the entries that were added.
    pub taken: Option<Vec<usize>>,
}

shape! {
    /// What `settle` prints.
    SettleShape(found: &Settling, log: &Recording, words: &SettleWords) {
        settled: bool = found.is_settled(),
        /// When it first came to rest.
        at: Option<MomentShape> = found.after.and_then(|after| moment(&log.start, after)),
        /// The same, from the first sample.
        after_min: Option<f64> = found.after.map(|after| round(after.base(), 6)),
        /// Current at rest, wake-ups left out.
        level: Option<Q> = found.level.as_ref().map(q),
        /// Average since then, wake-ups in; of a current that never rests, over whole cycles.
        average: Option<Q> = found.average.as_ref().map(q),
        steps: Vec<StepShape> = found.steps.iter().map(|step| StepShape::of(step, &log.start)).collect(),
        wakes: Vec<WakeShape> = found.wakes.iter().map(|wake| WakeShape::of(wake, &log.start)).collect(),
        wake_period_min: Option<f64> = found.period.map(|period| round(period.time.base(), 6)),
        samples: usize = found.trace.len(),
        /// Rows left out.
        skipped: usize = log.skipped,
        why: String = words.why.clone(),
        /// The average, as what a day takes.
        ah_per_day: Option<f64> = found.average.as_ref().map(|_| found.ledger.day()),
        /// How many days a full battery stands so: that of the session log, else one as its class of vehicle has.
        days: Option<Q> = words.days.as_ref().map(|stands| q(&stands.days)),
        /// What the charge went to; sums to `ah_per_day`.
        ledger: Vec<LedgerShape> = ledger(found, &log.start, words),
        /// Rest and average against the limit: over if either is, within only if both are. Null without a limit.
        verdict: Option<&'static str> = words.verdict.map(DrawVerdict::word),
        /// Columns logged beside the total, and what they show of its departures.
        channels: Vec<ChannelShape> = words.channels.iter().map(ChannelShape::of).collect(),
        /// When the second log begins, from the first sample of the first; null without one.
        offset: Option<OffsetShape> = words.offset.as_ref().map(OffsetShape::of),
        /// Numbers of the entries that were added; only with --into.
        #[serde(skip_serializing_if = "Option::is_none")]
        entries: Option<Vec<usize>> = words.taken.clone(),
    }

    /// A line of the charge ledger.
    LedgerShape(line: &LedgerLine, ledger: &Ledger, start: &Start, attributed: Option<&Attribution>) {
        /// rest, series, single, cycle or unfinished.
        what: &'static str = line.what.word(),
        times: usize = line.times,
        period_min: Option<f64> = line.period.map(|period| round(period.base(), 6)),
        /// Mean length of one; of the rest the time at it.
        seconds: f64 = round(line.length.base() * 60.0, 6),
        peak_ma: f64 = round(line.peak.milli(), 6),
        /// Of the rest its level over all the time, of the others what lies above it.
        ah_per_day: f64 = ledger.per_day(line),
        first: Option<MomentShape> = moment(start, line.first),
        /// What it may be.
        attributed: Option<String> = attributed.map(|one| one.name.clone()),
        /// True if it is known to be normal and takes too little to matter.
        usual: bool = attributed.is_some_and(|one| one.usual),
    }

    /// A column logged beside the total.
    ChannelShape(found: &ChannelFound) [let share = &found.share;] {
        name: String = share.name.clone(),
        unit: &'static str = "mA",
        /// What it draws while the total is at rest.
        level: Option<Q> = found.level.as_ref().map(q),
        /// Its average over the same time as the total's.
        average: Option<Q> = found.average.as_ref().map(q),
        /// Share of the charge of the total's departures that it carries.
        share: f64 = round(share.share, 4),
        /// How many of them it carries most of.
        carries: usize = share.carries,
        /// How often it was the first column to rise.
        rises_first: usize = share.first,
        /// How often it rose with the total.
        with: usize = share.with,
        /// How often the samples do not tell whether it was the first.
        unclear: usize = share.unclear,
        /// By how much it led the next, in the middle.
        lead_s: Option<f64> = share.lead.map(|lead| round(lead.base() * 60.0, 3)),
    }

    /// How the clock of a second log lies to that of the first.
    OffsetShape(offset: &ClockOffset) {
        seconds: f64 = round(offset.begins.base() * 60.0, 3),
        /// Standard uncertainty.
        u: f64 = round(offset.u.base() * 60.0, 3),
        /// Changes that both show at that offset.
        changes: usize = offset.changes,
    }

    /// The level changed for good.
    StepShape(step: &LevelStep, start: &Start) {
        at: Option<MomentShape> = moment(start, step.at),
        from_ma: f64 = round(step.from.milli(), 6),
        to_ma: f64 = round(step.to.milli(), 6),
    }

    /// A wake-up.
    WakeShape(wake: &Wake, start: &Start) {
        start: Option<MomentShape> = moment(start, wake.start),
        seconds: f64 = round(wake.length.base() * 60.0, 6),
        peak_ma: f64 = round(wake.peak.milli(), 6),
        /// Above the level at rest.
        charge_mah: f64 = round(wake.charge.milli(), 6),
    }
}

fn ledger(found: &Settling, start: &Start, words: &SettleWords) -> Vec<LedgerShape> {
    let each = found.ledger.lines.iter().enumerate();
    each.map(|(at, line)| {
        let attributed = words.attributed.get(at).and_then(Option::as_ref);
        LedgerShape::of(line, &found.ledger, start, attributed)
    })
    .collect()
}

fn moment(start: &Start, after: Minute) -> Option<MomentShape> {
    match (start.at(after), start) {
        (Some(text), _) => Some(MomentShape::Time(text)),
        (None, Start::Elapsed(first)) => {
            Some(MomentShape::Seconds(round((first.base() + after.base()) * 60.0, 6)))
        }
        (None, _) => None,
    }
}
