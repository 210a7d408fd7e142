//! Rules that every proposal must keep, and what happens when a hunt is answered badly.

use crate::bench::Bench;
use crate::follow::assert_allowed;
use fusetrail::circuit::builtin;
use fusetrail::hunt::question::{Answer, QuestionKind};
use fusetrail::hunt::{next, take};
use fusetrail::measure::kind::MeasurementKind;

#[test]
fn no_drop_pull_or_unplug_is_proposed_on_guarded_circuits() {
    for map in builtin::MAPS.iter().filter(|map| map.name != "blank") {
        for total in ["90", "600", "2.5A"] {
            let mut bench = Bench::on(map.text);
            bench.enter("zero 0.0").enter(&format!("total {total}"));
            let analysis = bench.analysis();
            let excess = analysis.excess.as_ref().expect("a total").value();
            for proposal in analysis.plan().readings.iter().filter(|one| one.action != MeasurementKind::Zero)
            {
                assert_allowed(proposal, &analysis.panel);
                let floor = proposal.floor.as_ref().map(fusetrail::base::quantity::Uncertain::value);
                assert!(
                    floor.is_none_or(|floor| floor < excess),
                    "{} {:?}: it can't show the excess",
                    map.name,
                    proposal.at
                );
            }
        }
    }
}

#[test]
fn an_invalid_answer_enters_nothing_and_says_what_would_be_right() {
    let mut bench = Bench::on(builtin::MAPS[0].text);
    bench.until("trail.reading", &[("total.reading", "482")]);
    let question = bench.open().expect("a reading");
    for text in
        ["3.0 °C", "F99 3.0", "1,234.5 mV", "nan", "pull L1 482", "unplug F99/radio 1 2", "others", ""]
    {
        let taken = take(&bench.case(), &question, &Answer::Text(text.into()), bench.case().last_at);
        assert!(taken.entries.is_empty(), "{text} was entered: {:?}", taken.entries);
        assert!(!taken.say.is_empty() && !taken.say[0].text().is_empty(), "{text}");
    }
}

#[test]
fn back_returns_to_the_question_before() {
    let mut bench = Bench::on(builtin::MAPS[0].text);
    bench.until("battery.test", &[]);
    bench.answer("battery.test", "good").answer("battery.volts", "back");
    assert_eq!(bench.open().expect("a question").id.to_string(), "battery.test");
}

#[test]
fn every_question_explains_itself_and_the_hunt_always_has_a_next_step() {
    let mut bench = Bench::on(builtin::MAPS[0].text);
    let now = bench.case().last_at;
    for _ in 0..200 {
        let Ok(question) = bench.open() else { return };
        assert!(question.help.len() > 20, "{} has no help", question.id);
        assert!(!next(&bench.case(), now).say.iter().any(|line| line.text().contains("  - ?")));
        let text = match question.id.to_string().as_str() {
            "total.reading" => "482",
            _ if question.kind == QuestionKind::Acknowledge => "yes",
            _ if question.default.is_some() => "",
            _ => "skip not now",
        };
        bench.answer(&question.id.to_string(), text);
    }
    panic!("the hunt does not end");
}
