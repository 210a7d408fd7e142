//! What every fuzz target checks besides "no panic": what is shown can't move the cursor, numbers are finite, and
//! what is written reads back as it was.

use chrono::{DateTime, FixedOffset};
use fusetrail::circuit::check::check;
use fusetrail::circuit::map::Map;
use fusetrail::circuit::meters;
use fusetrail::cli::paint::paint;
use fusetrail::base::diagnostic::{Diagnostic, Faults};
use fusetrail::base::styled::StyledText;
use fusetrail::base::quantity::{Typed, Unit};
use fusetrail::log::case::Case;
use fusetrail::log::entry::{LogEvent, Entry, Opened};
use fusetrail::log::replay::fold;

/// The time at which everything happens.
pub fn now() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-01-12T07:00:00+01:00").expect("a time")
}

/// Asserts that lines as a terminal without colours gets them hold no control character but the line end.
pub fn assert_clean(lines: &[StyledText]) {
    let shown = paint(lines, 80, false);
    assert!(!shown.chars().any(|c| c.is_control() && c != '\n'), "a control character is shown: {shown:?}");
}

/// Asserts that a fault says something, and says it cleanly.
pub fn assert_said(fault: &Diagnostic) {
    assert!(!fault.what.trim().is_empty(), "a fault that says nothing: {fault:?}");
    assert_clean(&[StyledText::plain(fault.to_string())]);
}

/// As [`assert_said`], for all of them; there is at least one.
pub fn assert_all_said(faults: &Faults) {
    assert!(!faults.0.is_empty(), "refused without a word");
    faults.0.iter().for_each(assert_said);
}

/// Asserts that a value that was taken can be computed with.
pub fn assert_finite<U: Unit>(typed: &Typed<U>) {
    assert!(typed.value.base().is_finite(), "{typed:?}");
    assert!(typed.step.is_finite() && typed.step >= 0.0, "{typed:?}");
}

/// Asserts that a sound map is one still after it was written and read.
pub fn assert_comes_back(map: &Map) {
    let text = map.to_yaml().expect("a sound map can be written");
    let again = check("again", &text).unwrap_or_else(|faults| panic!("{faults}\n{text}")).0;
    assert_eq!(*map, again, "{text}");
}

/// Makes the first entry of a log on a map.
pub fn opened(map: &Map) -> Entry {
    let opened = Opened {
        program: "fuzz".into(),
        tables: "fuzz".into(),
        map: map.to_yaml().expect("a sound map can be written"),
        meter: meters::find("tenth-mv", true).expect("built in"),
        clamp: meters::find("clamp-1ma", false).expect("built in"),
        temperatures: vec![],
        limit: None,
        reserve: None,
        practice: None,
    };
    Entry::new(now(), LogEvent::Open(Box::new(opened)))
}

/// Returns the case of a log that was only opened.
pub fn case_on(map: &Map) -> Case {
    fold(&[opened(map)]).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Keys under which a document for programs has a number wherever it has the key at all.
const NUMBERS: [&str; 8] = ["value", "u", "low", "high", "probability", "minutes", "bits", "seconds"];

/// Asserts that a document for programs holds no number that was not finite: such a number becomes null.
pub fn assert_no_lost_number(document: &serde_json::Value) {
    match document {
        serde_json::Value::Array(items) => items.iter().for_each(assert_no_lost_number),
        serde_json::Value::Object(entries) => {
            for (key, value) in entries {
                assert!(!value.is_null() || !NUMBERS.contains(&key.as_str()), "{key} is null in {document}");
                assert_no_lost_number(value);
            }
        }
        _ => {}
    }
}
