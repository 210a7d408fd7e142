//! The proof: the cause worked again, then the same wait and the same total as before the repair, held against the
//! limit and against the total before.
//! Leaves to others: the wait (`settle`), the rule (`balance/verdict`), what goes back (`back`).

use crate::log::question_id::QuestionId;
use chrono::{DateTime, FixedOffset};

use super::asking::{choice, settled};
use super::{back, battery_detail, settle};
use crate::balance::verdict::{DrawVerdict, judge};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::{bare, with_interval};
use crate::base::quantity::{Ampere, Typed, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::battery::capacity::Method;
use crate::hunt::analysis::{Analysis, limit_of, plain_current};
use crate::hunt::question::Question;
use crate::hunt::typed::measured;
use crate::hunt::{HuntStep, Taken, supply};
use crate::log::case::Case;
use crate::log::entry::{LogEvent, Measured};
use crate::log::interview::FlatPattern;
use crate::log::typed::Proposed;
use crate::measure::{Measurement, Reading};
use crate::text;

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let nothing_to_prove = !was_repaired(case);
    if nothing_to_prove {
        return None;
    }
    if !settled(case, QuestionId::ProveProvoke) {
        return Some(provoke(case));
    }
    if let Some(step) = settle::wait(case, QuestionId::ProveWait, now, true) {
        return Some(step);
    }
    if case.total_after_repair().is_none() && !settled(case, QuestionId::ProveTotal) {
        return Some(total_question(case));
    }
    if is_intermittent(case) && !settled(case, QuestionId::ProveLog) {
        return Some(log_question());
    }
    let unrated = supply::known_capacity(case).is_ok_and(|found| found.method == Method::Assumed);
    (unrated && !settled(case, QuestionId::ProveRating) && case.total_after_repair().is_some())
        .then(rating_question)
}

/// The cause is worked again before the wait, so that one wait serves both.
fn provoke(case: &Case) -> HuntStep {
    let leader = Analysis::of(case).map(|analysis| analysis.leader().0).unwrap_or_default();
    let held = case.map.wake_groups.iter().find(|group| group.id == leader);
    let how = match held {
        Some(group) => format!("Work the inputs of {} as the customer does: {}.", group.id, group.inputs.join(", ")),
        None => "Use the vehicle as the customer does: drive or switch on what the cause hangs on, shut it and leave it as they leave it.".to_owned(),
    };
    HuntStep::ask(
        Question::line(
            QuestionId::ProveProvoke,
            "Work the cause again: does the draw stay away?",
            "A pull, a new supply or a slammed door can cure for a day. What brought it on is worked again, then the vehicle is prepared as before and the wait begins anew.",
        )
        .one_of(&[
            ("stays-away", "worked again; it stays away"),
            ("comes-back", "worked again; the draw comes back"),
            ("not-tried", "it can't be brought on at will"),
        ])
        .or("not-tried"),
    )
    .after(vec![StyledText::of(Role::Heading, "Prove the repair"), StyledText::plain(how).indented(2)])
}

fn total_question(case: &Case) -> HuntStep {
    let before = before(case).map(|reading| {
        StyledText::plain("Before the repair: ")
            .and(Role::Value, total_of(reading).map(|typed| typed.text.clone()).unwrap_or_default())
            .and(
                Role::Plain,
                format!(
                    " at {}, {}.",
                    reading.at.format("%H:%M"),
                    case.answer(QuestionId::HookUpMethod).unwrap_or("clamp")
                ),
            )
            .indented(2)
    });
    HuntStep::ask(
        Question::line(
            QuestionId::ProveTotal,
            "Settled total after the repair",
            "Same meter, same place and direction, same wait as before the repair: then what both share leaves their difference.",
        )
        .in_unit("mA")
        .reading(Proposed { after_repair: true, ..Proposed::total() }),
    )
    .after(before.into_iter().collect())
}

fn log_question() -> HuntStep {
    HuntStep::ask(
        Question::line(
            QuestionId::ProveLog,
            "Was it logged overnight?",
            "The record keeps what is still to be done.",
        )
        .one_of(&[
            ("planned", "still to be done"),
            ("quiet", "logged; nothing came back"),
            ("came-back", "logged; it came back"),
            ("no", "it will not be logged"),
        ])
        .or("planned"),
    )
    .after(vec![log_advice()])
}

/// Returns what to do about a fault that was not there every time.
pub fn log_advice() -> StyledText {
    let advice = "It came at times or at one place, and may only be away now. Log the current overnight at that place, one sample in 1 to 10 s, vehicle locked, then: fusetrail settle FILE.csv";
    StyledText::of(Role::Hint, advice)
}

fn rating_question() -> HuntStep {
    HuntStep::ask(
        Question::line(
            QuestionId::ProveRating,
            "What is printed on the battery?",
            "For the days that it stands: 70 Ah 640 A EN, RC 120, CCA 540 SAE. Don't know takes a usual size, with a wide interval.",
        )
        .or("don't know"),
    )
}

/// Returns true if something was repaired.
pub fn was_repaired(case: &Case) -> bool {
    case.answer(QuestionId::RepairWhat).is_some_and(|what| !what.eq_ignore_ascii_case("not-repaired"))
}

