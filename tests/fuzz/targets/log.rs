//! The bytes of a session log. Checks: entries read back from what they are written as; the torn tail is what follows
//! the whole; striking adds up; what folds can be analysed, asked about, recorded.
#![no_main]

use fusetrail::circuit::tree::Tree;
use fusetrail::hunt::analysis::Analysis;
use fusetrail::hunt::{NextStep, next};
use fusetrail::log::case::Case;
use fusetrail::log::contents::{self, Held};
use fusetrail::log::entry::LogEvent;
use fusetrail::log::replay::fold;
use fusetrail::log::{schema, seal};
use fusetrail::render::json::suspects::{AccountShape, SuspectsShape};
use fusetrail::render::record::{self, RecordSource};
use fusetrail::render::redact::Redaction;
use fusetrail_fuzz::{assert_all_said, assert_clean, assert_no_lost_number};
use libfuzzer_sys::fuzz_target;
use serde_json::json;

/// Most branches and readings with which a case is analysed: the time of that is watched by the benches.
const BRANCHES: usize = 40;
const READINGS: usize = 12;

/// Writes the entries anew, with seals, and asserts that this log holds the same.
fn assert_comes_back(held: &Held) {
    let mut last = seal::START.to_owned();
    let mut text = String::new();
    for entry in &held.entries {
        if matches!(entry.body, LogEvent::Unknown { .. }) {
            return;
        }
        let Ok(mut item) = schema::write(entry) else { return };
        last = seal::close(&last, &mut item);
        text.push_str(&item);
    }
    let again = contents::read(text.as_bytes()).unwrap_or_else(|why| panic!("{why:?}\n{text}"));
    assert_eq!((&again.entries, again.whole), (&held.entries, text.len()), "{text}");
    assert!(again.edited.is_empty() && again.seal == last, "{text}");
}

fn assert_can_be_used(held: &Held, case: &Case) {
    let analysis = Analysis::of(case);
    assert_no_lost_number(&json!(SuspectsShape::of(&analysis)));
    assert_no_lost_number(&json!(AccountShape::of(&analysis)));
    let step = next(case, case.last_at);
    assert_clean(&step.say);
    match step.next {
        NextStep::Ask(question) => assert!(!question.prompt.is_empty() && !question.help.is_empty()),
        NextStep::Done { why } => assert!(!why.is_empty()),
    }
    let source = RecordSource {
        entries: &held.entries,
        case,
        seal: &held.seal,
        edited: &held.edited,
        torn: None,
        redaction: Redaction(false),
    };
    record::to_yaml(&source).expect("a record");
}

fuzz_target!(|bytes: &[u8]| {
    let Ok(held) = contents::read(bytes) else { return };
    assert!(held.whole <= bytes.len());
    let whole = contents::read(&bytes[..held.whole]).expect("the whole of it reads");
    assert_eq!(whole, held, "the torn tail changes what the rest says");
    assert_comes_back(&held);
    match fold(&held.entries) {
        Ok(case) => {
            if Tree::new(&case.map).branches().len() <= BRANCHES && case.readings.len() <= READINGS {
                assert_can_be_used(&held, &case);
            }
        }
        Err(faults) => assert_all_said(&faults),
    }
});
