//! What the columns of a log are, and how its rows are written. Leaves to others: finding it out (`guess`), the rows
//! (`row`).

use super::stamp::DateOrder;

/// How the time of a row is written. Numbers are columns, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Time {
    /// Date and time in one column.
    Moment(usize),
    /// Date in one column, time of day in another.
    Split(usize, usize),
    /// Time of day; midnight is passed over.
    OfDay(usize),
    /// Elapsed time with colons; the factor is 1, or 1/60 where its two parts are minutes and seconds.
    Elapsed(usize, f64),
    /// An elapsed time as a number, times a factor to seconds.
    Number(usize, f64),
    /// Time since 1970 as a number, times a factor to seconds.
    Epoch(usize, f64),
    /// Days as spreadsheets count them.
    Serial(usize),
    /// None: rows are so many seconds apart.
    Every(f64),
}

/// What a log looks like.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// What stands between columns.
    pub separator: u8,
    /// Decimal mark.
    pub mark: u8,
    /// Order of dates.
    pub dates: DateOrder,
    /// Where the time is.
    pub time: Time,
    /// Column of the current, counted from 0.
    pub column: usize,
    /// Factor from its numbers to ampere, where a row does not say otherwise.
    pub factor: f64,
    /// Column that holds the unit of each row.
    pub unit_column: Option<usize>,
    /// True if its numbers are volts over a resistance.
    pub is_over: bool,
    /// True if the latest row comes first.
    pub latest_first: bool,
    /// Index, among the first rows, of the first one with data.
    pub first: usize,
    /// All of this in one line for people.
    pub told: String,
}

impl Time {
    /// Returns the columns that it is read from.
    pub fn columns(self) -> Vec<usize> {
        match self {
            Self::Split(date, clock) => vec![date, clock],
            Self::Moment(c)
            | Self::OfDay(c)
            | Self::Elapsed(c, _)
            | Self::Number(c, _)
            | Self::Epoch(c, _)
            | Self::Serial(c) => vec![c],
            Self::Every(_) => Vec::new(),
        }
    }
}

impl Layout {
    /// Returns the last column that a row is read from.
    pub fn last_column(&self) -> usize {
        let time = self.time.columns().into_iter().max().unwrap_or(0);
        time.max(self.column).max(self.unit_column.unwrap_or(0))
    }
}
