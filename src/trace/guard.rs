//! A guard over a parked vehicle: takes the samples of a live meter one by one, finds when the current rests, and tells
//! at the second sample in a row above that rest that the draw is back. No I/O and no clock: each sample brings its time.
//! Leaves to others: whether the current is flat (`flat`), the whole night afterwards (`settle`), words (`text/guard`).

use chrono::{DateTime, FixedOffset};

use super::flat::{Flat, Window};
use crate::base::quantity::{Ampere, Minute, Unit};

/// Samples in a row beyond the rest that make a change: one alone may be a slip of the meter.
const IN_A_ROW: usize = 2;

/// The current is back at rest below this share of the band that it had to leave: noise at the edge is no new wake-up.
/// Editorial.
const BACK: f64 = 0.6;

/// Samples that come sooner after another than this, in seconds, add nothing.
const SOONEST: f64 = 0.09;

/// A stretch without samples is a gap if it is longer than this many usual distances …
const GAP_SAMPLES: f64 = 5.0;

/// … and longer than this, in seconds. Editorial.
const GAP_SECONDS: f64 = 10.0;

/// Share by which the usual distance follows each new one.
const FOLLOWS: f64 = 0.1;

/// Time of a sample.
pub type At = DateTime<FixedOffset>;

/// What a meter showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// When.
    pub at: At,
    /// Current; `None` if the meter was out of range.
    pub current: Option<Ampere>,
    /// One count of its last digit, in ampere; 0 if that is unknown.
    pub step: f64,
}

/// A draw that came back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Awakening {
    /// Which it is since the guard began, from 1.
    pub number: usize,
    /// First sample above the rest.
    pub since: At,
    /// If nothing was seen just before: the last sample at rest. It came some time between the two.
    pub unseen_from: Option<At>,
    /// Level that it rested at.
    pub rest: Ampere,
    /// Current now; `None` if the meter is out of range.
    pub now: Option<Ampere>,
    /// Highest current seen.
    pub peak: Ampere,
    /// Charge above the rest, in ampere-seconds; what lies in a gap is not in it.
    pub charge: f64,
}

/// What a guard has to tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum GuardEvent {
    /// It has been flat for long enough.
    Rests {
        /// Since when.
        since: At,
        /// Level.
        level: Ampere,
        /// True if it is awake and stays so: flat above the rest that it had.
        still_awake: bool,
    },
    /// The draw is back.
    Woke(Awakening),
    /// It is back at rest.
    Slept {
        /// What had come.
        was: Awakening,
        /// First sample at rest.
        at: At,
    },
    /// Nothing was heard for a while: the meter was off, or the computer asleep, or its clock was set on.
    Gap {
        /// Last sample before.
        from: At,
        /// First sample after.
        to: At,
    },
    /// The clock was set back.
    SetBack {
        /// Last sample before.
        from: At,
        /// First sample after.
        to: At,
    },
}

/// On which side of the rest a sample lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Below,
    At,
    Above,
}

/// A rest, and what rose from it to the next one.
#[derive(Debug, Clone, Copy)]
struct Rest {
    /// As it was when it was found: what creeps away from it is not followed for ever.
    found: f64,
    level: f64,
    noise: f64,
    open: Option<Awakening>,
}

/// The guard.
#[derive(Debug)]
pub struct Guard {
    window: Window,
    /// The rest in force last; below it those that it rose from and did not go back to.
    rests: Vec<Rest>,
    side: Side,
    /// Samples in a row on another side.
    other: usize,
    /// When that began.
    since: Option<At>,
    last: Option<Sample>,
    usual: Option<f64>,
    unseen_from: Option<At>,
    count: usize,
}

fn seconds(from: At, to: At) -> f64 {
    (to - from).as_seconds_f64()
}

impl Guard {
    /// Begins; what stays flat for so long is at rest.
    pub fn new(flat: Minute) -> Self {
        Self {
            window: Window::new(flat.base() * 60.0),
            rests: Vec::new(),
            side: Side::At,
            other: 0,
            since: None,
            last: None,
            usual: None,
            unseen_from: None,
            count: 0,
        }
    }

    /// Returns the level that it rests at, once that is known.
    pub fn level(&self) -> Option<Ampere> {
        self.rests.last().map(|rest| Ampere::new(rest.level))
    }

    /// Takes a sample; returns what there is to tell, in order.
    pub fn take(&mut self, sample: Sample) -> Vec<GuardEvent> {
        let mut events = Vec::new();
        let apart = self.last.map(|last| seconds(last.at, sample.at));
        if apart.is_some_and(|apart| (0.0..SOONEST).contains(&apart)) {
            return events;
        }
        if let (Some(last), Some(apart)) = (self.last, apart) {
            if apart < 0.0 {
                events.push(GuardEvent::SetBack { from: last.at, to: sample.at });
                self.interrupted(None);
            } else if self.is_gap(apart) {
                events.push(GuardEvent::Gap { from: last.at, to: sample.at });
                self.interrupted(Some(last.at));
            } else {
                let usual = self.usual.unwrap_or(apart);
                self.usual = Some(usual + FOLLOWS * (apart - usual));
                self.add_charge(last, apart);
            }
        }
        self.last = Some(sample);
        self.place(&sample, &mut events);
        self.settle(&sample, &mut events);
        events
    }

