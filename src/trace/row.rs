//! One row to a time and a current.
//! Leaves to others: which column is what (`layout`), order (`repairs`).

use super::cell::{self, CellUnit, CellValue, Cells};
use super::layout::{Layout, Time};
use super::number;
use super::stamp::{self, DateOrder, Moment};
use crate::base::quantity::{Ohm, Unit as _};

/// Why a row gives nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum BadRow {
    /// Its time cannot be read.
    #[error("no time can be read")]
    Time,
    /// Its current cannot be read.
    #[error("no current can be read")]
    Current,
    /// The meter was out of range.
    #[error("the meter was out of range")]
    Overload,
}

/// Reads rows, one after another.
#[derive(Debug)]
pub struct MeterRows {
    separator: u8,
    mark: u8,
    dates: DateOrder,
    time: Time,
    column: usize,
    factor: f64,
    unit_column: Option<usize>,
    /// The last column that is looked at.
    last: usize,
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
    /// Power of ten of the last digit and factor of the row before.
    digit: (i32, f64),
    /// Date, hour and minute of the last row as written, and what they mean.
    minute: ([u8; MINUTE], f64),
    /// True if the rows may be of the commonest form.
    plain: bool,
}

/// Latest time of any clock, in seconds: thirty thousand years. Editorial.
const LATEST: f64 = 1e12;

/// Most ampere that a meter on a vehicle can have seen: what is more is its way to say that it is out of range.
/// Editorial.
const MOST_AMPERE: f64 = 1e5;

/// Length of date, hour and minute at the front of `2026-11-02T07:40:00`.
const MINUTE: usize = 17;

impl MeterRows {
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
            last: layout.last_column(),
            shunt,
            cells: Cells::new(),
            of_day: (f64::NEG_INFINITY, 0.0),
            count: 0.0,
            first: None,
            step: f64::INFINITY,
            digit: (0, 0.0),
            minute: ([0; MINUTE], 0.0),
            plain: layout.separator != b' ' && layout.column > 0 && layout.unit_column.is_none(),
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
    pub fn read(&mut self, row: &[u8]) -> Result<(f64, f64), BadRow> {
        if let Some(read) = self.quick(row) {
            return Ok(read);
        }
        let mut cells = std::mem::take(&mut self.cells);
        cell::split(row, self.separator, Some(self.last), &mut cells);
        let read = self.seconds(row, &cells).filter(|time| time.abs() <= LATEST).ok_or(BadRow::Time);
        let read = read.and_then(|seconds| Ok((seconds, self.current(row, &cells)?)));
        self.cells = cells;
        read
    }

