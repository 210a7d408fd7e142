//! Times as logs write them: date and time in many orders, time of day, elapsed h:mm:ss.
//! Leaves to others: which form a column has (`layout`), order and gaps (`repairs`).

use chrono::NaiveDate;

use super::cell::trim;
use super::number::number;

/// Order of the parts of a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DateOrder {
    /// Day, month, year; the usual one where the year does not come first.
    #[default]
    DayFirst,
    /// Month, day, year.
    MonthFirst,
}

/// A date and time as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Seconds since 1970-01-01T00:00:00 of the clock that wrote it.
    pub local: f64,
    /// Seconds by which that clock is ahead of UTC, if it says so.
    pub offset: Option<i32>,
}

impl Moment {
    /// Returns seconds that can be compared: of UTC where the offset is known, else of the clock itself.
    pub fn seconds(&self) -> f64 {
        self.local - f64::from(self.offset.unwrap_or(0))
    }
}

/// Reads whole numbers and what stands between them off the front of a text.
struct StampParts<'t> {
    rest: &'t [u8],
}

impl<'t> StampParts<'t> {
    /// Takes a whole number of at most nine digits; also returns how many digits it had.
    fn whole(&mut self) -> Option<(u32, usize)> {
        let count = self.rest.iter().take(10).take_while(|byte| byte.is_ascii_digit()).count();
        if count == 0 || count > 9 {
            return None;
        }
        let (digits, rest) = self.rest.split_at_checked(count)?;
        self.rest = rest;
        Some((digits.iter().fold(0, |sum, digit| sum * 10 + u32::from(digit - b'0')), count))
    }

    /// Takes one of these bytes.
    fn one_of(&mut self, wanted: &[u8]) -> Option<u8> {
        let (first, rest) = self.rest.split_first()?;
        if !wanted.contains(first) {
            return None;
        }
        self.rest = rest;
        Some(*first)
    }

    fn blanks(&mut self) {
        self.rest = self.rest.trim_ascii_start();
    }

    /// Takes letters.
    fn word(&mut self) -> &'t [u8] {
        let count = self.rest.iter().take_while(|byte| byte.is_ascii_alphabetic()).count();
        let (word, rest) = self.rest.split_at_checked(count).unwrap_or_default();
        self.rest = rest;
        word
    }

    /// Takes the fraction of a second behind its mark.
    fn fraction(&mut self) -> f64 {
        let Some((mark, tail)) = self.rest.split_first() else { return 0.0 };
        let count = tail.iter().take_while(|byte| byte.is_ascii_digit()).count();
        if !matches!(mark, b'.' | b',' | b':') || count == 0 {
            return 0.0;
        }
        let mut unit = 1.0;
        let mut sum = 0.0;
        for digit in tail.iter().take(count) {
            unit /= 10.0;
            sum += unit * f64::from(digit - b'0');
        }
        self.rest = tail.get(count..).unwrap_or_default();
        sum
    }
}

const MONTHS: [&str; 12] =
    ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"];

/// Returns the days since 1970-01-01 of a date at the front of a text.
fn date(parts: &mut StampParts<'_>, order: DateOrder) -> Option<f64> {
    const MARKS: &[u8] = b"-./";
    let (first, digits) = parts.whole()?;
    if digits == 8 {
        return days(first / 10_000, first / 100 % 100, first % 100);
    }
    let mark = parts.one_of(b"-./ ")?;
    let named = parts.word();
    if !named.is_empty() {
        let name = String::from_utf8_lossy(named.get(..3)?).to_lowercase();
        let month = MONTHS.iter().position(|known| *known == name)?;
        parts.one_of(&[mark])?;
        let (year, digits) = parts.whole()?;
        return days(full_year(year, digits)?, u32::try_from(month).ok()? + 1, first);
    }
    if mark == b' ' {
        return None;
    }
    let (second, _) = parts.whole()?;
    parts.one_of(MARKS).filter(|again| *again == mark)?;
    let (third, last) = parts.whole()?;
    match (digits, order) {
        (4, _) => days(first, second, third),
        (_, DateOrder::DayFirst) => days(full_year(third, last)?, second, first),
        (_, DateOrder::MonthFirst) => days(full_year(third, last)?, first, second),
    }
}

