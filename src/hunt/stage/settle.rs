//! The wait until every module sleeps: the clock runs from the last disturbance, readings typed meanwhile show
//! whether the draw is flat. Ready when the stated time has passed and the draw has been flat for ten minutes.
//! Leaves to others: the bar on the screen (`cli/wait`), logs of a meter over time.

use chrono::{DateTime, Duration, FixedOffset};

use super::asking::{choice, settled};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Minute, Unit};
use crate::hunt::analysis::sleep_after;
use crate::hunt::limit::limit_of;
use crate::hunt::question::{Question, QuestionKind, Wait};
use crate::hunt::typed::measured;
use crate::hunt::{HuntStep, Taken};
use crate::log::case::{Case, SEEN_ASLEEP, Stamp, TOLD_ASLEEP};
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::measure::Measurement;
use crate::measure::observe::STEP;
use crate::text::ask::settle as words;

/// Flat for this long counts as settled.
///
/// # Source
/// Makers' windows of 10 to 15 min, as in NHTSA document 11028906.
const FLAT_FOR: Minute = Minute::new(10.0);
/// Changes below this share of the level are no steps, nor those below what counts on the vehicle. Editorial.
const FLAT_WITHIN: f64 = 0.02;
/// Flat for ten minutes at this many times the limit, above all that the map still expects awake: waiting longer
/// tells nothing new. Editorial.
const FAR_OVER: f64 = 5.0;

/// Returns the wait, until it is over.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if logged_asleep(case) {
        return None;
    }
    wait(case, QuestionId::SettleWait, now, false)
}

/// Returns true if a meter log that ended after the last disturbance has shown it at rest: nothing is left to wait for.
fn logged_asleep(case: &Case) -> bool {
    let since = case.last_disturbance();
    case.watched.iter().any(|seen| seen.what.is_settled() && seen.stamp.at >= since)
}

/// Returns a wait with this id, until it is answered.
pub fn wait(case: &Case, id: QuestionId, _: DateTime<FixedOffset>, after_repair: bool) -> Option<HuntStep> {
    (!is_over(case, id)).then(|| wait_question(case, id, after_repair))
}

fn wait_question(case: &Case, id: QuestionId, after_repair: bool) -> HuntStep {
    let since = case.last_disturbance();
    let due = sleep_after(case);
    let readings = watched(case, since, after_repair);
    let head = words::head(due, since);
    let wait = Wait { since, due, awake: awake(case), readings, still: case.map.scaled(STEP), head };
    let question = Question { kind: QuestionKind::Wait(Box::new(wait)), ..Question::of(id) };
    HuntStep::ask(question)
}

/// Returns true if there is nothing to wait for: the wait was answered or passed over since somebody last told of a
/// disturbance, or a settled total was read since. What the repair or its proof disturbs has a wait of its own.
fn is_over(case: &Case, id: QuestionId) -> bool {
    let Some(ended) = case.last_said(id) else { return false };
    let Some(woken) = case.woken.last() else { return true };
    let later = |stamp: Stamp| (stamp.at, stamp.entry) >= (woken.at, woken.entry);
    let total = match id {
        QuestionId::ProveWait => case.total_after_repair(),
        _ if settled(case, QuestionId::RepairWhat) => return true,
        _ => case.settled_total(),
    };
    later(ended) || total.is_some_and(|total| later(Stamp { entry: total.entry, at: total.at }))
}

/// Somebody told of a disturbance after the total was read: the search goes on once the vehicle sleeps again.
pub(super) fn disturbed(case: &Case) -> Option<HuntStep> {
    let woken = case.woken.last()?;
    let total = case.settled_total().filter(|total| total.entry < woken.entry && total.at <= woken.at);
    let ended = case.last_said(QuestionId::SettleWait).is_some_and(|ended| ended.entry > woken.entry);
    if total.is_none() || ended || logged_asleep(case) {
        return None;
    }
    Some(wait_question(case, QuestionId::SettleWait, false))
}

/// A hunt that is taken up again after this long is asked whether the vehicle was touched meanwhile. Editorial: nobody
/// stands beside it for so long without a reading.
const LEFT_ALONE: Duration = Duration::hours(2);

