//! Preparing the vehicle so that nothing wakes it again, by its class, and noting what is opened and tripped for it.
//! Leaves to others: the wait (`settle`), putting it all back (`back`).

use chrono::{DateTime, FixedOffset};

use super::asking::{is_yes, settled};
use super::charging;
use crate::base::styled::{Role, StyledText};
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, Taken};
use crate::log::case::Case;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::text::ask::prepare as words;

/// Returns the next question.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    let class = case.map.class;
    if !settled(case, QuestionId::PrepareOpened) && !settled(case, QuestionId::PrepareDone) {
        let mut say = charging::findings(case);
        say.push(StyledText::of(Role::Heading, words::HEADING));
        say.extend(words::to_do(class).map(|item| StyledText::plain(format!("- {item}")).indented(2)));
        let usual = Question::of(QuestionId::PrepareOpened).or("none");
        let prompt = words::opened(class).map_or(usual.prompt.clone(), str::to_owned);
        return Some(HuntStep::ask(Question { prompt, ..usual }).after(say));
    }
    (!settled(case, QuestionId::PrepareDone))
        .then(|| HuntStep::ask(Question::acknowledge(QuestionId::PrepareDone)))
}

/// Takes the answer: preparing was the last disturbance.
pub fn take(_: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    if question.id.head == QuestionId::PrepareOpened {
        let text = if text.is_empty() { "none" } else { text };
        return prepared().and(LogEvent::Answer { question: question.id.clone(), answer: text.to_owned() });
    }
    if !is_yes(text) {
        return Taken::refuse(words::TYPE_YES);
    }
    prepared()
}

/// The vehicle is prepared: its clock starts now.
fn prepared() -> Taken {
    let done = LogEvent::Answer { question: QuestionId::PrepareDone.into(), answer: "yes".to_owned() };
    Taken::entry(LogEvent::Disturb { what: words::PREPARED.to_owned() }).and(done)
}
