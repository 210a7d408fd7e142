//! What stands on the screen after a reading: what it meant, what is still unplaced, the leading suspects, what to
//! read next and why. Leaves to others: the words (`text`).

use super::analysis::Analysis;
use crate::balance::verdict::{DrawVerdict, judge};
use crate::base::quantity::show::{bare, with_interval};
use crate::base::quantity::{Ampere, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::battery::limit::alarm;
use crate::circuit::map::Limit;
use crate::instrument::profile::Profile;
use crate::log::case::Case;
use crate::measure::doubt::doubts;
use crate::measure::observation::{Observation, Scope};
use crate::plan::proposal::Stop;
use crate::text;

/// How many suspects are shown during the trail.
const LEADING: usize = 3;
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
        lines.push(text::reading::meaning(observation, &analysis.panel));
        lines.extend(high(observation, analysis));
    }
    for (_, event) in analysis.observed.events.iter().filter(|(entry, _)| wanted(*entry)) {
        lines.push(text::reading::event(event));
    }
    for reading in case.readings.iter().filter(|reading| wanted(reading.entry)) {
        let doubts = doubts(reading, analysis.total.as_ref(), &analysis.panel);
        lines.extend(doubts.iter().map(|doubt| StyledText::of(Role::Doubt, doubt)));
    }
    lines
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
    Some(judged(analysis.total.as_ref()?, analysis.limit.as_ref()?, analysis.verdict?, clamp))
}

/// Returns the verdict as it is against a limit that was just told.
pub fn against(case: &Case, limit: &Limit) -> Option<StyledText> {
    let analysis = Analysis::of(case).ok()?;
    let total = analysis.total.as_ref()?;
    Some(judged(total, limit, judge(total, limit.current), case.ammeter()))
}

fn judged(total: &Uncertain<Ampere>, limit: &Limit, verdict: DrawVerdict, clamp: &Profile) -> StyledText {
    let (role, tail) = match verdict {
        DrawVerdict::Over => (Role::Doubt, String::new()),
        DrawVerdict::Within => (Role::Good, String::new()),
        DrawVerdict::Undecided => {
            (Role::Doubt, format!(": {}", text::decide::what(total, limit.current, clamp)))
        }
    };
    StyledText::plain("Settled draw ")
        .and(Role::Value, with_interval(total))
        .and(Role::Plain, format!(" against {}, {}: ", bare(limit.current, 3), limit.source))
        .and(role, format!("{}{tail}", verdict.word()))
}

/// Returns the standing of the hunt: unplaced, conflicts, leading suspects.
pub fn standing(analysis: &Analysis) -> Vec<StyledText> {
    let mut lines = placing(analysis);
    lines.extend(leading(analysis, LEADING));
    lines
}

/// Returns what is not placed yet, and which readings do not fit together.
pub fn placing(analysis: &Analysis) -> Vec<StyledText> {
    let mut lines = Vec::new();
    lines.extend(analysis.account.as_ref().and_then(text::account::unplaced));
    for conflict in analysis.conflicts() {
        lines.push(StyledText::of(
            Role::Doubt,
            format!("These don't fit: {}.", text::account::conflict(conflict, &analysis.panel)),
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
    let mut all: Vec<f64> = branches.chain(groups).chain([ranking.nothing_wrong]).collect();
    all.sort_by(|a, b| b.total_cmp(a));
    let shown = all.iter().take(most).filter(|probability| **probability >= WORTH_A_LINE).count().max(1);
    let left: f64 = all.iter().skip(shown).sum();
    let count = all.len().saturating_sub(shown);
    StyledText::of(Role::Hint, text::suspects::rest(count, left)).indented(2)
}

/// Returns the leading suspects, groups and "nothing wrong", those first that explain most of the excess.
pub fn leading(analysis: &Analysis, most: usize) -> Vec<StyledText> {
    let excess = analysis.excess.as_ref();
    let panel = &analysis.panel;
    let branches = analysis.ranking().suspects.iter();
    let branches = branches.map(|suspect| {
        let line = text::suspects::suspect_line(suspect, excess, panel);
        (suspect.standing.share, suspect.probability, line)
    });
    let groups = analysis.ranking().groups.iter();
    let groups = groups
        .map(|group| (group.standing.share, group.probability, text::suspects::group_line(group, panel)));
    let nothing = analysis.ranking().nothing_wrong;
    let sound = (nothing, nothing, text::suspects::nothing_line(nothing));
    let supply = analysis.leading_supply().map(|one| (1.0, one.probability, text::supply::line(one)));
    let mut lines: Vec<(f64, f64, StyledText)> =
        supply.into_iter().chain(branches.chain(groups).chain([sound])).collect();
    lines.sort_by(|a, b| b.0.total_cmp(&a.0));
    lines
        .into_iter()
        .enumerate()
        .filter(|(index, (_, probability, _))| *index == 0 || *probability >= WORTH_A_LINE)
        .take(most)
        .map(|(_, (.., line))| line.indented(2))
        .collect()
}

/// Returns why the search stops.
pub fn stop(analysis: &Analysis) -> StyledText {
    if let Some(cause) = analysis.leading_supply() {
        return text::supply::stop(cause);
    }
    let leader = analysis.leader();
    let text = match &analysis.ranking().cured {
        Some(cured) => text::next::cured(cured),
        None => text::next::stop(
            &analysis.plan().stop,
            analysis.excess.as_ref(),
            (&leader.words(), leader.probability),
        ),
    };
    let role = if matches!(analysis.plan().stop, Stop::Decided(_) | Stop::NothingWrong(_)) {
        Role::Good
    } else {
        Role::Doubt
    };
    StyledText::of(role, format!("Stop: {text}."))
}
