//! `watch`: writes down what a live meter shows, overnight if need be: one line a sample, on disk within a second.
//! Leaves to others: the meter (`live`), reading the file again (`settle`).
#![allow(clippy::disallowed_methods, reason = "appends to a meter log while it grows")]

use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use serde_json::json;

use super::columns::value;
use super::hunt::shell_word;
use crate::cli::desk::{Desk, Format};
use crate::cli::fail::{Exit, Fail};
use crate::cli::live::spec::Spec;
use crate::cli::live::{BETWEEN, Heard, Live, Unheard};
use crate::cli::signal;
use crate::fault::Fault;
use crate::instrument::live::Shown;
use crate::piece::{Line, Role};
use crate::quantity::show::bare;
use crate::quantity::{Ampere, Minute, Unit};

const EXAMPLES: &str = "\
Examples:
  fusetrail watch --meter scpi://192.0.2.7:5025 --to night.csv --for 12h
  fusetrail watch --meter serial:/dev/ttyUSB0@9600,mA --to night.csv
  some-meter | fusetrail watch --meter lines:-,A --to night.csv --every 1s
  fusetrail settle night.csv          at any time, also while it grows";

/// First line of the file.
const HEADER: &str = "time,current (mA)\n";

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
    /// How long; without it until Ctrl-C
    #[arg(long = "for", value_name = "TIME")]
    length: Option<String>,
    /// Least time between two samples; without it every one is written
    #[arg(long, value_name = "TIME")]
    every: Option<String>,
}

impl Watch {
    /// Carries the command out.
    ///
    /// # Errors
    /// A wrong option, a meter that cannot be opened or never shows anything, a file that cannot be written.
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        let time = |text: &Option<String>, option: &str| {
            text.as_deref().map(|text| value::<Minute>(text, "s", option)).transpose().map_err(Fail::usage)
        };
        let (length, every) = (time(&self.length, "--for")?, time(&self.every, "--every")?);
        let spec = Spec::read(&self.meter).map_err(|fault| Fail::usage(fault.in_field("--meter")))?;
        let between =
            every.map_or(BETWEEN, |every| Duration::from_secs_f64(every.base() * 60.0).min(BETWEEN));
        let sheet = Sheet::open(&self.to)?;
        let live = Live::start(spec, between, Unheard::Wait)?;
        // From here on the signals are looked at; a meter that is slow in coming is waited for above.
        let _heeded = signal::heeded();
        let mut night = Night::new(sheet, desk, every);
        let ended = night.watch(&live, length)?;
        night.close(&self.to, ended)
    }
}

/// The file that is written.
struct Sheet {
    file: File,
    path: PathBuf,
    synced: Option<DateTime<FixedOffset>>,
}

impl Sheet {
    /// Opens the file, or goes on with one that was written before: then a line that a power cut left unfinished is
    /// ended, so that it stands alone as a bad row.
    fn open(path: &Path) -> Result<Self, Fault> {
        let fail = |error: std::io::Error| Fail::file(path, "written", &error);
        let mut options = OpenOptions::new();
        let mut file = options.read(true).append(true).create(true).open(path).map_err(fail)?;
        let length = file.metadata().map_err(fail)?.len();
        if length == 0 {
            file.write_all(HEADER.as_bytes()).map_err(fail)?;
        } else {
            let mut head = Vec::new();
            (&file).take(HEADER.len() as u64).read_to_end(&mut head).map_err(fail)?;
            if head != HEADER.as_bytes() {
                let fault = Fault::new("is there already, and is no log of watch");
                return Err(fault.in_file(&path.to_string_lossy()).remedy("name another file"));
            }
            let mut last = [0];
            file.seek(SeekFrom::End(-1)).and_then(|_| file.read_exact(&mut last)).map_err(fail)?;
            if last != *b"\n" {
                file.write_all(b"\n").map_err(fail)?;
            }
        }
        file.sync_all().map_err(fail)?;
        Ok(Self { file, path: path.to_path_buf(), synced: None })
    }

    /// Writes a line; it is on disk within a second of the next.
    fn write(&mut self, at: DateTime<FixedOffset>, cell: &str) -> Result<(), Fault> {
        let fail = |error: std::io::Error| Fail::file(&self.path, "written", &error);
        let line = format!("{},{cell}\n", at.format("%Y-%m-%dT%H:%M:%S%.3f%:z"));
        self.file.write_all(line.as_bytes()).map_err(fail)?;
        if self.synced.is_none_or(|then| (at - then).num_milliseconds().abs() >= 1000) {
            self.file.sync_data().map_err(fail)?;
            self.synced = Some(at);
        }
        Ok(())
    }
}

/// What ended a watch.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Ended {
    /// The time was over.
    Time,
    /// The input ended.
    Input,
    /// Ctrl-C.
    Interrupted,
}

/// A watch, and what was seen since the last words about it.
struct Night<'a> {
    sheet: Sheet,
    desk: &'a Desk,
    every: Option<Minute>,
    samples: usize,
    overloads: usize,
    garbage: usize,
    begun: DateTime<FixedOffset>,
    written: Option<DateTime<FixedOffset>>,
    heard: DateTime<FixedOffset>,
    told: DateTime<FixedOffset>,
    /// Least, largest and last current since then.
    seen: Option<(Ampere, Ampere, Ampere)>,
    trouble: Option<String>,
}

