//! Which column is the time and which the current.
//! Leaves to others: the looks of cells (`dialect`), the words above them (`heading`).

use super::cell::{self, CellUnit};
use super::dialect::{DialectGuess, Look};
use super::heading::{Heading, HeadingHint};
use super::layout::Time;
use super::options::Options;
use super::stamp;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Unit as _;

/// The columns of a log, to be chosen from.
pub struct Choice<'c, 'r> {
    tried: &'c DialectGuess<'r>,
    headings: Vec<Heading>,
    options: &'c Options,
}

/// The column chosen for the current.
#[derive(Debug, Clone, PartialEq)]
pub struct Current {
    /// Column, counted from 0.
    pub column: usize,
    /// Factor to ampere.
    pub factor: f64,
    /// Column with the unit of each row.
    pub unit_column: Option<usize>,
    /// True for volts over a resistance.
    pub is_over: bool,
    /// In words.
    pub told: String,
}

impl<'c, 'r> Choice<'c, 'r> {
    /// Looks at the columns.
    pub fn new(tried: &'c DialectGuess<'r>, options: &'c Options) -> Self {
        Self { tried, headings: tried.headings(), options }
    }

    fn columns(&self) -> std::ops::Range<usize> {
        0..self.tried.columns
    }

    fn hint(&self, column: usize) -> HeadingHint {
        self.headings.get(column).map_or(HeadingHint::Nothing, |heading| heading.hint)
    }

    fn heading_unit(&self, column: usize) -> Option<CellUnit> {
        self.headings.get(column).and_then(|heading| heading.unit)
    }

    /// Returns the column that an option names: by its number from 1, or by its heading.
    fn named(&self, name: &str, option: &str) -> Result<usize, Diagnostic> {
        if let Some(number) =
            name.trim().parse::<usize>().ok().filter(|number| self.columns().contains(&(number - 1)))
        {
            return Ok(number - 1);
        }
        let folded = name.trim().to_lowercase();
        let names = || self.headings.iter().map(|heading| heading.name.to_lowercase());
        let found =
            names().position(|own| own == folded).or_else(|| names().position(|own| own.contains(&folded)));
        found.filter(|_| !folded.is_empty()).ok_or_else(|| {
            Diagnostic::new(format!("there is no column \"{name}\" for {option}"))
                .expected(format!("one of: {}", self.list()))
        })
    }

    /// Returns what was found, in words.
    fn list(&self) -> String {
        let words = |column| format!("{} {}", self.column_words(column), self.look_words(column));
        self.columns().take(12).map(words).collect::<Vec<_>>().join(", ")
    }