/// Returns true if the fault was not there every time.
pub fn is_intermittent(case: &Case) -> bool {
    matches!(case.told().pattern, FlatPattern::Sometimes | FlatPattern::OnePlace)
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, now: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::ProveWait => settle::take_wait(case, question, text, now, true),
        QuestionId::ProveProvoke => {
            let mut taken = choice(question, text);
            let worked =
                |body: &LogEvent| matches!(body, LogEvent::Answer { answer, .. } if answer != "not-tried");
            if taken.entries.iter().any(worked) {
                taken.entries.insert(0, LogEvent::Disturb { what: "cause worked again".to_owned() });
            }
            taken
        }
        QuestionId::ProveLog => choice(question, text),
        QuestionId::ProveRating => battery_detail::take(question, text),
        _ => total_taken(case, question, text),
    }
}

/// A total after a wait that was cut short proves nothing: it is kept as provisional.
fn total_taken(case: &Case, question: &Question, text: &str) -> Taken {
    let total = match Ampere::read(text, "mA") {
        Ok(total) => total,
        Err(fault) => return Taken::refuse(fault.to_string()),
    };
    let body = measured(case, Measurement::Total { current: total.clone(), as_found: false }, true);
    if case.answer(QuestionId::ProveWait) == Some("settled") {
        return Taken::entry(body).saying(proof(case, &total)).saying(difference(case, &total));
    }
    let body = match body {
        LogEvent::Reading(reading) => LogEvent::Reading(Box::new(Measured { provisional: true, ..*reading })),
        other => other,
    };
    let answer = LogEvent::Answer { question: question.id.clone(), answer: text.to_owned() };
    let say = StyledText::of(
        Role::Doubt,
        "Provisional: sleep was not proved before this total, so it proves nothing yet.",
    );
    Taken { entries: vec![body, answer], say: vec![say], ..Taken::default() }
}

/// Returns what a total after the repair proves.
pub fn proof(case: &Case, total: &Typed<Ampere>) -> Option<StyledText> {
    let limit = limit_of(case)?;
    let current = plain_current(total, case);
    let line = StyledText::plain("After the repair ")
        .and(Role::Value, with_interval(&current))
        .and(Role::Plain, format!(" against {}: ", bare(limit.current, 3)));
    Some(match judge(&current, limit.current) {
        DrawVerdict::Within => line.and(Role::Good, "within; the repair is proven by this total"),
        DrawVerdict::Over => {
            line.and(Role::Doubt, "over: the cause is not put right, or there is a second one")
        }
        DrawVerdict::Undecided => {
            let decides = text::decide::what(&current, limit.current, &case.opened.clamp);
            line.and(Role::Doubt, format!("undecided: {decides}"))
        }
    })
}

/// Returns the total before the repair: the settled one, else the newest that was read.
fn before(case: &Case) -> Option<&Reading> {
    let any = |reading: &&Reading| matches!(reading.what, Measurement::Total { .. }) && !reading.after_repair;
    case.settled_total().or_else(|| case.readings.iter().rev().find(any))
}

fn total_of(reading: &Reading) -> Option<&Typed<Ampere>> {
    match &reading.what {
        Measurement::Total { current, .. } => Some(current),
        _ => None,
    }
}

/// Returns the total before the repair with its uncertainty.
pub fn total_before(case: &Case) -> Option<Uncertain<Ampere>> {
    total_of(before(case)?).map(|total| plain_current(total, case))
}

/// Returns by how much the total fell, with what both readings share left out of the interval.
pub fn fall(case: &Case, after: &Typed<Ampere>) -> Option<Uncertain<Ampere>> {
    let before = total_of(before(case)?)?;
    Some(plain_current(before, case).minus(&plain_current(after, case)))
}

/// Returns the difference before and after in words.
pub fn difference(case: &Case, after: &Typed<Ampere>) -> Option<StyledText> {
    let before = total_of(before(case)?)?;
    let fell = fall(case, after)?;
    let line = StyledText::plain(format!("{} before, {} after: fell by ", before.text, after.text))
        .and(Role::Value, with_interval(&fell));
    Some(if fell.low() > Ampere::ZERO {
        line
    } else {
        line.and(Role::Doubt, "; no fall is shown beyond the meter's error")
    })
}

/// Returns what is still missing before the repair counts as proven, each in one sentence.
pub fn lacks(case: &Case) -> Vec<String> {
    let mut lacks = Vec::new();
    let after = case.total_after_repair().and_then(total_of);
    match (after, limit_of(case)) {
        (None, _) => lacks.push("no settled total after the repair".to_owned()),
        (Some(_), None) => lacks.push("no limit to hold the total against".to_owned()),
        (Some(total), Some(limit)) => match judge(&plain_current(total, case), limit.current) {
            DrawVerdict::Within => {}
            verdict => {
                lacks.push(format!("the total after the repair is {} against its limit", verdict.word()))
            }
        },
    }
    if case.answer(QuestionId::ProveProvoke) == Some("comes-back") {
        lacks.push("the draw came back when the cause was worked again".to_owned());
    }
    if case.answer(QuestionId::ProveLog) == Some("came-back") {
        lacks.push("the overnight log shows it again".to_owned());
    }
    let open = back::open(case);
    if !open.is_empty() {
        lacks.push(format!("{} of what was opened, tripped or pulled is not back yet", open.len()));
    }
    lacks
}

/// Returns what the proof does not cover, though nothing speaks against it.
pub fn leaves_open(case: &Case) -> Vec<&'static str> {
    let mut open = Vec::new();
    if case.answer(QuestionId::ProveProvoke) != Some("stays-away") {
        open.push("the cause was not worked again");
    }
    if is_intermittent(case) && case.answer(QuestionId::ProveLog) != Some("quiet") {
        open.push("it came at times or at one place, and no overnight log shows it away");
    }
    open
}
