//! `settle`: when did it go to sleep, at what level, what wakes it.
//! Leaves to others: reading the log and finding that out (`recording`), the words (`words/settle`).

use std::path::PathBuf;

use serde_json::{Value, json};

use super::map_source;
use crate::circuits::map::Map;
use crate::circuits::meters;
use crate::cli::desk::{Desk, Format};
use crate::cli::fail::{Exit, Fail};
use crate::cli::{curve, stream};
use crate::fault::Fault;
use crate::piece::{Line, Role};
use crate::quantity::parse::Readable;
use crate::quantity::show::{q, with_interval};
use crate::quantity::{Ampere, Minute, Ohm, Unit as _};
use crate::recording::cell::{self, Unit};
use crate::recording::settle::{Rules, Settling, settle};
use crate::recording::stamp::DateOrder;
use crate::recording::table::{Options, Recording, Start, read};
use crate::words::settle as words;

const EXAMPLES: &str = "\
Examples:
  fusetrail settle night.csv
  fusetrail settle night.csv.gz --limit 50mA --map hatch
  fusetrail settle shunt.csv --column 3 --unit mV --shunt 1mohm
  some-meter | fusetrail settle - --every 1s";

/// Arguments of `settle`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Settle {
    /// Log of a meter: CSV, also packed with gzip; - for standard input
    file: PathBuf,
    /// Limit to hold the settled level against
    #[arg(long, value_name = "mA")]
    limit: Option<String>,
    /// Map, by built-in name or file: names the modules behind the steps, and waits for its sleep time
    #[arg(long)]
    map: Option<String>,
    /// Clamp or ammeter that wrote the log: clamp-1ma, clamp-10ma, or RESOLUTION,PERCENT,COUNTS; without it 2 % + 3 counts
    #[arg(long, value_name = "NAME")]
    clamp: Option<String>,
    #[command(flatten)]
    reader: Reader,
}

/// What the log looks like, where the guess is wrong.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "Where the log is not understood by itself")]
struct Reader {
    /// Column of the current: its number from 1, or its heading
    #[arg(long)]
    column: Option<String>,
    /// Unit of that column: A, mA, uA, V or mV
    #[arg(long)]
    unit: Option<String>,
    /// Shunt that volts were measured over
    #[arg(long, value_name = "OHM")]
    shunt: Option<String>,
    /// Column of the time: its number from 1, or its heading
    #[arg(long)]
    time: Option<String>,
    /// Unit of an elapsed time: ms, s, min or h
    #[arg(long, value_name = "UNIT")]
    time_unit: Option<String>,
    /// Distance of rows without a time, such as 1s
    #[arg(long, value_name = "TIME")]
    every: Option<String>,
    /// What stands between columns: comma, semicolon, tab, bar or blank
    #[arg(long, value_name = "NAME")]
    separator: Option<String>,
    /// Decimal mark: point or comma
    #[arg(long, value_name = "MARK")]
    decimal: Option<String>,
    /// Order of dates such as 02/11/2026: day-first or month-first
    #[arg(long, value_name = "ORDER")]
    dates: Option<String>,
}

impl Settle {
    /// Carries the command out.
    ///
    /// # Errors
    /// A wrong option, or a log that cannot be read or has no column that can be used.
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        let options = self.reader.options().map_err(Fail::usage)?;
        let limit = self.limit.as_deref().map(|text| value::<Ampere>(text, "mA", "--limit")).transpose();
        let limit = limit.map_err(Fail::usage)?;
        let map = match &self.map {
            Some(name) => Some(map_source::load(name)?.0),
            None => None,
        };
        let meter = self.clamp.as_deref().map(|name| meters::find(name, false)).transpose()?;
        let name = self.file.to_string_lossy();
        let source = stream::open(&self.file)?;
        let mut log = read(source, &options).map_err(|fault| fault.in_file(&name))?;
        let rules = Rules { sleep_after: map.as_ref().and_then(|map| map.sleep_after), meter };
        let found = settle(std::mem::take(&mut log.trace), &rules);
        let why = words::why(&found, rules.sleep_after);
        match desk.format {
            Format::Json => desk.print_json(&document(&found, &log, &why))?,
            Format::Text => tell(&found, &log, &why, limit, map.as_ref(), desk)?,
        }
        Ok(if found.is_settled() { Exit::Done } else { Exit::No })
    }
}