    fn look_words(&self, column: usize) -> &'static str {
        let looks = [
            (Look::Number, "(numbers)"),
            (Look::Moment, "(date and time)"),
            (Look::Day, "(dates)"),
            (Look::Clock, "(times)"),
            (Look::Unit, "(units)"),
        ];
        looks.iter().find(|(look, _)| self.tried.is(column, *look)).map_or("(text)", |(_, words)| words)
    }

    /// Returns a column in words: its number and its heading.
    pub fn column_words(&self, column: usize) -> String {
        let name = self.headings.get(column).map_or("", |heading| heading.name.as_str());
        let short: String = name.chars().take(30).collect();
        if short.is_empty() {
            format!("column {}", column + 1)
        } else {
            format!("column {} \"{short}\"", column + 1)
        }
    }

    /// Chooses the time.
    ///
    /// # Errors
    /// There is none, or the option names what is not there.
    pub fn time(&self) -> Result<Time, Diagnostic> {
        if let Some(every) = self.options.every {
            return Ok(Time::Every(every.base() * 60.0));
        }
        let wanted = self.options.time.as_deref().map(|name| self.named(name, "the time")).transpose()?;
        let may = |column: &usize| wanted.is_none_or(|wanted| wanted == *column);
        let first = |look: Look| self.columns().filter(may).find(|column| self.tried.is(*column, look));
        if let Some(column) = first(Look::Moment) {
            return Ok(Time::Moment(column));
        }
        let other = |look: Look| self.columns().find(|column| self.tried.is(*column, look));
        let (day, clock) = (other(Look::Day).or_else(|| self.compact_days()), other(Look::Clock));
        if let (Some(day), Some(clock)) = (day, clock)
            && (may(&day) || may(&clock))
        {
            return Ok(Time::Split(day, clock));
        }
        if let Some(column) = first(Look::Clock) {
            return Ok(self.clock(column));
        }
        let column = wanted.or_else(|| self.number_that_counts_time());
        column.map(|column| self.number(column)).ok_or_else(|| {
            Diagnostic::new(format!("no column of times was found: {}", self.list()))
                .expected("a date and time, or a time that passes, in one of the columns")
                .remedy("name it with --time, or say how far rows are apart: --every 1s")
        })
    }

    /// Returns a column of dates written as eight digits.
    fn compact_days(&self) -> Option<usize> {
        let is_day = |column: usize| {
            let cell = |row| self.tried.cell(row, column);
            self.tried
                .data()
                .all(|row| cell(row).len() == 8 && stamp::day(cell(row), self.tried.dates).is_some())
        };
        self.columns().find(|column| is_day(*column))
    }

    fn clock(&self, column: usize) -> Time {
        let read = |row| stamp::of_day(self.tried.cell(row, column));
        let clocks: Vec<_> = self.tried.data().filter_map(read).collect();
        let name = self.headings.get(column).map(|heading| heading.name.to_lowercase()).unwrap_or_default();
        let two_parts = clocks.iter().all(|clock| clock.two_parts);
        let past_a_day = clocks.iter().any(|clock| clock.seconds >= 86_400.0);
        let minutes = two_parts && (past_a_day || name.contains("mm:ss") || name.contains("m:s"));
        let starts_at_zero = clocks.first().is_some_and(|clock| clock.seconds < 60.0 && !clock.halves);
        if starts_at_zero || past_a_day || self.hint(column) == HeadingHint::Elapsed || minutes {
            Time::Elapsed(column, if minutes { 1.0 / 60.0 } else { 1.0 })
        } else {
            Time::OfDay(column)
        }
    }

    /// Returns the column of numbers that is a time: by its heading, or because it rises from row to row and another
    /// column of numbers is left for the current.
    fn number_that_counts_time(&self) -> Option<usize> {
        let numbers: Vec<usize> =
            self.columns().filter(|column| self.tried.is(*column, Look::Number)).collect();
        let told = |column: &&usize| matches!(self.hint(**column), HeadingHint::Time | HeadingHint::Elapsed);
        let timed = |column: &&usize| matches!(self.tried.unit_in_cells(**column), Some(CellUnit::Time(_)));
        let unknown = |column: &&usize| {
            self.hint(**column) == HeadingHint::Nothing
                && numbers.len() > 1
                && goes_one_way(&self.tried.numbers(**column))
        };
        numbers
            .iter()
            .find(told)
            .or_else(|| numbers.iter().find(timed))
            .or_else(|| numbers.iter().find(unknown))
            .copied()
    }

    fn number(&self, column: usize) -> Time {
        let numbers = self.tried.numbers(column);
        let first = numbers.first().map_or(0.0, |(value, _)| *value);
        let told = self.options.time_unit.or_else(|| self.heading_unit(column));
        if let Some(CellUnit::Time(factor)) =
            told.filter(|_| !(1e9..4e9).contains(&(first * factor_of(told))))
        {
            return Time::Number(column, factor);
        }
        // Seconds since 1970 between 2001 and 2096, and their thousandths down to thousand-millionths.
        for power in [0, 3, 6, 9] {
            let factor = 10_f64.powi(-power);
            if (1e9..4e9).contains(&(first * factor)) {
                return Time::Epoch(column, factor);
            }
        }
        let small = numbers.windows(2).all(|pair| matches!(pair, [(a, _), (b, _)] if (b - a).abs() < 0.5));
        if (20_000.0..80_000.0).contains(&first)
            && small
            && numbers.iter().any(|(value, _)| value.fract() != 0.0)
        {
            return Time::Serial(column);
        }
        Time::Number(column, 1.0)
    }

    /// Returns the time in words.
    pub fn time_words(&self, time: Time) -> String {
        match time {
            Time::Moment(column) => format!("{} (date and time)", self.column_words(column)),
            Time::Split(date, clock) => {
                format!("{} and {}", self.column_words(date), self.column_words(clock))
            }
            Time::OfDay(column) => format!("{} (time of day)", self.column_words(column)),
            Time::Elapsed(column, factor) if factor < 1.0 => {
                format!("{} (elapsed, min:s)", self.column_words(column))
            }
            Time::Elapsed(column, _) => format!("{} (elapsed, h:min:s)", self.column_words(column)),
            Time::Number(column, factor) => {
                format!("{} (elapsed, {})", self.column_words(column), time_unit(factor))
            }
            Time::Epoch(column, factor) => {
                format!("{} ({} since 1970)", self.column_words(column), time_unit(factor))
            }
            Time::Serial(column) => format!("{} (days of a spreadsheet)", self.column_words(column)),
            Time::Every(seconds) => format!("a row every {seconds} s"),
        }
    }

    /// Chooses the current.
    ///
    /// # Errors
    /// There is none, or only volts without a shunt, or the option names what is not there.
    pub fn current(&self, time: Time) -> Result<Current, Diagnostic> {
        let taken = time.columns();
        if let Some(name) = self.options.column.as_deref() {
            let column = self.named(name, "the current")?;
            return self.scaled(column, String::new());
        }
        let numeric = |column: &usize| self.tried.is(*column, Look::Number) && !taken.contains(column);
        let ranked: Vec<(i32, usize)> = self
            .columns()
            .filter(numeric)
            .map(|column| (self.rank(column), column))
            .filter(|(rank, _)| *rank >= 0)
            .collect();
        let best = ranked.iter().map(|(rank, _)| *rank).max();
        let mut equals = ranked.iter().filter(|(rank, _)| Some(*rank) == best).map(|(_, column)| *column);
        let Some(column) = equals.next() else {
            return Err(Diagnostic::new(format!("no column of currents was found: {}", self.list()))
                .expected("a column of numbers besides the time")
                .remedy("name it with --column"));
        };
        let others: Vec<String> = equals.map(|column| (column + 1).to_string()).collect();
        let doubt =
            if others.is_empty() { String::new() } else { format!(" (or --column {})", others.join(", ")) };
        self.scaled(column, doubt)
    }

    /// Says how much a column looks like the current; below zero it cannot be.
    fn rank(&self, column: usize) -> i32 {
        let unit = self.tried.unit_in_cells(column);
        match (self.hint(column), unit, self.options.shunt.is_some()) {
            (HeadingHint::Voltage, _, true) | (_, Some(CellUnit::Voltage(_)), true) => 4,
            (HeadingHint::Current, _, _) | (_, Some(CellUnit::Current(_)), _) => 3,
            (HeadingHint::Nothing, None, _) => 2,
            (HeadingHint::Voltage, _, false) | (_, Some(CellUnit::Voltage(_)), false) => 0,
            _ => -1,
        }
    }

    fn scaled(&self, column: usize, doubt: String) -> Result<Current, Diagnostic> {
        let unit_column =
            [column + 1, column.wrapping_sub(1)].into_iter().find(|at| self.tried.is(*at, Look::Unit));
        let in_unit_column = || {
            let cell = |row| cell::unit(&cell::text(self.tried.cell(row, unit_column?)));
            self.tried.data().find_map(cell)
        };
        let told = self
            .options
            .unit
            .or_else(|| self.tried.unit_in_cells(column))
            .or_else(in_unit_column)
            .or_else(|| self.heading_unit(column));
        let unit = match (told, self.options.shunt) {
            (Some(unit @ (CellUnit::Current(_) | CellUnit::Voltage(_))), _) => unit,
            (_, Some(_)) => CellUnit::Voltage(1e-3),
            (_, None) => self.unit_by_size(column),
        };
        let guessed = if told.is_none() { ", guessed by size (--unit)" } else { "" };
        match (unit, self.options.shunt) {
            (CellUnit::Voltage(factor), Some(shunt)) => Ok(Current {
                column,
                factor: factor / shunt.base(),
                unit_column,
                is_over: true,
                told: format!(
                    "{} in {} over {} mΩ{doubt}",
                    self.column_words(column),
                    if factor < 1.0 { "mV" } else { "V" },
                    shunt.milli()
                ),
            }),
            (CellUnit::Voltage(_), None) => {
                Err(Diagnostic::new(format!("{} holds volts, not amperes", self.column_words(column)))
                    .expected("a column of currents, or the shunt that the volts are over")
                    .remedy("give the shunt with --shunt 1mohm, or name another column with --column"))
            }
            (CellUnit::Current(factor), _) => Ok(Current {
                column,
                factor,
                unit_column,
                is_over: false,
                told: format!("{} in {}{guessed}{doubt}", self.column_words(column), current_unit(factor)),
            }),
            (CellUnit::Time(_) | CellUnit::Other, _) => {
                Err(Diagnostic::new("the unit is none of a current").expected("A, mA or µA"))
            }
        }
    }

    /// Guesses the unit from the numbers: small ones with three decimals are ampere, all others milliampere. A parked
    /// vehicle draws a few ampere at most.
    fn unit_by_size(&self, column: usize) -> CellUnit {
        let numbers = self.tried.numbers(column);
        let small = numbers.iter().all(|(value, _)| value.abs() < 20.0);
        let fine = numbers.iter().any(|(value, exponent)| *exponent <= -3 && *value != 0.0);
        let below_one = numbers.iter().any(|(value, _)| value.fract() != 0.0)
            && numbers.iter().filter(|(value, _)| value.abs() < 1.0).count() * 2 > numbers.len();
        CellUnit::Current(if small && (fine || below_one) { 1.0 } else { 1e-3 })
    }
}

