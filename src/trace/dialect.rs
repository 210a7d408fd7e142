//! The first rows of a log, split in one of the ways that are tried, and how well that fits.
//! Leaves to others: which column is what (`choose`).

use super::cell::{self, CellUnit, Cells};
use super::heading::Heading;
use super::stamp::{self, DateOrder};

/// What a cell looks like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// A number, perhaps with a unit.
    Number,
    /// A date with a time.
    Moment,
    /// A date.
    Day,
    /// A time with colons.
    Clock,
    /// A unit.
    Unit,
    /// An overload mark.
    Overload,
    /// Nothing.
    Empty,
    /// Anything else.
    Text,
}

fn look(cell: &[u8], mark: u8, dates: DateOrder) -> Look {
    let cell = cell::trim(cell);
    if cell.is_empty() {
        return Look::Empty;
    }
    match cell::value(cell, mark) {
        cell::CellValue::Number(..) => return Look::Number,
        cell::CellValue::Overload => return Look::Overload,
        cell::CellValue::Unreadable => {}
    }
    if stamp::moment(cell, dates).is_some() {
        Look::Moment
    } else if stamp::day(cell, dates).is_some() {
        Look::Day
    } else if stamp::of_day(cell).is_some() {
        Look::Clock
    } else if cell.len() <= 4 && cell::unit(&cell::text(cell)).is_some() {
        Look::Unit
    } else {
        Look::Text
    }
}

/// The first rows, split in one way.
#[derive(Debug)]
pub struct DialectGuess<'r> {
    /// The rows.
    pub rows: &'r [Vec<u8>],
    /// What stands between columns.
    pub separator: u8,
    /// Decimal mark.
    pub mark: u8,
    /// Order of dates.
    pub dates: DateOrder,
    /// Number of columns of most rows with data.
    pub columns: usize,
    /// How well the cells can be read; more is better.
    pub score: f64,
    /// Looks of the cells of each row with data; none for the others.
    looks: Vec<Option<Vec<Look>>>,
}

/// Headings stand no further above the data than this, in rows.
const FURTHEST: usize = 6;

/// Most columns that are looked at.
const MOST_COLUMNS: usize = 64;

impl<'r> DialectGuess<'r> {
    /// Splits rows in one way.
    pub fn new(rows: &'r [Vec<u8>], separator: u8, mark: u8, dates: DateOrder) -> Self {
        let mut cells = Cells::new();
        let split = |row: &Vec<u8>| -> Vec<Look> {
            cell::split(row, separator, None, &mut cells);
            (0..cells.len().min(MOST_COLUMNS))
                .map(|at| look(cell::get(row, &cells, at), mark, dates))
                .collect()
        };
        let all: Vec<Vec<Look>> = rows.iter().map(split).collect();
        let rows_of =
            |count: usize| all.iter().filter(|looks| looks.len() == count && has_data(looks)).count();
        let columns = (1..=MOST_COLUMNS).rev().max_by_key(|count| rows_of(*count)).unwrap_or(1);
        let mut looks: Vec<Option<Vec<Look>>> = all
            .into_iter()
            .map(|looks| (looks.len() == columns && has_data(&looks)).then_some(looks))
            .collect();
        // A row of the head such as "Interval;1 s" has numbers too, but not where most rows have theirs.
        let usual: Vec<Look> = (0..columns).map(|column| most_common(&looks, column)).collect();
        for row in &mut looks {
            if row
                .as_ref()
                .is_some_and(|row| !row.iter().zip(&usual).all(|(look, usual)| may_be(*look, *usual)))
            {
                *row = None;
            }
        }
        let score = looks.iter().flatten().flatten().map(worth).sum();
        Self { rows, separator, mark, dates, columns, score, looks }
    }

    /// Returns true if most rows with data have this look in a column.
    pub fn is(&self, column: usize, wanted: Look) -> bool {
        let rows = || self.looks.iter().flatten().filter_map(|looks| looks.get(column));
        let told = rows().filter(|look| !matches!(look, Look::Empty | Look::Overload)).count();
        told > 0 && rows().filter(|look| **look == wanted).count() * 2 > told
    }

