//! A watch at work: hears the meter, keeps its samples evenly apart, shows each to the guard, says once a minute how it goes.
//! Leaves to others: the arguments (`watch`), the file (`watch_sheet`), what is noticed (`watch_guard`).

use std::path::Path;
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::spacing::{Spacing, seconds, seconds_of};
use super::watch_channels::Channel;
use super::watch_guard::Sentry;
use super::watch_sheet::{WatchSheet, milliampere};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Minute};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::live::{Heard, Live};
use crate::cli::signal;
use crate::instrument::live::LiveReading;
use crate::render::json::log::WatchShape;
use crate::render::json::round;
use crate::text::watch as words;

/// A look that comes so many seconds after the last one was held up: the computer was asleep, or its clock was set.
const HELD_UP: f64 = 5.0;

/// What is heard within so many seconds after that may have waited all the time, and nobody knows when it was said.
const STALE: f64 = 1.0;

/// What a meter beside the total showed counts for so many seconds, or for two distances of samples.
const FRESH: f64 = 3.0;

/// How often the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// Seconds between two lines that say how it goes.
const BETWEEN_WORDS: f64 = 60.0;

/// Seconds after which a meter is called silent.
const SILENT: f64 = 15.0;

/// What ended a watch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WatchEnd {
    /// The time was over.
    Time,
    /// The input ended.
    Input,
    /// Ctrl-C.
    Interrupted,
}

/// A watch, and what was seen since the last words about it.
pub struct WatchRun<'a> {
    sheet: WatchSheet,
    context: &'a Context,
    spacing: Spacing,
    samples: usize,
    overloads: usize,
    /// Samples that came between those that were kept.
    between: usize,
    garbage: usize,
    begun: DateTime<FixedOffset>,
    heard: DateTime<FixedOffset>,
    told: DateTime<FixedOffset>,
    /// Least, largest and last current since then.
    seen: Option<[Ampere; 3]>,
    trouble: Option<String>,
    sentry: Sentry<'a>,
    /// Meters beside the total.
    beside: Vec<Channel>,
    /// When it was looked last.
    looked: DateTime<FixedOffset>,
    /// What is heard until then is of no known time.
    stale_until: Option<DateTime<FixedOffset>>,
}

impl<'a> WatchRun<'a> {
    /// Begins.
    pub fn new(
        sheet: WatchSheet,
        context: &'a Context,
        every: Minute,
        sentry: Sentry<'a>,
        beside: Vec<Channel>,
    ) -> Self {
        let now = context.clock.exact();
        Self {
            sheet,
            context,
            spacing: Spacing::new(every),
            samples: 0,
            overloads: 0,
            between: 0,
            garbage: 0,
            begun: now,
            heard: now,
            told: now,
            seen: None,
            trouble: None,
            sentry,
            beside,
            looked: now,
            stale_until: None,
        }
    }

    /// Watches until the time is over, the input ends, or somebody interrupts it.
    ///
    /// # Errors
    /// The file cannot be written.
    pub fn watch(&mut self, live: &Live, length: Option<Minute>) -> Result<WatchEnd, Diagnostic> {
        loop {
            if signal::stopped() {
                return Ok(WatchEnd::Interrupted);
            }
            let now = self.context.clock.exact();
            if length.is_some_and(|length| seconds(self.begun, now) >= seconds_of(length)) {
                return Ok(WatchEnd::Time);
            }
            match live.hear(LOOK) {
                Heard::Shown(shown) => self.take(&shown)?,
                Heard::Trouble(trouble) => {
                    self.garbage += 1;
                    self.say(trouble.to_string());
                }
                Heard::Over if signal::stopped_within(LOOK) => return Ok(WatchEnd::Interrupted),
                Heard::Over => return Ok(WatchEnd::Input),
                Heard::Nothing if seconds(self.heard, now) >= SILENT => {
                    self.say(words::SILENT.to_owned());
                }
                Heard::Nothing => {}
            }
            self.is_stale(now);
            self.look_beside(now);
            self.tell(now);
        }
    }

    fn take(&mut self, shown: &LiveReading) -> Result<(), Diagnostic> {
        let now = self.context.clock.exact();
        self.heard = now;
        if self.is_stale(now) {
            self.between += 1;
            return Ok(());
        }
        if self.trouble.take().is_some() {
            self.context.talk(&[words::back()]);
        }
        match shown {
            LiveReading::Current(current) => self.sentry.hear(now, Some(current.value), current.step),
            LiveReading::Overload => self.sentry.hear(now, None, 0.0),
            LiveReading::Volts(volts) => self.sentry.hear_volts(volts.value),
        }
        if !self.spacing.is_due(now) {
            self.between += 1;
            return Ok(());
        }
        match shown {
            LiveReading::Current(current) => {
                self.samples += 1;
                let value = current.value;
                let [least, most, _] = self.seen.unwrap_or([value; 3]);
                self.seen = Some([least.min(value), most.max(value), value]);
                self.write(now, &milliampere(value, current.step))
            }
            LiveReading::Overload => {
                self.overloads += 1;
                self.write(now, "OL")
            }
            LiveReading::Volts(_) => Ok(()),
        }
    }

    /// Hears the meters beside the total.
    fn look_beside(&mut self, now: DateTime<FixedOffset>) {
        for channel in &mut self.beside {
            let looked = channel.look(now);
            if let Some(said) = looked.said {
                self.context.talk(&[words::trouble(&said)]);
            }
            if let Some(volts) = looked.volts {
                self.sentry.hear_volts(volts);
            }
        }
    }