    /// Until the usual distance is known nothing is a gap.
    fn is_gap(&self, apart: f64) -> bool {
        self.usual.is_some_and(|usual| apart > GAP_SECONDS.max(GAP_SAMPLES * usual))
    }

    /// What was flat before a gap says nothing of the time after it.
    fn interrupted(&mut self, from: Option<At>) {
        self.window.clear();
        self.other = 0;
        self.unseen_from = from;
    }

    fn add_charge(&mut self, last: Sample, apart: f64) {
        let Some(current) = last.current else { return };
        for rest in &mut self.rests {
            if let Some(open) = &mut rest.open {
                open.charge += (current.base() - rest.level) * apart;
            }
        }
    }

    /// Returns the side of the rest on which a sample lies.
    fn side_of(&self, sample: &Sample) -> Option<Side> {
        let rest = self.rests.last()?;
        let Some(current) = sample.current else { return Some(Side::Above) };
        let band = Flat { level: rest.level, noise: rest.noise }.band(sample.step);
        // Whoever is away comes back nearer than he left.
        let (up, down) = match self.side {
            Side::At => (band, band),
            Side::Above => (BACK * band, band),
            Side::Below => (band, BACK * band),
        };
        let above = current.base() - rest.level;
        Some(if above > up {
            Side::Above
        } else if above < -down {
            Side::Below
        } else {
            Side::At
        })
    }

    /// Looks whether the sample, with the one before, is a change of side.
    fn place(&mut self, sample: &Sample, events: &mut Vec<GuardEvent>) {
        let Some(side) = self.side_of(sample) else { return };
        if side == self.side {
            self.other = 0;
            self.unseen_from = None;
            self.see(sample);
            return;
        }
        if self.other == 0 {
            self.since = Some(sample.at);
        }
        self.other += 1;
        if self.other < IN_A_ROW {
            return;
        }
        self.other = 0;
        self.window.clear();
        let at = self.since.unwrap_or(sample.at);
        let was = std::mem::replace(&mut self.side, side);
        match side {
            Side::Above => self.wake(at, sample, events),
            Side::At if was == Side::Above => self.sleep(at, events),
            Side::Below => self.fall(at, sample, events),
            Side::At => {}
        }
        self.unseen_from = None;
    }

    /// Takes note of the height of what is awake.
    fn see(&mut self, sample: &Sample) {
        for open in self.rests.iter_mut().filter_map(|rest| rest.open.as_mut()) {
            open.now = sample.current;
            open.peak = open.peak.max(sample.current.unwrap_or(open.peak));
        }
    }

    fn wake(&mut self, since: At, sample: &Sample, events: &mut Vec<GuardEvent>) {
        let Some(rest) = self.rests.last_mut() else { return };
        self.count += 1;
        let level = Ampere::new(rest.level);
        let open = Awakening {
            number: self.count,
            since,
            unseen_from: self.unseen_from,
            rest: level,
            now: sample.current,
            peak: sample.current.unwrap_or(level),
            charge: 0.0,
        };
        rest.open = Some(open);
        self.see(sample);
        events.push(GuardEvent::Woke(open));
    }

    fn sleep(&mut self, at: At, events: &mut Vec<GuardEvent>) {
        let open = self.rests.last_mut().and_then(|rest| rest.open.take());
        events.extend(open.map(|was| GuardEvent::Slept { was, at }));
    }

    /// It fell below its rest: perhaps back to one that it had risen from.
    fn fall(&mut self, at: At, sample: &Sample, events: &mut Vec<GuardEvent>) {
        loop {
            self.sleep(at, events);
            if self.rests.len() < 2 {
                return;
            }
            self.rests.pop();
            // The way up from the one below is still open.
            self.side = Side::Above;
            self.side = self.side_of(sample).unwrap_or(Side::Below);
            match self.side {
                Side::Above => return,
                Side::At => return self.sleep(at, events),
                Side::Below => {}
            }
        }
    }

    /// Looks whether it has been flat long enough: at first, away from its rest, or at it, which then follows.
    fn settle(&mut self, sample: &Sample, events: &mut Vec<GuardEvent>) {
        let Some(current) = sample.current else { return };
        if self.other > 0 || !self.window.take(sample.at, current.base()) {
            return;
        }
        let Some(flat) = self.window.flat(sample.step) else { return };
        let (found, band) = (flat.level, flat.band(sample.step));
        match (self.rests.last_mut(), self.side) {
            (Some(rest), Side::At) => {
                let room = Flat { level: rest.found, noise: rest.noise }.band(sample.step);
                rest.level = flat.level.clamp(rest.found - room, rest.found + room);
                rest.noise = flat.noise;
                return;
            }
            (_, Side::Below) => drop(self.rests.pop()),
            _ => {}
        }
        // A sample that has just left the flat stretch doesn't end it.
        if (current.base() - found).abs() > band {
            return;
        }
        let since = self.window.since().unwrap_or(sample.at);
        let still_awake = self.side == Side::Above;
        self.rests.push(Rest { found, level: found, noise: flat.noise, open: None });
        self.side = Side::At;
        events.push(GuardEvent::Rests { since, level: Ampere::new(found), still_awake });
    }
}

#[cfg(test)]
mod tests;
