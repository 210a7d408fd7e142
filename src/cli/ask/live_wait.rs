//! The wait beside a live meter: every reading is kept, now and then one is entered, and once a minute the whole curve
//! is looked at: when it says that the vehicle is asleep, so is the wait over.
//! Leaves to others: what a curve says (`trace/settle`), the screen (`wait`), the meter (`live`).

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use super::{Pace, Tick};
use crate::base::quantity::{Ampere, Minute, Uncertain, Unit};
use crate::cli::clock::Clock;
use crate::cli::live::{Heard, Live};
use crate::hunt::question::Wait;
use crate::hunt::stage::settle::BY_CURVE;
use crate::instrument::live::{LiveReading, typed};
use crate::text::ask::bench::{INPUT_ENDED, OUT_OF_RANGE};
use crate::text::guard::event;
use crate::text::watch;
use crate::trace::guard::{Guard, GuardEvent, Sample};
use crate::trace::samples::Trace;
use crate::trace::settle::{Rules, settle};

/// Minutes between two readings that are entered.
const BETWEEN_ENTRIES: f64 = 5.0;

/// Minutes between two looks at the whole curve.
const BETWEEN_LOOKS: f64 = 1.0;

/// Minutes between two points of the curve on the screen.
const BETWEEN_POINTS: f64 = 0.5;

/// A reading counts as the present one for so many minutes.
const FRESH: f64 = 0.25;

/// A meter is called silent after so many minutes without a word.
const SILENT: f64 = 0.25;

/// What stays flat for so many minutes is guarded.
const FLAT: Minute = Minute::new(10.0);

/// Most readings that are heard at one look.
const AT_ONCE: usize = 1_000;

/// Most readings that are kept: more than a day at ten a second.
const MOST: usize = 1_000_000;

/// What was seen of one wait.
#[derive(Debug, Default)]
pub struct Watching {
    since: Option<DateTime<FixedOffset>>,
    meter: String,
    begun: Option<DateTime<FixedOffset>>,
    due: Minute,
    /// Minutes from the begin of the watch, and current.
    samples: Vec<(Minute, Ampere)>,
    entered: Minute,
    looked: Minute,
    drawn: Minute,
    /// Points of the curve on the screen.
    points: Vec<Ampere>,
    heard: Minute,
    /// What was said last of a meter that shows nothing.
    trouble: Option<String>,
    /// Tells when what was flat rises again.
    guard: Option<Guard>,
}

impl Watching {
    /// Begins a wait, or goes on with it.
    pub fn begin(&mut self, wait: &Wait, meter: &str, now: DateTime<FixedOffset>) {
        if self.since != Some(wait.since) {
            *self =
                Self { since: Some(wait.since), begun: Some(now), meter: meter.into(), ..Self::default() };
        }
        self.due = wait.due;
    }

    /// Returns the minutes since it began to watch.
    fn minutes(&self, now: DateTime<FixedOffset>) -> Minute {
        let begun = self.begun.unwrap_or(now);
        Minute::new((now - begun).as_seconds_f64().max(0.0) / 60.0)
    }

    fn take(&mut self, at: Minute, current: Ampere) {
        if self.samples.len() >= MOST {
            self.samples.drain(..MOST / 2);
        }
        match self.samples.last_mut() {
            // Of several at once the last counts.
            Some(last) if last.0 == at => last.1 = current,
            _ => self.samples.push((at, current)),
        }
        self.heard = at;
        self.trouble = None;
    }

    /// Returns what there is to say if the draw rose from a rest.
    fn risen(&mut self, at: DateTime<FixedOffset>, current: Option<Ampere>, count: Ampere) -> Option<Tick> {
        let guard = self.guard.get_or_insert_with(|| Guard::new(FLAT));
        let events = guard.take(Sample { at, current, step: count.base() });
        let woke = events.iter().find(|event| matches!(event, GuardEvent::Woke(_)))?;
        Some(Tick::Woke(event(woke).text()))
    }

    /// Returns the present current; `None` if the last reading is old.
    fn present(&self, at: Minute) -> Option<Ampere> {
        self.samples.last().filter(|(then, _)| (at - *then).base() <= FRESH).map(|(_, current)| *current)
    }

    /// Says a trouble once.
    fn say(&mut self, trouble: String) -> Tick {
        if self.trouble.as_ref() == Some(&trouble) {
            return Tick::Nothing;
        }
        self.trouble = Some(trouble.clone());
        Tick::Said(format!("{}: {trouble}. Totals can be typed.", self.meter))
    }

    /// Returns the level once the curve shows that everything is asleep.
    fn asleep(&self, now: DateTime<FixedOffset>, count: Ampere) -> Option<Ampere> {
        let since = self.since?;
        if Minute::new((now - since).as_seconds_f64() / 60.0) < self.due {
            return None;
        }
        let found = settle(Trace::new(self.samples.clone(), count), &Rules::default());
        found.level.as_ref().filter(|_| found.is_settled()).map(Uncertain::value)
    }

    /// Returns what the passing of time brings at `now`.
    fn look(&mut self, now: DateTime<FixedOffset>, count: Ampere) -> Tick {
        let at = self.minutes(now);
        let due = |last: Minute, between: f64| (at - last).base() >= between;
        if due(self.looked, BETWEEN_LOOKS) {
            self.looked = at;
            if let Some(level) = self.asleep(now, count) {
                return Tick::Answer(format!("{BY_CURVE}{}", typed(level, count)));
            }
        }
        if due(self.heard, SILENT) && self.trouble.is_none() {
            return self.say(watch::SILENT.into());
        }
        let Some(present) = self.present(at) else { return Tick::Nothing };
        if due(self.entered, BETWEEN_ENTRIES) {
            self.entered = at;
            return Tick::Answer(typed(present, count));
        }
        if self.points.is_empty() || due(self.drawn, BETWEEN_POINTS) {
            self.drawn = at;
            self.points.push(present);
            return Tick::Seen(present);
        }
        Tick::Nothing
    }
}

