//! Cells of a log: splitting a row, numbers with their units, overload marks.
//! Leaves to others: numbers alone (`number`), which column is what (`layout`), times (`stamp`). Works on bytes: logs come in any code page.

use memchr::memchr;

use super::number::number;

/// What a measured number is in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CellUnit {
    /// A current; the factor makes ampere of it.
    Current(f64),
    /// A voltage over a shunt; the factor makes volt of it.
    Voltage(f64),
    /// A time; the factor makes seconds of it.
    Time(f64),
    /// Anything else, of no use here.
    Other,
}

/// Spellings of units, lower case. `µ` may be either of its two characters, or the one byte of old code pages.
const UNITS: [(&str, CellUnit); 40] = [
    ("a", CellUnit::Current(1.0)),
    ("amp", CellUnit::Current(1.0)),
    ("amps", CellUnit::Current(1.0)),
    ("ampere", CellUnit::Current(1.0)),
    ("ma", CellUnit::Current(1e-3)),
    ("milliamp", CellUnit::Current(1e-3)),
    ("milliamps", CellUnit::Current(1e-3)),
    ("ua", CellUnit::Current(1e-6)),
    ("µa", CellUnit::Current(1e-6)),
    ("μa", CellUnit::Current(1e-6)),
    ("na", CellUnit::Current(1e-9)),
    ("v", CellUnit::Voltage(1.0)),
    ("volt", CellUnit::Voltage(1.0)),
    ("volts", CellUnit::Voltage(1.0)),
    ("mv", CellUnit::Voltage(1e-3)),
    ("uv", CellUnit::Voltage(1e-6)),
    ("µv", CellUnit::Voltage(1e-6)),
    ("μv", CellUnit::Voltage(1e-6)),
    ("s", CellUnit::Time(1.0)),
    ("sec", CellUnit::Time(1.0)),
    ("secs", CellUnit::Time(1.0)),
    ("second", CellUnit::Time(1.0)),
    ("seconds", CellUnit::Time(1.0)),
    ("sek", CellUnit::Time(1.0)),
    ("ms", CellUnit::Time(1e-3)),
    ("msec", CellUnit::Time(1e-3)),
    ("us", CellUnit::Time(1e-6)),
    ("min", CellUnit::Time(60.0)),
    ("mins", CellUnit::Time(60.0)),
    ("minute", CellUnit::Time(60.0)),
    ("minutes", CellUnit::Time(60.0)),
    ("h", CellUnit::Time(3600.0)),
    ("hr", CellUnit::Time(3600.0)),
    ("hours", CellUnit::Time(3600.0)),
    ("w", CellUnit::Other),
    ("c", CellUnit::Other),
    ("°c", CellUnit::Other),
    ("%", CellUnit::Other),
    ("ah", CellUnit::Other),
    ("hz", CellUnit::Other),
];

/// Returns the unit of this name, whatever its capitals.
pub fn unit(name: &str) -> Option<CellUnit> {
    let folded = name.trim().to_lowercase();
    UNITS.iter().find(|(known, _)| *known == folded).map(|(_, unit)| *unit)
}

/// Returns bytes as text: UTF-8, or else each byte as the character of that number (old western code pages).
pub fn text(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect(),
    }
}

/// Takes blanks and quotes off both ends.
pub fn trim(cell: &[u8]) -> &[u8] {
    match cell {
        // Most cells have nothing to be taken off.
        [b'0'..=b'9' | b'-', .., b'0'..=b'9'] => cell,
        _ => trim_with_care(cell),
    }
}

fn trim_with_care(mut cell: &[u8]) -> &[u8] {
    while let [first, rest @ ..] = cell {
        match first {
            b' ' | b'\t' | b'"' | b'\'' | b'\r' => cell = rest,
            0xC2 if rest.first() == Some(&0xA0) => cell = rest.get(1..).unwrap_or_default(),
            _ => break,
        }
    }
    while let [rest @ .., last] = cell {
        match last {
            b' ' | b'\t' | b'"' | b'\'' | b'\r' => cell = rest,
            0xA0 if rest.last() == Some(&0xC2) => cell = rest.get(..rest.len() - 1).unwrap_or_default(),
            _ => break,
        }
    }
    cell
}

/// Where the cells of a row stand, as first and last byte (not included).
pub type Cells = Vec<(usize, usize)>;

