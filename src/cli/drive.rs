//! The loop: fold, next, show, ask, take, append, and only then show what it meant.
//! Leaves to others: which question is next (`hunt`), who answers (`ask`), the log on disk (`log/store`).

use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use super::ask::{Pace, PromptStop, Prompter, Tick, lacking};
use super::clock::Clock;
use super::error::CliError;
use super::said::Said;
use super::signal;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText};
use crate::hunt::question::{Answer, Question, QuestionKind};
use crate::hunt::{HuntStep, NextStep, Taken};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::text::ask::always;

/// Where the entries go.
pub trait Log {
    /// Returns what the log adds up to.
    fn case(&self) -> &Case;

    /// Returns what is in the log, a line an entry.
    fn listing(&self) -> Vec<StyledText>;

    /// Appends entries in one piece; all of them are on disk when this returns, none of them when it fails.
    ///
    /// # Errors
    /// The entries cannot be written.
    fn append(&mut self, at: DateTime<FixedOffset>, bodies: &[LogEvent]) -> Result<(), CliError>;
}

/// The two functions that a hunt consists of.
#[derive(Debug, Clone, Copy)]
pub struct Hunt {
    /// What to show and to ask now.
    pub next: fn(&Case, DateTime<FixedOffset>) -> HuntStep,
    /// What an answer makes.
    pub take: fn(&Case, &Question, &Answer, DateTime<FixedOffset>) -> Taken,
}

/// How a hunt was left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum HuntEnd {
    /// It has reached its end, and why.
    Done(String),
    /// It was left on purpose; it can be gone on with.
    Left,
    /// Ctrl-C, a closed terminal, or a request to end; it can be gone on with.
    Interrupted,
    /// No further answer could be had.
    Stuck(Diagnostic),
}

/// The pace of the wall clock.
struct Wall<'a>(&'a Clock);

impl Pace for Wall<'_> {
    fn now(&self) -> DateTime<FixedOffset> {
        self.0.now()
    }

    fn tick(&mut self, _: Duration) -> Tick {
        Tick::Nothing
    }

    fn on_enter(&mut self) -> Option<String> {
        None
    }
}

/// Runs the hunt until it ends or is left.
///
/// # Errors
/// An entry could not be written; all before it are kept.
pub fn run(
    log: &mut dyn Log,
    front: &mut dyn Prompter,
    clock: &Clock,
    hunt: Hunt,
) -> Result<HuntEnd, CliError> {
    // What leads up to a question is shown again only when the log has moved on.
    let mut shown_at = None;
    let mut said = Said::default();
    loop {
        if signal::stopped() {
            return Ok(HuntEnd::Interrupted);
        }
        let step = (hunt.next)(log.case(), clock.now());
        if shown_at != Some(log.case().entries) {
            let say = said.only_new(step.say);
            if say.first().is_some_and(begins_anew) {
                front.show(&[StyledText::new()]);
            }
            front.show(&say);
            shown_at = Some(log.case().entries);
        }
        let question = match step.next {
            NextStep::Ask(question) => question,
            NextStep::Done { why } => return Ok(HuntEnd::Done(why)),
        };
        let answer = match answer(front, clock, &question) {
            Ok(Answer::Quit) => return Ok(HuntEnd::Left),
            Ok(Answer::List) => {
                front.show(&log.listing());
                continue;
            }
            Ok(answer) => answer,
            Err(stop) => return Ok(stopped(stop, &question)),
        };
        let taken = match sure(log, front, clock, hunt, &question, answer) {
            Ok(Some(taken)) => taken,
            Ok(None) => continue,
            Err(stop) => return Ok(stopped(stop, &question)),
        };
        let now = clock.now();
        if !taken.entries.is_empty() {
            log.append(now, &taken.entries)?;
        }
        taken.entries.iter().for_each(|body| front.entered(body));
        // What was asked for, or refuses an answer, is said as often as there is cause to.
        front.show(&if taken.entries.is_empty() { taken.say } else { said.only_new(taken.say) });
        if taken.leave {
            return Ok(HuntEnd::Left);
        }
    }
}

fn stopped(stop: PromptStop, question: &Question) -> HuntEnd {
    match stop {
        PromptStop::Interrupted => HuntEnd::Interrupted,
        PromptStop::InputEnded => HuntEnd::Stuck(input_ended(question)),
        PromptStop::Refused(fault) => HuntEnd::Stuck(fault),
    }
}

/// Takes an answer; where it looks like a slip, asks first. What is typed instead of yes is the answer anew. Returns
/// `None` if the question is to be asked again.
fn sure(
    log: &dyn Log,
    front: &mut dyn Prompter,
    clock: &Clock,
    hunt: Hunt,
    question: &Question,
    mut answer: Answer,
) -> Result<Option<Taken>, PromptStop> {
    loop {
        let taken = (hunt.take)(log.case(), question, &answer, clock.now());
        let Some(doubt) = &taken.sure else { return Ok(Some(taken)) };
        let typed = front.ask(doubt)?;
        match Answer::read(&typed, doubt) {
            Answer::Text(text) if ["yes", "y"].contains(&text.to_lowercase().as_str()) => {
                return Ok(Some(taken));
            }
            Answer::Text(text) if text.is_empty() => {}
            Answer::Explain => front.show(&[StyledText::of(Role::Hint, &doubt.help)]),
            Answer::Text(text) => answer = Answer::Text(text),
            Answer::Quit => return Ok(Some(Taken { leave: true, ..Taken::default() })),
            Answer::Back | Answer::Skip(_) | Answer::List | Answer::Tell(_) => return Ok(None),
        }
    }
}

/// A heading or a caution stands apart from what was said before.
fn begins_anew(line: &StyledText) -> bool {
    line.pieces.first().is_some_and(|piece| matches!(piece.role, Role::Heading | Role::Caution))
}

/// Asks until there is an answer. A skip without a reason is asked for one.
fn answer(front: &mut dyn Prompter, clock: &Clock, question: &Question) -> Result<Answer, PromptStop> {
    loop {
        let typed = match &question.kind {
            QuestionKind::Wait(wait) => front.wait(question, wait, &mut Wall(clock))?,
            _ => front.ask(question)?,
        };
        let given = Answer::read(&typed, question);
        if given != Answer::Skip(String::new()) {
            return Ok(given);
        }
        if let Some(skip) = ask_reason(front, &reason(question))? {
            return Ok(skip);
        }
    }
}

/// Returns the skip with its reason, the wish to leave, or `None` if the question is to be answered after all.
fn ask_reason(front: &mut dyn Prompter, why: &Question) -> Result<Option<Answer>, PromptStop> {
    loop {
        let typed = front.ask(why)?;
        match Answer::read(&typed, why) {
            Answer::Text(text) | Answer::Skip(text) if !text.is_empty() => {
                return Ok(Some(Answer::Skip(text)));
            }
            Answer::Quit => return Ok(Some(Answer::Quit)),
            Answer::Back => return Ok(None),
            Answer::Text(_) | Answer::Skip(_) | Answer::Explain | Answer::List | Answer::Tell(_) => {
                front.show(&[StyledText::of(Role::Hint, &why.help)]);
            }
        }
    }
}

fn reason(question: &Question) -> Question {
    Question::line(question.id.and(".skip"), always::REASON, always::REASON_HELP)
}

fn input_ended(question: &Question) -> Diagnostic {
    Diagnostic::new(format!("the input has ended at the question {}: {}", question.id, question.prompt))
        .expected(lacking(question))
        .remedy("everything accepted is kept; give the missing line, or --answers FILE")
}

#[cfg(test)]
mod tests {
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
}
