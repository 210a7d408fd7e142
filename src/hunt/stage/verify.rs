//! The proof: the cause worked again, then the same wait and the same total as before the repair, held against the
//! limit and against the total before.
//! Leaves to others: the wait (`settle`), the rule (`balance/verdict`), what goes back (`back`).

use chrono::{DateTime, FixedOffset};

use super::asking::{choice, is_handed_over, is_later, settled};
use super::{back, battery_detail, repair, settle, total};
use crate::balance::verdict::{DrawVerdict, judge};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Typed, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::battery::capacity::Method;
use crate::battery::cause::SupplyCause;
use crate::circuit::map::Limit;
use crate::hunt::analysis::{Analysis, plain_current, sleep_after};
use crate::hunt::limit::limit_of;
use crate::hunt::night::is_woken;
use crate::hunt::night_cost::was_quiet;
use crate::hunt::question::Question;
use crate::hunt::typed::measured;
use crate::hunt::{HuntStep, Taken, causes, supply};
use crate::log::case::{Case, is_asleep};
use crate::log::entry::{LogEvent, Measured};
use crate::log::interview::FlatPattern;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::{Measurement, Reading};
use crate::text;
use crate::text::ask::prove as words;

/// The class of causes whose diodes leak more hot than cold, in the load catalogue.
const DIODES: &str = "alternator";

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if causes::is_total_due(case) {
        return supply_proof(case, now);
    }
    if !case.was_repaired() {
        let may_return = repair::cured(case).is_some() && !settled(case, QuestionId::ProveLog);
        return may_return.then(log_question);
    }
    if case.total_after_repair().is_none() && is_handed_over(case) && is_later(case, now) {
        return Some(total_question(case));
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
    if let Some(step) = stand_question(case) {
        return Some(step);
    }
    if is_intermittent(case) && was_quiet(case).is_none() && !settled(case, QuestionId::ProveLog) {
        return Some(log_question());
    }
    let unrated = supply::known_capacity(case).is_ok_and(|found| found.method == Method::Assumed);
    let due = unrated && case.total_after_repair().is_some() && !is_handed_over(case);
    (due && !settled(case, QuestionId::ProveRating)).then(rating_question)
}

/// After the repair of battery or charging side the total is read once more: nothing is worked again.
fn supply_proof(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if case.total_after_repair().is_some() || settled(case, QuestionId::ProveTotal) {
        return None;
    }
    settle::wait(case, QuestionId::ProveWait, now, true).or_else(|| Some(total_question(case)))
}

/// Returns battery or charging side, if one of them leads and was seen to.
pub(super) fn mended(case: &Case) -> Option<SupplyCause> {
    let analysis = Analysis::of(case);
    analysis.leading_supply().filter(|one| one.mended).cloned()
}

/// Returns true if something was repaired: a circuit, the battery or what charges it.
pub fn is_repaired(case: &Case) -> bool {
    case.was_repaired() || mended(case).is_some()
}

/// The cause is worked again before the wait, so that one wait serves both.
fn provoke(case: &Case) -> HuntStep {
    let leader = Analysis::of(case).leader().name;
    let held = case.map.wake_groups.iter().find(|group| group.id == leader);
    let item = case.map.unfused.iter().find(|item| item.name == leader);
    let kind = item.and_then(|item| crate::circuit::loads::Catalogue::builtin().get(&item.kind));
    let leaks_hot = kind.is_some_and(|kind| kind.cause == DIODES);
    let say = words::provoke(held).into_iter().chain(text::care::for_proof(leaks_hot)).collect();
    HuntStep::ask(Question::of(QuestionId::ProveProvoke).or("not-tried")).after(say)
}

fn total_question(case: &Case) -> HuntStep {
    let method = case.answer(QuestionId::HookUpMethod).unwrap_or("clamp");
    // An ammeter that goes in again is bridged again: whoever used one is told so.
    let before = before(case)
        .filter(|_| method != "clamp")
        .map(|reading| words::before(total_of(reading).map_or("", |typed| &typed.text), reading.at, method));
    let proposed = Proposed { after_repair: true, ..Proposed::total() };
    HuntStep::ask(Question::of(QuestionId::ProveTotal).reading(proposed)).after(before.into_iter().collect())
}

/// A total proves nothing without a limit: a wanted time gives one.
fn stand_question(case: &Case) -> Option<HuntStep> {
    let is_due = limit_of(case).is_none() && case.total_after_repair().is_some() && !is_handed_over(case);
    (is_due && !settled(case, QuestionId::ProveStand))
        .then(|| HuntStep::ask(total::stand_question(case, QuestionId::ProveStand)))
}

fn log_question() -> HuntStep {
    HuntStep::ask(Question::of(QuestionId::ProveLog).or("planned")).after(vec![log_advice()])
}

/// Returns what to do about a fault that was not there every time.
pub fn log_advice() -> StyledText {
    StyledText::of(Role::Hint, words::LOG_IT)
}

fn rating_question() -> HuntStep {
    HuntStep::ask(Question::of(QuestionId::ProveRating).or("don't know"))
}

