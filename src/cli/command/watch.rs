//! `watch`: writes down what a live meter shows, overnight if need be: one line a sample, on disk within a second.
//! Leaves to others: the watch itself (`watch_run`), the meter (`live`), the file (`watch_sheet`), reading it again (`settle`).

use std::path::PathBuf;
use std::time::Duration;

use super::columns::value;
use super::spacing::seconds_of;
use super::watch_channels::{Channel, header, read};
use super::watch_guard::{Orders, Sentry, errand};
use super::watch_run::WatchRun;
use super::watch_sheet::WatchSheet;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Minute;
use crate::cli::context::Context;
use crate::cli::error::{CliError, Exit};
use crate::cli::live::{BETWEEN, Live, Unheard};
use crate::cli::signal;

const EXAMPLES: &str = "\
Examples:
  fusetrail watch --meter scpi://192.0.2.7:5025 --to night.csv --for 12h
  fusetrail watch --meter serial:/dev/ttyUSB0@9600,mA --to night.csv
  some-meter | fusetrail watch --meter lines:-,A --to night.csv --every 1s
  fusetrail watch --meter scpi://192.0.2.7:5025 --to night.csv \\
    --log x.hunt.yaml --bell --on-wake 'play-a-sound loud.wav'
  fusetrail watch --meter scpi://192.0.2.7:5025 --to night.csv \\
    --meter F12=serial:/dev/ttyUSB0@9600,mV
  fusetrail settle night.csv          at any time, also while it grows";

/// Least and most time between two samples that are kept, and what is said of them.
const EVERY_RANGE: Range = Range { least: 0.01, most: 3600.0, said: "from 0.01 s to 1 h", bare: "s" };

/// Least and most time that is watched.
const FOR_RANGE: Range = Range { least: 1.0, most: 2_678_400.0, said: "from 1 s to 31 days", bare: "s" };

/// Least and most time that makes a rest.
const FLAT_RANGE: Range = Range { least: 1.0, most: 7200.0, said: "from 1 s to 2 h", bare: "min" };

/// Arguments of `watch`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Watch {
    /// Meter: lines:-, lines:PATH, scpi://HOST:PORT, serial:PATH@BAUD; behind commas the unit of bare numbers (A, mA),
    /// a shunt such as 1mohm, scpi for a serial meter that has to be asked. Of several one reads the total; the others
    /// are named after their fuse (F12=SPEC,mV for a drop, F12=SPEC for a clamp), volts= at the battery's posts
    #[arg(long, value_name = "[NAME=]SPEC", required = true)]
    meter: Vec<String>,
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
        let context = &context.clone().with_bell(self.bell);
        let length = self.length.as_deref().map(|text| FOR_RANGE.read(text, "--for")).transpose()?;
        let every = EVERY_RANGE.read(&self.every, "--every")?;
        let meters = read(&self.meter).map_err(|fault| CliError::usage(fault.in_field("--meter")))?;
        let between = Duration::from_secs_f64(seconds_of(every)).min(BETWEEN);
        let orders = Orders {
            flat: FLAT_RANGE.read(&self.flat, "--flat")?,
            errand: errand(self.on_wake.as_deref()).map_err(CliError::usage)?,
            log: self.log,
            file: self.to.to_string_lossy().into_owned(),
        };
        let sentry = Sentry::new(orders, context)?;
        let sheet = WatchSheet::open(&self.to, &header(&meters))?;
        let mut meters = meters.into_iter();
        let total = meters.next().ok_or_else(|| Diagnostic::new("no meter was named"))?;
        let live = Live::start(total.spec, between, Unheard::Wait)?;
        let beside = meters.map(|one| Channel::start(one, between)).collect::<Result<_, _>>()?;
        // From here on the signals are looked at; a meter that is slow in coming is waited for above.
        let _heeded = signal::heeded();
        let mut night = WatchRun::new(sheet, context, every, sentry, beside);
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
