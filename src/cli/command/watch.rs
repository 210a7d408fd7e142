//! `watch`: writes down what a live meter shows, overnight if need be: one line a sample, on disk within a second.
//! Leaves to others: the meter (`live`), the file (`watch_sheet`), reading the file again (`settle`).

use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, FixedOffset, TimeDelta};

use super::columns::value;
use super::hunt::shell_word;
use super::watch_guard::{Orders, Sentry, errand};
use super::watch_sheet::WatchSheet;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Minute, Unit};
use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::live::spec::Spec;
use crate::cli::live::{BETWEEN, Heard, Live, Unheard};
use crate::cli::signal;
use crate::instrument::live::LiveReading;
use crate::render::json::log::WatchShape;
use crate::render::json::round;
use crate::text::settle::not_kept;

const EXAMPLES: &str = "\
Examples:
  fusetrail watch --meter scpi://192.0.2.7:5025 --to night.csv --for 12h
  fusetrail watch --meter serial:/dev/ttyUSB0@9600,mA --to night.csv
  some-meter | fusetrail watch --meter lines:-,A --to night.csv --every 1s
  fusetrail watch --meter scpi://192.0.2.7:5025 --to night.csv --log x.hunt.yaml --bell --on-wake 'play-a-sound loud.wav'
  fusetrail settle night.csv          at any time, also while it grows";

/// Least and most time between two samples that are kept, and what is said of them.
const EVERY_RANGE: Range = Range { least: 0.01, most: 3600.0, said: "from 0.01 s to 1 h", bare: "s" };

/// Least and most time that is watched.
const FOR_RANGE: Range = Range { least: 1.0, most: 2_678_400.0, said: "from 1 s to 31 days", bare: "s" };

/// Least and most time that makes a rest.
const FLAT_RANGE: Range = Range { least: 1.0, most: 7200.0, said: "from 1 s to 2 h", bare: "min" };

/// A look that comes so many seconds after the last one was held up: the computer was asleep, or its clock was set.
const HELD_UP: f64 = 5.0;

/// What is heard within so many seconds after that may have waited all the time, and nobody knows when it was said.
const STALE: f64 = 1.0;

/// Meters are not on time to the millisecond: a sample may be early by this many seconds, or by half the distance.
const EARLY: f64 = 0.05;

/// How often the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// Seconds between two lines that say how it goes.
const BETWEEN_WORDS: f64 = 60.0;

/// Seconds after which a meter is called silent.
const SILENT: f64 = 15.0;

/// Arguments of `watch`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Watch {
    /// Meter: lines:-, lines:PATH, scpi://HOST:PORT, serial:PATH@BAUD; behind commas the unit of bare numbers (A, mA),
    /// a shunt such as 1mohm, scpi for a serial meter that has to be asked
    #[arg(long, value_name = "SPEC")]
    meter: String,
    /// File to write; one that watch wrote before is gone on with
    #[arg(long, value_name = "FILE.csv")]
    to: PathBuf,
    /// How long, at most 31 days; without it until Ctrl-C
    #[arg(long = "for", value_name = "TIME")]
    length: Option<String>,
    /// Time between two samples that are kept, 0.01 s to 1 h; those between are counted. A bare number is seconds
    #[arg(long, value_name = "TIME", default_value = "0.1s")]
    every: String,
    /// Session log: when the draw comes back it says which fuse to read first
    #[arg(long, value_name = "LOG")]
    log: Option<PathBuf>,
    /// Command that is run when the draw comes back: split into words, by no shell, the event as JSON on its standard
    /// input (fusetrail schema watch-wake), one at a time, each at most a minute
    #[arg(long, value_name = "CMD ARG…")]
    on_wake: Option<String>,
    /// Ring the terminal's bell when the draw comes back, or the battery goes low
    #[arg(long)]
    bell: bool,
    /// How long it must stay flat before it counts as at rest, 1 s to 2 h. A bare number is minutes
    #[arg(long, value_name = "TIME", default_value = "10min")]
    flat: String,
}

