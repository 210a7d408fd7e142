//! The JSON shapes of a guard: the event that a command of the user's is given, and what a watch tells at its end.
//! Leaves to others: noticing (`trace/guard`), what to read (`plan/awake`).

use chrono::{DateTime, FixedOffset};

use super::{probability, round};
use crate::base::quantity::Ampere;
use crate::plan::awake::ReadNow;
use crate::trace::guard::Awakening;

/// Returns a current in milliampere, to the microampere.
fn milli(current: Ampere) -> f64 {
    round(current.milli(), 3)
}

fn stamp(at: DateTime<FixedOffset>) -> String {
    at.to_rfc3339()
}

shape! {
    /// What a command of `watch --on-wake` is given on its standard input, as one line.
    WakeShape(woke: &Awakening, told: DateTime<FixedOffset>, to: &str, session: Option<&str>, readings: &[ReadNow], lines: Vec<String>) {
        event: &'static str = "wake",
        /// Which wake-up it is since the watch began.
        number: usize = woke.number,
        /// When it was told: the sample that settled it.
        at: String = stamp(told),
        /// First sample above rest, RFC 3339 with offset.
        since: String = stamp(woke.since),
        /// Last sample at rest, where nothing was seen just before; else null.
        unseen_from: Option<String> = woke.unseen_from.map(stamp),
        /// Level at rest in milliampere.
        rest_ma: f64 = milli(woke.rest),
        /// Current in milliampere; null where the meter is out of range.
        now_ma: Option<f64> = woke.now.map(milli),
        /// How much of it is above rest.
        rise_ma: Option<f64> = woke.now.map(|now| milli(now - woke.rest)),
        /// File that the samples are written to.
        file: String = to.to_owned(),
        /// Session log that was asked what to read.
        log: Option<String> = session.map(str::to_owned),
        /// What to read now, best first.
        read: Vec<ReadNowShape> = readings.iter().map(ReadNowShape::of).collect(),
        /// The same for people, a line each.
        said: Vec<String> = lines,
    }

    /// A reading to take while the draw is there.
    ReadNowShape(one: &ReadNow) {
        /// drop or clamp
        action: &'static str = one.reading.action.row().word,
        at: Option<String> = one.reading.at.clone(),
        branch: String = one.branch.clone(),
        load: Option<String> = one.load.clone(),
        /// Probability of the branch by the readings so far.
        probability: f64 = probability(one.probability),
        /// Drop in millivolt at rest.
        rest_mv: Option<f64> = one.shows.map(|(rest, _)| round(rest.milli(), 3)),
        /// Drop in millivolt if this branch carries all that came back.
        awake_mv: Option<f64> = one.shows.map(|(_, awake)| round(awake.milli(), 3)),
    }

    /// A wake-up that a watch saw.
    SeenWakeShape(woke: &Awakening, over: Option<DateTime<FixedOffset>>) {
        since: String = stamp(woke.since),
        unseen_from: Option<String> = woke.unseen_from.map(stamp),
        /// When it was back at rest; null if it was awake at the end.
        until: Option<String> = over.map(stamp),
        rest_ma: f64 = milli(woke.rest),
        peak_ma: f64 = milli(woke.peak),
        /// Charge above rest, of what was seen.
        charge_mah: f64 = round(woke.charge / 3.6, 3),
    }

    /// A stretch in which nothing was heard.
    GapShape(last: DateTime<FixedOffset>, next: DateTime<FixedOffset>) {
        from: String = stamp(last),
        to: String = stamp(next),
    }
}
