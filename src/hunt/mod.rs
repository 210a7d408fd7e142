//! The hunt, step by step, as two pure functions over the case: which question is next, and which entries an answer
//! makes. Where the hunt stands follows from what the log holds, so leaving, resuming, `back` and replay need nothing
//! of their own. No I/O, no clock, no colours.
//! Leaves to others: asking (`cli/ask`), the loop and the log (`cli/drive`), each stage's questions (`stage`).

pub mod analysis;
pub mod causes;
pub(crate) mod caution;
pub(crate) mod gone;
pub(crate) mod limit;
pub(crate) mod night;
pub(crate) mod night_cost;
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
use crate::log::typed::Proposed;
use crate::measure::kind::MeasurementKind;
use crate::text::ask::always;
use crate::text::explain;
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
        Answer::Explain => explained(question),
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
            let skip = |question| LogEvent::Skip { question, reason: reason.clone() };
            let entries = passed_over(question).into_iter().map(skip).collect();
            Taken { entries, ..Taken::default() }.saying([StyledText::of(Role::Hint, always::PASSED_OVER)])
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

/// Returns the ids under which a question is passed over. Where readings are proposed one after the other it is this
/// reading that is passed over, or these of a round, and the next is proposed.
fn passed_over(question: &Question) -> Vec<QuestionKey> {
    match &question.kind {
        QuestionKind::Reading(proposed) if analysis::PASSED_OVER.contains(&question.id.head) => {
            let of = |at: &str| {
                let at = Some(at).filter(|at| !at.is_empty());
                analysis::passed_over_id(question.id.head, proposed.kind, at)
            };
            match proposed.round.as_slice() {
                [] => vec![of(&proposed.place())],
                round => round.iter().map(|(feed, _)| of(feed)).collect(),
            }
        }
        _ => vec![question.id.clone()],
    }
}

/// What the hands do, what good looks like, what to beware of; then what may be typed.
fn explained(question: &Question) -> Taken {
    let hands = match &question.kind {
        QuestionKind::Reading(proposed) => explain::hands(proposed),
        QuestionKind::Wait(_) => explain::hands(&Proposed::at(MeasurementKind::Watch, "")),
        QuestionKind::Choice(_) | QuestionKind::Line | QuestionKind::Acknowledge => "",
    };
    let hands = (!hands.is_empty()).then(|| StyledText::plain(hands));
    let mut say: Vec<StyledText> = hands.into_iter().collect();
    say.push(StyledText::of(Role::Hint, &question.help));
    if let QuestionKind::Choice(choices) = &question.kind {
        say.push(always::choices(choices));
    }
    say.push(StyledText::of(Role::Hint, always::ALSO));
    Taken { say, ..Taken::default() }
}

/// Takes back the last answer whole; the hunt then asks for it again. The edge has the entries, and says what they were.
fn back(case: &Case) -> Taken {
    let entries = case.taking_back(BACK);
    if entries.is_empty() {
        return Taken::refuse(always::NOTHING_BEFORE);
    }
    Taken { entries, ..Taken::default() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Most lines that `?` shows on a screen of 80 columns.
    const MOST: usize = 8;

    /// Lines that a text takes at 80 columns, continued ones indented by two.
    fn lines(say: &[StyledText]) -> usize {
        let rows = |line: &StyledText| {
            let mut rows = 1;
            let mut column = line.indent;
            for word in line.text().split(' ') {
                let width = word.chars().count();
                if column + width > 80 {
                    (rows, column) = (rows + 1, line.indent + 2);
                }
                column += width + 1;
            }
            rows
        };
        say.iter().map(rows).sum()
    }

    /// Questions of the hunt, and every kind of reading as it is proposed.
    fn questions() -> Vec<Question> {
        let named = QuestionId::NAMES.iter().map(|(id, _)| *id);
        let asked =
            named.filter(|id| !matches!(id, QuestionId::Stage | QuestionId::Unknown)).map(Question::of);
        let reading = |kind: &MeasurementKind| {
            let question = Question::of(QuestionId::TrailReading).in_unit(kind.row().unit());
            question.reading(Proposed::at(*kind, "F12/radio"))
        };
        asked.chain(MeasurementKind::ALL.iter().map(reading)).collect()
    }

    #[test]
    fn every_question_is_explained_in_at_most_eight_lines() {
        for question in questions() {
            let say = explained(&question).say;
            assert!((2..=MOST).contains(&lines(&say)), "{}: {} lines\n{say:#?}", question.id, lines(&say));
        }
    }

    #[test]
    fn what_is_measured_says_what_good_looks_like_and_what_to_beware_of() {
        // Told by a person or a label, not by a meter.
        let told = [
            QuestionId::InterviewVolts,
            QuestionId::InterviewStand,
            QuestionId::BatteryRest,
            QuestionId::TotalLimit,
            QuestionId::TotalStand,
            QuestionId::ProveStand,
        ];
        // These are put as readings, or as a wait; what the hands do stands with the reading.
        let as_readings = [
            QuestionId::BatteryVolts,
            QuestionId::FoundVolts,
            QuestionId::ChargingVolts,
            QuestionId::HookUpTemperature,
            QuestionId::HookUpZero,
            QuestionId::FoundTotal,
            QuestionId::TotalReading,
            QuestionId::TotalVolts,
            QuestionId::TrailReading,
            QuestionId::NarrowReading,
            QuestionId::RepairRefit,
            QuestionId::ProveTotal,
            QuestionId::SettleWait,
            QuestionId::ProveWait,
        ];
        let mut lacking = Vec::new();
        for question in questions().iter().filter(|one| !one.unit.is_empty() && !told.contains(&one.id.head))
        {
            let is_reading = matches!(question.kind, QuestionKind::Reading(_));
            if as_readings.contains(&question.id.head) && !is_reading {
                continue;
            }
            let say: String = explained(question).say.iter().map(StyledText::text).collect();
            if !(say.contains("Good: ") && say.contains("Beware: ")) {
                lacking.push(format!("{}: {say}", question.id));
            }
        }
        assert!(lacking.is_empty(), "{lacking:#?}");
    }
}
