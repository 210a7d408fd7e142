//! The trail: one reading after another, each the one that tells most for its minutes, until one branch or group
//! explains the draw or nothing left can tell. Any other reading may be typed instead.
//! Leaves to others: which reading (`plan/next`), what it means (`text`).

use chrono::{DateTime, Duration, FixedOffset};

use super::asking::settled;
use super::battery_detail::{NOT_MEASURED, is_unknown};
use super::{hook_up, settle, total};
use crate::base::quantity::Volt;
use crate::base::quantity::parse::Readable;
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::Limit;
use crate::hunt::analysis::Analysis;
use crate::hunt::question::{Question, QuestionKind};
use crate::hunt::{HuntStep, Taken, caution, show, supply};
use crate::log::case::{Case, Dated, Said};
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::log::typed::{self, Proposed};
use crate::measure::kind::MeasurementKind;
use crate::plan::proposal::{Proposal, Stop};
use crate::plan::refit::with_refit;
use crate::plan::reports::asked_together;
use crate::plan::round::Round;
use crate::text;

/// Returns the next reading of the trail, until it is over.
pub fn next(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    if case.was_repaired() || settled(case, QuestionId::TrailReading) || total::ends_within(case) {
        return None;
    }
    let analysis = Analysis::of(case);
    if analysis.leading_supply().is_some_and(|one| !one.mended) {
        return None;
    }
    let plan = with_refit(&analysis);
    let proposal = plan.readings.first().filter(|_| plan.stop == Stop::Open)?;
    if let Some(step) = asleep_again(case, now) {
        return Some(step);
    }
    if proposal.action == MeasurementKind::Clamp
        && let Some(step) = hook_up::clamp_question(case)
    {
        return Some(step);
    }
    if matches!(proposal.action, MeasurementKind::Pull | MeasurementKind::Unplug)
        && let Some(step) = caution::before_pull(case)
            .or_else(|| caution::before_recorder(case, proposal.at.as_deref().unwrap_or_default()))
    {
        return Some(step);
    }
    let judged = || total::judged(case, &analysis);
    let mut say = if total::is_newest(case) { judged() } else { show::latest(case, &analysis) };
    say.extend(show::standing(&analysis));
    if let Some(round) = analysis.round().filter(|_| Some(proposal) == analysis.plan().readings.first()) {
        say.extend(text::round::head(round, &analysis.panel));
        return Some(HuntStep::ask(round_question(round, &analysis)).after(say));
    }
    say.push(show::next_line(&plan, proposal, &analysis));
    Some(HuntStep::ask(reading_question(QuestionId::TrailReading, proposal, &analysis, now)).after(say))
}

/// Returns what comes before the next reading where the vehicle may be awake again.
pub(super) fn asleep_again(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    settle::disturbed(case).or_else(|| settle::touched(case, now)).or_else(|| volts_again(case, now))
}

/// The volts that stood beside the first total are read again after so long. Editorial: a weak battery sinks by a tenth of a
/// volt in an hour at some amperes, and every total sinks with it.
const VOLTS_AGAIN: Duration = Duration::minutes(45);

/// Asks for the battery's volts in a long search, where they were read at its beginning.
fn volts_again(case: &Case, now: DateTime<FixedOffset>) -> Option<HuntStep> {
    let read = case.volts.last()?.stamp.at;
    let is_it = |said: &&Dated<Said>| said.what.question.plain() == Some(QuestionId::TrailVolts);
    // Who doesn't measure them isn't asked again.
    if case.answer(QuestionId::TrailVolts) == Some(NOT_MEASURED) {
        return None;
    }
    let said = case.answers.iter().chain(&case.skips).filter(is_it).map(|said| said.stamp.at).max();
    let since = said.map_or(read, |said| said.max(read));
    let is_due = case.settled_total().is_some() && now - since >= VOLTS_AGAIN;
    is_due.then(|| HuntStep::ask(Question::of(QuestionId::TrailVolts).or(NOT_MEASURED)))
}

