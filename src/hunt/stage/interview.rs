//! The interview: what vehicle it is where no map tells it, for everything else follows from that; the complaint, and what
//! narrows the search before any reading. Few questions, each with a default.
//! Leaves to others: what the answers mean (`log/interview`), what they weigh (`infer`).

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, first_open, settled};
use crate::base::quantity::Unit;
use crate::base::styled::{Role, StyledText};
use crate::circuit::limits::Limits;
use crate::circuit::map::Map;
use crate::hunt::question::Question;
use crate::hunt::{HuntStep, NextStep, Taken, supply};
use crate::log::case::Case;
use crate::log::interview::Interview;
use crate::log::question_id::QuestionId;
use crate::log::spoken_time::read_time;
use crate::log::vehicle::told;
use crate::text::ask::interview as words;

/// Returns the next question of the interview.
pub fn next(case: &Case, _: DateTime<FixedOffset>) -> Option<HuntStep> {
    let vehicle = if case.map.feeds.is_empty() { vehicle(case) } else { Vec::new() };
    let told = case.told();
    // Nothing that the map or an earlier answer tells is asked.
    let known = |question: &Question| match question.id.head {
        QuestionId::InterviewYear => case.map.year.is_some() || case.map.sleep_after.is_some(),
        QuestionId::InterviewStand => told.stand.is_some(),
        _ => false,
    };
    let complaint = questions().into_iter().filter(|question| !known(question));
    let step = first_open(case, vehicle.into_iter().chain(complaint))?;
    let is_first = matches!(&step.next, NextStep::Ask(first) if first.id.head == QuestionId::InterviewClass);
    Some(if is_first { step.after(words::what_vehicle()) } else { step })
}

/// What is asked of the vehicle where there is no map; what the map has from class and volts so far is the default.
fn vehicle(case: &Case) -> Vec<Question> {
    let map = &case.map;
    let year = map.year.map_or("don't know".to_owned(), |year| year.to_string());
    [
        (QuestionId::InterviewClass, map.class.name().to_owned()),
        (QuestionId::InterviewVolts, map.system.base().to_string()),
        (QuestionId::InterviewBatteries, map.batteries().to_string()),
        (QuestionId::InterviewYear, year),
    ]
    .map(|(id, default)| Question::of(id).or(default))
    .into()
}

fn questions() -> [Question; 4] {
    [
        (QuestionId::InterviewComplaint, "flat after standing"),
        (QuestionId::InterviewStand, "don't know"),
        (QuestionId::InterviewYear, "don't know"),
        (QuestionId::InterviewRecent, "nothing known"),
    ]
    .map(|(id, default)| Question::of(id).or(default))
}

/// Takes an answer of the interview.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    let is_unknown = text.eq_ignore_ascii_case("don't know") || text.eq_ignore_ascii_case("unknown");
    match question.id.head {
        QuestionId::InterviewStand if !is_unknown => match read_time(text) {
            Ok(time) if time.base() > 0.0 => Taken::answer(question, text),
            Ok(_) => Taken::refuse(words::ABOVE_ZERO),
            Err(fault) => Taken::refuse(fault.expected(words::A_TIME).to_string()),
        },
        QuestionId::InterviewYear if is_unknown => {
            Taken::answer(question, text).saying(follows(case, &case.map))
        }
        QuestionId::InterviewVolts | QuestionId::InterviewBatteries | QuestionId::InterviewYear => {
            told_of_it(case, question, text)
        }
        QuestionId::InterviewClass | QuestionId::InterviewPattern => choice(question, text),
        _ if text.is_empty() => Taken::refuse(words::A_FEW_WORDS),
        QuestionId::InterviewRecent => {
            let told = Interview::default().with_recent(text).understood();
            Taken::answer(question, text)
                .saying(told.map(|told| StyledText::of(Role::Hint, words::understood(&told))))
        }
        _ => Taken::answer(question, text),
    }
}

/// Takes volts, batteries or year: what can't be of this vehicle is refused.
fn told_of_it(case: &Case, question: &Question, text: &str) -> Taken {
    let id = question.id.head;
    let Some(told) = told(id, text) else { return Taken::refuse(words::not_of_it(id, text)) };
    let map = match case.map.of_vehicle(&told) {
        Ok(map) => map,
        Err(faults) => return Taken::refuse(faults.to_string()),
    };
    let answer = match (told.system, told.batteries, told.year) {
        (Some(system), ..) => system.base().to_string(),
        (_, count, year) => count.or(year).map(|number| number.to_string()).unwrap_or_default(),
    };
    let said = if id == QuestionId::InterviewYear { follows(case, &map) } else { Vec::new() };
    Taken::answer(question, answer).saying(said)
}

/// What follows from the vehicle, where it was asked about: limit, time to sleep, battery.
fn follows(case: &Case, map: &Map) -> Vec<StyledText> {
    if !settled(case, QuestionId::InterviewClass) {
        return Vec::new();
    }
    let sleep = Limits::builtin().sleep_after(map.year).0;
    let battery = supply::assumed_capacity(map).ok();
    let unfused: Vec<&str> = map.unfused.iter().map(|item| item.name.as_str()).collect();
    words::follows(Limits::builtin().class(map.class), sleep, battery.as_ref(), &unfused)
}