impl Reader {
    fn options(self) -> Result<Options, Fault> {
        let unit = |text: &str| {
            cell::unit(text)
                .filter(|unit| matches!(unit, Unit::Current(_) | Unit::Voltage(_)))
                .ok_or_else(|| unknown("--unit", text, "A, mA, uA, V or mV"))
        };
        let time_unit = |text: &str| {
            cell::unit(text)
                .filter(|unit| matches!(unit, Unit::Time(_)))
                .ok_or_else(|| unknown("--time-unit", text, "ms, s, min or h"))
        };
        let separators = [
            ("comma", b','),
            ("semicolon", b';'),
            ("tab", b'\t'),
            ("bar", b'|'),
            ("blank", b' '),
            (",", b','),
            (";", b';'),
            ("|", b'|'),
        ];
        let dates = [("day-first", DateOrder::DayFirst), ("month-first", DateOrder::MonthFirst)];
        let marks = [("point", b'.'), ("comma", b','), (".", b'.'), (",", b',')];
        Ok(Options {
            separator: one_of(self.separator.as_deref(), &separators, "--separator")?,
            mark: one_of(self.decimal.as_deref(), &marks, "--decimal")?,
            time: self.time,
            time_unit: self.time_unit.as_deref().map(time_unit).transpose()?,
            every: self.every.as_deref().map(|text| value::<Minute>(text, "s", "--every")).transpose()?,
            column: self.column,
            unit: self.unit.as_deref().map(unit).transpose()?,
            shunt: self.shunt.as_deref().map(|text| value::<Ohm>(text, "mohm", "--shunt")).transpose()?,
            dates: one_of(self.dates.as_deref(), &dates, "--dates")?,
        })
    }
}

/// Reads a value above zero.
fn value<U: Readable>(text: &str, bare: &str, option: &str) -> Result<U, Fault> {
    let read = U::read(crate::cli::as_typed(text).as_str(), bare).map_err(|fault| fault.in_field(option))?;
    if read.value.base() > 0.0 {
        return Ok(read.value);
    }
    Err(Fault::new(format!("\"{text}\" is not above zero"))
        .expected(format!("{} such as {}", U::WHAT, U::EXAMPLE))
        .in_field(option))
}

fn one_of<T: Copy>(text: Option<&str>, known: &[(&str, T)], option: &str) -> Result<Option<T>, Fault> {
    let Some(text) = text else { return Ok(None) };
    let names: Vec<&str> = known.iter().map(|(name, _)| *name).filter(|name| name.len() > 1).collect();
    let found = known.iter().find(|(name, _)| *name == text).map(|(_, value)| Some(*value));
    found.ok_or_else(|| unknown(option, text, &names.join(", ")))
}

fn unknown(option: &str, text: &str, expected: &str) -> Fault {
    Fault::new(format!("\"{text}\" is not known")).expected(expected).in_field(option)
}

/// Rounds what a program reads: to a thousandth of a second, or of a microampere.
fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6 + 0.0
}

/// Returns a moment for programs: RFC 3339 where the log has dates, seconds of the log's clock where it has not.
fn at(start: &Start, after: Minute) -> Value {
    match (start.at(after), start) {
        (Some(text), _) => Value::String(text),
        (None, Start::Elapsed(first)) => json!(rounded((first.base() + after.base()) * 60.0)),
        (None, _) => Value::Null,
    }
}

fn document(found: &Settling, log: &Recording, why: &str) -> Value {
    let steps: Vec<Value> = found
        .steps
        .iter()
        .map(|step| {
            json!({"at": at(&log.start, step.at), "from_ma": rounded(step.from.milli()), "to_ma": rounded(step.to.milli())})
        })
        .collect();
    let wakes: Vec<Value> = found
        .wakes
        .iter()
        .map(|wake| {
            json!({
                "start": at(&log.start, wake.start),
                "seconds": rounded(wake.length.base() * 60.0),
                "peak_ma": rounded(wake.peak.milli()),
                "charge_mah": rounded(wake.charge.milli()),
            })
        })
        .collect();
    json!({
        "settled": found.is_settled(),
        "at": found.after.map_or(Value::Null, |after| at(&log.start, after)),
        "after_min": found.after.map(|after| rounded(after.base())),
        "level": found.level.as_ref().map(q),
        "average": found.average.as_ref().map(q),
        "steps": steps,
        "wakes": wakes,
        "wake_period_min": found.period.map(|period| rounded(period.time.base())),
        "samples": found.trace.len(),
        "skipped": log.skipped,
        "why": why,
    })
}

