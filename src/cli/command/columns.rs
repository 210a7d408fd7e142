//! What a meter log looks like, as options, where the guess is wrong.
//! Leaves to others: guessing it (`trace/layout`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Minute, Ohm};
use crate::cli::minus::as_typed;
use crate::text::fault::argument::{CURRENT_UNITS, TIME_UNITS, unknown};
use crate::trace::cell::{self, CellUnit};
use crate::trace::options::Options;
use crate::trace::stamp::DateOrder;

/// What the log looks like, where the guess is wrong.
#[derive(Debug, Clone, clap::Args)]
#[command(next_help_heading = "Where the log is not understood by itself")]
pub struct Columns {
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

impl Columns {
    /// Checks the options.
    ///
    /// # Errors
    /// A name that is not known, or a value that is not above zero.
    pub fn options(self) -> Result<Options, Diagnostic> {
        let time_unit = |text: &str| {
            cell::unit(text)
                .filter(|unit| matches!(unit, CellUnit::Time(_)))
                .ok_or_else(|| unknown("--time-unit", text, TIME_UNITS))
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
            unit: self.unit.as_deref().map(|text| unit(text, "--unit")).transpose()?,
            shunt: self.shunt.as_deref().map(|text| value::<Ohm>(text, "mohm", "--shunt")).transpose()?,
            dates: one_of(self.dates.as_deref(), &dates, "--dates")?,
        })
    }
}

/// Reads the unit of a column; `option` is where it was given.
///
/// # Errors
/// None of a current or voltage.
pub fn unit(text: &str, option: &str) -> Result<CellUnit, Diagnostic> {
    cell::unit(text)
        .filter(|unit| matches!(unit, CellUnit::Current(_) | CellUnit::Voltage(_)))
        .ok_or_else(|| unknown(option, text, CURRENT_UNITS))
}

/// Reads a value above zero; `bare` is the unit of a bare number, `option` where it was given.
///
/// # Errors
/// Not a value of this unit, or not above zero.
pub fn value<U: Readable>(text: &str, bare: &str, option: &str) -> Result<U, Diagnostic> {
    let read = U::read(as_typed(text).as_str(), bare).map_err(|fault| fault.in_field(option))?;
    if read.value.base() > 0.0 {
        return Ok(read.value);
    }
    Err(Diagnostic::new(format!("\"{text}\" is not above zero"))
        .expected(format!("{} such as {}", U::WHAT, U::EXAMPLE))
        .in_field(option))
}

fn one_of<T: Copy>(text: Option<&str>, known: &[(&str, T)], option: &str) -> Result<Option<T>, Diagnostic> {
    let Some(text) = text else { return Ok(None) };
    let names: Vec<&str> = known.iter().map(|(name, _)| *name).filter(|name| name.len() > 1).collect();
    let found = known.iter().find(|(name, _)| *name == text).map(|(_, value)| Some(*value));
    found.ok_or_else(|| unknown(option, text, &names.join(", ")))
}
