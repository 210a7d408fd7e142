//! What the newest meter log in the session log shows of a draw that comes and goes: whether it takes too much, and what it
//! says of each load, network and fuse. Leaves to others: the log itself (`trace`), its weight (`infer/night`).

use chrono::TimeDelta;

use super::limit::limit_of;
use crate::balance::verdict::{DrawVerdict, judge};
use crate::base::quantity::{Ampere, Minute, Typed, Uncertain, Unit as _};
use crate::circuit::map::Map;
use crate::infer::night::NightEvidence;
use crate::instrument::uncertainty::current;
use crate::log::case::{Case, Dated, Said};
use crate::log::question_id::QuestionId;
use crate::log::trace_summary::TraceSummary;
use crate::measure::night::{ChannelShare, LedgerLine};
use crate::measure::sighting::{Sighting, SightingPlace};
use crate::trace::known::{wake_together, wakes_so};

/// A feed that carries this share of what rose has it. Editorial: two feeds of one network share it.
const CARRIES: f64 = 0.6;

/// A feed that carries less than this share has nothing of it. Editorial: noise and drift of two meters.
const NOTHING: f64 = 0.1;

/// Share of the departures at which a feed must be the first to be taken for the first. Editorial.
const MOSTLY: f64 = 0.5;

/// Returns what the newest meter log says of the fault as it was found.
pub(super) fn night_of(case: &Case, limit: Option<Ampere>) -> NightEvidence {
    let Some(seen) = night_before_repair(case) else { return NightEvidence::default() };
    let entry = seen.stamp.entry;
    let seen = &seen.what;
    let rest = seen.ledger.lines.first().map(|line| line.peak);
    let average = average_of(case, seen).filter(|_| rest.is_some());
    let judged = |drawn| limit.map(|limit| judge(drawn, limit));
    let is_over = average.as_ref().and_then(judged) == Some(DrawVerdict::Over);
    let rests_over = rest.map(|rest| read(case, rest)).as_ref().and_then(judged) == Some(DrawVerdict::Over);
    let line = seen.ledger.costliest().copied();
    let found = line.iter().zip(rest).flat_map(|(line, rest)| rises(line, rest, &case.map));
    let found = found.chain(seen.channels.iter().flat_map(|channel| channels(channel, &case.map)));
    NightEvidence {
        average,
        is_woken: is_over && !rests_over && line.is_some(),
        first: line.and_then(|line| at(seen, line.first)),
        line,
        found: found.map(|(at, found)| Sighting { entry, at, found: found.to_owned() }).collect(),
    }
}

/// Returns the number of the entry that told the repair.
pub(super) fn repaired_at(case: &Case) -> Option<usize> {
    let is_repair = |said: &&Dated<Said>| {
        said.what.question.plain() == Some(QuestionId::RepairWhat) && case.was_repaired()
    };
    case.answers.iter().find(is_repair).map(|said| said.stamp.entry)
}

/// Returns the newest meter log that was entered before the repair.
pub(super) fn night_before_repair(case: &Case) -> Option<&Dated<TraceSummary>> {
    let repaired = repaired_at(case).unwrap_or(usize::MAX);
    case.watched.iter().rev().find(|seen| seen.stamp.entry < repaired)
}

/// Returns true if a night before the repair was within the limit at rest, and over it on average.
pub(super) fn is_woken(case: &Case) -> bool {
    night_of(case, limit_of(case).map(|limit| limit.current)).is_woken
}

/// Returns the average of a meter log, wake-ups in, with what the ammeter leaves open.
pub(super) fn average_of(case: &Case, seen: &TraceSummary) -> Option<Uncertain<Ampere>> {
    seen.average.map(|shown| read(case, shown))
}

/// Returns what a current that a meter log showed is worth.
pub(super) fn read(case: &Case, shown: Ampere) -> Uncertain<Ampere> {
    current(&Typed::measured(shown, case.ammeter().resolution, ""), case.ammeter())
}

fn at(seen: &TraceSummary, after: Minute) -> Option<chrono::DateTime<chrono::FixedOffset>> {
    seen.started?.checked_add_signed(TimeDelta::milliseconds((after.base() * 60_000.0).round() as i64))
}

/// What the height of a rise says of each load and network.
fn rises<'a>(
    line: &'a LedgerLine,
    rest: Ampere,
    map: &'a Map,
) -> impl Iterator<Item = (SightingPlace, &'static str)> + 'a {
    let word = |so: bool| if so { "rises-so" } else { "rises-otherwise" };
    let loads =
        map.loads().map(move |(id, load)| (SightingPlace::Load(id), word(wakes_so(load, line, rest))));
    let groups = map.wake_groups.iter_ids();
    loads.chain(groups.map(move |(id, _)| (SightingPlace::Group(id), word(wake_together(id, line, map)))))
}

/// What a feed logged beside the total says.
fn channels(channel: &ChannelShare, map: &Map) -> Vec<(SightingPlace, &'static str)> {
    let Some((feed, _)) = map.feeds.iter_ids().find(|(_, feed)| feed.id.eq_ignore_ascii_case(&channel.name))
    else {
        return Vec::new();
    };
    let carried = match channel.share {
        share if share >= CARRIES => Some("carries"),
        share if share < NOTHING => Some("carries-nothing"),
        _ => None,
    };
    let is_first = channel.first as f64 > MOSTLY * channel.with.max(1) as f64;
    let first = is_first.then_some("rises-first");
    carried.into_iter().chain(first).map(|word| (SightingPlace::Feed(feed), word)).collect()
}