/// Most wake-ups that are listed for people.
const LISTED: usize = 8;

fn tell(
    found: &Settling,
    log: &Recording,
    why: &str,
    limit: Option<Ampere>,
    map: Option<&Map>,
    desk: &Desk,
) -> Result<(), Fail> {
    desk.talk(&understood(found, log));
    let role = if found.is_settled() { Role::Good } else { Role::Doubt };
    let word = if found.is_settled() { "Settled. " } else { "Not settled. " };
    let mut lines = vec![Line::of(role, word).and(Role::Plain, why)];
    if let Some(level) = &found.level {
        lines.push(Line::plain("Level: ").and(Role::Value, with_interval(level)));
    }
    if let (Some(average), false) = (&found.average, found.wakes.is_empty() && found.dips.is_empty()) {
        lines.push(Line::plain("Average since then: ").and(Role::Value, with_interval(average)));
    }
    lines.extend(words::per_day(found));
    lines.extend(limit.and_then(|limit| words::against(found, limit)));
    desk.print(&lines)?;
    let blocks = desk.environment.utf8 && !desk.environment.dumb;
    let rows = curve::draw(found.trace.samples(), found.trace.span(), desk.width(), blocks);
    desk.print_raw(&format!("\n{}\n\n", rows.join("\n")))?;
    desk.print(&details(found, log, map))
}

/// Says how the log was understood, and what was left out.
fn understood(found: &Settling, log: &Recording) -> Vec<Line> {
    let mut lines = vec![Line::of(Role::Hint, format!("Read as: {}.", log.layout))];
    if let (true, Some(first)) = (log.skipped > 0, &log.first_skipped) {
        lines.push(Line::of(Role::Doubt, format!("Rows left out: {}; the first: {first}.", log.skipped)));
    }
    if log.overloads > 0 {
        lines.push(Line::of(Role::Doubt, format!("Rows with the meter out of range: {}.", log.overloads)));
    }
    if log.mended.doubled > 0 {
        let told = format!("Doubled time stamps: {}; spread evenly.", log.mended.doubled);
        lines.push(Line::of(Role::Hint, told));
    }
    if let Some(line) = log.mended.first_set_back {
        let told = format!("The clock was set back after line {line}; taken as running on.");
        lines.push(Line::of(Role::Doubt, told));
    }
    let gaps: Vec<Minute> = found.trace.gaps().map(|(_, length)| length).collect();
    if let Some(longest) = gaps.iter().copied().reduce(Minute::max) {
        let told = format!(
            "Gaps: {}, the longest {}; nothing is taken for known in them.",
            gaps.len(),
            words::span(longest)
        );
        lines.push(Line::of(Role::Doubt, told));
    }
    if found.reversed {
        lines.push(Line::of(Role::Doubt, "The current was logged with the other sign; it was turned."));
    }
    lines
}

fn details(found: &Settling, log: &Recording, map: Option<&Map>) -> Vec<Line> {
    let when = |after: Minute| log.start.at(after).unwrap_or_else(|| words::span(after));
    let mut lines = Vec::new();
    if !found.steps.is_empty() {
        lines.push(Line::plain("Steps:"));
        lines.extend(found.steps.iter().map(|step| words::step(step, &when(step.at), map)));
    }
    if !found.wakes.is_empty() {
        lines.push(Line::plain(if found.is_settled() { "Wake-ups:" } else { "Cycles:" }));
        for wake in found.wakes.iter().take(LISTED) {
            let told = format!("{}  {}, peak ", when(wake.start), words::span(wake.length));
            let peak = crate::quantity::show::bare(wake.peak, 3);
            let charge = format!(", {:.3} mAh above the level", wake.charge.milli());
            lines.push(Line::plain(told).and(Role::Value, peak).and(Role::Plain, charge).indented(2));
        }
        if found.wakes.len() > LISTED {
            lines.push(Line::of(Role::Hint, format!("and {} more", found.wakes.len() - LISTED)).indented(2));
        }
    }
    lines.extend(words::known_wakes(found));
    lines
}
