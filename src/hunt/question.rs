//! A question of the hunt as data, and what an answer can be.
//! Leaves to others: asking it (`cli/ask`), and which question is next (`hunt`).

use chrono::{DateTime, FixedOffset};

use crate::base::quantity::{Ampere, Minute};
use crate::base::styled::StyledText;
use crate::log::question_id::{QuestionId, QuestionKey};
use crate::log::typed::Proposed;
use crate::text;
use crate::text::ask::Wording;

/// A question.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Stable id, such as `battery.volts`.
    pub id: QuestionKey,
    /// The question, without the unit and the default.
    pub prompt: String,
    /// What `?` shows.
    pub help: String,
    /// Unit that a bare number takes, for people, such as `mV`; empty if it is not a number.
    pub unit: &'static str,
    /// The answer that Enter gives; `None` if there is none.
    pub default: Option<String>,
    /// What kind of answer is due.
    pub kind: QuestionKind,
}

/// What kind of answer is due.
#[derive(Debug, Clone, PartialEq)]
pub enum QuestionKind {
    /// Free text or a number: one line.
    Line,
    /// One of several: key to type, and text.
    Choice(Vec<(String, String)>),
    /// A caution to be acknowledged with `yes`.
    Acknowledge,
    /// A reading that a practice vehicle or a live meter can supply when the answer is left empty.
    Reading(Proposed),
    /// The wait until the vehicle sleeps.
    Wait(Box<Wait>),
}

/// What the wait needs to show and to decide.
#[derive(Debug, Clone, PartialEq)]
pub struct Wait {
    /// Last disturbance.
    pub since: DateTime<FixedOffset>,
    /// Minutes from there until the vehicle should sleep.
    pub due: Minute,
    /// Loads that the map still expects awake, with the minute at which each should sleep.
    pub awake: Vec<(String, Minute)>,
    /// Readings so far: when, and the total.
    pub readings: Vec<(DateTime<FixedOffset>, Ampere)>,
    /// Changes below this are none.
    pub still: Ampere,
    /// What stands above the bar: one or two lines.
    pub head: Vec<StyledText>,
}

/// What a person answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answer {
    /// A text, trimmed; empty when Enter was pressed and there is no default.
    Text(String),
    /// Back to the question before.
    Back,
    /// Pass this question over, with a reason (may be empty: then it is asked for).
    Skip(String),
    /// Explain the question.
    Explain,
    /// Show what is in the log.
    List,
    /// Tell more of what the readings say.
    Tell(Told),
    /// Leave; everything is kept.
    Quit,
}

/// What can be told at any question.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// Who leads and why, and what is next and why.
    Why,
    /// Every suspect.
    All,
    /// Where the total goes.
    Account,
}

impl Answer {
    /// Reads what was typed: `?`, `back`, `skip [reason]`, `list`, `why`, `all`, `account`, `quit`, else a text. Enter
    /// takes the default. What is one of the answers offered is an answer.
    pub fn read(typed: &str, question: &Question) -> Self {
        let typed = typed.trim();
        let word = typed.to_lowercase();
        if question.default.as_deref() == Some(word.as_str()) {
            return Self::Text(word);
        }
        match word.as_str() {
            "?" | "help" => Self::Explain,
            "back" | "undo" => Self::Back,
            "list" => Self::List,
            "why" => Self::Tell(Told::Why),
            "all" => Self::Tell(Told::All),
            "account" => Self::Tell(Told::Account),
            "quit" | "q" | "exit" => Self::Quit,
            "" => Self::Text(question.default.clone().unwrap_or_default()),
            _ => match typed.split_once(char::is_whitespace) {
                Some((first, reason)) if first.eq_ignore_ascii_case("skip") => {
                    Self::Skip(reason.trim().to_owned())
                }
                None if word == "skip" => Self::Skip(String::new()),
                _ => Self::Text(typed.to_owned()),
            },
        }
    }
}

impl Question {
    /// Makes a question in its own words.
    pub fn of(id: QuestionId) -> Self {
        let Wording { prompt, help, unit, choices, .. } = text::ask::wording(id);
        let question = Self::line(id, prompt, help).in_unit(unit);
        if choices.is_empty() { question } else { question.one_of(choices) }
    }

    /// Makes a question that is acknowledged with yes.
    pub fn acknowledge(id: QuestionId) -> Self {
        Self { kind: QuestionKind::Acknowledge, ..Self::of(id).or("yes") }
    }

    /// Makes a question that takes a line of text.
    pub fn line(id: impl Into<QuestionKey>, prompt: impl Into<String>, help: impl Into<String>) -> Self {
        Self {
            id: id.into(),
            prompt: prompt.into(),
            help: help.into(),
            unit: "",
            default: None,
            kind: QuestionKind::Line,
        }
    }

    /// Names the unit that a bare number takes.
    #[must_use]
    pub fn in_unit(mut self, unit: &'static str) -> Self {
        self.unit = unit;
        self
    }

    /// Gives the answer that Enter takes.
    #[must_use]
    pub fn or(mut self, default: impl Into<String>) -> Self {
        self.default = Some(default.into());
        self
    }

    /// Makes it a choice: keys with their texts.
    #[must_use]
    pub fn one_of(mut self, choices: &[(&str, &str)]) -> Self {
        self.kind = QuestionKind::Choice(
            choices.iter().map(|(key, text)| ((*key).to_owned(), (*text).to_owned())).collect(),
        );
        self
    }

    /// Makes it a reading that a practice vehicle or a live meter can supply.
    #[must_use]
    pub fn reading(mut self, proposed: Proposed) -> Self {
        self.kind = QuestionKind::Reading(proposed);
        self
    }
}
