//! What stands on the screen after a reading: what it meant, what is still to find, what leads, what to read next and why;
//! and what is told of these where somebody asks. Leaves to others: the words (`text`).

use super::analysis::Analysis;
use crate::balance::verdict::{DrawVerdict, judge};
use crate::base::quantity::{Ampere, Minute, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::battery::limit::alarm;
use crate::circuit::map::{Hazard, Limit};
use crate::infer::Inference;
use crate::infer::assumptions::DECIDED;
use crate::infer::leader::Leader;
use crate::instrument::profile::Profile;
use crate::log::case::Case;
use crate::measure::doubt::doubts;
use crate::measure::observation::{Observation, Scope};
use crate::measure::sighting::SightingPlace;
use crate::plan::proposal::{Plan, Proposal, StepReason, Stop};
use crate::plan::refit::with_refit;
use crate::plan::reports::asked_together;
use crate::text;
use crate::text::suspects::{POSSIBLE, SuspectRow};

/// The second suspect is shown if it comes this near to the first. Editorial.
const CLOSE: f64 = 0.5;
/// A suspect below this is not worth a line.
const WORTH_A_LINE: f64 = 0.02;

/// Returns what the entries from `first` on meant.
pub fn meaning(case: &Case, analysis: &Analysis, first: usize) -> Vec<StyledText> {
    meaning_of(case, analysis, |entry| entry >= first)
}

/// Returns what these entries meant.
pub fn meaning_of(case: &Case, analysis: &Analysis, wanted: impl Fn(usize) -> bool) -> Vec<StyledText> {
    let mut lines = Vec::new();
    for observation in analysis.observed.observations.iter().filter(|observation| wanted(observation.entry)) {
        lines.push(text::reading::meaning(
            observation,
            normal_at(observation, analysis),
            is_first_below(observation, analysis),
            &analysis.panel,
        ));
    }
    let below: Vec<&Observation> =
        analysis.observed.below.iter().filter(|observation| wanted(observation.entry)).collect();
    lines.extend(text::round::below(&below, &analysis.panel));
    for (_, event) in analysis.observed.events.iter().filter(|(entry, _)| wanted(*entry)) {
        lines.push(text::reading::event(event));
    }
    for out in analysis.observed.times_out.iter().filter(|out| wanted(out.entry)) {
        lines.push(StyledText::plain(text::reading::time_out(analysis.facts.series.as_ref(), out)));
    }
    for reading in case.readings.iter().filter(|reading| wanted(reading.entry)) {
        let doubts = doubts(reading, analysis.total.as_ref(), &analysis.panel);
        lines.extend(doubts.iter().map(|doubt| StyledText::of(Role::Doubt, text::doubt::doubt(doubt))));
    }
    lines
}

/// Returns true if no reading before this one was under its floor: what that means is told once.
fn is_first_below(observation: &Observation, analysis: &Analysis) -> bool {
    let all = &analysis.observed.observations;
    !all.iter().any(|one| one.entry < observation.entry && one.current.value() < one.floor)
}

/// What the map expects asleep where a reading shows plainly more.
fn normal_at(observation: &Observation, analysis: &Analysis) -> Option<Ampere> {
    let Scope::Through(read) = observation.scope else { return None };
    let panel = &analysis.panel;
    let below = panel.map.feeds.ids().filter(|feed| panel.tree.path_to_battery(*feed).contains(&read));
    let loads = below.filter_map(|feed| panel.map.feeds.get(feed)).flat_map(|feed| &feed.loads);
    let normal: Ampere = loads.map(|load| load.asleep).sum();
    (observation.current.low() > normal).then_some(normal)
}

/// Says that one circuit draws more asleep than it should, where the reading shows that for sure: more than what
/// makers count as high, and twice what the map expects of its loads.
fn high(observation: &Observation, analysis: &Analysis) -> Option<StyledText> {
    let Scope::Through(index) = observation.scope else { return None };
    let feed = analysis.panel.map.feeds.get(index)?;
    let has_feeds = analysis.panel.map.feeds.iter().any(|other| other.parent == Some(index));
    let (_, line, source) = alarm(&feed.loads).filter(|_| !has_feeds)?;
    let expected: Ampere = feed.loads.iter().map(|load| load.asleep).sum();
    (observation.current.low() > line.max(expected * 2.0)).then(|| text::reading::high(&feed.id, source))
}

/// Returns what the newest readings meant, if the log ends with readings: one, or a box read in one go.
pub fn latest(case: &Case, analysis: &Analysis) -> Vec<StyledText> {
    let Some(last) = case.readings.last().filter(|last| last.entry == case.entries) else {
        return Vec::new();
    };
    let batch = case.readings.iter().rev().take_while(|reading| reading.at == last.at);
    let first = batch.map(|reading| reading.entry).last().unwrap_or(last.entry);
    meaning(case, analysis, first)
}

/// Returns verdict and limit in one line; where it is undecided, what would decide it.
pub fn verdict(analysis: &Analysis, clamp: &Profile) -> Option<StyledText> {
    let (total, limit, night) = (analysis.total.as_ref()?, analysis.limit.as_ref()?, &analysis.facts.night);
    match night.average.as_ref().filter(|_| night.is_woken) {
        Some(average) => Some(text::decide::woken(total, average, limit)),
        None => Some(judged(total, limit, analysis.verdict?, clamp)),
    }
}

/// Returns the verdict as it is against a limit that was just told.
pub fn against(case: &Case, limit: &Limit) -> Option<StyledText> {
    let analysis = Analysis::of(case);
    let total = analysis.total.as_ref()?;
    Some(judged(total, limit, judge(total, limit.current), case.ammeter()))
}

fn judged(total: &Uncertain<Ampere>, limit: &Limit, verdict: DrawVerdict, clamp: &Profile) -> StyledText {
    let decides = || text::decide::what(total, limit.current, clamp);
    text::decide::judged(total, limit, verdict, decides)
}

/// Returns the standing of the hunt: still to find, conflicts, what leads.
pub fn standing(analysis: &Analysis) -> Vec<StyledText> {
    let mut lines = placing(analysis);
    let mut rows = ranked(analysis);
    let close = rows.get(1).zip(rows.first()).is_some_and(|(second, first)| second.1 > first.1 * CLOSE);
    rows.truncate(if close { 2 } else { 1 });
    // What is unlikely does not lead.
    let rows: Vec<SuspectRow> = rows
        .into_iter()
        .filter(|(_, probability, ..)| *probability >= POSSIBLE)
        .map(|(_, _, row, _)| row)
        .collect();
    lines.extend(text::suspects::listed(&rows));
    lines
}

/// Returns why the reading that is asked for comes next, and how far along the search is.
pub fn next_line(plan: &Plan, proposal: &Proposal, analysis: &Analysis) -> StyledText {
    if asked_together(proposal, plan).len() > 1 {
        return StyledText::plain(text::next::WHY_ASKED_OF);
    }
    text::next::why_next(proposal, analysis.excess.as_ref(), &analysis.panel, ahead(plan))
}

/// How many readings the search takes from here as likely as not, and their minutes: so many as cover half of what is
/// likely. `None` where the readings proposed don't cover that much, or show no cause.
fn ahead(plan: &Plan) -> Option<(usize, Minute)> {
    let (mut covered, mut minutes) = (0.0, Minute::ZERO);
    for (count, proposal) in plan.readings.iter().enumerate() {
        let StepReason::Covers(share) = proposal.reason else { continue };
        covered += share;
        minutes = minutes + proposal.minutes;
        if covered >= 0.5 {
            return Some((count + 1, minutes));
        }
    }
    None
}

/// Returns what is not placed yet, and which readings do not fit together.
pub fn placing(analysis: &Analysis) -> Vec<StyledText> {
    let mut lines = Vec::new();
    // Of what comes and goes nothing is there to be placed; of a total within its limit nothing need be.
    let is_within = analysis.inference().is_some_and(Inference::is_within);
    let account = analysis.account.as_ref().filter(|_| !analysis.facts.night.is_woken && !is_within);
    lines.extend(account.and_then(text::account::unplaced));
    for conflict in analysis.conflicts() {
        lines.push(StyledText::of(
            Role::Doubt,
            format!("Doesn't fit: {}.", text::account::conflict(conflict, &analysis.panel)),
        ));
    }
    lines
}

/// Returns the pairs that are worth a line, likeliest first.
pub fn pairs(analysis: &Analysis, most: usize) -> Vec<StyledText> {
    let worth = analysis.ranking().pairs.iter().filter(|pair| pair.probability >= WORTH_A_LINE).take(most);
    worth.map(|pair| text::suspects::pair_line(pair).indented(2)).collect()
}

/// Returns how likely those are that [`leading`] leaves out.
pub fn rest(analysis: &Analysis, most: usize) -> StyledText {
    let ranking = analysis.ranking();
    let branches = ranking.suspects.iter().map(|suspect| suspect.probability);
    let groups = ranking.groups.iter().map(|group| group.probability);
    let gone = Some(ranking.not_present_now).filter(|gone| *gone > 0.0);
    let mut all: Vec<f64> = branches.chain(groups).chain([ranking.nothing_wrong]).chain(gone).collect();
    all.sort_by(|a, b| b.total_cmp(a));
    let shown = all.iter().take(most).filter(|probability| **probability >= WORTH_A_LINE).count().max(1);
    let left: f64 = all.iter().skip(shown).sum();
    let count = all.len().saturating_sub(shown);
    StyledText::of(Role::Hint, text::suspects::rest(count, left)).indented(2)
}

/// A suspect as it ranks: share of the excess, probability, its row, why.
type Ranked = (f64, f64, SuspectRow, Option<String>);

/// Returns suspects, groups, "nothing wrong" and "not there now", those first that explain most of the excess; what is not worth a line only
/// if it leads.
fn ranked(analysis: &Analysis) -> Vec<Ranked> {
    let excess = analysis.excess.as_ref();
    let (panel, night) = (&analysis.panel, &analysis.facts.night);
    let branches = analysis.ranking().suspects.iter().map(|suspect| {
        let row = text::suspects::suspect_row(suspect, panel);
        let why = text::suspects::why(suspect, excess, night, panel);
        (suspect.standing.share, suspect.probability, row, Some(why))
    });
    let groups = analysis.ranking().groups.iter().map(|group| {
        let row = text::suspects::group_row(group, panel);
        (group.standing.share, group.probability, row, Some(text::suspects::why_group(group, night, panel)))
    });
    let (nothing, gone) = (analysis.ranking().nothing_wrong, analysis.ranking().not_present_now);
    let sound = [
        (nothing, nothing, text::suspects::nothing_row(nothing), None),
        (gone, gone, text::suspects::gone_row(gone), None),
    ];
    let supply = analysis
        .leading_supply()
        .map(|one| (1.0, one.probability, text::supply::row(one), Some(text::supply::why(one))));
    let mut all: Vec<Ranked> = supply.into_iter().chain(branches.chain(groups).chain(sound)).collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    let worth = |(index, one): &(usize, Ranked)| *index == 0 || one.1 >= WORTH_A_LINE;
    all.into_iter().enumerate().filter(worth).map(|(_, one)| one).collect()
}

/// Returns the leading suspects, a line each.
pub fn leading(analysis: &Analysis, most: usize) -> Vec<StyledText> {
    let rows: Vec<SuspectRow> = ranked(analysis).into_iter().take(most).map(|(_, _, row, _)| row).collect();
    text::suspects::listed(&rows)
}

/// Returns the leading suspects, each with why it is one.
pub fn why(analysis: &Analysis, most: usize) -> Vec<StyledText> {
    let (rows, whys): (Vec<SuspectRow>, Vec<Option<String>>) =
        ranked(analysis).into_iter().take(most).map(|(_, _, row, why)| (row, why)).unzip();
    let each = text::suspects::listed(&rows).into_iter().zip(whys);
    each.flat_map(|(line, why)| {
        let why = why.map(|why| StyledText::of(Role::Hint, why).indented(6));
        [line].into_iter().chain(why)
    })
    .collect()
}

/// How many suspects `why` tells of.
const REASONS: usize = 3;

/// Returns what `why` tells at a reading: who leads and why, and what to read next and why.
pub fn reasons(case: &Case) -> Vec<StyledText> {
    let analysis = Analysis::of(case);
    let mut lines = why(&analysis, REASONS);
    let newest = case.readings.last().map(|reading| reading.entry);
    let read = analysis.observed.observations.iter().filter(|one| Some(one.entry) == newest);
    lines.extend(read.filter_map(|one| high(one, &analysis)));
    let plan = with_refit(&analysis);
    let first = plan.readings.first().filter(|_| plan.stop == Stop::Open);
    lines.push(match first {
        Some(first) => text::next::proposal_line(first, analysis.excess.as_ref(), &analysis.panel),
        None => stop(&analysis),
    });
    lines
}

/// Returns every suspect that is worth a line.
pub fn everyone(case: &Case) -> Vec<StyledText> {
    let analysis = Analysis::of(case);
    let mut lines = leading(&analysis, usize::MAX);
    lines.extend(pairs(&analysis, usize::MAX));
    lines
}

/// Returns where the total goes, as far as it was read.
pub fn account(case: &Case) -> Vec<StyledText> {
    let analysis = Analysis::of(case);
    let Some(account) = &analysis.account else { return vec![StyledText::plain(text::account::NO_ACCOUNT)] };
    let read = account.feeds.iter().chain(&account.unfused).filter(|line| line.floor.is_some());
    let mut lines: Vec<StyledText> = read.map(text::account::carried).collect();
    if lines.is_empty() {
        lines.push(StyledText::plain(text::account::NO_FUSE_READ));
    }
    lines.extend(text::account::unplaced(account));
    lines
}

/// Returns why the search stops.
pub fn stop(analysis: &Analysis) -> StyledText {
    if let Some(cause) = analysis.leading_supply() {
        return text::supply::stop(cause);
    }
    let text = stop_words(analysis, &analysis.plan().stop);
    let role = if matches!(analysis.plan().stop, Stop::Decided(_) | Stop::NothingWrong(_)) {
        Role::Good
    } else {
        Role::Doubt
    };
    StyledText::of(role, text)
}

/// Returns why a search that stops so stops.
pub fn stop_words(analysis: &Analysis, stop: &Stop) -> String {
    if let Some(cured) = &analysis.ranking().cured {
        return text::next::cured(cured);
    }
    let leader = analysis.leader();
    let suspect = analysis.ranking().suspects.iter().find(|suspect| suspect.id == leader.name);
    let load = suspect.filter(|_| *stop != Stop::Open).and_then(|suspect| {
        suspect.loads.first().filter(|(name, share)| *share >= DECIDED && name.is_some())?;
        text::suspects::main_load(suspect)
    });
    let who = text::suspects::called(&leader, load);
    // What is away now is as likely as its line in the list says.
    let leads = match (stop, suspect) {
        (Stop::Open | Stop::AtTimes(_), Some(suspect)) => suspect.probability,
        _ => leader.probability,
    };
    let ending = text::next::Ending {
        who: &who,
        leads,
        was_out: was_out(analysis, &leader),
        without: without(analysis, &leader),
        night: Some(&analysis.facts.night),
        is_left_alone: is_left_alone(analysis, &leader),
        excess: analysis.excess.as_ref(),
    };
    text::next::stop(stop, &ending)
}

/// Returns true if what leads was left out, and no wake-up came.
fn was_out(analysis: &Analysis, leader: &Leader) -> bool {
    let feed = analysis.panel.tree.find_feed(&leader.name).ok().map(SightingPlace::Feed);
    analysis.observed.times_out.iter().any(|out| Some(out.at) == feed && out.came == 0)
}

/// Returns true if the fuse of what leads is not to be touched.
fn is_left_alone(analysis: &Analysis, leader: &Leader) -> bool {
    let panel = &analysis.panel;
    let hazard = panel
        .tree
        .find_feed(&leader.name)
        .ok()
        .and_then(|feed| panel.map.feeds.get(feed))
        .and_then(|feed| feed.hazard);
    matches!(hazard, Some(Hazard::Restraint | Hazard::Hv))
}

/// What the draw would be without what leads, and the limit.
fn without(analysis: &Analysis, leader: &Leader) -> Option<(Ampere, Ampere)> {
    let (total, limit) = (analysis.total.as_ref()?, analysis.limit.as_ref()?);
    let excess = analysis.ranking().excess_of(leader)?;
    let left = (total.value() - excess.value).max(Ampere::ZERO);
    // Nearer to the limit than the meter tells, nothing is said of it.
    let is_told = left <= limit.current || left - total.u() * 2.0 > limit.current;
    is_told.then_some((left, limit.current))
}
