//! The JSON shape of `settle`. Leaves to others: what a meter log shows (`trace`), the words in `why` (`text/settle`).

use schemars::JsonSchema;
use serde::Serialize;

use super::round;
use crate::base::quantity::show::{Q, q};
use crate::base::quantity::{Minute, Unit};
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

shape! {
    /// What `settle` prints.
    SettleShape(found: &Settling, log: &Recording, why: &str, taken: Option<Vec<usize>>) {
        settled: bool = found.is_settled(),
        /// When it first came to rest.
        at: Option<MomentShape> = found.after.and_then(|after| moment(&log.start, after)),
        /// The same, from the first sample.
        after_min: Option<f64> = found.after.map(|after| round(after.base(), 6)),
        /// Current at rest, wake-ups left out.
        level: Option<Q> = found.level.as_ref().map(q),
        /// Average since then, wake-ups in.
        average: Option<Q> = found.average.as_ref().map(q),
        steps: Vec<StepShape> = found.steps.iter().map(|step| StepShape::of(step, &log.start)).collect(),
        wakes: Vec<WakeShape> = found.wakes.iter().map(|wake| WakeShape::of(wake, &log.start)).collect(),
        wake_period_min: Option<f64> = found.period.map(|period| round(period.time.base(), 6)),
        samples: usize = found.trace.len(),
        /// Rows left out.
        skipped: usize = log.skipped,
        why: String = why.to_owned(),
        /// Numbers of the entries that were added; only with --into.
        #[serde(skip_serializing_if = "Option::is_none")]
        entries: Option<Vec<usize>> = taken,
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

fn moment(start: &Start, after: Minute) -> Option<MomentShape> {
    match (start.at(after), start) {
        (Some(text), _) => Some(MomentShape::Time(text)),
        (None, Start::Elapsed(first)) => {
            Some(MomentShape::Seconds(round((first.base() + after.base()) * 60.0, 6)))
        }
        (None, _) => None,
    }
}
