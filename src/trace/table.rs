//! A log as loggers write it, to a trace. Works on a stream of bytes: no file is opened here, and of the text no
//! more than a row is kept. Leaves to others: columns (`layout`), rows (`row`), order of stamps (`repairs`).

use std::io::BufRead;

use chrono::{DateTime, FixedOffset, NaiveDateTime, TimeDelta};

use super::cell;
use super::guess::{guess, headings};
use super::layout::{Layout, Time};
use super::line::MeterLines;
use super::options::{ChannelColumn, Options};
use super::repairs::{Order, TimestampRepairs};
use super::row::{BadRow, MeterRows};
use super::samples::Trace;
use super::stamp::Moment;
use crate::base::caps::{LOG_BYTES, LOG_ROWS};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Minute, Unit as _};

/// Where the times of a trace begin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Start {
    /// At a date and time; the offset to UTC is known where the log tells it.
    Moment(NaiveDateTime, Option<FixedOffset>),
    /// At a time of day.
    OfDay(Minute),
    /// At an elapsed time.
    Elapsed(Minute),
}

/// A log that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// The samples.
    pub trace: Trace,
    /// Where its times begin.
    pub start: Start,
    /// When its first sample was taken, in seconds of the log's own clock: columns of one log are held against each other
    /// by it.
    pub first: f64,
    /// True if it is volts over a resistance.
    pub is_over: bool,
    /// How the log was understood, in one line.
    pub layout: String,
    /// Rows left out: unreadable, overload, or out of order.
    pub skipped: usize,
    /// Of these, rows with an overload mark.
    pub overloads: usize,
    /// The first row left out, with its line.
    pub first_skipped: Option<Diagnostic>,
    /// What was done to the stamps.
    pub mended: TimestampRepairs,
}

/// Rows that the layout is guessed from.
const HEAD: usize = 400;

/// Reads a log.
///
/// # Errors
/// The stream fails, is no text, has a row beyond all length, more rows or bytes than are taken, or no column that can
/// be used: each with what was found and what to do.
pub fn read(source: impl BufRead, options: &Options) -> Result<Recording, Diagnostic> {
    Ok(read_within(source, options, |_| Ok(Vec::new()), LOG_ROWS, LOG_BYTES)?.0)
}

/// Reads a log with further columns beside the total; `choose` is told the headings.
///
/// # Errors
/// As for [`read`], and those of `choose`.
pub fn read_channels(
    source: impl BufRead,
    options: &Options,
    choose: impl FnOnce(&[String]) -> Result<Vec<ChannelColumn>, Diagnostic>,
) -> Result<(Recording, Vec<(ChannelColumn, Recording)>), Diagnostic> {
    read_within(source, options, choose, LOG_ROWS, LOG_BYTES)
}

/// Heading of the column of the total, where there are others.
const TOTAL: &str = "total";

fn read_within(
    source: impl BufRead,
    options: &Options,
    choose: impl FnOnce(&[String]) -> Result<Vec<ChannelColumn>, Diagnostic>,
    rows: usize,
    bytes: u64,
) -> Result<(Recording, Vec<(ChannelColumn, Recording)>), Diagnostic> {
    let mut lines = MeterLines::new(source);
    let mut head = Vec::new();
    while head.len() < HEAD && lines.advance()? {
        head.push(lines.line().to_vec());
    }
    let names = headings(&head, options);
    let columns = choose(&names)?;
    let mut options = options.clone();
    if options.column.is_none() {
        let total = names.iter().position(|name| begins_with(name, TOTAL));
        options.column = total.map(|at| (at + 1).to_string());
    }
    let layout = guess(&head, &options)?;
    let mut takers = vec![Taker::new(layout, &options)];
    for column in &columns {
        let own = Options {
            column: Some(column.column.clone()),
            unit: column.unit,
            shunt: column.over,
            ..options.clone()
        };
        takers.push(Taker::new(guess(&head, &own)?, &own));
    }
    for taker in &mut takers {
        for (at, row) in head.iter().enumerate().skip(taker.layout.first) {
            taker.take(row, at + 1);
        }
    }
    while lines.advance()? {
        let number = lines.number();
        for taker in &mut takers {
            taker.take(lines.line(), number);
        }
        if number > rows || lines.bytes() > bytes {
            let fault =
                Diagnostic::new(format!("the log goes on after {number} rows and {} bytes", lines.bytes()));
            return Err(fault
                .expected(format!("at most {rows} rows and {bytes} bytes, unpacked"))
                .remedy("cut it in parts, or log more slowly"));
        }
    }
    let mut read = takers.into_iter().map(Taker::finish);
    let total = read.next().ok_or_else(|| Diagnostic::new("nothing was read"))??;
    let others = columns.into_iter().zip(read).map(|(column, read)| Ok((column, read?)));
    Ok((total, others.collect::<Result<_, Diagnostic>>()?))
}

