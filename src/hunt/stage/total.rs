//! The settled total and the verdict against the limit.
//! Leaves to others: the rule (`balance/verdict`), the default limits (`circuit/limits`).

use chrono::{DateTime, FixedOffset};

use super::asking::{begun_by_hand, choice, settled};
use super::battery_detail::{self, NOT_MEASURED};
use super::usage;
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Day, Minute, Volt};
use crate::base::styled::{Role, StyledText};
use crate::battery::limit::{Rank, choose};
use crate::battery::pair::Tap;
use crate::circuit::limits::Limits;
use crate::circuit::map::Limit;
use crate::hunt::analysis::Analysis;
use crate::hunt::causes::energy;
use crate::hunt::gone::{gone, plugged};
use crate::hunt::limit::limit_of;
use crate::hunt::question::Question;
use crate::hunt::typed::{measured, volts_entry, with_beside};
use crate::hunt::{HuntStep, Taken, show, supply};
use crate::infer::leader::ALSO;
use crate::log::case::{Case, is_asleep};
use crate::log::entry::{LogEvent, Measured};
use crate::log::question_id::QuestionId;
use crate::log::spoken_time::read_time;
use crate::log::typed::{self, Proposed};
use crate::measure::Measurement;
use crate::measure::kind::MeasurementKind;
use crate::text;
use crate::text::ask::{interview, total as words};

/// What is opened and tripped by hand goes by this word.
const LATCH: &str = "latch";
/// The answer of somebody who knows no limit.
const UNKNOWN: &str = "don't know";

/// Returns the next question.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if !has_total(case) && !settled(case, QuestionId::TotalReading) {
        let total = Proposed::total().with(MeasurementKind::Volts);
        return Some(HuntStep::ask(Question::of(QuestionId::TotalReading).reading(total)));
    }
    if let Some(step) = class_question(case) {
        return Some(step);
    }
    if supply::tap(case) != Tap::None && !settled(case, QuestionId::TotalTap) {
        return Some(HuntStep::ask(Question::of(QuestionId::TotalTap).or(NOT_MEASURED)));
    }
    if !settled(case, QuestionId::TotalVolts) && !begun_by_hand(case) {
        let volts = Proposed::at(MeasurementKind::Volts, "");
        return Some(HuntStep::ask(Question::of(QuestionId::TotalVolts).reading(volts)));
    }
    limit_question(case).or_else(|| usage::next(case, now)).or_else(|| verdict_question(case))
}

/// Asks for the limit where none is known: a current, or the days that it must stand. Enter takes those of its class.
fn limit_question(case: &Case) -> Option<HuntStep> {
    if limit_of(case).is_some() || settled(case, QuestionId::TotalLimit) {
        return None;
    }
    let say = supply::for_orientation(case).into_iter().collect();
    Some(HuntStep::ask(stand_question(case, QuestionId::TotalLimit)).after(say))
}

/// Asks for how long it must stand. Where its class is held by that, Enter takes the usual time.
pub(super) fn stand_question(case: &Case, id: QuestionId) -> Question {
    Question::of(id).or(usual_stand(case))
}

fn usual_stand(case: &Case) -> String {
    Limits::builtin().stand(case.map.class).map_or(UNKNOWN.to_owned(), words::days)
}

/// Where the vehicle was asked about, its limit is asked too, before any verdict: the figure of its class is the default.
fn class_question(case: &Case) -> Option<HuntStep> {
    if !settled(case, QuestionId::InterviewClass) || settled(case, QuestionId::TotalLimit) {
        return None;
    }
    let limit = of_class(case)?;
    let question = Question { help: words::CLASS_LIMIT.to_owned(), ..Question::of(QuestionId::TotalLimit) };
    let stand = Limits::builtin().stand(case.map.class);
    let say = [words::class_limit(&limit.source)].into_iter().chain(stand.map(words::or_stand)).collect();
    Some(HuntStep::ask(question.or(bare(limit.current, 2))).after(say))
}

/// The limit of the class, where it is the one that holds.
fn of_class(case: &Case) -> Option<Limit> {
    let chosen = choose(case.limit.as_ref(), &case.map).filter(|chosen| chosen.rank == Rank::Class)?;
    Some(chosen.limit)
}

/// A provisional total counts too: the trail goes on with it until a settled one is read.
fn has_total(case: &Case) -> bool {
    let is_total = |what: &Measurement| matches!(what, Measurement::Total { as_found: false, .. });
    case.readings.iter().any(|reading| is_total(&reading.what) && !reading.after_repair)
}

