//! One row to a time and a current.
//! Leaves to others: which column is what (`layout`), order (`order`).

use super::cell::{self, Cells, Unit, Value};
use super::layout::{Layout, Time};
use super::stamp::{self, DateOrder, Moment};
use crate::quantity::{Ohm, Unit as _};

/// Why a row gives nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bad {
    /// Its time cannot be read.
    Time,
    /// Its current cannot be read.
    Current,
    /// The meter was out of range.
    Overload,
}

/// Reads rows, one after another.
#[derive(Debug)]
pub struct Rows {
    separator: u8,
    mark: u8,
    dates: DateOrder,
    time: Time,
    column: usize,
    factor: f64,
    unit_column: Option<usize>,
    shunt: Option<Ohm>,
    cells: Cells,
    /// Time of day of the last row, and days passed since.
    of_day: (f64, f64),
    /// Rows so far.
    count: f64,
    /// The first date and time.
    first: Option<Moment>,
    /// Step of the last digit, in ampere, the smallest so far.
    step: f64,
    /// Date of the last row as written, and what it means.
    date: (Vec<u8>, f64),
}

/// Length of a date at the front of `2026-11-02T07:40:00`.
const DATE: usize = 10;

impl Rows {
    /// Makes a reader for rows of this layout.
    pub fn new(layout: &Layout, shunt: Option<Ohm>) -> Self {
        Self {
            separator: layout.separator,
            mark: layout.mark,
            dates: layout.dates,
            time: layout.time,
            column: layout.column,
            factor: layout.factor,
            unit_column: layout.unit_column,
            shunt,
            cells: Cells::new(),
            of_day: (f64::NEG_INFINITY, 0.0),
            count: 0.0,
            first: None,
            step: f64::INFINITY,
            date: (Vec::new(), 0.0),
        }
    }

    /// Returns the first date and time read.
    pub fn first(&self) -> Option<Moment> {
        self.first
    }

    /// Returns the smallest step of the last digit, in ampere; zero before the first row.
    pub fn step(&self) -> f64 {
        if self.step.is_finite() { self.step } else { 0.0 }
    }

    /// Reads a row: seconds of the log's own clock, and ampere.
    ///
    /// # Errors
    /// Time or current cannot be read, or the meter was out of range.
    pub fn read(&mut self, row: &[u8]) -> Result<(f64, f64), Bad> {
        let mut cells = std::mem::take(&mut self.cells);
        cell::split(row, self.separator, &mut cells);
        let read = self.seconds(row, &cells).ok_or(Bad::Time);
        let read = read.and_then(|seconds| Ok((seconds, self.current(row, &cells)?)));
        self.cells = cells;
        read
    }

    fn current(&mut self, row: &[u8], cells: &Cells) -> Result<f64, Bad> {
        let (value, exponent, unit) = match cell::value(cell::get(row, cells, self.column), self.mark) {
            Value::Number(value, exponent, unit) => (value, exponent, unit),
            Value::Overload => return Err(Bad::Overload),
            Value::Unreadable => return Err(Bad::Current),
        };
        let in_column =
            || self.unit_column.and_then(|at| cell::unit(&cell::text(cell::trim(cell::get(row, cells, at)))));
        let factor = match unit.or_else(in_column) {
            None => self.factor,
            Some(Unit::Current(factor)) => factor,
            Some(Unit::Voltage(factor)) => factor / self.shunt.ok_or(Bad::Current)?.base(),
            Some(Unit::Time(_) | Unit::Other) => return Err(Bad::Current),
        };
        let step = 10_f64.powi(exponent) * factor.abs();
        if step < self.step {
            self.step = step;
        }
        Ok(value * factor)
    }

