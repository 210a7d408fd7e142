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
use crate::text::fault::answer as fault;

/// Where the entries go.
pub trait Log {
    /// Returns what the log adds up to.
    fn case(&self) -> &Case;

    /// Returns what is in the log, a line an entry.
    fn listing(&self) -> Vec<StyledText>;

    /// Says what the last step was, which is taken back.
    fn taken_back(&self) -> StyledText;

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
        let goes_back = answer == Answer::Back && !log.case().steps.is_empty();
        let taken = match sure(log, front, clock, hunt, &question, answer) {
            Ok(Some(taken)) => taken,
            Ok(None) => continue,
            Err(stop) => return Ok(stopped(stop, &question)),
        };
        if goes_back {
            // What led up to the question before is shown again.
            said = Said::default();
            front.show(&[log.taken_back()]);
        }
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
        PromptStop::InputEnded => {
            HuntEnd::Stuck(fault::ended(&question.id, &question.prompt).expected(lacking(question)))
        }
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
            Answer::Text(text) if ["yes", "y", "ok"].contains(&text.to_lowercase().as_str()) => {
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

#[cfg(test)]
mod tests;