fn seconds(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> f64 {
    (to - from).as_seconds_f64()
}

impl<'a> Night<'a> {
    fn new(sheet: Sheet, desk: &'a Desk, every: Option<Minute>) -> Self {
        let now = desk.clock.exact();
        Self {
            sheet,
            desk,
            every,
            samples: 0,
            overloads: 0,
            garbage: 0,
            begun: now,
            written: None,
            heard: now,
            told: now,
            seen: None,
            trouble: None,
        }
    }

    fn watch(&mut self, live: &Live, length: Option<Minute>) -> Result<Ended, Fault> {
        loop {
            if signal::stopped() {
                return Ok(Ended::Interrupted);
            }
            let now = self.desk.clock.exact();
            if length.is_some_and(|length| seconds(self.begun, now) >= length.base() * 60.0) {
                return Ok(Ended::Time);
            }
            match live.hear(LOOK) {
                Heard::Shown(shown) => self.take(&shown)?,
                Heard::Trouble(trouble) => {
                    self.garbage += 1;
                    self.say(trouble.to_string());
                }
                Heard::Over if signal::stopped_within(LOOK) => return Ok(Ended::Interrupted),
                Heard::Over => return Ok(Ended::Input),
                Heard::Nothing if seconds(self.heard, now) >= SILENT => {
                    self.say("the meter says nothing".to_owned());
                }
                Heard::Nothing => {}
            }
            self.tell(now);
        }
    }

    fn take(&mut self, shown: &Shown) -> Result<(), Fault> {
        let now = self.desk.clock.exact();
        self.heard = now;
        if self.trouble.take().is_some() {
            self.desk.talk(&[Line::of(Role::Good, "The meter is back.")]);
        }
        let early = |every: Minute, then| seconds(then, now) < every.base() * 60.0 - 0.05;
        if self.every.zip(self.written).is_some_and(|(every, then)| early(every, then)) {
            return Ok(());
        }
        self.written = Some(now);
        match shown {
            Shown::Current(current) => {
                self.samples += 1;
                let value = current.value;
                let (least, most, _) = self.seen.unwrap_or((value, value, value));
                self.seen = Some((least.min(value), most.max(value), value));
                self.sheet.write(now, &milliampere(value, current.step))
            }
            Shown::Overload => {
                self.overloads += 1;
                self.sheet.write(now, "OL")
            }
            Shown::Volts(_) => Ok(()),
        }
    }

    /// Says a trouble once.
    fn say(&mut self, trouble: String) {
        if self.trouble.as_ref() != Some(&trouble) {
            self.desk.talk(&[Line::of(Role::Doubt, format!("{trouble}; watching on."))]);
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
            let line = Line::plain(format!("{}  ", now.format("%H:%M"))).and(Role::Value, bare(last, 3));
            self.desk.talk(&[line.and(Role::Plain, range)]);
        }
    }

    fn close(self, path: &Path, ended: Ended) -> Result<Exit, Fail> {
        self.sheet.file.sync_all().map_err(|error| Fail::file(path, "written", &error))?;
        let name = path.to_string_lossy();
        let why = match ended {
            Ended::Time => "the time is over",
            Ended::Input => "the meter's input has ended",
            Ended::Interrupted => "interrupted",
        };
        match self.desk.format {
            Format::Json => self.desk.print_json(&json!({
                "file": name,
                "samples": self.samples,
                "overloads": self.overloads,
                "unreadable": self.garbage,
                "why": why,
            }))?,
            Format::Text => {
                let line = Line::plain(format!("Samples: {} in ", self.samples)).and(Role::Name, &name);
                self.desk.print(&[line.and(Role::Plain, format!("; {why}."))])?;
                let word = shell_word(&name);
                let next = format!("fusetrail settle {word}");
                self.desk.talk(&[Line::of(Role::Hint, "See what it says: ").and(Role::Name, next)]);
            }
        }
        Ok(match ended {
            Ended::Interrupted => Exit::Interrupted,
            _ if self.samples + self.overloads == 0 => Exit::No,
            _ => Exit::Done,
        })
    }
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
    fn a_file_is_gone_on_with_and_a_torn_line_stands_alone() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("night.csv");
        let at = crate::cli::clock::read_time("2026-11-02T18:00:00.5+01:00").expect("a time");
        Sheet::open(&path).expect("new").write(at, "25.1").expect("written");
        let whole = std::fs::read_to_string(&path).expect("read");
        assert_eq!(whole, "time,current (mA)\n2026-11-02T18:00:00.500+01:00,25.1\n");
        std::fs::write(&path, whole.trim_end_matches("1\n")).expect("torn");
        Sheet::open(&path).expect("again").write(at, "OL").expect("written");
        let again = std::fs::read_to_string(&path).expect("read");
        assert!(again.ends_with(",25.\n2026-11-02T18:00:00.500+01:00,OL\n"), "{again}");
        std::fs::write(&path, "something else\n").expect("written");
        assert!(Sheet::open(&path).is_err());
    }

    #[test]
    fn a_current_keeps_the_digits_of_the_meter() {
        assert_eq!(milliampere(Ampere::from_milli(482.0), 1e-3), "482");
        assert_eq!(milliampere(Ampere::from_milli(25.12), 1e-5), "25.12");
        assert_eq!(milliampere(Ampere::from_milli(25.123_456_789), 1e-12), "25.123457");
        assert_eq!(milliampere(Ampere::from_milli(-0.000_000_1), 1e-3), "0");
    }
}