/// Asks whether the vehicle slept on while the hunt was left, before its readings are gone on with.
pub(super) fn touched(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let left = now - case.last_at >= LEFT_ALONE && case.settled_total().is_some();
    left.then(|| {
        let question = Question::of(QuestionId::SettleTouched).or("no");
        HuntStep::ask(question).after(vec![words::left_since(case.last_at)])
    })
}

/// Returns true if nobody saw here that the settled total was settled: it is a claim.
pub fn is_told_asleep(case: &Case) -> bool {
    let Some(total) = case.settled_total() else { return false };
    let waits =
        case.answers.iter().rev().filter(|said| said.what.question.plain() == Some(QuestionId::SettleWait));
    let wait =
        waits.filter(|said| said.stamp.entry <= total.entry).map(|said| said.what.text.as_str()).next();
    let logged = || case.watched.iter().any(|seen| seen.what.is_settled() && seen.stamp.at >= total.at);
    wait != Some(SEEN_ASLEEP) && !logged()
}

/// Loads that sleep last, with their minute; the longest first.
fn awake(case: &Case) -> Vec<(String, Minute)> {
    let loads = case.map.feeds.iter().flat_map(|feed| &feed.loads);
    let mut all: Vec<(String, Minute)> = loads
        .filter(|load| load.sleeps_after > Minute::ZERO)
        .map(|load| (load.name.clone(), load.sleeps_after))
        .collect();
    all.sort_by(|a, b| b.1.base().total_cmp(&a.1.base()));
    all
}

/// What the loads that the map still expects awake may draw together.
fn still_awake(case: &Case, elapsed: Minute) -> Ampere {
    let loads = case.map.feeds.iter().flat_map(|feed| &feed.loads);
    loads.filter(|load| load.sleeps_after > elapsed).map(|load| load.awake).sum()
}

fn watched(
    case: &Case,
    since: DateTime<FixedOffset>,
    after_repair: bool,
) -> Vec<(DateTime<FixedOffset>, Ampere)> {
    let one = |reading: &crate::measure::Reading| match &reading.what {
        Measurement::Watch { current } if reading.at >= since && reading.after_repair == after_repair => {
            Some((reading.at, current.value))
        }
        _ => None,
    };
    case.readings.iter().filter_map(one).collect()
}

/// What the readings of a wait say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SettleState {
    /// Not flat for ten minutes yet, or too early.
    Waiting,
    /// Time has passed and the draw is flat.
    Asleep,
    /// Flat for ten minutes far over the limit, though the time has not passed.
    FlatFarOver,
}

/// Judges a wait: minutes since the last disturbance, the readings with their minutes, and the draw from which on
/// ten flat minutes are enough; changes below `step` are none.
pub fn judge(
    (elapsed, due): (Minute, Minute),
    readings: &[(Minute, Ampere)],
    far_over: Option<Ampere>,
    step: Ampere,
) -> SettleState {
    let Some((last_at, last)) = readings.last() else { return SettleState::Waiting };
    let within = step.max(last.abs() * FLAT_WITHIN);
    let flat_from = readings.iter().rev().take_while(|(_, total)| (*total - *last).abs() <= within).last();
    let flat = flat_from.map_or(Minute::ZERO, |(from, _)| *last_at - *from);
    // A reading a few seconds early is as good as one on the minute.
    if flat < FLAT_FOR - Minute::new(0.1) {
        SettleState::Waiting
    } else if elapsed >= due {
        SettleState::Asleep
    } else if far_over.is_some_and(|far| *last >= far) {
        SettleState::FlatFarOver
    } else {
        SettleState::Waiting
    }
}