/// Splits a row, as far as the column `last`, or whole if there is none. Blanks as separators count as one where
/// several stand together; a quoted cell may hold separators.
pub fn split(row: &[u8], separator: u8, last: Option<usize>, cells: &mut Cells) {
    cells.clear();
    let most = last.map_or(usize::MAX, |last| last + 1);
    if separator == b' ' || memchr(b'"', row).is_some() {
        split_with_care(row, separator, cells);
        cells.truncate(most);
        return;
    }
    let mut start = 0;
    while cells.len() < most {
        let rest = row.get(start..).unwrap_or_default();
        let Some(length) = memchr(separator, rest) else {
            cells.push((start, row.len()));
            return;
        };
        cells.push((start, start + length));
        start += length + 1;
    }
}

fn split_with_care(row: &[u8], separator: u8, cells: &mut Cells) {
    let mut quoted = false;
    let mut start = 0;
    for (at, byte) in row.iter().enumerate() {
        if *byte == b'"' {
            quoted = !quoted;
        } else if *byte == separator && !quoted {
            if separator != b' ' || at > start {
                cells.push((start, at));
            }
            start = at + 1;
        }
    }
    if separator != b' ' || row.len() > start {
        cells.push((start, row.len()));
    }
}

/// Returns a cell of a split row; an empty one where there is none.
pub fn get<'r>(row: &'r [u8], cells: &Cells, column: usize) -> &'r [u8] {
    cells.get(column).and_then(|(start, end)| row.get(*start..*end)).unwrap_or_default()
}

/// Numbers from here on are a meter's way to say that it is out of range, as in 9.9E37.
const OUT_OF_RANGE: f64 = 1e30;

/// What a cell of the measured column holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CellValue {
    /// A number with the power of ten of its last digit, and the unit behind it if there is one.
    Number(f64, i32, Option<CellUnit>),
    /// The meter was out of range.
    Overload,
    /// Nothing that can be read.
    Unreadable,
}

/// Reads a cell of the measured column.
pub fn value(cell: &[u8], mark: u8) -> CellValue {
    let cell = trim(cell);
    let Some(number) = number(cell, mark) else {
        return if is_overload(cell) { CellValue::Overload } else { CellValue::Unreadable };
    };
    if number.value.abs() >= OUT_OF_RANGE {
        return CellValue::Overload;
    }
    if number.rest.is_empty() {
        return CellValue::Number(number.value, number.exponent, None);
    }
    let rest = text(number.rest);
    let mut words = rest.split_whitespace().filter(|word| !matches!(*word, "DC" | "AC" | "="));
    match (words.next(), words.next()) {
        (None, _) => CellValue::Number(number.value, number.exponent, None),
        (Some(word), None) => match unit(word) {
            Some(unit) => CellValue::Number(number.value, number.exponent, Some(unit)),
            None if is_overload(cell) => CellValue::Overload,
            None => CellValue::Unreadable,
        },
        _ => CellValue::Unreadable,
    }
}

/// Returns true for the marks that meters print when they are out of range.
fn is_overload(cell: &[u8]) -> bool {
    let word: String = text(cell).chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
    ["ol", "0l", "ovl", "ovld", "ovr", "over", "overload", "overrange", "overflow", "inf", "infinity"]
        .iter()
        .any(|mark| word == *mark || word.strip_suffix("ma").or(word.strip_suffix('a')) == Some(*mark))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_and_overload_stand_in_cells() {
        let is = |cell: &[u8]| value(cell, b'.');
        assert_eq!(is(b" 482 mA "), CellValue::Number(482.0, 0, Some(CellUnit::Current(1e-3))));
        assert_eq!(is(b"\"0.48 A DC\""), CellValue::Number(0.48, -2, Some(CellUnit::Current(1.0))));
        assert_eq!(is(b"12\xB5A"), CellValue::Number(12.0, 0, Some(CellUnit::Current(1e-6))));
        for mark in ["OL", "-O.L", "0L", "9.9E37", "-9.90000000E+37", "Overload", "OL mA", "+inf"] {
            assert_eq!(is(mark.as_bytes()), CellValue::Overload, "{mark}");
        }
        for bad in ["", "---", "nan", "1 2", "12 parsec", "#N/A", "mA"] {
            assert_eq!(is(bad.as_bytes()), CellValue::Unreadable, "{bad}");
        }
    }

    #[test]
    fn rows_are_split_with_quotes_and_runs_of_blanks() {
        let parts = |row: &[u8], separator| {
            let mut cells = Cells::new();
            split(row, separator, None, &mut cells);
            (0..cells.len()).map(|at| text(get(row, &cells, at))).collect::<Vec<_>>()
        };
        assert_eq!(parts(b"a,\"b,c\",", b','), ["a", "\"b,c\"", ""]);
        assert_eq!(parts(b" a   b c ", b' '), ["a", "b", "c"]);
        assert_eq!(parts(b"", b','), [""]);
    }
}