/// Returns true if a heading is this word, a unit behind it or none.
pub fn begins_with(heading: &str, word: &str) -> bool {
    let behind = heading.trim().get(word.len()..).unwrap_or_default();
    let same = heading.trim().get(..word.len()).is_some_and(|front| front.eq_ignore_ascii_case(word));
    same && behind.chars().next().is_none_or(|next| matches!(next, ' ' | '(' | '[' | '/' | '_' | ','))
}

/// Rows become samples.
struct Taker {
    layout: Layout,
    rows: MeterRows,
    order: Order,
    /// −1 where the latest row comes first: its times then run backward, and the samples are turned round at the end.
    direction: f64,
    skipped: usize,
    overloads: usize,
    first_skipped: Option<Diagnostic>,
    first_time: Option<f64>,
    last_time: f64,
}

impl Taker {
    fn new(layout: Layout, options: &Options) -> Self {
        Self {
            rows: MeterRows::new(&layout, options.shunt),
            order: Order::default(),
            direction: if layout.latest_first { -1.0 } else { 1.0 },
            layout,
            skipped: 0,
            overloads: 0,
            first_skipped: None,
            first_time: None,
            last_time: 0.0,
        }
    }

    fn take(&mut self, row: &[u8], line: usize) {
        match self.rows.read(row) {
            Ok((time, current)) => {
                self.first_time.get_or_insert(time);
                self.last_time = time;
                self.order.take(time * self.direction, current, line);
            }
            Err(_) if row.iter().all(u8::is_ascii_whitespace) => {}
            Err(bad) => {
                self.skipped += 1;
                self.overloads += usize::from(bad == BadRow::Overload);
                if self.first_skipped.is_none() {
                    self.first_skipped = Some(fault(row, line, bad));
                }
            }
        }
    }

    fn finish(self) -> Result<Recording, Diagnostic> {
        let layout = &self.layout;
        let step = self.rows.step();
        let first_moment = self.rows.first();
        let (mut times, mut values, mended) = self.order.finish();
        if times.is_empty() {
            let first = self.first_skipped.map(|fault| fault.to_string()).unwrap_or_default();
            return Err(Diagnostic::new(format!("no row could be read as {}: {first}", layout.told))
                .remedy("say what the columns are: --time, --column, --unit"));
        }
        let mut first_time = self.first_time.unwrap_or(0.0);
        if layout.latest_first {
            let last = times.last().copied().unwrap_or(0.0);
            times.reverse();
            values.reverse();
            for time in &mut times {
                *time = last - *time;
            }
            first_time = self.last_time;
        }
        // The moment was read off the row at the other end where the latest comes first.
        let moment = first_moment.map(|moment| Moment {
            local: moment.local + first_time - self.first_time.unwrap_or(first_time),
            ..moment
        });
        let first_skipped = match (self.first_skipped, mended.first_left_out) {
            (Some(fault), Some(line)) if fault.place.line.is_some_and(|own| own < line) => Some(fault),
            (_, Some(line)) => {
                Some(Diagnostic::new("its time does not fit between its neighbours'").on_line(line))
            }
            (fault, None) => fault,
        };
        Ok(Recording {
            trace: Trace::from_columns(times, values, step),
            start: start(layout.time, moment, first_time),
            first: first_time,
            is_over: layout.is_over,
            layout: layout.told.clone(),
            skipped: self.skipped + mended.left_out,
            overloads: self.overloads,
            first_skipped,
            mended,
        })
    }
}

