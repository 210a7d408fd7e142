//! What stands on the screen after a reading: what it meant, what is still unplaced, the leading suspects, what to
//! read next and why. Leaves to others: the words (`words`).

use super::analysis::Analysis;
use crate::account::verdict::Verdict;
use crate::battery::limit::alarm;
use crate::instrument::profile::Profile;
use crate::piece::{Line, Role};
use crate::quantity::Ampere;
use crate::quantity::show::{bare, with_interval};
use crate::reading::claim::{Claim, Scope};
use crate::reading::doubt::doubts;
use crate::session::case::Case;
use crate::suspects::plan::Stop;
use crate::words;

/// How many suspects are shown during the trail.
const LEADING: usize = 3;
/// A suspect below this is not worth a line.
const WORTH_A_LINE: f64 = 0.02;

/// Returns what the entries from `first` on meant.
pub fn meaning(case: &Case, analysis: &Analysis, first: usize) -> Vec<Line> {
    meaning_of(case, analysis, |entry| entry >= first)
}

/// Returns what these entries meant.
pub fn meaning_of(case: &Case, analysis: &Analysis, wanted: impl Fn(usize) -> bool) -> Vec<Line> {
    let mut lines = Vec::new();
    for claim in analysis.observed.claims.iter().filter(|claim| wanted(claim.entry)) {
        lines.push(words::reading::meaning(claim, &analysis.panel));
        lines.extend(high(claim, analysis));
    }
    for (_, event) in analysis.observed.events.iter().filter(|(entry, _)| wanted(*entry)) {
        lines.push(words::reading::event(event));
    }
    for reading in case.readings.iter().filter(|reading| wanted(reading.entry)) {
        let doubts = doubts(reading, analysis.total.as_ref(), &analysis.panel);
        lines.extend(doubts.iter().map(|doubt| Line::of(Role::Doubt, doubt)));
    }
    lines
}

/// Says that one circuit draws more asleep than it should, where the reading shows that for sure: more than what
/// makers count as high, and twice what the map expects of its loads.
fn high(claim: &Claim, analysis: &Analysis) -> Option<Line> {
    let Scope::Through(index) = claim.scope else { return None };
    let feed = analysis.panel.map.feeds.get(index)?;
    let has_feeds = analysis.panel.map.feeds.iter().any(|other| other.parent == Some(index));
    let (_, line, source) = alarm(&feed.loads).filter(|_| !has_feeds)?;
    let expected: Ampere = feed.loads.iter().map(|load| load.asleep).sum();
    (claim.current.low() > line.max(expected * 2.0)).then(|| {
        Line::of(Role::Doubt, format!("{} is high for one circuit asleep: {source}.", feed.id)).indented(2)
    })
}

/// Returns what the newest readings meant, if the log ends with readings: one, or a box read in one go.
pub fn latest(case: &Case, analysis: &Analysis) -> Vec<Line> {
    let Some(last) = case.readings.last().filter(|last| last.entry == case.entries) else {
        return Vec::new();
    };
    let batch = case.readings.iter().rev().take_while(|reading| reading.at == last.at);
    let first = batch.map(|reading| reading.entry).last().unwrap_or(last.entry);
    meaning(case, analysis, first)
}

/// Returns verdict and limit in one line; where it is undecided, what would decide it.
pub fn verdict(analysis: &Analysis, clamp: &Profile) -> Option<Line> {
    let (total, limit, verdict) = (analysis.total.as_ref()?, analysis.limit.as_ref()?, analysis.verdict?);
    let (role, tail) = match verdict {
        Verdict::Over => (Role::Doubt, String::new()),
        Verdict::Within => (Role::Good, String::new()),
        Verdict::Undecided => {
            (Role::Doubt, format!(": {}", words::decide::what(total, limit.current, clamp)))
        }
    };
    Some(
        Line::plain("Settled draw ")
            .and(Role::Value, with_interval(total))
            .and(Role::Plain, format!(" against {} ({}): ", bare(limit.current, 3), limit.source))
            .and(role, format!("{}{tail}", verdict.word())),
    )
}

/// Returns the standing of the hunt: unplaced, conflicts, leading suspects.
pub fn standing(analysis: &Analysis) -> Vec<Line> {
    let mut lines = placing(analysis);
    lines.extend(leading(analysis, LEADING));
    lines
}

/// Returns what is not placed yet, and which readings do not fit together.
pub fn placing(analysis: &Analysis) -> Vec<Line> {
    let mut lines = Vec::new();
    lines.extend(analysis.account.as_ref().and_then(words::account::unplaced));
    for conflict in analysis.conflicts() {
        lines.push(Line::of(
            Role::Doubt,
            format!("These don't fit: {}.", words::account::conflict(conflict, &analysis.panel)),
        ));
    }
    lines
}

/// Returns the pairs that are worth a line, likeliest first.
pub fn pairs(analysis: &Analysis, most: usize) -> Vec<Line> {
    let worth = analysis.ranking.pairs.iter().filter(|pair| pair.probability >= WORTH_A_LINE).take(most);
    worth.map(|pair| words::suspects::pair_line(pair).indented(2)).collect()
}

/// Returns how likely those are that [`leading`] leaves out.
pub fn rest(analysis: &Analysis, most: usize) -> Line {
    let ranking = &analysis.ranking;
    let branches = ranking.suspects.iter().map(|suspect| suspect.probability);
    let groups = ranking.groups.iter().map(|group| group.probability);
    let mut all: Vec<f64> = branches.chain(groups).chain([ranking.nothing_wrong]).collect();
    all.sort_by(|a, b| b.total_cmp(a));
    let shown = all.iter().take(most).filter(|probability| **probability >= WORTH_A_LINE).count().max(1);
    let left: f64 = all.iter().skip(shown).sum();
    let count = all.len().saturating_sub(shown);
    Line::of(Role::Hint, words::suspects::rest(count, left)).indented(2)
}

/// Returns the leading suspects, groups and "nothing wrong", likeliest first.
pub fn leading(analysis: &Analysis, most: usize) -> Vec<Line> {
    let excess = analysis.excess.as_ref();
    let panel = &analysis.panel;
    let branches = analysis.ranking.suspects.iter();
    let mut lines: Vec<(f64, Line)> = branches
        .map(|suspect| (suspect.probability, words::suspects::suspect_line(suspect, excess, panel)))
        .collect();
    let groups = analysis.ranking.groups.iter();
    lines.extend(groups.map(|group| (group.probability, words::suspects::group_line(group, panel))));
    let nothing = analysis.ranking.nothing_wrong;
    lines.push((nothing, words::suspects::nothing_line(nothing)));
    lines.sort_by(|a, b| b.0.total_cmp(&a.0));
    lines
        .into_iter()
        .enumerate()
        .filter(|(index, (probability, _))| *index == 0 || *probability >= WORTH_A_LINE)
        .take(most)
        .map(|(_, (_, line))| line.indented(2))
        .collect()
}

/// Returns why the search stops.
pub fn stop(analysis: &Analysis) -> Line {
    let (who, leads) = analysis.leader();
    let text = match &analysis.ranking.cured {
        Some(cured) => words::next::cured(cured),
        None => words::next::stop(&analysis.plan.stop, analysis.excess.as_ref(), (&who, leads)),
    };
    let role = if matches!(analysis.plan.stop, Stop::Decided(_) | Stop::NothingWrong(_)) {
        Role::Good
    } else {
        Role::Doubt
    };
    Line::of(role, format!("Stop: {text}."))
}