    /// Returns the time of a row, in seconds of the log's own clock.
    fn seconds(&mut self, row: &[u8], cells: &Cells) -> Option<f64> {
        let cell = |column| cell::get(row, cells, column);
        match self.time {
            Time::Moment(column) => {
                let moment = self.moment(cell(column))?;
                self.first.get_or_insert(moment);
                Some(moment.seconds())
            }
            Time::Split(date, clock) => {
                let day = stamp::day(cell(date), self.dates)?;
                let local = day + stamp::of_day(cell(clock))?.seconds;
                self.first.get_or_insert(Moment { local, offset: None });
                Some(local)
            }
            Time::OfDay(column) => {
                let now = stamp::of_day(cell(column))?.seconds;
                // Back by more than half a day: midnight has passed.
                if now < self.of_day.0 - 43_200.0 {
                    self.of_day.1 += 86_400.0;
                }
                self.of_day.0 = now;
                Some(now + self.of_day.1)
            }
            Time::Elapsed(column, factor) => Some(stamp::of_day(cell(column))?.seconds * factor),
            Time::Number(column, factor) => {
                let number = cell::number(cell::trim(cell(column)), self.mark)?;
                let factor = match (number.rest.is_empty(), cell::unit(&cell::text(number.rest))) {
                    (true, _) => factor,
                    (false, Some(Unit::Time(own))) => own,
                    (false, _) => return None,
                };
                Some(number.value * factor)
            }
            Time::Epoch(column, factor) => self.counted(cell(column), factor, 0.0),
            Time::Serial(column) => self.counted(cell(column), 86_400.0, SERIAL_ZERO),
            Time::Every(seconds) => {
                self.count += 1.0;
                Some((self.count - 1.0) * seconds)
            }
        }
    }

    fn counted(&mut self, cell: &[u8], factor: f64, zero: f64) -> Option<f64> {
        let number = cell::number(cell::trim(cell), self.mark).filter(|number| number.rest.is_empty())?;
        let local = (number.value - zero) * factor;
        let offset = if zero == 0.0 { Some(0) } else { None };
        self.first.get_or_insert(Moment { local, offset });
        Some(local)
    }

    /// Reads a date and time, remembering the date of the last one.
    fn moment(&mut self, cell: &[u8]) -> Option<Moment> {
        let cell = cell::trim(cell);
        let (date, rest) = cell.split_at_checked(DATE)?;
        if date == self.date.0.as_slice()
            && let Some(seconds) = rest.get(1..).and_then(plain_clock)
        {
            return Some(Moment { local: self.date.1 + seconds, offset: None });
        }
        let read = stamp::moment(cell, self.dates)?;
        if let Some(day) = stamp::day(date, self.dates) {
            self.date = (date.to_vec(), day);
        }
        Some(read)
    }
}

/// Day 0 of spreadsheets, 1899-12-30, is so many days before 1970-01-01.
const SERIAL_ZERO: f64 = 25_569.0;

/// Reads `07:40:00` or `07:40:00.123`, the commonest form by far, and nothing else.
fn plain_clock(text: &[u8]) -> Option<f64> {
    let [h1, h2, b':', m1, m2, b':', s1, s2, rest @ ..] = text else { return None };
    let two = |tens: &u8, ones: &u8| {
        let (tens, ones) = (tens.wrapping_sub(b'0'), ones.wrapping_sub(b'0'));
        (tens < 10 && ones < 10).then(|| f64::from(tens * 10 + ones))
    };
    let (hours, minutes, seconds) = (two(h1, h2)?, two(m1, m2)?, two(s1, s2)?);
    if hours > 23.0 || minutes > 59.0 || seconds > 59.0 {
        return None;
    }
    let mut part = 0.0;
    if let Some((b'.', digits)) = rest.split_first() {
        if digits.is_empty() || digits.len() > 9 || !digits.iter().all(u8::is_ascii_digit) {
            return None;
        }
        let whole = digits.iter().fold(0_u32, |sum, digit| sum * 10 + u32::from(digit - b'0'));
        part = f64::from(whole) / 10_f64.powi(i32::try_from(digits.len()).ok()?);
    } else if !rest.is_empty() {
        return None;
    }
    Some(hours * 3600.0 + minutes * 60.0 + seconds + part)
}
