//! The tables that are built in, as text, and what reading each has in common.
//! Leaves to others: what stands in them (`loads`, `hints`, `limits`, `classes`, `signs`, `inside`, `inputs`, `battery`).

use serde::de::DeserializeOwned;

use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::yaml;

/// Makes the function that returns a table which is built in. A test holds that each reads; if one did not, it would be
/// empty.
macro_rules! builtin {
    ($vis:vis $table:ty, $read:expr) => {
        /// Returns the table that is built in, read at its first use.
        $vis fn builtin() -> &'static $table {
            static BUILTIN: std::sync::LazyLock<$table> = std::sync::LazyLock::new(|| $read.unwrap_or_default());
            &BUILTIN
        }
    };
}
pub(crate) use builtin;

/// The load catalogue.
pub const LOADS: &str = include_str!("../../circuits/loads.yaml");

/// What the interview changes in the weights of causes.
pub const HINTS: &str = include_str!("../../circuits/hints.yaml");

/// What a look finds, and how much that says.
pub const SIGNS: &str = include_str!("../../circuits/signs.yaml");

/// How the inputs of a network are worked.
pub const INPUTS: &str = include_str!("../../circuits/inputs.yaml");

/// What can be taken off inside an unfused item.
pub const INSIDE: &str = include_str!("../../circuits/inside.yaml");

/// Default limits and sleep times.
pub const LIMITS: &str = include_str!("../../circuits/limits.yaml");

/// What every vehicle of a class has.
pub const CLASSES: &str = include_str!("../../circuits/classes.yaml");

/// Batteries and the charging side.
pub const BATTERY: &str = include_str!("../../circuits/battery.yaml");

/// Reads a table of this format; `faults` tells the format that it has, and what else is wrong with it.
///
/// # Errors
/// Not YAML of the expected form, another format, or the faults.
pub(super) fn read<T: DeserializeOwned>(
    text: &str,
    format: &str,
    faults: impl FnOnce(&T) -> (String, Vec<Diagnostic>),
) -> Result<T, Faults> {
    let written: T = yaml::read(text)?;
    let (has, mut found) = faults(&written);
    if has != format {
        found.insert(0, Diagnostic::new(format!("the format is {has}")).expected(format));
    }
    if found.is_empty() { Ok(written) } else { Err(Faults(found)) }
}