/// The pace of the wall clock, with a meter that is heard.
#[derive(Debug)]
pub struct ByMeter<'a> {
    /// What was seen so far.
    pub watching: Rc<RefCell<Watching>>,
    /// The meter.
    pub live: &'a Live,
    /// One count of it.
    pub count: Ampere,
    /// The clock.
    pub clock: &'a Clock,
}

impl Pace for ByMeter<'_> {
    fn now(&self) -> DateTime<FixedOffset> {
        self.clock.now()
    }

    fn tick(&mut self, _: Duration) -> Tick {
        let mut watching = self.watching.borrow_mut();
        let now = self.clock.exact();
        let at = watching.minutes(now);
        // A meter that is faster than this is heard on at the next look.
        for _ in 0..AT_ONCE {
            let said = match self.live.hear_now() {
                Heard::Shown(LiveReading::Current(current)) => {
                    watching.take(at, current.value);
                    match watching.risen(now, Some(current.value), self.count) {
                        Some(woke) => return woke,
                        None => continue,
                    }
                }
                Heard::Shown(LiveReading::Overload) => watching.say(OUT_OF_RANGE.into()),
                Heard::Shown(LiveReading::Volts(_)) => continue,
                Heard::Trouble(trouble) => watching.say(trouble.to_string()),
                Heard::Over => watching.say(INPUT_ENDED.into()),
                Heard::Nothing => break,
            };
            if said != Tick::Nothing {
                return said;
            }
            if watching.trouble.as_deref() == Some(INPUT_ENDED) {
                break;
            }
        }
        watching.look(now, self.count)
    }

    fn seen(&self) -> Vec<Ampere> {
        self.watching.borrow().points.clone()
    }

    fn on_enter(&mut self) -> Option<String> {
        let watching = self.watching.borrow();
        let present = watching.present(watching.minutes(self.clock.exact()))?;
        Some(typed(present, self.count))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::clock::read_time;
    use chrono::TimeDelta;

    /// Plays a vehicle's evening at a reading a second: minutes until the wait is over, its answer, and what was
    /// entered or said before.
    fn play(current: impl Fn(f64) -> Option<f64>) -> (f64, String, Vec<Tick>) {
        let since = read_time("2026-11-02T18:00:00+01:00").expect("a time");
        let wait = Wait {
            since,
            due: Minute::new(30.0),
            awake: vec![],
            readings: vec![],
            still: Ampere::ZERO,
            head: vec![],
        };
        let mut watching = Watching::default();
        watching.begin(&wait, "scpi://meter:5025", since);
        let mut before = Vec::new();
        for second in 1..14_400 {
            let now = since + TimeDelta::seconds(second);
            let minutes = second as f64 / 60.0;
            if let Some(milli) = current(minutes) {
                let at = watching.minutes(now);
                watching.take(at, Ampere::from_milli(milli));
            }
            match watching.look(now, Ampere::from_milli(1.0)) {
                Tick::Answer(text) if text.starts_with(BY_CURVE) => return (minutes, text, before),
                Tick::Nothing | Tick::Seen(_) => {}
                tick => before.push(tick),
            }
        }
        (240.0, String::new(), before)
    }

    #[test]
    fn the_wait_ends_by_itself_ten_minutes_after_the_last_step_pulses_or_not() {
        let evening = |minute: f64| if minute < 25.0 { 480.0 } else { 25.0 };
        let (over, answer, before) = play(|minute| Some(evening(minute)));
        assert!((34.9..37.0).contains(&over), "{over}");
        assert_eq!(answer, "logged 25 mA");
        assert_eq!(before.len(), 6, "a reading in five minutes is entered: {before:?}");
        let pulsed = |minute: f64| evening(minute) + if minute % 9.6 < 0.75 { 185.0 } else { 0.0 };
        let (over, answer, _) = play(|minute| Some(pulsed(minute)));
        assert!((34.9..40.0).contains(&over) && answer == "logged 25 mA", "{over} {answer}");
    }

    #[test]
    fn flat_before_the_time_is_over_is_not_yet_asleep_and_cycling_never_is() {
        let (over, ..) = play(|_| Some(25.0));
        assert!((29.9..31.5).contains(&over), "{over}");
        let (over, answer, _) = play(|minute| Some(if minute % 10.0 < 4.0 { 300.0 } else { 25.0 }));
        assert!(over > 239.0 && answer.is_empty());
    }

    #[test]
    fn a_meter_that_falls_silent_is_said_once_and_goes_on_when_it_is_back() {
        let (over, answer, before) =
            play(|minute| if (10.0..15.0).contains(&minute) { None } else { Some(25.0) });
        let said = before.iter().filter(|tick| matches!(tick, Tick::Said(_))).count();
        assert_eq!(said, 1, "{before:?}");
        assert!((29.9..40.0).contains(&over) && answer == "logged 25 mA");
    }

    #[test]
    fn a_draw_that_rises_again_during_the_wait_is_told() {
        let since = read_time("2026-11-02T18:00:00+01:00").expect("a time");
        let mut watching = Watching::default();
        let mut hear = |second: i64, milli: f64| {
            let at = since + TimeDelta::seconds(second);
            watching.risen(at, Some(Ampere::from_milli(milli)), Ampere::from_milli(1.0))
        };
        assert!((0..700).all(|second| hear(second, 25.0).is_none()));
        assert_eq!(hear(700, 400.0), None);
        assert!(matches!(hear(701, 400.0), Some(Tick::Woke(text)) if text.contains("400 mA")));
    }
}