fn minutes(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> Minute {
    // Milliseconds of a hunt are far below 2^53.
    Minute::new((to - from).num_milliseconds() as f64 / 60_000.0)
}

/// Takes a total typed during the wait, or whether the vehicle was touched.
pub fn take(case: &Case, question: &Question, text: &str, now: DateTime<FixedOffset>) -> Taken {
    if question.id.head != QuestionId::SettleTouched {
        return take_wait(case, question, text, now, false);
    }
    let mut taken = choice(question, text);
    let is_touched = |body: &LogEvent| matches!(body, LogEvent::Answer { answer, .. } if answer != "no");
    if taken.entries.iter().any(is_touched) {
        taken.entries.insert(0, LogEvent::Disturb { what: words::TOUCHED.to_owned() });
    }
    taken
}

/// What stands before a level of which somebody says that it is at rest.
const BY_WORD: &str = "settled ";
/// What a live meter writes before the level that its curve shows at rest.
pub const BY_CURVE: &str = "logged ";

/// Reads a total typed during a wait, and how the wait is to be answered if it shows the vehicle asleep by itself.
fn read_level(text: &str) -> (&str, Option<&'static str>) {
    [(BY_WORD, TOLD_ASLEEP), (BY_CURVE, SEEN_ASLEEP)]
        .into_iter()
        .find_map(|(word, answer)| {
            let head = text.get(..word.len())?;
            head.eq_ignore_ascii_case(word)
                .then(|| (text.get(word.len()..).unwrap_or_default(), Some(answer)))
        })
        .unwrap_or((text, None))
}

/// Takes a total typed during a wait with this question's id.
pub fn take_wait(
    case: &Case,
    question: &Question,
    text: &str,
    now: DateTime<FixedOffset>,
    after_repair: bool,
) -> Taken {
    // A meter that draws the curve can see through pulses, which readings now and then cannot.
    let (level, proved) = read_level(text);
    let current = match Ampere::read(level, "mA") {
        Ok(current) => current,
        Err(fault) => return Taken::refuse(fault.to_string()),
    };
    let since = case.last_disturbance();
    let mut readings: Vec<(Minute, Ampere)> = watched(case, since, after_repair)
        .into_iter()
        .map(|(at, total)| (minutes(since, at), total))
        .collect();
    let elapsed = minutes(since, now);
    readings.push((elapsed, current.value));
    let due = sleep_after(case);
    let far_over = limit_of(case).map(|limit| limit.current * FAR_OVER + still_awake(case, elapsed));
    let state = if proved.is_some() {
        SettleState::Asleep
    } else {
        judge((elapsed, due), &readings, far_over, case.map.scaled(STEP))
    };
    let total = current.value;
    let again = Measurement::Total { current: current.clone(), as_found: false };
    let mut taken = Taken::entry(measured(case, Measurement::Watch { current }, after_repair));
    let answer = |answer: &str| LogEvent::Answer { question: question.id.clone(), answer: answer.to_owned() };
    let say = match state {
        SettleState::Asleep => {
            taken.entries.push(answer(proved.unwrap_or(SEEN_ASLEEP)));
            // After a disturbance in the middle of the search this is the total to go on with.
            if !after_repair && case.settled_total().is_some() {
                taken.entries.push(measured(case, again, false));
            }
            match proved {
                // What was told and not seen here is said to be so.
                Some(TOLD_ASLEEP) => words::told_asleep(total),
                _ => words::asleep(total, elapsed),
            }
        }
        SettleState::FlatFarOver => {
            taken.entries.push(answer("provisional"));
            words::flat_far_over(total)
        }
        // The wait itself shows what was read.
        SettleState::Waiting => return taken,
    };
    taken.saying([say])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn state(elapsed: f64, readings: &[(f64, f64)]) -> SettleState {
        let readings: Vec<(Minute, Ampere)> =
            readings.iter().map(|(at, ma)| (Minute::new(*at), Ampere::from_milli(*ma))).collect();
        let far_over = Some(Ampere::from_milli(250.0));
        judge((Minute::new(elapsed), Minute::new(30.0)), &readings, far_over, STEP)
    }

    #[test]
    fn asleep_needs_both_the_time_and_ten_flat_minutes() {
        assert_eq!(state(35.0, &[(20.0, 60.0), (24.0, 42.0), (35.0, 41.0)]), SettleState::Asleep);
        assert_eq!(
            state(35.0, &[(20.0, 60.0), (30.0, 42.0), (35.0, 41.0)]),
            SettleState::Waiting,
            "flat for 5 min only"
        );
        assert_eq!(state(20.0, &[(5.0, 42.0), (20.0, 41.0)]), SettleState::Waiting, "too early");
        assert_eq!(state(40.0, &[]), SettleState::Waiting);
    }

    #[test]
    fn flat_far_over_the_limit_goes_on_as_provisional() {
        assert_eq!(state(16.0, &[(5.0, 482.0), (16.0, 480.0)]), SettleState::FlatFarOver);
        assert_eq!(state(16.0, &[(5.0, 90.0), (16.0, 90.0)]), SettleState::Waiting);
    }
}