/// Returns the question for a proposed reading.
pub fn reading_question(
    id: QuestionId,
    proposal: &Proposal,
    analysis: &Analysis,
    now: DateTime<FixedOffset>,
) -> Question {
    let listed = Some(asked_together(proposal, analysis.plan())).filter(|listed| listed.len() > 1);
    let listed = listed.unwrap_or_default();
    let instruction = match listed.as_slice() {
        [] => text::next::asked(proposal, &analysis.panel, now),
        _ => text::next::asked_of(&listed),
    };
    let mut capitals = instruction.chars();
    let prompt: String = capitals.next().into_iter().flat_map(char::to_uppercase).chain(capitals).collect();
    let unit = proposal.action.row().unit();
    let plain = Question::of(id);
    let help = match listed.as_slice() {
        [] => format!("{}{}", text::next::help(proposal), plain.help),
        _ => text::next::HELP_ASKED_OF.to_owned(),
    };
    Question { prompt, unit, help, ..plain }.reading(Proposed {
        listed,
        ..Proposed::at(proposal.action, proposal.at.as_deref().unwrap_or_default())
    })
}

/// Returns the question for fuses that are read along a row.
fn round_question(round: &Round, analysis: &Analysis) -> Question {
    let reads = round.reads.iter().map(|read| (read.at.clone(), read.high.clone())).collect();
    let first = round.reads.first().map_or("", |read| read.at.as_str());
    let plain = Question::of(QuestionId::TrailReading);
    let (prompt, help) = (text::round::prompt(round, &analysis.panel), text::round::help(round));
    let unit = MeasurementKind::Drop.row().unit();
    Question { prompt, help, unit, ..plain }
        .reading(Proposed { round: reads, ..Proposed::at(MeasurementKind::Drop, first) })
}

/// Takes a reading of the trail.
pub fn take(case: &Case, question: &Question, text: &str, now: DateTime<FixedOffset>) -> Taken {
    if question.id.head == QuestionId::TrailVolts {
        return volts_taken(case, question, text);
    }
    if matches!(text.to_lowercase().as_str(), "done" | "end") {
        return Taken::answer(question, "done")
            .saying([StyledText::of(Role::Hint, text::ask::reading::TRAIL_ENDS)]);
    }
    take_reading(case, question, text, now)
}

/// Takes the battery's volts, and says so where they sank.
fn volts_taken(case: &Case, question: &Question, text: &str) -> Taken {
    if is_unknown(text) {
        return Taken::answer(question, NOT_MEASURED);
    }
    Taken::read(Volt::read(text, "V"), |volts| taken(case, vec![LogEvent::Volts { volts }]))
}

/// Takes a limit, a disturbance or a note that is typed where words are due; `None` if it reads as none of these.
pub(super) fn take_event(case: &Case, text: &str) -> Option<Taken> {
    let is_event = |entry: &LogEvent| {
        matches!(entry, LogEvent::Limit { .. } | LogEvent::Disturb { .. } | LogEvent::Note { .. })
    };
    let entries = typed::read_line(case, text, None).ok().filter(|entries| entries.iter().all(is_event))?;
    Some(taken(case, entries))
}

/// Reads a line at a reading question; what cannot be read is refused, what is doubtful is entered and questioned.
pub fn take_reading(case: &Case, question: &Question, text: &str, now: DateTime<FixedOffset>) -> Taken {
    let wanted = match &question.kind {
        QuestionKind::Reading(wanted) => Some(wanted),
        _ => None,
    };
    Taken::read(typed::read_line(case, text, wanted), |entries| {
        taken(case, typed::entered_at(case, now, entries))
    })
}

/// Takes entries with what is to be said of them at once.
fn taken(case: &Case, entries: Vec<LogEvent>) -> Taken {
    let meant = |entry: &LogEvent| match entry {
        LogEvent::Volts { volts } => supply::sagged(case, volts.value),
        LogEvent::Limit { limit, source } => {
            show::against(case, &Limit { current: limit.value, source: source.clone() })
        }
        _ => None,
    };
    let say: Vec<StyledText> = entries.iter().filter_map(meant).collect();
    Taken { entries, say, ..Taken::default() }
}