/// Within the limit there may be nothing to find; the readings say so and the technician decides. After a repair the
/// totals say something else, and it is not asked any more.
fn verdict_question(case: &Case) -> Option<HuntStep> {
    if settled(case, QuestionId::RepairWhat) {
        return None;
    }
    let analysis = Analysis::of(case);
    let verdict = analysis.verdict?;
    if verdict != DrawVerdict::Within || settled(case, QuestionId::TotalWithin) {
        return None;
    }
    // What was found beside the circuits is seen to, not searched past.
    if analysis.leading_supply().is_some_and(|one| !one.mended) {
        return None;
    }
    let mut say: Vec<StyledText> = show::verdict(&analysis, case.ammeter()).into_iter().collect();
    say.extend(energy(case).filter(|found| found.loses() < ALSO).map(|found| text::supply::holds(&found)));
    say.extend(plugged(case).map(|drew| words::plugged(&drew)));
    let gone = gone(case, analysis.limit.as_ref().map(|limit| limit.current));
    say.push(
        gone.map_or_else(|| StyledText::plain(words::ELSEWHERE), |[found, now]| words::gone(&found, &now)),
    );
    if case.answer(QuestionId::PrepareOpened).is_some_and(|opened| opened.contains(LATCH)) {
        say.push(StyledText::plain(text::care::TRIPPED_HIDES));
    }
    Some(HuntStep::ask(Question::of(QuestionId::TotalWithin).or("stop")).after(say))
}

/// Returns true if the hunt ends with the total within its limit. A limit that is told later is held against it anew.
pub(super) fn ends_within(case: &Case) -> bool {
    let is_over = || Analysis::of(case).verdict == Some(DrawVerdict::Over);
    case.answer(QuestionId::TotalWithin) == Some("stop") && !is_over()
}

/// Words that a time ends with.
const TIMES: [&str; 10] = ["d", "day", "days", "h", "hour", "hours", "week", "weeks", "month", "months"];

/// Returns true for a time, if only one that can't be; a bare number would be a current.
fn is_time(text: &str) -> bool {
    let ends =
        text.split_whitespace().last().is_some_and(|word| TIMES.contains(&word.to_lowercase().as_str()));
    ends || Minute::read(text, "").is_ok() || typed::read_limit(text).is_err() && read_time(text).is_ok()
}

/// Takes an answer.
pub fn take(case: &Case, question: &Question, text: &str, _: DateTime<FixedOffset>) -> Taken {
    match question.id.head {
        QuestionId::TotalReading => {
            Taken::read(with_beside::<Ampere, Volt>(text, "mA", "V"), |(current, volts)| {
                let fell = still_falling(case, current.value);
                let taken = total_entry(case, Measurement::Total { current, as_found: false }).saying(fell);
                match volts {
                    Some(volts) => {
                        let question = QuestionId::TotalVolts.into();
                        let answer = volts.text.clone();
                        taken.and(LogEvent::Volts { volts }).and(LogEvent::Answer { question, answer })
                    }
                    None => taken,
                }
            })
        }
        QuestionId::TotalVolts => {
            let mut taken = volts_entry(text);
            if !taken.entries.is_empty() {
                taken
                    .entries
                    .push(LogEvent::Answer { question: question.id.clone(), answer: text.to_owned() });
                taken.say.extend(judged(case, &Analysis::of(case)));
            }
            taken
        }
        QuestionId::TotalLimit if is_time(text) => stand(case, question, text),
        QuestionId::TotalLimit => match typed::read_limit(text) {
            _ if is_unknown(text) => {
                Taken::answer(question, UNKNOWN).saying([StyledText::plain(words::NO_LIMIT)])
            }
            _ if question.default.as_deref() == Some(text.trim()) => Taken::answer(question, text.trim()),
            Ok(limit) => limit_taken(case, limit),
            Err(fault) => Taken::refuse(fault.expected(words::A_LIMIT).to_string()),
        },
        QuestionId::TotalStand => stand(case, question, text),
        QuestionId::TotalTap if battery_detail::is_unknown(text) => Taken::answer(question, NOT_MEASURED),
        QuestionId::TotalTap => Taken::read(Ampere::read(text, "mA"), |plus| {
            Taken::answer(question, text).saying(supply::tapped(case, plus.value))
        }),
        _ => choice(question, text),
    }
}

