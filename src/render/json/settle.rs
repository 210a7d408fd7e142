//! The JSON shape of `settle`. Leaves to others: what a meter log shows (`trace`), the words in `why` (`text/settle`).

use schemars::JsonSchema;
use serde::Serialize;

use super::round;
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::show::{Q, q};
use crate::base::quantity::{Minute, Unit};
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

/// What is said of a night besides what the trace shows.
#[derive(Debug, Clone, Default)]
pub struct SettleWords {
    /// Why it is settled, or not.
    pub why: String,
    /// What each line of the ledger may be.
    pub attributed: Vec<Option<Attribution>>,
    /// Against the limit, where there is one.
    pub verdict: Option<DrawVerdict>,
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
        /// What the charge went to; sums to `ah_per_day`.
        ledger: Vec<LedgerShape> = ledger(found, &log.start, words),
        /// Rest and average against the limit: over if either is, within only if both are. Null without a limit.
        verdict: Option<&'static str> = words.verdict.map(DrawVerdict::word),
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
