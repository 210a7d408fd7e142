//! Negative values on the command line, which would be taken for options: a minus sign stands in for their hyphen.
//! Leaves to others: what the values are (`command`).

use std::ffi::OsString;

/// Writes a negative value such as `-0.1mV` with the true minus sign: with a hyphen it would be taken for an option,
/// and an argument that may begin with a hyphen would take the options behind it for values. No option begins with a
/// digit, and the parser of values knows both signs.
pub(super) fn negative(argument: OsString) -> OsString {
    let Some(rest) = argument.to_str().and_then(|text| text.strip_prefix('-')) else { return argument };
    if rest.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')) {
        return OsString::from(format!("{MINUS}{rest}"));
    }
    argument
}

/// The true minus sign.
const MINUS: char = '\u{2212}';

/// Returns a text of the command line as it was typed: with a hyphen for the minus sign that stands in for it.
pub fn as_typed(text: &str) -> String {
    text.strip_prefix(MINUS).map_or_else(|| text.to_owned(), |rest| format!("-{rest}"))
}