/// Returns true if the fault was not there every time: as told, or as a logged night shows.
pub fn is_intermittent(case: &Case) -> bool {
    let told = matches!(case.told().pattern, FlatPattern::Sometimes | FlatPattern::OnePlace);
    told || is_woken(case)
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
                taken.entries.insert(0, LogEvent::Disturb { what: words::WORKED_AGAIN.to_owned() });
            }
            taken
        }
        QuestionId::ProveLog => choice(question, text),
        QuestionId::ProveRating => battery_detail::take(question, text),
        QuestionId::ProveStand => stand_taken(case, question, text),
        _ => total_taken(case, question, text, now),
    }
}

/// Takes the wanted time, and holds the total after the repair against the limit that it gives.
fn stand_taken(case: &Case, question: &Question, text: &str) -> Taken {
    let taken = total::stand(case, question, text);
    let mut told = case.clone();
    let limit = taken.entries.iter().find_map(|entry| match entry {
        LogEvent::Limit { limit, source } => Some(Limit { current: limit.value, source: source.clone() }),
        _ => None,
    });
    told.limit = limit.or(told.limit);
    let proved = case.total_after_repair().and_then(total_of).and_then(|total| proof(&told, total));
    taken.saying(proved)
}

/// A total after a wait that was cut short proves nothing: it is kept as provisional.
fn total_taken(case: &Case, question: &Question, text: &str, now: DateTime<FixedOffset>) -> Taken {
    let total = match Ampere::read(text, "mA") {
        Ok(total) => total,
        Err(fault) => return Taken::refuse(fault.to_string()),
    };
    let body = measured(case, Measurement::Total { current: total.clone(), as_found: false }, true);
    if case.answer(QuestionId::ProveWait).is_some_and(is_asleep) || slept(case, now) {
        let said = proof(case, &total).or_else(|| difference(case, &total));
        return Taken::entry(body).saying(said);
    }
    let body = match body {
        LogEvent::Reading(reading) => LogEvent::Reading(Box::new(Measured { provisional: true, ..*reading })),
        other => other,
    };
    let answer = LogEvent::Answer { question: question.id.clone(), answer: text.to_owned() };
    let say = StyledText::of(Role::Doubt, text::ask::total::PROVES_NOTHING);
    Taken { entries: vec![body, answer], say: vec![say], ..Taken::default() }
}

/// Returns true if a hunt that was handed over is taken up again once the sleep time has run since the last disturbance.
fn slept(case: &Case, now: DateTime<FixedOffset>) -> bool {
    let since = (now - case.last_disturbance()).num_minutes() as f64;
    is_handed_over(case) && is_later(case, now) && since >= sleep_after(case).base()
}

/// Returns what a total after the repair proves.
pub fn proof(case: &Case, total: &Typed<Ampere>) -> Option<StyledText> {
    let limit = limit_of(case)?;
    let current = plain_current(total, case);
    let verdict = judge(&current, limit.current);
    Some(words::proof(&current, limit.current, verdict, case.ammeter(), is_woken(case)))
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
    Some(words::difference(&before.text, &after.text, &fall(case, after)?))
}

/// Returns what is still missing before the repair counts as proven, each in one sentence.
pub fn lacks(case: &Case) -> Vec<String> {
    let mut lacks = Vec::new();
    let mended = mended(case);
    lacks.extend(mended.as_ref().and_then(|one| causes::lacks(case, one.kind())).map(str::to_owned));
    let after = case.total_after_repair().or_else(|| {
        // Seen to before the wait, the settled total is one after it.
        case.settled_total().filter(|_| mended.is_some() && !causes::is_total_due(case))
    });
    match (after.and_then(total_of), limit_of(case)) {
        (None, _) => lacks.push(words::NO_TOTAL.to_owned()),
        (Some(_), None) => lacks.push(words::NO_LIMIT.to_owned()),
        (Some(total), Some(limit)) => match judge(&plain_current(total, case), limit.current) {
            DrawVerdict::Within => {}
            verdict => lacks.push(words::not_within(verdict)),
        },
    }
    if case.answer(QuestionId::ProveProvoke) == Some("comes-back") {
        lacks.push(words::CAME_BACK.to_owned());
    }
    match (was_quiet(case), case.answer(QuestionId::ProveLog)) {
        (Some(false), _) | (None, Some("came-back")) => lacks.push(words::LOG_SHOWS_IT.to_owned()),
        (Some(true), _) | (None, Some("quiet")) => {}
        // At rest it was within its limit before as well.
        (None, _) if case.was_repaired() && is_woken(case) => lacks.push(words::NIGHT_WANTED.to_owned()),
        (None, _) => {}
    }
    let open = back::open(case);
    if !open.is_empty() {
        lacks.push(words::not_back(open.len()));
    }
    lacks
}

/// Returns what the proof does not cover, though nothing speaks against it.
pub fn leaves_open(case: &Case) -> Vec<&'static str> {
    let mut open = Vec::new();
    if case.was_repaired() && case.answer(QuestionId::ProveProvoke) != Some("stays-away") {
        open.push(words::NOT_WORKED);
    }
    let is_logged = case.answer(QuestionId::ProveLog) == Some("quiet") || was_quiet(case).is_some();
    if is_intermittent(case) && !is_woken(case) && !is_logged {
        open.push(words::NOT_LOGGED);
    }
    open
}
