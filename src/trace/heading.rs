//! What the words above a column say: its unit, and whether it is a time, a current, or something else.
//! Leaves to others: the cells (`dialect`), the choice (`choose`).

use super::cell::{CellUnit, unit};

/// What a column is called.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Heading {
    /// The words, from one or two rows.
    pub name: String,
    /// The unit that they name.
    pub unit: Option<CellUnit>,
    /// What they hint at.
    pub hint: HeadingHint,
}

/// What a heading hints at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum HeadingHint {
    /// Nothing.
    #[default]
    Nothing,
    /// A time.
    Time,
    /// An elapsed time.
    Elapsed,
    /// A number that counts the rows.
    Count,
    /// A current.
    Current,
    /// A voltage.
    Voltage,
    /// Something else that is measured.
    Other,
}

const ELAPSED: [&str; 8] =
    ["elapsed", "duration", "runtime", "relative", "dauer", "laufzeit", "since", "offset"];
const TIME: [&str; 10] =
    ["time", "zeit", "date", "datum", "stamp", "epoch", "unix", "uhrzeit", "heure", "hora"];
const COUNT: [&str; 8] = ["index", "no", "nr", "record", "sample", "row", "count", "reading no"];
const CURRENT: [&str; 8] = ["current", "strom", "courant", "corriente", "corrente", "amps", "amp", "draw"];
const VOLTAGE: [&str; 4] = ["volt", "spannung", "tension", "voltage"];
const OTHER: [&str; 8] = ["temp", "humid", "power", "charge", "energy", "resistance", "status", "frequency"];

impl Heading {
    /// Makes a heading from the cells above a column, the lowest last.
    pub fn new(parts: &[&str]) -> Self {
        let unit = parts.iter().rev().find_map(|part| unit_in(part));
        let name: String =
            parts.iter().map(|part| part.trim_matches(['"', '\''])).collect::<Vec<_>>().join(" ");
        let hint = hint(&name, unit);
        Self { name, unit, hint }
    }
}

fn hint(name: &str, unit: Option<CellUnit>) -> HeadingHint {
    let folded = name.to_lowercase();
    let words: Vec<&str> =
        folded.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let has = |list: &[&str]| {
        list.iter().any(
            |wanted| {
                if wanted.len() > 3 { folded.contains(wanted) } else { words.contains(wanted) }
            },
        )
    };
    match unit {
        Some(CellUnit::Current(_)) => return HeadingHint::Current,
        Some(CellUnit::Voltage(_)) => return HeadingHint::Voltage,
        Some(CellUnit::Other) => return HeadingHint::Other,
        Some(CellUnit::Time(_)) | None => {}
    }
    if has(&ELAPSED) {
        HeadingHint::Elapsed
    } else if has(&TIME) || unit.is_some() || words == ["t"] {
        HeadingHint::Time
    } else if has(&CURRENT) || words.first().is_some_and(|word| matches!(*word, "i" | "idc" | "ibat")) {
        HeadingHint::Current
    } else if has(&VOLTAGE) || words.first().is_some_and(|word| matches!(*word, "u" | "v" | "vbat" | "ubat"))
    {
        HeadingHint::Voltage
    } else if has(&OTHER) {
        HeadingHint::Other
    } else if has(&COUNT) || folded.trim() == "#" {
        HeadingHint::Count
    } else {
        HeadingHint::Nothing
    }
}

/// Finds the unit in a heading: in brackets, behind a slash or an underline, as its last word, or the whole.
fn unit_in(part: &str) -> Option<CellUnit> {
    let part = part.trim().trim_matches(['"', '\'']);
    if let Some(found) = unit(part) {
        return Some(found);
    }
    let brackets = [('(', ')'), ('[', ']'), ('{', '}')];
    for (open, close) in brackets {
        let inside = part.rsplit_once(open).and_then(|(_, tail)| tail.split_once(close));
        if let Some(found) = inside.and_then(|(inside, _)| unit(inside)) {
            return Some(found);
        }
    }
    let last = part.rsplit(['/', '_', ' ', '-', ',']).next()?;
    // A single letter behind a blank may be anything: "channel A", "mode V".
    let told = last.chars().count() > 1 || part.contains(['/', '_', ',']) || is_current_word(part);
    if last.len() < part.len() && told { unit(last) } else { None }
}

fn is_current_word(part: &str) -> bool {
    let folded = part.to_lowercase();
    CURRENT.iter().chain(&VOLTAGE).chain(&TIME).chain(&ELAPSED).any(|word| folded.starts_with(word))
}

/// Returns what stands between columns, in words.
pub fn separator_words(separator: u8) -> &'static str {
    match separator {
        b'\t' => "columns parted by tabs",
        b';' => "columns parted by semicolons",
        b'|' => "columns parted by bars",
        b' ' => "columns parted by blanks",
        _ => "columns parted by commas",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_found_where_people_put_them() {
        let ma = Some(CellUnit::Current(1e-3));
        for name in
            ["Current (mA)", "I [mA]", "current_ma", "Strom/mA", "mA", "Current mA", "I_mA", "Draw, mA"]
        {
            assert_eq!(Heading::new(&[name]).unit, ma, "{name}");
        }
        assert_eq!(Heading::new(&["Current", "A"]).unit, Some(CellUnit::Current(1.0)));
        assert_eq!(Heading::new(&["I (\u{b5}A)"]).unit, Some(CellUnit::Current(1e-6)));
        assert_eq!(Heading::new(&["Channel A"]).unit, None);
        assert_eq!(Heading::new(&["Elapsed (min)"]).unit, Some(CellUnit::Time(60.0)));
    }

    #[test]
    fn headings_hint_at_what_a_column_is() {
        for (name, wanted) in [
            ("Time", HeadingHint::Time),
            ("Elapsed s", HeadingHint::Elapsed),
            ("Record No", HeadingHint::Count),
            ("Battery current", HeadingHint::Current),
            ("I", HeadingHint::Current),
            ("Vbat", HeadingHint::Voltage),
            ("Temperature", HeadingHint::Other),
            ("T (°C)", HeadingHint::Other),
            ("Ch1", HeadingHint::Nothing),
        ] {
            assert_eq!(Heading::new(&[name]).hint, wanted, "{name}");
        }
    }
}
