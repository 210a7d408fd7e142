//! Cells of a log: splitting a row, numbers with their units, overload marks.
//! Leaves to others: which column is what (`layout`), times (`stamp`). Works on bytes: logs come in any code page.

/// What a measured number is in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unit {
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
const UNITS: [(&str, Unit); 40] = [
    ("a", Unit::Current(1.0)),
    ("amp", Unit::Current(1.0)),
    ("amps", Unit::Current(1.0)),
    ("ampere", Unit::Current(1.0)),
    ("ma", Unit::Current(1e-3)),
    ("milliamp", Unit::Current(1e-3)),
    ("milliamps", Unit::Current(1e-3)),
    ("ua", Unit::Current(1e-6)),
    ("µa", Unit::Current(1e-6)),
    ("μa", Unit::Current(1e-6)),
    ("na", Unit::Current(1e-9)),
    ("v", Unit::Voltage(1.0)),
    ("volt", Unit::Voltage(1.0)),
    ("volts", Unit::Voltage(1.0)),
    ("mv", Unit::Voltage(1e-3)),
    ("uv", Unit::Voltage(1e-6)),
    ("µv", Unit::Voltage(1e-6)),
    ("μv", Unit::Voltage(1e-6)),
    ("s", Unit::Time(1.0)),
    ("sec", Unit::Time(1.0)),
    ("secs", Unit::Time(1.0)),
    ("second", Unit::Time(1.0)),
    ("seconds", Unit::Time(1.0)),
    ("sek", Unit::Time(1.0)),
    ("ms", Unit::Time(1e-3)),
    ("msec", Unit::Time(1e-3)),
    ("us", Unit::Time(1e-6)),
    ("min", Unit::Time(60.0)),
    ("mins", Unit::Time(60.0)),
    ("minute", Unit::Time(60.0)),
    ("minutes", Unit::Time(60.0)),
    ("h", Unit::Time(3600.0)),
    ("hr", Unit::Time(3600.0)),
    ("hours", Unit::Time(3600.0)),
    ("w", Unit::Other),
    ("c", Unit::Other),
    ("°c", Unit::Other),
    ("%", Unit::Other),
    ("ah", Unit::Other),
    ("hz", Unit::Other),
];

/// Returns the unit of this name, whatever its capitals.
pub fn unit(name: &str) -> Option<Unit> {
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
pub fn trim(mut cell: &[u8]) -> &[u8] {
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

/// Splits a row. Blanks as separators count as one where several stand together; a quoted cell may hold separators.
pub fn split(row: &[u8], separator: u8, cells: &mut Cells) {
    cells.clear();
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

/// A number as it stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number<'c> {
    /// Its value.
    pub value: f64,
    /// Power of ten of its last digit.
    pub exponent: i32,
    /// What stands behind it.
    pub rest: &'c [u8],
}

/// Powers of ten that a binary number holds exactly.
const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18,
    1e19, 1e20, 1e21, 1e22,
];

/// Largest whole number up to which all are exact.
const EXACT: u64 = 1 << 53;

/// Reads the number at the beginning of a trimmed cell. `mark` is the decimal mark. Groups of thousands are taken
/// only where the number has a decimal mark too: 1.234 alone is no thousand.
pub fn number(cell: &[u8], mark: u8) -> Option<Number<'_>> {
    let (negative, body) = match cell {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        [0xE2, 0x88, 0x92, rest @ ..] => (true, rest),
        _ => (false, cell),
    };
    let body = body.trim_ascii_start();
    let (mut mantissa, mut digits, mut decimals) = (0_u64, 0_u32, 0_i32);
    let mut after_mark = false;
    let mut end = 0;
    for byte in body {
        match byte {
            b'0'..=b'9' => {
                mantissa = mantissa.checked_mul(10)?.checked_add(u64::from(byte - b'0'))?;
                digits += 1;
                decimals += i32::from(after_mark);
            }
            byte if *byte == mark && !after_mark => after_mark = true,
            _ => break,
        }
        end += 1;
    }
    if digits == 0 {
        return None;
    }
    let mut rest = body.get(end..).unwrap_or_default();
    if !after_mark && matches!(rest, [b'.' | b',' | b'\'', b'0'..=b'9', ..]) {
        return grouped(body, mark, negative);
    }
    let mut exponent = 0;
    if let [b'e' | b'E', tail @ ..] = rest
        && let Some((read, after)) = power(tail)
    {
        exponent = read;
        rest = after;
    }
    let exponent = exponent - decimals;
    let size = scaled(mantissa, exponent);
    Some(Number { value: if negative { -size } else { size }, exponent, rest })
}

/// Returns mantissa · 10^exponent, rounded once where both are exact.
fn scaled(mantissa: u64, exponent: i32) -> f64 {
    let ten = TENS.get(exponent.unsigned_abs() as usize);
    match ten {
        Some(ten) if mantissa <= EXACT && exponent < 0 => mantissa as f64 / ten,
        Some(ten) if mantissa <= EXACT => mantissa as f64 * ten,
        _ => format!("{mantissa}e{exponent}").parse().unwrap_or(f64::INFINITY),
    }
}

/// Reads the power behind an `e`.
fn power(tail: &[u8]) -> Option<(i32, &[u8])> {
    let (sign, body) = match tail {
        [b'-', rest @ ..] => (-1, rest),
        [b'+', rest @ ..] => (1, rest),
        _ => (1, tail),
    };
    let end = body.iter().take(4).take_while(|byte| byte.is_ascii_digit()).count();
    let digits = body.get(..end)?;
    let value: i32 = std::str::from_utf8(digits).ok()?.parse().ok()?;
    Some((sign * value, body.get(end..)?))
}

