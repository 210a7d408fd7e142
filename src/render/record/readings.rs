//! The readings of a hunt as rows: for the sweep table of the page and as CSV. One row is one entry with a figure or a
//! finding, struck ones included and marked.
//! Leaves to others: what follows from them (`findings`).

use serde_json::Value;

use super::source::RecordSource;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::show::{Shown, q};
use crate::base::quantity::{Typed, Unit};
use crate::base::styled::clean;
use crate::hunt::analysis::Analysis;
use crate::log::entry::LogEvent;
use crate::log::schema::kind;
use crate::measure::kind::{SlotValue, TypedSlot};
use crate::text;

/// Columns of the CSV.
const COLUMNS: [&str; 20] = [
    "entry",
    "at",
    "kind",
    "place",
    "load",
    "first",
    "second",
    "third",
    "unit",
    "third_unit",
    "word",
    "current_ma",
    "low_ma",
    "high_ma",
    "floor_ma",
    "meter",
    "temperature_c",
    "provisional",
    "after_repair",
    "struck",
];

/// One reading.
#[derive(Debug, Default)]
pub struct ReadingRow {
    /// Number of its entry.
    pub entry: usize,
    /// When, with offset.
    pub at: String,
    /// Its kind, as the log has it.
    pub kind: String,
    /// Fuse, item, input or box; empty at the battery.
    pub place: String,
    /// Load behind the place, if one was meant.
    pub load: String,
    /// The values in the order in which they were typed, each with its unit.
    pub values: Vec<(f64, &'static str)>,
    /// What was found, where it is a word.
    pub word: String,
    /// What it came to, in mA: value, low, high, floor.
    pub current: Option<[f64; 4]>,
    /// Meter or clamp.
    pub meter: String,
    /// Temperature of its box, °C, where it was told.
    pub temperature: Option<f64>,
    /// Taken before sleep was proved.
    pub provisional: bool,
    /// Taken after the repair.
    pub after_repair: bool,
    /// Struck later.
    pub struck: bool,
    /// All of it in words, as it was typed.
    pub said: String,
}

fn number<U: Shown>(typed: &Typed<U>) -> (f64, &'static str) {
    (typed.value.base() * U::JSON_FACTOR, U::JSON_UNIT)
}

/// Rounds away what binary arithmetic leaves behind.
fn tidy(value: f64) -> f64 {
    (value * 1e9).round() / 1e9 + 0.0
}

/// Returns the readings, oldest first.
pub fn rows(source: &RecordSource, analysis: &Analysis) -> Vec<ReadingRow> {
    let entries = (1..).zip(source.entries);
    entries
        .filter_map(|(entry, one)| {
            let mut row = ReadingRow {
                entry,
                at: one.at.to_rfc3339(),
                kind: kind(&one.body).to_owned(),
                struck: source.case.struck_by(entry).is_some(),
                said: text::entry::said(&one.body),
                ..ReadingRow::default()
            };
            fill(&mut row, &one.body)?;
            let seen = analysis.observed.observations.iter().find(|seen| seen.entry == entry);
            row.current = seen.map(|seen| {
                let current = q(&seen.current);
                [current.value, current.low, current.high, tidy(seen.floor.milli())]
            });
            Some(row)
        })
        .collect()
}

/// Fills in what was measured; `None` if the entry is no reading.
fn fill(row: &mut ReadingRow, body: &LogEvent) -> Option<()> {
    match body {
        LogEvent::Watched(seen) => {
            let rest = seen.level.or_else(|| seen.ledger.lines.first().map(|line| line.peak));
            let (rest, average) = (rest?, seen.average?);
            row.values.extend([(rest.milli(), "mA"), (average.milli(), "mA"), (seen.span.base(), "min")]);
        }
        LogEvent::Zero { offset } => row.values.push(number(offset)),
        LogEvent::Volts { volts } => row.values.push((volts.value.base(), "V")),
        LogEvent::Temperature { place, temperature } => {
            row.place = place.clone().unwrap_or_default();
            row.values.push(number(temperature));
        }
        LogEvent::Reading(measured) => {
            let parts = measured.what.parts();
            let mut names = parts.names.into_iter();
            row.place = names.next().unwrap_or_default();
            row.load = names.next().unwrap_or_default();
            for value in parts.values {
                match value {
                    TypedSlot::Volt(volts) => row.values.push(number(&volts)),
                    TypedSlot::Ampere(current) => row.values.push(number(&current)),
                    TypedSlot::Celsius(degrees) => row.values.push(number(&degrees)),
                    TypedSlot::Minute(time) => row.values.push(number(&time)),
                    TypedSlot::Word(word) => row.word = word,
                    TypedSlot::Flag(true) => row.word = flag_of(measured.what.kind().row().slots),
                    TypedSlot::Flag(false) => {}
                }
            }
            row.meter.clone_from(&measured.meter);
            row.temperature = measured.temperature.map(|degrees| degrees.base());
            row.provisional = measured.provisional;
            row.after_repair = measured.after_repair;
        }
        _ => return None,
    }
    row.values.iter_mut().for_each(|(value, _)| *value = tidy(*value));
    Some(())
}

fn flag_of(slots: &[crate::measure::kind::Slot]) -> String {
    let flag = slots.iter().find_map(|slot| match slot.value {
        SlotValue::Flag(word) => Some(word.trim_start_matches('-')),
        _ => None,
    });
    flag.unwrap_or_default().to_owned()
}

/// Makes a text safe for a table calculation: what it might take for a formula gets an apostrophe before it.
pub fn inert(text: &str) -> String {
    let text = clean(text);
    match text.trim_start().chars().next() {
        Some('=' | '+' | '-' | '@' | '|' | '%' | '\u{ff1d}' | '\u{ff0b}' | '\u{ff0d}' | '\u{ff20}') => {
            format!("'{text}")
        }
        _ => text,
    }
}

/// Returns the readings as CSV, with a heading; numbers with a decimal point, in the units that the columns name.
///
/// # Errors
/// The text cannot be put together, which does not happen in memory.
pub fn csv(rows: &[ReadingRow]) -> Result<String, Diagnostic> {
    let fault = |told: String| Diagnostic::new(told);
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(COLUMNS).map_err(|error| fault(error.to_string()))?;
    for row in rows {
        let value = |at: usize| row.values.get(at).map(|(value, _)| Value::from(*value).to_string());
        let unit = |at: usize| row.values.get(at).map(|(_, unit)| (*unit).to_owned());
        let came =
            |at: usize| row.current.and_then(|all| all.get(at).map(|one| Value::from(*one).to_string()));
        let cells = [
            Some(row.entry.to_string()),
            Some(row.at.clone()),
            Some(row.kind.clone()),
            Some(inert(&row.place)),
            Some(inert(&row.load)),
            value(0),
            value(1),
            value(2),
            unit(0),
            unit(2),
            Some(inert(&row.word)),
            came(0),
            came(1),
            came(2),
            came(3),
            Some(inert(&row.meter)),
            row.temperature.map(|degrees| degrees.to_string()),
            Some(row.provisional.to_string()),
            Some(row.after_repair.to_string()),
            Some(row.struck.to_string()),
        ];
        let cells = cells.map(Option::unwrap_or_default);
        out.write_record(cells).map_err(|error| fault(error.to_string()))?;
    }
    let bytes = out.into_inner().map_err(|error| fault(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| fault(error.to_string()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_looks_like_a_formula_is_made_a_text() {
        for text in ["=cmd|' /C calc'!A0", "+1", "-1+2", "@SUM(A1)", "|x", "%y"] {
            assert_eq!(inert(text), format!("'{text}"));
        }
        assert_eq!(inert("\t=x"), "' =x");
        assert_eq!(inert("F12"), "F12");
    }
}