    /// Returns a trimmed cell.
    pub fn cell(&self, row: usize, column: usize) -> &'r [u8] {
        let Some(row) = self.rows.get(row) else { return &[] };
        let mut cells = Cells::new();
        cell::split(row, self.separator, None, &mut cells);
        cell::trim(cell::get(row, &cells, column))
    }

    /// Returns the indices of the rows with data.
    pub fn data(&self) -> impl DoubleEndedIterator<Item = usize> {
        self.looks.iter().enumerate().filter(|(_, looks)| looks.is_some()).map(|(at, _)| at)
    }

    /// Returns the numbers of a column, with the power of ten of the last digit.
    pub fn numbers(&self, column: usize) -> Vec<(f64, i32)> {
        let read = |row| match cell::value(self.cell(row, column), self.mark) {
            cell::CellValue::Number(value, exponent, _) => Some((value, exponent)),
            _ => None,
        };
        self.data().filter_map(read).collect()
    }

    /// Returns the unit that the first cell with one has in a column.
    pub fn unit_in_cells(&self, column: usize) -> Option<CellUnit> {
        self.data().find_map(|row| match cell::value(self.cell(row, column), self.mark) {
            cell::CellValue::Number(_, _, unit) => unit,
            _ => None,
        })
    }

    /// Returns the rows above the data that may be headings, the lowest last: the last two with words in about as many
    /// cells, and neither numbers nor times.
    fn above(&self) -> Vec<usize> {
        let first = self.data().next().unwrap_or(0);
        let words = |row: &usize| {
            let looks =
                || (0..self.columns).map(|column| look(self.cell(*row, column), self.mark, self.dates));
            let filled = looks().filter(|look| *look != Look::Empty).count();
            let data =
                looks().any(|look| matches!(look, Look::Number | Look::Moment | Look::Day | Look::Clock));
            !data && filled > 0 && filled * 2 >= self.columns
        };
        let mut rows: Vec<usize> =
            (first.saturating_sub(FURTHEST)..first).rev().filter(words).take(2).collect();
        rows.reverse();
        // A remark above the headings has fewer cells than they.
        if let [upper, lower] = rows[..]
            && self.count(upper) < self.count(lower)
        {
            rows.remove(0);
        }
        rows
    }

    /// Returns the number of cells of a row.
    fn count(&self, row: usize) -> usize {
        let mut cells = Cells::new();
        cell::split(self.rows.get(row).map_or(&[], Vec::as_slice), self.separator, None, &mut cells);
        cells.len()
    }

    /// Returns what the columns are called.
    pub fn headings(&self) -> Vec<Heading> {
        let above = self.above();
        (0..self.columns)
            .map(|column| {
                let parts: Vec<String> =
                    above.iter().map(|row| cell::text(self.cell(*row, column))).collect();
                let parts: Vec<&str> =
                    parts.iter().map(|part| part.trim()).filter(|part| !part.is_empty()).collect();
                Heading::new(&parts)
            })
            .collect()
    }

    /// Returns the number of cells of the row above the data, if there is one.
    pub fn cells_above(&self) -> Option<usize> {
        self.above().last().map(|row| self.count(*row))
    }
}

/// Returns true if a row has a number, and not mostly words.
fn has_data(looks: &[Look]) -> bool {
    let count = |wanted: &[Look]| looks.iter().filter(|look| wanted.contains(look)).count();
    count(&[Look::Number, Look::Overload]) > 0 && count(&[Look::Text]) * 2 <= looks.len()
}

fn most_common(looks: &[Option<Vec<Look>>], column: usize) -> Look {
    const ALL: [Look; 6] = [Look::Number, Look::Moment, Look::Day, Look::Clock, Look::Unit, Look::Text];
    let count = |wanted: Look| looks.iter().flatten().filter(|row| row.get(column) == Some(&wanted)).count();
    ALL.into_iter().rev().max_by_key(|look| count(*look)).unwrap_or(Look::Text)
}

/// Returns true if a cell of this look may stand in a column that usually has that look.
fn may_be(look: Look, usual: Look) -> bool {
    look == usual || matches!(usual, Look::Text | Look::Unit) || matches!(look, Look::Empty | Look::Overload)
}

fn worth(look: &Look) -> f64 {
    match look {
        Look::Number | Look::Moment | Look::Day | Look::Clock => 1.0,
        Look::Unit | Look::Overload => 0.5,
        Look::Empty => 0.0,
        Look::Text => -0.5,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_that_reads_more_cells_scores_higher() {
        let rows = [b"time;current".to_vec(), b"07:40:00;0,482".to_vec(), b"07:40:01;0,481".to_vec()];
        let right = DialectGuess::new(&rows, b';', b',', DateOrder::DayFirst);
        for (separator, mark) in [(b',', b'.'), (b';', b'.'), (b' ', b',')] {
            assert!(DialectGuess::new(&rows, separator, mark, DateOrder::DayFirst).score < right.score);
        }
        assert_eq!((right.columns, right.data().next()), (2, Some(1)));
        assert!(right.is(0, Look::Clock) && right.is(1, Look::Number));
        assert_eq!(right.headings()[1].name, "current");
    }

    #[test]
    fn a_remark_above_the_headings_is_none_of_them_and_a_row_of_units_below_is() {
        let rows = |text: &str| -> Vec<Vec<u8>> { text.lines().map(|row| row.as_bytes().to_vec()).collect() };
        let names = |text: &str| -> Vec<String> {
            let rows = rows(text);
            let tried = DialectGuess::new(&rows, b',', b'.', DateOrder::DayFirst);
            tried.headings().into_iter().map(|heading| heading.name).collect()
        };
        assert_eq!(names("# a night of a van\ntime,current\n1,2\n2,2"), ["time", "current"]);
        assert_eq!(names("time,current\ns,mA\n1,2\n2,2"), ["time s", "current mA"]);
    }
}
