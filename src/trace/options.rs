//! What the user says about a log; what is not said is guessed (`guess`).

use super::cell::CellUnit;
use super::stamp::DateOrder;
use crate::base::quantity::{Minute, Ohm};

/// A column beside that of the total.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChannelColumn {
    /// Name to give it: the id of a feed, where it is one.
    pub name: String,
    /// Column, by number from 1 or by heading.
    pub column: String,
    /// Its unit, where the heading does not tell it.
    pub unit: Option<CellUnit>,
    /// Resistance that its volts are over.
    pub over: Option<Ohm>,
}

/// What the user says about a log; what is not said is guessed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Options {
    /// What stands between columns.
    pub separator: Option<u8>,
    /// Decimal mark.
    pub mark: Option<u8>,
    /// Column of the time, by number from 1 or by heading.
    pub time: Option<String>,
    /// Unit of an elapsed time.
    pub time_unit: Option<CellUnit>,
    /// Distance of rows, where no column has a time.
    pub every: Option<Minute>,
    /// Column of the current, by number from 1 or by heading.
    pub column: Option<String>,
    /// Unit of the current, or of the voltage over the shunt.
    pub unit: Option<CellUnit>,
    /// Shunt that a voltage was measured over.
    pub shunt: Option<Ohm>,
    /// Order of dates.
    pub dates: Option<DateOrder>,
}
