//! How a question is put, as data.

use crate::log::question_id::QuestionId;

/// How a question is put.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wording {
    /// Which ones.
    pub ids: &'static [QuestionId],
    /// The question, without the unit and the default.
    pub prompt: &'static str,
    /// What `?` shows.
    pub help: &'static str,
    /// Unit that a bare number takes, for people; empty if it is not a number.
    pub unit: &'static str,
    /// Keys to type, each with its text; empty if it is no choice.
    pub choices: &'static [(&'static str, &'static str)],
}

/// Words questions: ids and unit, prompt, help, and the keys of a choice with their texts.
macro_rules! wordings {
    ($($($id:ident)|+ $([$unit:literal])?, $prompt:literal, $help:expr $(, $key:literal => $text:literal)*;)*) => {
        pub(super) const WORDINGS: &[crate::text::ask::Wording] = &[$(crate::text::ask::Wording {
            ids: &[$(crate::log::question_id::QuestionId::$id),+],
            prompt: $prompt,
            help: $help,
            unit: concat!($($unit)?),
            choices: &[$(($key, $text)),*],
        }),*];
    };
}
pub(super) use wordings;