impl Watch {
    /// Carries the command out.
    ///
    /// # Errors
    /// A wrong option, a meter that cannot be opened or never shows anything, a file that cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let length = self.length.as_deref().map(|text| FOR_RANGE.read(text, "--for")).transpose()?;
        let every = EVERY_RANGE.read(&self.every, "--every")?;
        let spec = Spec::read(&self.meter).map_err(|fault| CliError::usage(fault.in_field("--meter")))?;
        let between = Duration::from_secs_f64(seconds_of(every)).min(BETWEEN);
        let orders = Orders {
            flat: FLAT_RANGE.read(&self.flat, "--flat")?,
            errand: errand(self.on_wake.as_deref()).map_err(CliError::usage)?,
            log: self.log,
            bell: self.bell,
            file: self.to.to_string_lossy().into_owned(),
        };
        let sentry = Sentry::new(orders, context)?;
        let sheet = WatchSheet::open(&self.to)?;
        let live = Live::start(spec, between, Unheard::Wait)?;
        // From here on the signals are looked at; a meter that is slow in coming is waited for above.
        let _heeded = signal::heeded();
        let mut night = WatchRun::new(sheet, context, every, sentry);
        let ended = night.watch(&live, length)?;
        night.close(&self.to, ended)
    }
}

/// The times that make sense, in seconds.
struct Range {
    least: f64,
    most: f64,
    said: &'static str,
    /// Unit of a bare number.
    bare: &'static str,
}

impl Range {
    /// Reads a time of an option.
    fn read(&self, text: &str, option: &str) -> Result<Minute, CliError> {
        let time = value::<Minute>(text, self.bare, option).map_err(CliError::usage)?;
        // A thousandth more: what was typed in another unit may be off in its last digit.
        if (self.least * 0.999..=self.most * 1.001).contains(&seconds_of(time)) {
            return Ok(time);
        }
        let fault = Diagnostic::new(format!("\"{text}\" makes no sense here")).expected(self.said);
        Err(CliError::usage(fault.in_field(option)))
    }
}

fn seconds_of(time: Minute) -> f64 {
    time.base() * 60.0
}

/// What ended a watch.
#[derive(Debug, Clone, Copy, PartialEq)]
enum WatchEnd {
    /// The time was over.
    Time,
    /// The input ended.
    Input,
    /// Ctrl-C.
    Interrupted,
}

/// How far apart samples are kept.
struct Spacing {
    every: Minute,
    /// When the last was kept, and when the next is due.
    kept: Option<(DateTime<FixedOffset>, DateTime<FixedOffset>)>,
}

impl Spacing {
    /// Tells whether a sample is kept; then the next is due one distance later.
    fn is_due(&mut self, now: DateTime<FixedOffset>) -> bool {
        let every = seconds_of(self.every);
        // From a hundredth of a second to an hour.
        let step = TimeDelta::microseconds((every * 1e6).round() as i64);
        let due = match self.kept {
            // The clock may be set back meanwhile.
            Some((last, due)) if now >= last => due,
            _ => now,
        };
        let early = seconds(now, due);
        if early > EARLY.min(every / 2.0) {
            return false;
        }
        let next = if early > -every { due + step } else { now + step };
        self.kept = Some((now, next));
        true
    }
}

/// A watch, and what was seen since the last words about it.
struct WatchRun<'a> {
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
    seen: Option<(Ampere, Ampere, Ampere)>,
    trouble: Option<String>,
    sentry: Sentry<'a>,
    /// When it was looked last.
    looked: DateTime<FixedOffset>,
    /// What is heard until then is of no known time.
    stale_until: Option<DateTime<FixedOffset>>,
}

