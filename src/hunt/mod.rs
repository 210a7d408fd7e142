//! The hunt, step by step, as two pure functions over the case: which question is next, and which entries an answer
//! makes. Where the hunt stands follows from what the log holds, so leaving, resuming, `back` and replay need nothing
//! of their own. No I/O, no clock, no colours.
//! Leaves to others: asking (`cli/ask`), the loop and the log (`cli/drive`), each stage's questions (`stage`).

pub mod analysis;
pub mod causes;
pub(crate) mod caution;
pub(crate) mod gone;
pub mod question;
pub mod reserve;
pub(crate) mod show;
pub(crate) mod slip;
mod step;
pub mod stage;
pub mod supply;
pub mod typed;

use chrono::{DateTime, FixedOffset};

use crate::base::styled::{Role, StyledText};
use crate::log::case::Case;
use crate::log::entry::{BACK, LogEvent};
use crate::log::question_id::{QuestionId, QuestionKey};
use crate::text::ask::always;
use question::{Answer, Question, QuestionKind, Told};
use stage::Stage;

pub use step::{HuntStep, NextStep, Taken};

/// Returns what to show and to ask now.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> HuntStep {
    let by_hand = stage::asking::begun_by_hand(case);
    // Nobody passes over the cautions.
    let passed_over = |stage: &Stage| {
        stage.name != "caution" && case.skipped(QuestionId::Stage.with(format!(" {}", stage.name))).is_some()
    };
    let mut open =
        stage::ALL.iter().filter(|stage| !(by_hand && stage.before_readings || passed_over(stage)));
    open.find_map(|stage| (stage.next)(case, now)).unwrap_or_else(|| HuntStep {
        say: Vec::new(),
        next: NextStep::Done { why: always::EVERY_STAGE.to_owned() },
    })
}

/// Takes an answer to a question. An invalid answer makes no entries and says why.
pub fn take(case: &Case, question: &Question, answer: &Answer, now: DateTime<FixedOffset>) -> Taken {
    match answer {
        Answer::Explain => explain(question),
        Answer::Quit => Taken { leave: true, ..Taken::default() },
        // The edge has the entries.
        Answer::List => Taken::default(),
        Answer::Tell(told) => {
            let say = match told {
                Told::Why => show::reasons(case),
                Told::All => show::everyone(case),
                Told::Account => show::account(case),
            };
            Taken { say, ..Taken::default() }
        }
        Answer::Back => back(case),
        Answer::Skip(reason) if reason.is_empty() => Taken::refuse(always::SAY_WHY),
        Answer::Skip(reason) => {
            let skip = LogEvent::Skip { question: passed_over(question), reason: reason.clone() };
            Taken::entry(skip).saying([StyledText::of(Role::Hint, always::PASSED_OVER)])
        }
        Answer::Text(text) => {
            let stage = stage::ALL.iter().find(|stage| question.id.head.stage() == stage.name);
            let taken = stage.map_or_else(
                || Taken::answer(question, text),
                |stage| (stage.take)(case, question, text, now),
            );
            Taken { sure: slip::question(case, question, &taken.entries), ..taken }
        }
    }
}

/// Returns the id under which a question is passed over. Where readings are proposed one after the other it is this
/// reading that is passed over, and the next is proposed.
fn passed_over(question: &Question) -> QuestionKey {
    match &question.kind {
        QuestionKind::Reading(proposed) if analysis::PASSED_OVER.contains(&question.id.head) => {
            let at = Some(proposed.place()).filter(|at| !at.is_empty());
            analysis::passed_over_id(question.id.head, proposed.kind, at.as_deref())
        }
        _ => question.id.clone(),
    }
}

fn explain(question: &Question) -> Taken {
    let mut say = vec![StyledText::of(Role::Hint, &question.help)];
    if let QuestionKind::Choice(choices) = &question.kind {
        say.extend(choices.iter().map(|(key, text)| {
            StyledText::new().and(Role::Name, key).and(Role::Plain, format!(": {text}")).indented(2)
        }));
    }
    say.push(StyledText::of(Role::Hint, always::ALSO));
    Taken { say, ..Taken::default() }
}

/// Takes back the last answer whole; the hunt then asks for it again.
fn back(case: &Case) -> Taken {
    let entries = case.taking_back(BACK);
    let Some(last) = case.steps.last() else { return Taken::refuse(always::NOTHING_BEFORE) };
    Taken { entries, ..Taken::default() }.saying([always::taken_back(last)])
}
