//! Slips of the hand, and going back: an answer is one step, a skip passes over one reading, a log begun by hand goes on
//! where it stands.

use fusetrail::circuit::builtin;
use fusetrail::hunt::question::{Answer, QuestionKind};
use fusetrail::hunt::take;
use fusetrail::log::entry::LogEvent;
use fusetrail::log::question_id::QuestionId;

use crate::bench::Bench;

fn hatch() -> Bench {
    Bench::on(builtin::MAPS.iter().find(|map| map.name == "hatch").expect("built in").text)
}

fn blank() -> Bench {
    Bench::on(builtin::MAPS.iter().find(|map| map.name == "blank").expect("built in").text)
}

/// What is asked before an answer to the open question is entered.
fn doubt(bench: &Bench, text: &str) -> Option<String> {
    let question = bench.open().expect("a question");
    take(&bench.case(), &question, &Answer::read(text, &question), bench.now()).sure.map(|sure| sure.prompt)
}

#[test]
fn back_in_the_list_of_a_lid_takes_the_last_line_back_whole() {
    let mut bench = blank();
    bench.until("hook-up.lid", &[]);
    for number in 1..=7 {
        bench.answer("hook-up.lid", &format!("F{number} mini 10 radio {number}"));
    }
    for left in (5..7).rev() {
        bench.answer("hook-up.lid", "back");
        assert_eq!(bench.case().map.feeds.len(), left);
        assert!(bench.open().expect("a question").prompt.contains(&format!("Fuse {}", left + 1)));
    }
    bench.answer("hook-up.lid", "F6 mini 15 lamp").answer("hook-up.lid", "F7 mini 5 clock");
    assert_eq!(bench.case().map.feeds.len(), 7);
    // Out of the list altogether, to what was asked before it.
    for _ in 0..7 {
        bench.answer("hook-up.lid", "back");
    }
    assert_eq!(bench.case().map.feeds.len(), 0);
    bench.answer("hook-up.lid", "back");
    assert!(bench.open().expect("a question").id.to_string().starts_with("hook-up."));
    assert_ne!(bench.open().expect("a question").id.to_string(), "hook-up.lid");
}

#[test]
fn back_takes_every_entry_of_an_answer_back_and_asks_it_again() {
    let mut bench = hatch();
    bench.until("trail.reading", &[("total.reading", "482mA"), ("settle.wait", "skip by hand")]);
    bench.answer("trail.reading", "drop C1=0.1 C2=0.2 C3=0.1");
    let before = bench.case().readings.len();
    bench.answer("trail.reading", "back");
    assert_eq!(bench.case().readings.len(), before - 3);
    assert_eq!(bench.open().expect("a question").id.to_string(), "trail.reading");
}

#[test]
fn a_skip_at_a_reading_passes_over_that_reading_only() {
    let mut bench = hatch();
    bench.until("trail.reading", &[("total.reading", "482mA"), ("settle.wait", "skip by hand")]);
    let mut seen = Vec::new();
    for _ in 0..4 {
        let question = bench.open().expect("a question");
        let QuestionKind::Reading(proposed) = &question.kind else { panic!("{question:?}") };
        let what = (proposed.kind, proposed.place());
        assert!(!seen.contains(&what), "{what:?} was passed over");
        seen.push(what);
        bench.answer("trail.reading", "skip cannot get at it");
    }
    let next = bench.analysis().plan().readings.clone();
    assert!(next.iter().all(|one| !seen.contains(&(one.action, one.at.clone().unwrap_or_default()))));
    // Whoever gets at it after all may read it.
    let place = seen[0].1.clone();
    bench.answer("trail.reading", "back");
    assert!(bench.open().is_ok() && !place.is_empty());
}

#[test]
fn slips_are_asked_about_before_they_are_entered() {
    let mut bench = hatch();
    bench.until("battery.volts", &[]);
    assert!(doubt(&bench, "122").is_some_and(|asked| asked.contains("12.2")), "{:?}", doubt(&bench, "122"));
    assert!(doubt(&bench, "143mV").is_some_and(|asked| asked.contains("14.3")));
    assert_eq!(doubt(&bench, "12.6"), None);
    bench.until("settle.wait", &[("battery.volts", "12.6")]);
    bench.answer("settle.wait", "143 mA");
    assert!(doubt(&bench, "0,143").is_some_and(|asked| asked.contains("143")));
    bench.answer("settle.wait", "skip by hand");
    assert!(doubt(&bench, "0,143").is_some(), "the total that leads to \"within\"");
    bench.answer("total.reading", "411mA").until("trail.reading", &[("total.volts", "12.6")]);
    assert!(doubt(&bench, "pull C3 4 411").is_some_and(|asked| asked.contains("swapped")));
    assert_eq!(doubt(&bench, "pull C3 411 4"), None);
    assert!(doubt(&bench, "C3 0.413mV").is_some_and(|asked| asked.contains("digits")));
    assert_eq!(doubt(&bench, "C3 0.4mV"), None);
    // Once said to be right, the digits are the meter's own.
    bench.answer("trail.reading", "C3 0.413mV");
    assert_eq!(doubt(&bench, "C4 0.117mV"), None);
}

#[test]
fn a_rating_in_the_place_of_a_name_is_asked_about() {
    let mut bench = blank();
    bench.until("hook-up.lid", &[]);
    assert!(doubt(&bench, "10A mini 10 radio").is_some_and(|asked| asked.contains("10A")));
    assert_eq!(doubt(&bench, "F10 mini 10 radio"), None);
}

#[test]
fn a_log_with_readings_goes_on_where_it_stands() {
    let mut bench = hatch();
    bench.enter("total 482mA").enter("drop C1=0.1 C2=0.2");
    let mut asked = Vec::new();
    for _ in 0..3 {
        let question = bench.open().expect("a question");
        asked.push(question.id.to_string());
        if question.id.to_string() == "trail.reading" {
            break;
        }
        let id = question.id.to_string();
        bench.answer(&id, if id.starts_with("caution") { "yes" } else { "" });
    }
    assert_eq!(asked.last().map(String::as_str), Some("trail.reading"), "{asked:?}");
    let case = bench.case();
    assert!(asked.len() <= 2 && case.answer(QuestionId::CautionBattery) == Some("yes"), "{asked:?}");
}

#[test]
fn a_log_with_drops_and_no_total_is_asked_for_the_total() {
    let mut bench = hatch();
    bench.enter("drop C1=0.1 C2=0.2");
    bench.answer("caution.page", "yes");
    assert_eq!(bench.open().expect("a question").id.to_string(), "total.reading");
}

#[test]
fn leaving_has_the_words_that_people_type() {
    let question = hatch().open().expect("a question");
    for word in ["quit", "q", "exit", " Q "] {
        assert_eq!(Answer::read(word, &question), Answer::Quit, "{word}");
    }
    assert_eq!(Answer::read("list", &question), Answer::List);
}

/// A step that was taken back stays taken back, and the one before it is next.
#[test]
fn going_back_twice_takes_two_answers_back() {
    let mut bench = hatch();
    bench.enter("total 482mA").enter("drop C1=0.1 C2=0.2").enter("note seen");
    let mut left = vec![];
    for _ in 0..3 {
        let strikes = bench.case().taking_back("undo");
        assert!(strikes.iter().all(LogEvent::takes_back) && !strikes.is_empty());
        bench.enter_events(strikes);
        left.push((bench.case().readings.len(), bench.case().notes.len()));
    }
    assert_eq!(left, [(3, 0), (1, 0), (0, 0)]);
    assert!(bench.case().taking_back("undo").is_empty());
}
