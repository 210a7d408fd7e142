//! What a redacted record leaves out: every text that somebody typed freely, for it may name persons and places.
//! Answers that can only be a choice or a number stay; an answer that is not known to be one is left out.
//! Leaves to others: where the texts stand (`record`).

use crate::log::entry::LogEvent;
use crate::log::question_id::{QuestionId, QuestionKey};
use crate::text;
use crate::text::ask::Wording;

/// What stands in place of a text that was left out.
pub const GONE: &str = "[left out]";

/// Questions whose answer can only be a number, a yes or the like, though their wording does not show it.
const KEPT: [QuestionId; 7] = [
    QuestionId::InterviewBatteries,
    QuestionId::InterviewYear,
    QuestionId::BatteryRating,
    QuestionId::ProveRating,
    QuestionId::PrepareDone,
    QuestionId::HookUpLid,
    QuestionId::HandoverDone,
];

/// Returns true if an answer can only be a choice or a number. A limit is told with its source, in words.
fn is_choice(id: QuestionId) -> bool {
    let Wording { choices, unit, .. } = text::ask::wording(id);
    let is_told = !choices.is_empty() || (!unit.is_empty() && id != QuestionId::TotalLimit);
    is_told || KEPT.contains(&id)
}

/// Whether free texts are left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Redaction(pub bool);

impl Redaction {
    /// Returns a free text, or what stands in its place.
    pub fn free(self, text: &str) -> String {
        if self.0 { GONE.to_owned() } else { text.to_owned() }
    }

    /// Returns an entry, with what stands in place of its free texts.
    pub fn event(self, body: &LogEvent) -> LogEvent {
        let mut body = body.clone();
        match &mut body {
            LogEvent::Answer { question, answer } => *answer = self.answer(question, answer),
            LogEvent::Skip { reason: text, .. }
            | LogEvent::Disturb { what: text }
            | LogEvent::Note { text }
            | LogEvent::Limit { source: text, .. }
            | LogEvent::Strike { why: text, .. } => *text = self.free(text),
            LogEvent::Vehicle(identity) => *identity = identity.map(|value| self.free(value)),
            LogEvent::Watched(seen) => seen.file = self.free(&seen.file),
            _ => {}
        }
        body
    }

    /// Returns an answer, or what stands in its place if it may be free text.
    pub fn answer(self, question: &QuestionKey, answer: &str) -> String {
        let is_kept = question.plain().is_some_and(is_choice) || question.to_string().starts_with("caution.");
        if is_kept { answer.to_owned() } else { self.free(answer) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_answer_that_is_not_known_to_be_a_choice_is_left_out() {
        let redaction = Redaction(true);
        for (question, answer) in [
            ("battery.type", "agm"),
            ("interview.stand", "3 days"),
            ("caution.pull", "yes"),
            ("caution.acid", "yes"),
        ] {
            assert_eq!(redaction.answer(&QuestionKey::read(question), answer), answer);
        }
        for question in [
            "interview.vehicle",
            "interview.complaint",
            "total.limit",
            "battery.made",
            "repair.what",
            "hook-up.lid.1",
            "not.yet.known",
        ] {
            let question = QuestionKey::read(question);
            assert_eq!(redaction.answer(&question, "seen at the harbour"), GONE, "{question}");
            assert_eq!(Redaction(false).answer(&question, "seen"), "seen");
        }
    }
}