fn full_year(year: u32, digits: usize) -> Option<u32> {
    match digits {
        4 => Some(year),
        2 => Some(2000 + year),
        _ => None,
    }
}

fn days(year: u32, month: u32, day: u32) -> Option<f64> {
    if !(1970..=2200).contains(&year) {
        return None;
    }
    let date = NaiveDate::from_ymd_opt(i32::try_from(year).ok()?, month, day)?;
    Some(f64::from(date.to_epoch_days()))
}

/// A time of day or a span, as written with colons.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TimeOfDay {
    /// Seconds.
    pub seconds: f64,
    /// True if there were only two parts, taken as hours and minutes.
    pub two_parts: bool,
    /// True if it had AM or PM.
    pub halves: bool,
}

fn clock(parts: &mut StampParts<'_>) -> Option<TimeOfDay> {
    let (hours, _) = parts.whole()?;
    parts.one_of(b":")?;
    let (minutes, digits) = parts.whole()?;
    if digits != 2 || minutes > 59 {
        return None;
    }
    let mut read = TimeOfDay {
        seconds: f64::from(hours) * 3600.0 + f64::from(minutes) * 60.0,
        two_parts: true,
        halves: false,
    };
    if let Some(rest) = parts.rest.strip_prefix(b":") {
        parts.rest = rest;
        let (seconds, digits) = parts.whole()?;
        // 60 is a leap second.
        if digits > 2 || seconds > 60 {
            return None;
        }
        read.seconds += f64::from(seconds) + parts.fraction();
        read.two_parts = false;
    }
    let mut ahead = StampParts { rest: parts.rest.trim_ascii_start() };
    let half = ahead.word().to_ascii_lowercase();
    if matches!(half.as_slice(), b"am" | b"pm") {
        if !(1..=12).contains(&hours) {
            return None;
        }
        let noon = if half == b"pm" { 43_200.0 } else { 0.0 };
        read.seconds += noon - if hours == 12 { 43_200.0 } else { 0.0 };
        read.halves = true;
        parts.rest = ahead.rest;
    }
    Some(read)
}

/// Reads the offset behind a time: `Z`, `+01:00`, `+0100`, `+01`.
fn offset(parts: &mut StampParts<'_>) -> Option<Option<i32>> {
    parts.blanks();
    if parts.rest.is_empty() {
        return Some(None);
    }
    if matches!(parts.rest, b"Z" | b"z" | b"UTC") {
        parts.rest = &[];
        return Some(Some(0));
    }
    let sign = if parts.one_of(b"+-")? == b'-' { -1 } else { 1 };
    let (mut hours, digits) = parts.whole()?;
    let mut minutes = 0;
    if digits == 4 {
        (hours, minutes) = (hours / 100, hours % 100);
    } else if parts.one_of(b":").is_some() {
        minutes = parts.whole()?.0;
    }
    if hours > 15 || minutes > 59 {
        return None;
    }
    Some(Some(sign * i32::try_from(hours * 3600 + minutes * 60).ok()?))
}

/// Reads a date and time.
pub fn moment(cell: &[u8], order: DateOrder) -> Option<Moment> {
    let mut parts = StampParts { rest: trim(cell) };
    let days = date(&mut parts, order)?;
    parts.one_of(b"T ,;_t")?;
    parts.blanks();
    let clock = clock(&mut parts)?;
    let offset = offset(&mut parts)?;
    let whole = parts.rest.is_empty() && clock.seconds < 86_401.0;
    whole.then_some(Moment { local: days * 86_400.0 + clock.seconds, offset })
}

/// Reads a date alone, as seconds since 1970.
pub fn day(cell: &[u8], order: DateOrder) -> Option<f64> {
    let mut parts = StampParts { rest: trim(cell) };
    let days = date(&mut parts, order)?;
    parts.rest.is_empty().then_some(days * 86_400.0)
}

