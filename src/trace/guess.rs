//! The layout of a log guessed from its first rows, and said in one line.
//! Leaves to others: the ways to split (`dialect`), the choice of columns (`choose`), the rows that follow (`row`).

use super::cell;
use super::choose::Choice;
use super::dialect::DialectGuess;
use super::heading::separator_words;
use super::layout::{Layout, Time};
use super::options::Options;
use super::row::{BadRow, MeterRows};
use super::stamp::{self, DateOrder};
use crate::base::diagnostic::Diagnostic;

const SEPARATORS: [u8; 5] = [b'\t', b';', b',', b'|', b' '];

/// Guesses the layout from the first rows, as far as the options do not say.
///
/// # Errors
/// No column of numbers, no time, only volts and no shunt, decimal commas that cannot be told from separators, or an
/// option that names what is not there: each says what was found.
pub fn guess(rows: &[Vec<u8>], options: &Options) -> Result<Layout, Diagnostic> {
    let tried = best(rows, options);
    let Some(first) = tried.data().next() else { return Err(nothing_usable(rows)) };
    commas_can_be_told(&tried)?;
    let choice = Choice::new(&tried, options);
    let time = choice.time()?;
    let current = choice.current(time)?;
    let told = format!(
        "{}, decimal {}; time: {}; current: {}",
        separator_words(tried.separator),
        if tried.mark == b',' { "comma" } else { "point" },
        choice.time_words(time),
        current.told
    );
    let mut layout = Layout {
        separator: tried.separator,
        mark: tried.mark,
        dates: tried.dates,
        time,
        column: current.column,
        factor: current.factor,
        unit_column: current.unit_column,
        is_over: current.is_over,
        latest_first: false,
        first,
        told,
    };
    if !matches!(time, Time::Every(_)) {
        // A row with a time belongs to the data though its current cannot be read.
        let mut rows = MeterRows::new(&layout, options.shunt);
        let begins = |row: &Vec<u8>| !matches!(rows.read(row), Err(BadRow::Time));
        layout.first = tried.rows.iter().position(begins).unwrap_or(first).min(first);
    }
    if is_latest_first(&tried, &layout, options) {
        layout.latest_first = true;
        layout.told.push_str("; latest row first");
    }
    Ok(layout)
}

/// Returns what stands above each column.
pub fn headings(rows: &[Vec<u8>], options: &Options) -> Vec<String> {
    best(rows, options).headings().into_iter().map(|heading| heading.name).collect()
}

fn best<'r>(rows: &'r [Vec<u8>], options: &Options) -> DialectGuess<'r> {
    let dates = options.dates.unwrap_or_else(|| date_order(rows));
    let separators = options.separator.map_or(SEPARATORS.to_vec(), |byte| vec![byte]);
    let marks = options.mark.map_or(vec![b'.', b','], |byte| vec![byte]);
    let mut best: Option<DialectGuess<'r>> = None;
    for mark in marks {
        for separator in &separators {
            let tried = DialectGuess::new(rows, *separator, mark, dates);
            if best.as_ref().is_none_or(|best| tried.score > best.score) {
                best = Some(tried);
            }
        }
    }
    best.unwrap_or_else(|| DialectGuess::new(rows, b',', b'.', dates))
}

/// Tells the order of dates from the first row that shows it. Where none does, 7/11 with AM or PM has the month first.
fn date_order(rows: &[Vec<u8>]) -> DateOrder {
    let cells = || rows.iter().flat_map(|row| row.split(|byte| matches!(byte, b';' | b',' | b'\t' | b'|')));
    if let Some(order) = cells().find_map(stamp::order_told) {
        return order;
    }
    let halves = cells().any(|cell| {
        let text = cell::text(cell::trim(cell)).to_uppercase();
        text.contains('/') && (text.ends_with("AM") || text.ends_with("PM"))
    });
    if halves { DateOrder::MonthFirst } else { DateOrder::DayFirst }
}

fn nothing_usable(rows: &[Vec<u8>]) -> Diagnostic {
    let shown = rows.iter().find(|row| !cell::trim(row).is_empty());
    let fault = match shown {
        None => Diagnostic::new("it has no rows"),
        Some(row) => {
            let text: String = cell::text(row).chars().take(60).collect();
            let first = rows.len();
            Diagnostic::new(format!("no row with numbers among the first {first}; it begins with \"{text}\""))
        }
    };
    fault.expected("rows with a time and a current, such as 2026-11-02T07:40:00,482")
}

/// Refuses rows such as `07:40:00,0,482` where nothing tells whether 0,482 is one number or two.
fn commas_can_be_told(tried: &DialectGuess<'_>) -> Result<(), Diagnostic> {
    if tried.separator != b',' {
        return Ok(());
    }
    let more_than_headings = tried.cells_above().is_some_and(|above| above > 1 && above < tried.columns);
    let cell_begins_with_zero = |row, column| {
        let cell = tried.cell(row, column);
        cell.len() > 1 && cell.first() == Some(&b'0') && cell.iter().all(u8::is_ascii_digit)
    };
    let no_points =
        tried.data().take(50).all(|row| (0..tried.columns).all(|c| !tried.cell(row, c).contains(&b'.')));
    let leading_zeros =
        (1..tried.columns).any(|column| tried.data().any(|row| cell_begins_with_zero(row, column)));
    if no_points && (more_than_headings || leading_zeros) {
        return Err(Diagnostic::new("commas part the columns and may be decimal marks as well")
            .expected("decimal points, or semicolons or tabs between the columns")
            .remedy("export it again with another separator, or put the numbers in quotes"));
    }
    Ok(())
}

fn is_latest_first(tried: &DialectGuess<'_>, layout: &Layout, options: &Options) -> bool {
    let mut rows = MeterRows::new(layout, options.shunt);
    let read = |row: usize| rows.read(tried.rows.get(row)?).ok().map(|(time, _)| time);
    let times: Vec<f64> = tried.data().filter_map(read).collect();
    let falls = times.windows(2).filter(|pair| pair.last() < pair.first()).count();
    times.len() > 2 && falls * 10 >= (times.len() - 1) * 9
}
