//! Whatever is typed: values with units, ratings of batteries, times, names of live meters, lines at a reading.
//! Checks: what is taken is finite and means the same when its own text is read again; refusals are said cleanly; a
//! line that a hunt takes leaves a log that adds up and reads back.
#![no_main]

use std::sync::OnceLock;

use fusetrail::base::quantity::parse::Readable;
use fusetrail::base::quantity::show::bare;
use fusetrail::base::quantity::{Ampere, AmpereHour, Celsius, Minute, Ohm, Unit, Volt};
use fusetrail::battery::rating;
use fusetrail::circuit::builtin;
use fusetrail::cli::clock::read_time;
use fusetrail::cli::live::spec::Spec;
use fusetrail::hunt::question::Question;
use fusetrail::hunt::stage::search;
use fusetrail::log::case::Case;
use fusetrail::log::entry::Entry;
use fusetrail::log::question_id::QuestionId;
use fusetrail::log::replay::fold;
use fusetrail::log::schema;
use fusetrail::log::typed::Proposed;
use fusetrail::measure::kind::MeasurementKind;
use fusetrail_fuzz::{assert_clean, assert_finite, assert_said, case_on, now, opened};
use libfuzzer_sys::fuzz_target;

fn value<U: Readable>(text: &str, bare_units: &[&str]) {
    for bare in bare_units {
        match U::read(text, bare) {
            Ok(typed) => {
                assert_finite(&typed);
                assert_eq!(U::read(&typed.text, bare).as_ref(), Ok(&typed), "read otherwise a second time");
            }
            Err(fault) => assert_said(&fault),
        }
    }
}

fn shown<U: fusetrail::base::quantity::show::Shown>(value: U) {
    let text = bare(value, 3);
    assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
}

fn values_of_every_kind(text: &str) {
    value::<Volt>(text, &["mV", "V"]);
    value::<Ampere>(text, &["mA", "A"]);
    value::<Ohm>(text, &["mohm", "ohm"]);
    value::<Minute>(text, &["min", "s", "d", "h"]);
    value::<Celsius>(text, &["C", "F"]);
    value::<AmpereHour>(text, &["Ah"]);
    if let Ok(current) = Ampere::read(text, "mA") {
        shown(current.value);
    }
    if let Ok(ratings) = rating::read(text) {
        ratings.capacity.into_iter().for_each(|one| assert!(one.base() > 0.0 && one.base().is_finite()));
        ratings.reserve.into_iter().for_each(|one| assert!(one.base() > 0.0 && one.base().is_finite()));
        ratings.cranking.into_iter().for_each(|one| assert!(one.base() > 0.0 && one.base().is_finite()));
    }
    if let Ok(time) = read_time(text) {
        assert_eq!(read_time(&time.to_rfc3339()), Ok(time));
    }
    if let Err(fault) = Spec::read(text) {
        assert_said(&fault);
    }
}

fn line_at_a_reading(text: &str) {
    static OPENED: OnceLock<(Entry, Case)> = OnceLock::new();
    let (first, case) = OPENED.get_or_init(|| {
        let map = builtin::map("motorcycle").expect("built in");
        (opened(&map), case_on(&map))
    });
    let question = Question::line(QuestionId::TrailReading, "What?", "Help.")
        .reading(Proposed::at(MeasurementKind::Drop, "F2"));
    let taken = search::take_reading(case, &question, text, now());
    assert!(!taken.entries.is_empty() || !taken.say.is_empty(), "neither entered nor refused");
    assert_clean(&taken.say);
    if taken.entries.is_empty() {
        return;
    }
    let mut entries = vec![first.clone()];
    entries.extend(taken.entries.into_iter().map(|body| Entry::new(now(), body)));
    if let Err(faults) = fold(&entries) {
        panic!("taken, but does not add up: {faults}");
    }
    for entry in &entries {
        let item = schema::write(entry).expect("what was taken can be written");
        assert_eq!(schema::read(&item).as_ref(), Ok(entry), "{item}");
    }
}

fuzz_target!(|text: &str| {
    values_of_every_kind(text);
    line_at_a_reading(text);
});