fn seconds(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> f64 {
    (to - from).as_seconds_f64()
}

impl<'a> WatchRun<'a> {
    fn new(sheet: WatchSheet, context: &'a Context, every: Minute, sentry: Sentry<'a>) -> Self {
        let now = context.clock.exact();
        Self {
            sheet,
            context,
            spacing: Spacing { every, kept: None },
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
            looked: now,
            stale_until: None,
        }
    }

    fn watch(&mut self, live: &Live, length: Option<Minute>) -> Result<WatchEnd, Diagnostic> {
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
                    self.say("the meter says nothing".to_owned());
                }
                Heard::Nothing => {}
            }
            self.is_stale(now);
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
            self.context.talk(&[StyledText::of(Role::Good, "The meter is back.")]);
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
                let (least, most, _) = self.seen.unwrap_or((value, value, value));
                self.seen = Some((least.min(value), most.max(value), value));
                self.sheet.write(now, &milliampere(value, current.step))
            }
            LiveReading::Overload => {
                self.overloads += 1;
                self.sheet.write(now, "OL")
            }
            LiveReading::Volts(_) => Ok(()),
        }
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
            self.context.talk(&[StyledText::of(Role::Doubt, format!("{trouble}; watching on."))]);
            self.trouble = Some(trouble);
        }
    }

    /// Says once a minute how it goes.
    fn tell(&mut self, now: DateTime<FixedOffset>) {
        if seconds(self.told, now) < BETWEEN_WORDS {
            return;
        }
        self.told = now;
        if let Some((least, most, last)) = self.seen.take() {
            let range = format!(" ({} to {}), samples: {}", bare(least, 3), bare(most, 3), self.samples);
            let line =
                StyledText::plain(format!("{}  ", now.format("%H:%M"))).and(Role::Value, bare(last, 3));
            self.context.talk(&[line.and(Role::Plain, range)]);
        }
    }

    fn close(self, path: &Path, ended: WatchEnd) -> Result<Exit, CliError> {
        self.sheet.close()?;
        let seen = self.sentry.finish();
        let name = path.to_string_lossy();
        let why = match ended {
            WatchEnd::Time => "the time is over",
            WatchEnd::Input => "the meter's input has ended",
            WatchEnd::Interrupted => "interrupted",
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
                let line = StyledText::plain(format!("Samples: {} in ", self.samples)).and(Role::Name, &name);
                self.context.print(&[line.and(Role::Plain, format!("; {why}."))])?;
                if self.between > 0 {
                    let every = bare_seconds(self.spacing.every);
                    let line = not_kept(&every, self.between);
                    self.context.talk(&[StyledText::of(Role::Hint, line)]);
                }
                let word = shell_word(&name);
                let next = format!("fusetrail settle {word}");
                self.context.talk(&[StyledText::of(Role::Hint, "See what it says: ").and(Role::Name, next)]);
            }
        }
        Ok(match ended {
            WatchEnd::Interrupted => Exit::Interrupted,
            _ if self.samples + self.overloads == 0 => Exit::No,
            _ => Exit::Done,
        })
    }
}

fn bare_seconds(time: Minute) -> String {
    format!("{:.2} s", seconds_of(time))
}

/// Writes a current in milliampere with the digits that the meter gave, at most to a nanoampere.
fn milliampere(value: Ampere, step: f64) -> String {
    let decimals = (-(step * 1000.0).log10() - 1e-9).ceil().clamp(0.0, 6.0) as usize;
    let tens = 10_f64.powi(decimals as i32);
    // Adding zero turns -0 into 0.
    format!("{:.decimals$}", (value.milli() * tens).round() / tens + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn samples_are_kept_evenly_and_a_clock_that_is_set_back_stops_nothing() {
        let start = crate::cli::clock::read_time("2026-11-02T18:00:00+01:00").expect("a time");
        let mut spacing = Spacing { every: Minute::new(1.0 / 60.0), kept: None };
        let mut kept = |milliseconds: &[i64]| {
            let due = |at: &&i64| spacing.is_due(start + TimeDelta::milliseconds(**at));
            milliseconds.iter().filter(due).copied().collect::<Vec<_>>()
        };
        // A meter that is a little early or late loses nothing, a fast one keeps its distance.
        assert_eq!(kept(&[0, 990, 2010, 2970]), [0, 990, 2010, 2970]);
        assert_eq!(kept(&[3100, 3900, 3960, 4900, 5100]), [3960, 5100]);
        assert_eq!(kept(&[9000, 9500, 10_000]), [9000, 10_000], "after a gap it counts anew");
        assert_eq!(kept(&[-3_600_000, -3_599_500, -3_599_000]), [-3_600_000, -3_599_000]);
    }

    #[test]
    fn a_current_keeps_the_digits_of_the_meter() {
        assert_eq!(milliampere(Ampere::from_milli(482.0), 1e-3), "482");
        assert_eq!(milliampere(Ampere::from_milli(25.12), 1e-5), "25.12");
        assert_eq!(milliampere(Ampere::from_milli(25.123_456_789), 1e-12), "25.123457");
        assert_eq!(milliampere(Ampere::from_milli(-0.000_000_1), 1e-3), "0");
    }
}
