//! Entries as text: every kind, and any text, comes back as it was.

use fusetrail::circuit::learnt::LearntShares;
use fusetrail::log::identity::Identity;
use std::collections::BTreeSet;
use std::fs;

use fusetrail::base::quantity::{Typed, Volt};
use fusetrail::log::entry::LogEvent;
use fusetrail::log::question_id::QuestionKey;
use fusetrail::log::schema;
use fusetrail::log::schema::keys::{self, Form, Presence};
use fusetrail::log::store::{Store, read_only};
use proptest::prelude::*;
use serde_yaml::Mapping;

use crate::world::{at, every_kind, first, place, strike, write_log};

#[test]
fn every_kind_comes_back_from_the_file_as_it_was() {
    let (_folder, path) = place();
    let mut bodies = every_kind();
    bodies.push(strike(2));
    write_log(&path, &bodies);
    let found = read_only(&path).expect("sound").entries;
    assert_eq!(found[0], first());
    assert_eq!(found[1..].iter().map(|entry| entry.body.clone()).collect::<Vec<_>>(), bodies);
}

/// The text of a log is a format that other programs read: it changes on purpose only.
#[test]
fn the_text_of_an_entry_is_as_documented() {
    let text = |body: &LogEvent| schema::write(&at(0, body.clone())).expect("written");
    let kinds = every_kind();
    assert_eq!(
        text(&kinds[9]),
        "- at: \"2026-11-25T07:10:00+01:00\"\n  entry: drop\n  feed: F12\n  drop: {typed: \"-0,41 mV\", \
         value: -0.00041, unit: V, step: 0.00001}\n  meter: tenth-mv\n  zero: 4\n  temperature_c: -3.25\n  \
         provisional: true\n  after_repair: true\n"
    );
    assert_eq!(
        text(&kinds[0]),
        "- at: \"2026-11-25T07:10:00+01:00\"\n  entry: answer\n  question: battery.volts\n  answer: \"no\"\n"
    );
    let open = schema::write(&first()).expect("written");
    assert!(open.contains("\n  format: fusetrail-hunt/1\n"), "{open}");
    assert!(open.contains("\n    feeds:\n      - {id: L1, from: battery, box: battery-top,"), "{open}");
}

/// The schema of the log is made from these keys: they are those that are written, no more and no fewer.
#[test]
fn every_kind_is_written_with_the_keys_that_its_schema_tells() {
    let known = keys::kinds();
    let mut bodies = every_kind();
    let learnt = LearntShares { cases: 3, shares: vec![("lamp".to_owned(), 20.0)] };
    let told = Identity::read("plate=AB 12 vin=1").expect("an identity");
    bodies.extend([strike(2), first().body, LogEvent::Vehicle(told), LogEvent::Weights(learnt)]);
    let mut seen = BTreeSet::new();
    for body in &bodies {
        let (kind, told) = known.iter().find(|(kind, _)| *kind == schema::kind(body)).expect("a known kind");
        let text = schema::write(&at(0, body.clone())).expect("written");
        let items: Vec<Mapping> = serde_yaml::from_str(&text).expect("an item");
        let written: Vec<&str> = items[0].keys().filter_map(|key| key.as_str()).skip(2).collect();
        let due = told.iter().filter(|key| key.presence != Presence::If || written.contains(&key.name));
        assert_eq!(written, due.map(|key| key.name).collect::<Vec<_>>(), "{kind}");
        for key in told.iter().filter(|key| written.contains(&key.name)) {
            let value = items[0].get(key.name).expect("written");
            let fits = match key.form {
                Form::Text => value.is_string(),
                Form::Flag => value.as_bool() == Some(true),
                Form::Whole => value.is_u64() || key.presence == Presence::OrNull && value.is_null(),
                Form::Number => value.is_number() || key.presence == Presence::OrNull && value.is_null(),
                Form::Typed(unit) => value.get("unit").and_then(|found| found.as_str()) == Some(unit),
                Form::Profile | Form::Map => value.is_mapping(),
                Form::Temperatures | Form::List(_) => value.is_sequence(),
            };
            assert!(fits, "{kind}: {} is {value:?}", key.name);
        }
        seen.insert(*kind);
    }
    assert_eq!(seen, known.iter().map(|(kind, _)| *kind).collect(), "a kind is written by no example");
}

#[test]
fn times_keep_their_instant_and_their_offset() {
    for time in ["2026-11-25T07:10:00.123456789-03:30", "2026-12-31T23:59:60Z", "0000-01-01T00:00:00+14:00"] {
        let mut entry = at(0, every_kind()[0].clone());
        entry.at = chrono::DateTime::parse_from_rfc3339(time).expect("a time");
        let read = schema::read(&schema::write(&entry).expect("written")).expect("read");
        assert_eq!((read.at, read.at.offset()), (entry.at, entry.at.offset()));
    }
    let mut entry = at(0, every_kind()[0].clone());
    entry.at = chrono::DateTime::<chrono::Utc>::MAX_UTC.fixed_offset();
    assert!(schema::write(&entry).is_err());
}

#[test]
fn what_cannot_be_computed_with_is_not_written() {
    let mut body = every_kind()[2].clone();
    if let LogEvent::Zero { offset } = &mut body {
        offset.step = f64::NAN;
    }
    assert!(schema::write(&at(0, body)).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn any_text_comes_back_from_the_file(
        texts in prop::collection::vec(prop_oneof![any::<String>(), "[ -~]{0,40}", "[-+0-9_:.eExXT]{1,12}"], 1..6)
    ) {
        let (_folder, path) = place();
        let mut store = Store::create(&path, &first()).expect("created");
        for text in &texts {
            let body = LogEvent::Answer { question: QuestionKey::read(text), answer: text.clone() };
            store.append(&[at(1, body)]).expect("appended");
        }
        drop(store);
        let found = read_only(&path).expect("sound");
        prop_assert_eq!((found.torn, found.edited), (None, vec![]));
        let raw = fs::read_to_string(&path).expect("a text");
        prop_assert!(!raw.chars().any(|c| c.is_control() && c != '\n'));
        for (entry, text) in found.entries[1..].iter().zip(&texts) {
            let wanted = LogEvent::Answer { question: QuestionKey::read(text), answer: text.clone() };
            prop_assert_eq!(&entry.body, &wanted);
        }
    }

    #[test]
    fn any_finite_number_comes_back_exactly(value in any::<f64>(), step in any::<f64>(), text in any::<String>()) {
        let offset = Typed::measured(Volt::new(value), step, text);
        let entry = at(1, LogEvent::Zero { offset });
        match schema::write(&entry) {
            Ok(text) => prop_assert_eq!(schema::read(&text).expect("what was written"), entry),
            Err(_) => prop_assert!(!value.is_finite() || !step.is_finite()),
        }
    }

    #[test]
    fn any_bytes_at_all_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300), keep in 0..1200_usize) {
        let (_folder, path) = place();
        let (mut log, _) = write_log(&path, &every_kind()[..2]);
        log.truncate(keep);
        log.extend(bytes);
        fs::write(&path, log).expect("written");
        let _ = read_only(&path);
    }
}