fn factor_of(unit: Option<CellUnit>) -> f64 {
    if let Some(CellUnit::Time(factor)) = unit { factor } else { 1.0 }
}

fn time_unit(factor: f64) -> &'static str {
    const NAMES: [(f64, &str); 6] =
        [(1.0, "s"), (60.0, "min"), (3600.0, "h"), (1e-3, "ms"), (1e-6, "µs"), (1e-9, "ns")];
    NAMES.iter().find(|(known, _)| (known / factor - 1.0).abs() < 1e-6).map_or("s", |(_, name)| name)
}

fn current_unit(factor: f64) -> &'static str {
    const NAMES: [(f64, &str); 4] = [(1.0, "A"), (1e-3, "mA"), (1e-6, "µA"), (1e-9, "nA")];
    NAMES.iter().find(|(known, _)| (known / factor - 1.0).abs() < 1e-6).map_or("A", |(_, name)| name)
}

/// Returns true if numbers rise from row to row, or fall, with few exceptions.
fn goes_one_way(numbers: &[(f64, i32)]) -> bool {
    let steps = || numbers.windows(2).filter_map(|pair| Some(pair.last()?.0 - pair.first()?.0));
    let up = steps().filter(|step| *step > 0.0).count();
    let down = steps().filter(|step| *step < 0.0).count();
    let count = numbers.len().saturating_sub(1);
    count > 0 && up.max(down) * 10 >= count * 7 && up.min(down) * 20 <= count
}