/// Takes the time for which it must stand: what its battery, full, then bears is the limit.
pub(super) fn stand(case: &Case, question: &Question, text: &str) -> Taken {
    if is_unknown(text) {
        return Taken::answer(question, UNKNOWN).saying([StyledText::plain(words::NO_LIMIT)]);
    }
    let wanted = match read_time(text) {
        Ok(wanted) if wanted > Minute::ZERO => Day::from(wanted),
        Ok(_) => return Taken::refuse(interview::ABOVE_ZERO),
        Err(fault) => return Taken::refuse(fault.expected(interview::A_TIME).to_string()),
    };
    let (Ok(stock), Ok(capacity)) = (supply::stock(case, true), supply::known_capacity(case)) else {
        return Taken::answer(question, text.trim());
    };
    let allowed = stock.allowed(wanted);
    match Ampere::read(&bare(allowed.value(), 2), "mA") {
        Ok(limit) if limit.value > Ampere::ZERO => {
            let source = words::from_stand(wanted, &capacity);
            let said = words::limit_from_stand(&allowed, &source);
            let limit = LogEvent::Limit { limit, source };
            let answer = LogEvent::Answer { question: question.id.clone(), answer: text.trim().to_owned() };
            let mut taken = limit_taken(case, limit);
            taken.entries.push(answer);
            taken.say.insert(0, said);
            taken
        }
        _ => Taken::refuse(words::too_long(wanted, &capacity)),
    }
}

/// Takes a limit that was told after the total. A total over it, or near it, is said at once; one within it leads to a
/// question that says so.
fn limit_taken(case: &Case, entry: LogEvent) -> Taken {
    let mut told = case.clone();
    if let LogEvent::Limit { limit, source } = &entry {
        told.limit = Some(Limit { current: limit.value, source: source.clone() });
    }
    let judged = settled(case, QuestionId::TotalVolts).then(|| Analysis::of(&told));
    let judged = judged.filter(|analysis| analysis.verdict != Some(DrawVerdict::Within));
    let said = judged.and_then(|analysis| show::verdict(&analysis, case.ammeter()));
    Taken::entry(entry).saying(said)
}

/// Returns true if the first total is the newest reading: its verdict is due.
pub(super) fn is_newest(case: &Case) -> bool {
    let is_total = |what: &Measurement| matches!(what, Measurement::Total { as_found: false, .. });
    let totals = case.readings.iter().filter(|reading| is_total(&reading.what) && !reading.after_repair);
    totals.count() == 1 && case.readings.last().is_some_and(|last| is_total(&last.what))
}

/// The verdict, and beside it what else speaks of the draw: the reserve's advice, and the time to flat.
pub(super) fn judged(case: &Case, analysis: &Analysis) -> Vec<StyledText> {
    let mut lines: Vec<StyledText> = show::verdict(analysis, case.ammeter()).into_iter().collect();
    let advice = supply::ratings(case).reserve.and_then(|reserve| Limits::builtin().reserve_advice(reserve));
    lines.extend(plugged(case).map(|drew| words::plugged(&drew)));
    lines.extend(advice.map(|advice| words::advised(advice.current, &advice.source)));
    if let Some(stood) = case.told().stand {
        lines.extend(analysis.total.as_ref().and_then(|total| supply::expected(case, stood, total)));
    }
    lines
}

/// A total read before sleep was proved is marked, and a later one replaces it.
fn total_entry(case: &Case, what: Measurement) -> Taken {
    let provisional = !case.answer(QuestionId::SettleWait).is_some_and(is_asleep);
    let body = match measured(case, what, false) {
        LogEvent::Reading(reading) => LogEvent::Reading(Box::new(Measured { provisional, ..*reading })),
        other => other,
    };
    let note = provisional.then(|| StyledText::of(Role::Doubt, words::PROVISIONAL));
    Taken::entry(body).saying(note)
}

/// A total so much below the last one of the wait means that something fell asleep only now. Editorial.
const STILL_FALLING: f64 = 0.9;

/// Returns what to say where the draw fell between the end of the wait and the total.
fn still_falling(case: &Case, total: Ampere) -> Option<StyledText> {
    let waited = case.readings.iter().rev().find_map(|reading| match &reading.what {
        Measurement::Watch { current } if !reading.after_repair => Some(current.value),
        _ => None,
    })?;
    (total < waited * STILL_FALLING).then(|| words::still_falling(waited))
}

fn is_unknown(text: &str) -> bool {
    [UNKNOWN, "unknown", "none"].iter().any(|word| text.eq_ignore_ascii_case(word))
}