    /// Writes a line: what the total shows, and the others where they have shown something lately.
    fn write(&mut self, now: DateTime<FixedOffset>, total: &str) -> Result<(), Diagnostic> {
        let fresh = FRESH.max(2.0 * seconds_of(self.spacing.every));
        let cells = std::iter::once(total).chain(self.beside.iter().map(|channel| channel.shows(now, fresh)));
        self.sheet.write(now, &cells.collect::<Vec<_>>().join(","))
    }

    /// Returns true if what is heard now may have waited while the computer was asleep.
    fn is_stale(&mut self, now: DateTime<FixedOffset>) -> bool {
        if seconds(self.looked, now).abs() > HELD_UP {
            self.stale_until = Some(now + TimeDelta::milliseconds((STALE * 1000.0) as i64));
        }
        self.looked = now;
        self.stale_until.is_some_and(|until| now < until)
    }

    /// Says a trouble once.
    fn say(&mut self, trouble: String) {
        if self.trouble.as_ref() != Some(&trouble) {
            self.context.talk(&[words::trouble(&trouble)]);
            self.trouble = Some(trouble);
        }
    }

    /// Says once a minute how it goes.
    fn tell(&mut self, now: DateTime<FixedOffset>) {
        if seconds(self.told, now) < BETWEEN_WORDS {
            return;
        }
        self.told = now;
        if let Some(seen) = self.seen.take() {
            self.context.talk(&[words::progress(now, seen, self.samples)]);
        }
    }

    /// Ends the file and says what is in it.
    ///
    /// # Errors
    /// The file cannot be written, or the result not shown.
    pub fn close(self, path: &Path, ended: WatchEnd) -> Result<Exit, CliError> {
        self.sheet.close()?;
        let seen = self.sentry.finish();
        let name = path.to_string_lossy();
        let why = match ended {
            WatchEnd::Time => words::TIME_OVER,
            WatchEnd::Input => words::INPUT_ENDED,
            WatchEnd::Interrupted => words::INTERRUPTED,
        };
        match self.context.format {
            OutputFormat::Json => self.context.print_json(&WatchShape {
                file: name.into_owned(),
                samples: self.samples,
                overloads: self.overloads,
                between: self.between,
                unreadable: self.garbage,
                rest_ma: seen.rest.map(|rest| round(rest.milli(), 3)),
                wakes: seen.wakes,
                gaps: seen.gaps,
                why,
            })?,
            OutputFormat::Text => {
                self.context.print(&[words::ended(self.samples, &name, why)])?;
                if self.between > 0 {
                    self.context.talk(&[words::not_kept(seconds_of(self.spacing.every), self.between)]);
                }
                self.context.talk(&[words::then(&name)]);
            }
        }
        Ok(match ended {
            WatchEnd::Interrupted => Exit::Interrupted,
            _ if self.samples + self.overloads == 0 => Exit::No,
            _ => Exit::Done,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Typed;
    use crate::cli::clock::{Clock, read_time};
    use crate::cli::command::watch_guard::Orders;
    use crate::cli::paint::Color;

    #[test]
    fn an_hour_in_which_the_computer_slept_has_no_samples_and_a_draw_that_came_in_it_is_told() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("night.csv");
        let start = read_time("2026-11-02T18:00:00+01:00").expect("a time");
        let clock = Clock::simulated(start);
        let context = Context::new(OutputFormat::Text, Color::Never, clock.clone());
        let orders = Orders { flat: Minute::new(10.0), log: None, errand: None, file: String::new() };
        let sentry = Sentry::new(orders, &context).unwrap_or_else(|error| panic!("{error:?}"));
        let sheet = WatchSheet::open(&path, "time,current (mA)\n").expect("a file");
        let mut run = WatchRun::new(sheet, &context, Minute::new(1.0 / 60.0), sentry, Vec::new());
        let mut hear = |millisecond: i64, milli: f64| {
            clock.set(start + TimeDelta::milliseconds(millisecond));
            let shown = LiveReading::Current(Typed::measured(Ampere::from_milli(milli), 1e-4, ""));
            run.take(&shown).expect("written");
        };
        (0..=700).for_each(|second| hear(1000 * second, 24.0));
        let woken = 700_000 + 3_600_000;
        // What waited while it slept comes all at once, and nobody knows from when it is.
        (0..50).for_each(|line| hear(woken + line, 999.0));
        (2..10).for_each(|second| hear(woken + 1000 * second, 380.0));
        let (gaps, wakes) = (run.sentry.gaps.clone(), run.sentry.wakes.clone());
        let at = |millisecond: i64| start + TimeDelta::milliseconds(millisecond);
        assert_eq!(gaps, [(at(700_000), at(woken + 2000))]);
        let [(woke, None)] = wakes[..] else { panic!("{wakes:?}") };
        assert_eq!((woke.since, woke.unseen_from), (at(woken + 2000), Some(at(700_000))));
        let text = crate::cli::files::read(&path).expect("a file");
        assert!(text.lines().count() == 1 + 701 + 8 && !text.contains("999"), "{}", text.lines().count());
    }

    #[test]
    fn a_current_keeps_the_digits_of_the_meter() {
        assert_eq!(milliampere(Ampere::from_milli(482.0), 1e-3), "482");
        assert_eq!(milliampere(Ampere::from_milli(25.12), 1e-5), "25.12");
        assert_eq!(milliampere(Ampere::from_milli(25.123_456_789), 1e-12), "25.123457");
        assert_eq!(milliampere(Ampere::from_milli(-0.000_000_1), 1e-3), "0");
    }
}
