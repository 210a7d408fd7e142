//! The text of an answers file, then questions put to it. Checks: a refusal says something; the same question is never
//! answered for ever; what is answered is one line.
#![no_main]

use fusetrail::cli::ask::answers::Answers;
use fusetrail::cli::ask::{PromptStop, Prompter};
use fusetrail::cli::clock::Clock;
use fusetrail::cli::context::{Context, OutputFormat};
use fusetrail::cli::paint::Color;
use fusetrail::hunt::question::{Answer, Question};
use fusetrail::log::question_id::QuestionKey;
use fusetrail_fuzz::{assert_all_said, assert_clean, assert_said, now};
use libfuzzer_sys::fuzz_target;

/// Ids as the hunt has them, among them long ones and one that a fuse's name was put into.
const IDS: [&str; 6] = [
    "interview.complaint",
    "caution.keys",
    "battery.volts",
    "trail.reading",
    "handover.back.F12/audio unit of a vehicle with quite a long name aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa",
    "",
];

fuzz_target!(|text: &str| {
    let context = Context::new(OutputFormat::Text, Color::Never, Clock::simulated(now()));
    let mut answers = match Answers::read(context, "answers.yaml", text) {
        Ok(answers) => answers,
        Err(faults) => return assert_all_said(&faults),
    };
    // Each answer of a list is given once, and the last thing that fits at most so often as patience lasts.
    let most = text.len() + 10;
    for id in IDS {
        let question = Question::line(QuestionKey::read(id), "What?", "Help.");
        let mut asked = 0;
        let fault = loop {
            match answers.ask(&question) {
                Ok(answer) => drop(Answer::read(&answer, &question)),
                Err(PromptStop::Refused(fault)) => break fault,
                Err(stop) => panic!("{stop:?}"),
            }
            asked += 1;
            assert!(asked <= most, "{id} is answered for ever");
        };
        assert_said(&fault);
    }
    assert_clean(&answers.farewell(true));
});
