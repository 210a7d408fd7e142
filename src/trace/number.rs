//! Numbers as logs write them: with either decimal mark, groups of thousands, powers of ten.
//! Leaves to others: what stands around them (`cell`).

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

/// Mantissas from here on take no further digit.
const FULL: u64 = 100_000_000_000_000_000;

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
                digits += 1;
                // Digits beyond the eighteenth say nothing in a binary number.
                if mantissa < FULL {
                    mantissa = mantissa * 10 + u64::from(byte - b'0');
                    decimals += i32::from(after_mark);
                } else {
                    decimals -= i32::from(!after_mark);
                }
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

/// Reads a number of the plainest form, digits with a decimal mark among them or without, at the front of a text:
/// its value, the power of ten of its last digit, and what stands behind it. Nothing for more than 17 digits.
pub(super) fn plain(text: &[u8], mark: u8) -> Option<(f64, i32, &[u8])> {
    let (negative, mut rest) = match text {
        [b'-', rest @ ..] => (true, rest),
        _ => (false, text),
    };
    let (mut mantissa, mut digits, mut decimals) = (0_u64, 0_i32, 0_i32);
    let mut after_mark = false;
    while let [byte, behind @ ..] = rest {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
            digits += 1;
            decimals += i32::from(after_mark);
        } else if *byte == mark && !after_mark {
            after_mark = true;
        } else {
            break;
        }
        rest = behind;
    }
    if digits == 0 || digits > 17 {
        return None;
    }
    let size = scaled(mantissa, -decimals);
    Some((if negative { -size } else { size }, -decimals, rest))
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
    let digits: Vec<u8> = [plain.as_slice(), b".", after].concat();
    let value: f64 = std::str::from_utf8(&digits).ok()?.parse().ok()?;
    let exponent = -i32::try_from(after.len()).ok()?;
    Some(Number { value: if negative { -value } else { value }, exponent, rest: body.get(end..)? })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_read_as_the_standard_library_reads_them() {
        for text in [
            "0",
            "0.482",
            "-25.30",
            "+1e3",
            "1.5E-3",
            "12345678901234567",
            "0.1",
            "4.35",
            "9.90000000E+37",
            "99999999999999999999999",
            "0.30000000000000000000001",
        ] {
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
        for bad in [&b""[..], b"-", b".", b"x1", b"1.234.5", b"1,23.4"] {
            let read = number(bad, b'.');
            assert!(read.is_none_or(|n| !n.rest.is_empty()), "{bad:?}: {read:?}");
        }
    }

    #[test]
    fn the_plainest_form_reads_the_same() {
        for text in ["0", "25.31,x", "-7", "12345678901234567", ".5;", "4.35"] {
            let (value, exponent, rest) = plain(text.as_bytes(), b'.').expect("a number");
            let careful = number(text.as_bytes(), b'.').expect("a number");
            assert_eq!((value, exponent, rest), (careful.value, careful.exponent, careful.rest), "{text}");
        }
        for bad in ["", "-", ".", "x", "123456789012345678"] {
            assert_eq!(plain(bad.as_bytes(), b'.'), None, "{bad}");
        }
    }
}