/// Reads a time of day or an elapsed time: `7:40`, `07:40:00.5`, `7:40:00 PM`, `102:03:04`, `1d 02:03:04`.
pub fn of_day(cell: &[u8]) -> Option<TimeOfDay> {
    let mut parts = StampParts { rest: trim(cell) };
    let mut before = 0.0;
    if let Some(at) = parts.rest.iter().take(12).position(|byte| byte.eq_ignore_ascii_case(&b'd')) {
        let (days, rest) = parts.rest.split_at_checked(at)?;
        before = number(days.trim_ascii(), b'.').filter(|n| n.rest.is_empty())?.value * 86_400.0;
        let letters = rest.iter().take_while(|b| b.is_ascii_alphabetic() || matches!(b, b',' | b' ')).count();
        parts.rest = rest.get(letters..)?;
    }
    let mut read = clock(&mut parts)?;
    read.seconds += before;
    parts.rest.is_empty().then_some(read)
}

/// Returns true if the two leading numbers of a date tell its order: 13 or more can only be a day.
pub fn order_told(cell: &[u8]) -> Option<DateOrder> {
    let mut parts = StampParts { rest: trim(cell) };
    let (first, digits) = parts.whole()?;
    parts.one_of(b"-./")?;
    let (second, _) = parts.whole()?;
    match (digits, first > 12, second > 12) {
        (1 | 2, true, false) => Some(DateOrder::DayFirst),
        (1 | 2, false, true) => Some(DateOrder::MonthFirst),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn utc(text: &str) -> f64 {
        chrono::DateTime::parse_from_rfc3339(text).expect("a time").timestamp_millis() as f64 / 1000.0
    }

    #[test]
    fn dates_and_times_are_read_in_their_many_orders() {
        let wanted = utc("2026-11-02T19:40:05Z");
        for text in [
            "2026-11-02T19:40:05",
            "2026-11-02 19:40:05",
            "2026/11/02 19:40:05",
            "02.11.2026 19:40:05",
            "2.11.26 19:40:05",
            "02/11/2026 7:40:05 PM",
            "02-Nov-2026 19:40:05",
            "20261102T19:40:05",
            "\"2026-11-02, 19:40:05\"",
        ] {
            let read = moment(text.as_bytes(), DateOrder::DayFirst).unwrap_or_else(|| panic!("{text}"));
            assert_eq!((read.local, read.offset), (wanted, None), "{text}");
        }
        let read = moment(b"11/02/2026 19:40:05", DateOrder::MonthFirst).expect("read");
        assert_eq!(read.local, wanted);
        let zoned = moment(b"2026-11-02T20:40:05.250+01:00", DateOrder::DayFirst).expect("read");
        assert_eq!((zoned.seconds(), zoned.offset), (wanted + 0.25, Some(3600)));
        for bad in [
            "",
            "2026-13-02 10:00:00",
            "2026-11-02",
            "31/31/2026 10:00",
            "02/11/2026 25:61:00",
            "2026-11-02 10:00 x",
        ] {
            assert_eq!(moment(bad.as_bytes(), DateOrder::DayFirst), None, "{bad}");
        }
    }

    #[test]
    fn elapsed_times_may_pass_a_day() {
        let seconds = |text: &str| of_day(text.as_bytes()).map(|clock| clock.seconds);
        assert_eq!(seconds("0:01:02.5"), Some(62.5));
        assert_eq!(seconds("102:03:04"), Some(367_384.0));
        assert_eq!(seconds("1d 02:03:04"), Some(93_784.0));
        assert_eq!(seconds("1 days 02:03:04"), Some(93_784.0));
        assert_eq!(seconds("12:10:00 AM"), Some(600.0));
        assert_eq!(seconds("7:40"), Some(27_600.0));
        for bad in ["", "7", "7:4", "7:61:00", "x", "1d", "::"] {
            assert_eq!(seconds(bad), None, "{bad}");
        }
    }

    #[test]
    fn a_number_above_twelve_tells_the_order() {
        assert_eq!(order_told(b"21/01/2012 00:00:00"), Some(DateOrder::DayFirst));
        assert_eq!(order_told(b"01/21/2012 00:00:00"), Some(DateOrder::MonthFirst));
        assert_eq!(order_told(b"01/02/2012 00:00:00"), None);
        assert_eq!(order_told(b"2012/01/21"), None);
    }
}
