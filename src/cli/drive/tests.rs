//! The loop with a small hunt of two questions.

use std::cell::RefCell;
use std::collections::VecDeque;
use std::rc::Rc;

use super::*;
use crate::base::quantity::Volt;
use crate::circuit::map::{Map, VehicleClass};
use crate::circuit::meters;
use crate::cli::ask::OnEnter;
use crate::cli::clock::read_time;
use crate::hunt::question::Wait;
use crate::log::case::{Dated, Said, Stamp};
use crate::log::entry::Opened;

/// What happened, in order: shown, asked, written.
type Diary = Rc<RefCell<Vec<String>>>;

struct Paper {
    case: Case,
    diary: Diary,
    room: usize,
}

impl Log for Paper {
    fn case(&self) -> &Case {
        &self.case
    }

    fn listing(&self) -> Vec<StyledText> {
        vec![StyledText::plain(format!("entries: {}", self.case.entries))]
    }

    fn taken_back(&self) -> StyledText {
        StyledText::plain("taken back")
    }

    fn append(&mut self, at: DateTime<FixedOffset>, bodies: &[LogEvent]) -> Result<(), CliError> {
        if self.case.entries > self.room {
            return Err(Diagnostic::new("no room").into());
        }
        for body in bodies {
            self.case.entries += 1;
            let stamp = Stamp { entry: self.case.entries, at };
            match body.clone() {
                LogEvent::Answer { question, answer } => {
                    self.diary.borrow_mut().push(format!("wrote {question}: {answer}"));
                    self.case.answers.push(Dated { stamp, what: Said { question, text: answer } });
                }
                LogEvent::Skip { question, reason } => {
                    self.diary.borrow_mut().push(format!("skipped {question}: {reason}"));
                    self.case.skips.push(Dated { stamp, what: Said { question, text: reason } });
                }
                other => panic!("the small hunt makes no {other:?}"),
            }
        }
        Ok(())
    }
}

struct Script {
    answers: VecDeque<Result<String, PromptStop>>,
    diary: Diary,
}

impl Prompter for Script {
    fn show(&mut self, lines: &[StyledText]) {
        self.diary.borrow_mut().extend(lines.iter().map(|line| format!("said {}", line.text())));
    }

    fn ask_or(&mut self, question: &Question, _: OnEnter) -> Result<String, PromptStop> {
        self.diary.borrow_mut().push(format!("asked {}", question.id));
        self.answers.pop_front().unwrap_or(Err(PromptStop::InputEnded))
    }

    fn wait(&mut self, question: &Question, _: &Wait, _: &mut dyn Pace) -> Result<String, PromptStop> {
        self.ask(question)
    }
}

/// A hunt of two questions, a and b, whose answers must not be `bad`.
fn small_next(case: &Case, _: DateTime<FixedOffset>) -> HuntStep {
    let open = ["a", "b"].get(case.answers.len() + case.skips.len()).copied();
    let next = match open {
        Some(id) => NextStep::Ask(crate::cli::ask::tests::question(id, QuestionKind::Line)),
        None => NextStep::Done { why: "both are answered".into() },
    };
    HuntStep { say: vec![StyledText::plain(format!("on to {}", open.unwrap_or("the end")))], next }
}

fn small_take(_: &Case, question: &Question, answer: &Answer, _: DateTime<FixedOffset>) -> Taken {
    let id = question.id.clone();
    let entries = match answer {
        Answer::Text(text) if text != "bad" => {
            vec![LogEvent::Answer { question: id, answer: text.clone() }]
        }
        Answer::Skip(reason) => vec![LogEvent::Skip { question: id, reason: reason.clone() }],
        _ => vec![],
    };
    let said = if entries.is_empty() { "not so" } else { "so it is" };
    Taken { entries, say: vec![StyledText::plain(said)], ..Taken::default() }
}

fn empty_case() -> Case {
    let at = read_time("2026-11-02T07:40:00+01:00").expect("a time");
    let meter = meters::find("tenth-mv", true).expect("built in");
    let opened = Opened {
        program: String::new(),
        tables: String::new(),
        map: String::new(),
        meter: meter.clone(),
        clamp: meter,
        temperatures: vec![],
        limit: None,
        reserve: None,
        practice: None,
    };
    let map = Map {
        title: String::new(),
        system: Volt::new(12.0),
        class: VehicleClass::Car,
        year: None,
        told_batteries: None,
        boxes: [].into_iter().collect(),
        wake_groups: [].into_iter().collect(),
        feeds: [].into_iter().collect(),
        unfused: [].into_iter().collect(),
        sleep_after: None,
        limit: None,
    };
    Case::begun(opened, at, map)
}

fn play(answers: &[&str], room: usize) -> (Result<HuntEnd, CliError>, Vec<String>) {
    let diary = Diary::default();
    let mut paper = Paper { case: empty_case(), diary: Rc::clone(&diary), room };
    let answers = answers
        .iter()
        .map(|text| if *text == "^C" { Err(PromptStop::Interrupted) } else { Ok((*text).to_owned()) })
        .collect();
    let mut script = Script { answers, diary: Rc::clone(&diary) };
    let clock = Clock::simulated(paper.case.opened_at);
    let ended = run(&mut paper, &mut script, &clock, Hunt { next: small_next, take: small_take });
    let seen = diary.borrow().clone();
    (ended, seen)
}

#[test]
fn an_answer_is_written_before_its_meaning_is_shown() {
    let (ended, diary) = play(&["1", "2"], 9);
    assert_eq!(ended, Ok(HuntEnd::Done("both are answered".into())));
    let wanted = "said on to a, asked a, wrote a: 1, said so it is, said on to b, asked b, wrote b: 2, \
                  said on to the end";
    assert_eq!(diary.join(", "), wanted);
}

#[test]
fn what_cannot_be_written_is_not_shown_as_taken() {
    let (ended, diary) = play(&["1", "2"], 1);
    assert_eq!(ended.map_err(|fail| fail.exit.code()), Err(1));
    assert_eq!(diary.last().map(String::as_str), Some("asked b"));
}

#[test]
fn an_answer_that_is_not_accepted_leads_to_the_question_again_without_its_preamble() {
    let (_, diary) = play(&["bad", "1"], 9);
    assert_eq!(diary[..5].join(", "), "said on to a, asked a, said not so, asked a, wrote a: 1");
}

#[test]
fn a_skip_wants_a_reason_and_back_takes_it_back() {
    let (_, diary) = play(&["skip", "", "no meter", "skip", "back", "skip it is dark"], 9);
    let asked: Vec<&str> =
        diary.iter().filter(|line| !line.starts_with("said")).map(String::as_str).collect();
    let wanted = "asked a, asked a.skip, asked a.skip, skipped a: no meter, asked b, asked b.skip, asked b, skipped b: it is dark";
    assert_eq!(asked.join(", "), wanted);
}

#[test]
fn quit_interrupt_and_the_end_of_the_input_are_told_apart_and_keep_what_was_accepted() {
    let (ended, diary) = play(&["1", "quit"], 9);
    assert!(ended == Ok(HuntEnd::Left) && diary.contains(&"wrote a: 1".to_owned()));
    assert_eq!(play(&["1", "^C"], 9).0, Ok(HuntEnd::Interrupted));
    let Ok(HuntEnd::Stuck(fault)) = play(&["1"], 9).0 else { panic!("must be stuck") };
    assert!(fault.to_string().contains("at the question b") && fault.expected.contains("mV"), "{fault}");
}