    fn current(&mut self, row: &[u8], cells: &Cells) -> Result<f64, BadRow> {
        let (value, exponent, unit) = match cell::value(cell::get(row, cells, self.column), self.mark) {
            CellValue::Number(value, exponent, unit) => (value, exponent, unit),
            CellValue::Overload => return Err(BadRow::Overload),
            CellValue::Unreadable => return Err(BadRow::Current),
        };
        let in_column =
            || self.unit_column.and_then(|at| cell::unit(&cell::text(cell::trim(cell::get(row, cells, at)))));
        let factor = match unit.or_else(in_column) {
            None => self.factor,
            Some(CellUnit::Current(factor)) => factor,
            Some(CellUnit::Voltage(factor)) => factor / self.shunt.ok_or(BadRow::Current)?.base(),
            Some(CellUnit::Time(_) | CellUnit::Other) => return Err(BadRow::Current),
        };
        let ampere = self.ampere(value, exponent, factor);
        if ampere.abs() <= MOST_AMPERE { Ok(ampere) } else { Err(BadRow::Overload) }
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
                let number = number::number(cell::trim(cell(column)), self.mark)?;
                let factor = match (number.rest.is_empty(), cell::unit(&cell::text(number.rest))) {
                    (true, _) => factor,
                    (false, Some(CellUnit::Time(own))) => own,
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
        let number = number::number(cell::trim(cell), self.mark).filter(|number| number.rest.is_empty())?;
        let local = (number.value - zero) * factor;
        let offset = if zero == 0.0 { Some(0) } else { None };
        self.first.get_or_insert(Moment { local, offset });
        Some(local)
    }

    /// Reads a date and time, remembering the minute of the last one.
    fn moment(&mut self, cell: &[u8]) -> Option<Moment> {
        let cell = cell::trim(cell);
        let read = stamp::moment(cell, self.dates)?;
        if let Some(minute) = cell.first_chunk::<MINUTE>()
            && minute.last() == Some(&b':')
            && *minute != self.minute.0
            && let Some(begun) = stamp::moment(&[minute, b"00".as_slice()].concat(), self.dates)
        {
            self.minute = (*minute, begun.local);
        }
        Some(read)
    }

    /// Reads the commonest rows by far, millions in a night: time in the first column and in the minute of the last
    /// row, or a plain number, and a plain number for the current. Returns nothing for any other.
    fn quick(&mut self, row: &[u8]) -> Option<(f64, f64)> {
        let (seconds, mut rest) = match self.time {
            Time::Moment(0) if self.plain => {
                let (minute, behind) = row.split_first_chunk::<MINUTE>()?;
                let (seconds, _, rest) = number::plain(behind, b'.').filter(|_| *minute == self.minute.0)?;
                // A leap second, or none at all, is for the careful way.
                if !(0.0..60.0).contains(&seconds) {
                    return None;
                }
                (self.minute.1 + seconds, rest)
            }
            Time::Number(0, factor) if self.plain => {
                let (number, _, rest) = number::plain(row, self.mark)?;
                (number * factor, rest)
            }
            _ => return None,
        };
        let is_parted = |rest: &&[u8]| rest.first() == Some(&self.separator);
        rest = Some(rest).filter(is_parted)?;
        for _ in 1..self.column {
            let ends = |byte: &u8| *byte == self.separator || *byte == b'"';
            let at = rest.get(1..)?.iter().position(ends)? + 1;
            rest = rest.get(at..).filter(is_parted)?;
        }
        let (value, exponent, behind) = number::plain(rest.get(1..)?, self.mark)?;
        if !behind.is_empty() && !is_parted(&behind) {
            return None;
        }
        let ampere = self.ampere(value, exponent, self.factor);
        // What no clock and no meter shows is for the careful way to refuse.
        (seconds.abs() <= LATEST && ampere.abs() <= MOST_AMPERE).then_some((seconds, ampere))
    }

    /// Returns ampere, and remembers the finest step.
    fn ampere(&mut self, value: f64, exponent: i32, factor: f64) -> f64 {
        // Nearly all rows have the same digits: what they say need not be worked out each time.
        if (exponent, factor) != self.digit {
            self.digit = (exponent, factor);
            self.step = self.step.min(10_f64.powi(exponent) * factor.abs());
        }
        value * factor
    }
}

/// Day 0 of spreadsheets, 1899-12-30, is so many days before 1970-01-01.
const SERIAL_ZERO: f64 = 25_569.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(time: Time, separator: u8) -> MeterRows {
        let layout = Layout {
            separator,
            mark: b'.',
            dates: DateOrder::DayFirst,
            time,
            column: 2,
            factor: 1e-3,
            unit_column: None,
            is_over: false,
            latest_first: false,
            first: 0,
            told: String::new(),
        };
        MeterRows::new(&layout, None)
    }

    #[test]
    fn what_no_clock_and_no_meter_shows_is_left_out() {
        let mut reader = rows(Time::Number(0, 60.0), b',');
        assert_eq!(reader.read(b"1e300,,5"), Err(BadRow::Time));
        assert_eq!(reader.read(b"1,,1e20"), Err(BadRow::Overload));
        assert_eq!(reader.read(b"1,,-99999999999"), Err(BadRow::Overload));
        assert!(reader.read(b"1,,5").is_ok());
    }

    /// Rows of the commonest form go another way than the others: both must read the same.
    #[test]
    fn the_quick_way_reads_what_the_careful_way_reads() {
        let moments = [
            "2026-11-02T07:40:00",
            "2026-11-02T07:40:59.125",
            "2026-11-02 07:41:07",
            "2026-11-02T07:40:61",
            "2026-11-02T07:40:5",
            "2026-11-02T07:40:00Z",
            "\"2026-11-02T07:40:00\"",
            "",
        ];
        let numbers = ["0", "12.5", "-3", "1e3", "12 s", ".5", "x"];
        let middles = ["", "x", "\"a,b\"", "\"", "7"];
        let currents = [
            "25.31",
            "-25",
            "0.4 A",
            "OL",
            "",
            "\"25.3\"",
            "25.3,9",
            "25.3 ",
            "1e2",
            "25..3",
            "-",
            "99999999999999999999",
        ];
        let forms = moments
            .iter()
            .map(|text| (Time::Moment(0), text))
            .chain(numbers.iter().map(|text| (Time::Number(0, 60.0), text)));
        let mut quick = 0;
        for (time, stamp) in forms {
            for (middle, current) in
                middles.iter().flat_map(|middle| currents.iter().map(move |current| (middle, current)))
            {
                let row = format!("{stamp},{middle},{current}");
                let mut reader = rows(time, b',');
                let _ = reader.read(b"2026-11-02T07:40:30,,1");
                let mut careful = rows(time, b',');
                careful.plain = false;
                let read = reader.quick(row.as_bytes());
                quick += usize::from(read.is_some());
                if let Some((seconds, ampere)) = read {
                    let wanted = careful.read(row.as_bytes());
                    let (s, a) = wanted.unwrap_or_else(|bad| panic!("{row}: {bad:?}"));
                    assert!((seconds - s).abs() < 1e-6 && ampere == a, "{row}");
                }
            }
        }
        assert!(quick > 30, "{quick}");
    }
}