/// Reads a number with groups of three digits before its decimal mark.
fn grouped(body: &[u8], mark: u8, negative: bool) -> Option<Number<'_>> {
    let other = if mark == b',' { b'.' } else { b',' };
    let end = body.iter().take_while(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'\'')).count();
    let whole = body.get(..end)?;
    let at = whole.iter().position(|byte| *byte == mark)?;
    let (before, after) = (whole.get(..at)?, whole.get(at + 1..)?);
    let mut groups = before.split(|byte| *byte == other || *byte == b'\'');
    let first = groups.next()?;
    if first.is_empty() || first.len() > 3 || groups.any(|group| group.len() != 3) {
        return None;
    }
    let plain: Vec<u8> = before.iter().filter(|byte| byte.is_ascii_digit()).copied().collect();
    let text = format!("{}.{}", text(&plain), text(after));
    let value: f64 = text.parse().ok()?;
    let exponent = -i32::try_from(after.len()).ok()?;
    Some(Number { value: if negative { -value } else { value }, exponent, rest: body.get(end..)? })
}

/// Numbers from here on are a meter's way to say that it is out of range, as in 9.9E37.
const OUT_OF_RANGE: f64 = 1e30;

/// What a cell of the measured column holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Value {
    /// A number with the power of ten of its last digit, and the unit behind it if there is one.
    Number(f64, i32, Option<Unit>),
    /// The meter was out of range.
    Overload,
    /// Nothing that can be read.
    Unreadable,
}

/// Reads a cell of the measured column.
pub fn value(cell: &[u8], mark: u8) -> Value {
    let cell = trim(cell);
    let Some(number) = number(cell, mark) else {
        return if is_overload(cell) { Value::Overload } else { Value::Unreadable };
    };
    if number.value.abs() >= OUT_OF_RANGE {
        return Value::Overload;
    }
    if number.rest.is_empty() {
        return Value::Number(number.value, number.exponent, None);
    }
    let rest = text(number.rest);
    let mut words = rest.split_whitespace().filter(|word| !matches!(*word, "DC" | "AC" | "="));
    match (words.next(), words.next()) {
        (None, _) => Value::Number(number.value, number.exponent, None),
        (Some(word), None) => match unit(word) {
            Some(unit) => Value::Number(number.value, number.exponent, Some(unit)),
            None if is_overload(cell) => Value::Overload,
            None => Value::Unreadable,
        },
        _ => Value::Unreadable,
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
    fn numbers_are_read_as_the_standard_library_reads_them() {
        for text in
            ["0", "0.482", "-25.30", "+1e3", "1.5E-3", "12345678901234567", "0.1", "4.35", "9.90000000E+37"]
        {
            let read = number(text.as_bytes(), b'.').expect("a number").value;
            assert_eq!(read, text.parse::<f64>().expect("a number"), "{text}");
        }
        assert_eq!(
            number(b"0,482 A", b',').map(|n| (n.value, n.exponent, n.rest)),
            Some((0.482, -3, &b" A"[..]))
        );
        assert_eq!(number("\u{2212}3".as_bytes(), b'.').map(|n| n.value), Some(-3.0));
        assert_eq!(number(b"1.234,5", b',').map(|n| n.value), Some(1234.5));
        assert_eq!(number(b"1,234.5", b'.').map(|n| n.value), Some(1234.5));
        for bad in [&b""[..], b"-", b".", b"x1", b"1.234.5", b"1,23.4", b"99999999999999999999999"] {
            let read = number(bad, b'.');
            assert!(read.is_none_or(|n| !n.rest.is_empty()), "{bad:?}: {read:?}");
        }
    }

    #[test]
    fn units_and_overload_stand_in_cells() {
        let is = |cell: &[u8]| value(cell, b'.');
        assert_eq!(is(b" 482 mA "), Value::Number(482.0, 0, Some(Unit::Current(1e-3))));
        assert_eq!(is(b"\"0.48 A DC\""), Value::Number(0.48, -2, Some(Unit::Current(1.0))));
        assert_eq!(is(b"12\xB5A"), Value::Number(12.0, 0, Some(Unit::Current(1e-6))));
        for mark in ["OL", "-O.L", "0L", "9.9E37", "-9.90000000E+37", "Overload", "OL mA", "+inf"] {
            assert_eq!(is(mark.as_bytes()), Value::Overload, "{mark}");
        }
        for bad in ["", "---", "nan", "1 2", "12 parsec", "#N/A", "mA"] {
            assert_eq!(is(bad.as_bytes()), Value::Unreadable, "{bad}");
        }
    }

    #[test]
    fn rows_are_split_with_quotes_and_runs_of_blanks() {
        let parts = |row: &[u8], separator| {
            let mut cells = Cells::new();
            split(row, separator, &mut cells);
            (0..cells.len()).map(|at| text(get(row, &cells, at))).collect::<Vec<_>>()
        };
        assert_eq!(parts(b"a,\"b,c\",", b','), ["a", "\"b,c\"", ""]);
        assert_eq!(parts(b" a   b c ", b' '), ["a", "b", "c"]);
        assert_eq!(parts(b"", b','), [""]);
    }
}