fn start(time: Time, moment: Option<Moment>, first_time: f64) -> Start {
    let minutes = Minute::new(first_time / 60.0);
    let Some(moment) = moment else {
        return if matches!(time, Time::OfDay(_)) { Start::OfDay(minutes) } else { Start::Elapsed(minutes) };
    };
    // Whole milliseconds of any year that a log can have fit 64 bits.
    let whole = (moment.local.clamp(-1e12, 1e12) * 1000.0).round() as i64;
    let offset = moment.offset.and_then(FixedOffset::east_opt);
    match DateTime::from_timestamp_millis(whole) {
        Some(local) => Start::Moment(local.naive_utc(), offset),
        None => Start::Elapsed(minutes),
    }
}

impl Start {
    /// Returns the moment so long after the start, where the log has dates; `local` is the offset to UTC where the log
    /// does not tell it.
    pub fn moment(&self, after: Minute, local: FixedOffset) -> Option<DateTime<FixedOffset>> {
        let Self::Moment(start, offset) = self else { return None };
        let milliseconds = TimeDelta::milliseconds((after.base() * 60_000.0).round() as i64);
        let time = start.checked_add_signed(milliseconds)?;
        time.and_local_timezone(offset.unwrap_or(local)).single()
    }

    /// Returns how much later another log begins by what both say of themselves; nothing where
    /// one of them counts from its own beginning.
    pub fn apart(&self, other: &Self) -> Option<Minute> {
        match (self, other) {
            (Self::Moment(one, own), Self::Moment(two, their)) => {
                let seconds = |offset: &Option<FixedOffset>| offset.map(|offset| offset.local_minus_utc());
                // Where one of them does not tell its offset to UTC, both are taken for local.
                let shift = seconds(own).zip(seconds(their)).map_or(0, |(own, their)| own - their);
                let apart = (*two - *one).num_milliseconds() as f64 / 1000.0 + f64::from(shift);
                Some(Minute::new(apart / 60.0))
            }
            (Self::OfDay(one), Self::OfDay(two)) => Some(*two - *one),
            _ => None,
        }
    }

    /// Returns the moment so long after the start as people and programs read it: `2026-11-02T07:40:00+01:00`
    /// (without the offset where it is unknown), or `07:40:00` where only the time of day is known. Nothing for an
    /// elapsed time, which is a number.
    pub fn at(&self, after: Minute) -> Option<String> {
        let milliseconds = TimeDelta::milliseconds((after.base() * 60_000.0).round() as i64);
        let part =
            |time: &NaiveDateTime| if time.and_utc().timestamp_subsec_millis() == 0 { "" } else { "%.3f" };
        match self {
            Self::Moment(local, offset) => {
                let time = local.checked_add_signed(milliseconds)?;
                let written = time.format(&format!("%Y-%m-%dT%H:%M:%S{}", part(&time))).to_string();
                Some(written + &offset.map(|offset| offset.to_string()).unwrap_or_default())
            }
            Self::OfDay(first) => {
                let seconds = ((first.base() + after.base()) * 60.0).round() as i64;
                let of_day = seconds.rem_euclid(86_400);
                Some(format!("{:02}:{:02}:{:02}", of_day / 3600, of_day / 60 % 60, of_day % 60))
            }
            Self::Elapsed(_) => None,
        }
    }
}

/// Says why a row was left out.
fn fault(row: &[u8], line: usize, bad: BadRow) -> Diagnostic {
    let shown: String = cell::text(row).trim().chars().take(60).collect();
    Diagnostic::new(format!("{bad} in \"{shown}\"")).on_line(line)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read_to(text: &str, rows: usize, bytes: u64) -> Result<Recording, Diagnostic> {
        let none = |_: &[String]| Ok(Vec::new());
        Ok(read_within(text.as_bytes(), &Options::default(), none, rows, bytes)?.0)
    }

    #[test]
    fn a_log_beyond_the_caps_is_refused_once_they_are_read() {
        let text: String = (0..1000).map(|at| format!("{at},25.0\n")).collect();
        let text = format!("s,mA\n{text}");
        let most = text.len() as u64;
        assert_eq!(read_to(&text, 1001, most).expect("within").trace.len(), 1000);
        let said = read_to(&text, 600, most).expect_err("rows").to_string();
        assert!(said.contains("after 601 rows and") && said.contains("at most 600 rows"), "{said}");
        let said = read_to(&text, 1001, 6000).expect_err("bytes").to_string();
        assert!(said.contains("and 6000 bytes") && said.contains("cut it in parts"), "{said}");
    }
}
