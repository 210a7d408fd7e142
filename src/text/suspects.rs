//! Why somebody is suspect: one sentence with numbers, and the odds in words. No jargon of probability.
//! Leaves to others: the ranking (`infer/rank`), what to read next (`text/next`).

use super::reading::{occasion, subject};
use crate::base::quantity::show::{bare, with_interval};
use crate::base::quantity::{Ampere, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::circuit::id::{BranchId, FeedId};
use crate::circuit::tree::BranchKind;
use crate::infer::pairs_ranked::SuspectPair;
use crate::infer::rank::{Excess, HeldGroup, Suspect, SuspectEvidence};
use crate::measure::observation::{Panel, Scope};

/// Returns a probability as people say it.
pub fn odds(probability: f64) -> &'static str {
    match probability {
        p if p >= 0.99 => "all but certain",
        p if p >= 0.95 => "very likely",
        p if p >= 0.80 => "likely",
        p if p >= 0.50 => "more likely than not",
        p if p >= 0.20 => "possible",
        p if p >= 0.05 => "unlikely",
        _ => "very unlikely",
    }
}

/// Returns a bar of ten cells for a probability.
pub fn bar(probability: f64) -> String {
    let full = (0..10).filter(|cell| probability * 10.0 >= f64::from(*cell) + 0.5).count();
    format!("[{}{}]", "#".repeat(full), ".".repeat(10 - full))
}

/// Returns why a branch is suspect, in one sentence.
pub fn why(suspect: &Suspect, excess: Option<&Uncertain<Ampere>>, panel: &Panel) -> String {
    let share = share(&suspect.excess, excess);
    let Some(evidence) = &suspect.evidence else {
        let unread = match suspect.id.as_str() {
            "battery:unlisted" => "what the cables and items at the battery leave over",
            _ => "not read yet",
        };
        return format!("{unread}; it could draw {share}");
    };
    if suspect.probability < LITTLE && is_above(evidence, suspect.branch, panel) {
        return "not read itself; what was read elsewhere leaves little for it".to_owned();
    }
    let normal = bare(evidence.normal.max(Ampere::ZERO), 2);
    if suspect.is_minor() {
        return format!(
            "may draw a little more than the map says: {}, {normal} being normal asleep; without the others the vehicle is within its limit",
            read(evidence, suspect.branch, panel)
        );
    }
    if evidence.read.value() - evidence.normal > suspect.excess.value * 0.3 {
        format!(
            "{}, where {normal} is normal asleep; it would explain {share}",
            read(evidence, suspect.branch, panel)
        )
    } else {
        format!("{}, {normal} being normal asleep: little room for a fault", read_little(evidence, panel))
    }
}

/// Below this a suspect that was not read itself is as good as out.
const LITTLE: f64 = 0.05;

/// Nearly all of what is sought is "all of it": the difference is within the uncertainty of both.
const NEARLY_ALL: f64 = 0.9;

/// Returns how much of what is sought something would draw.
fn share(draws: &Excess, excess: Option<&Uncertain<Ampere>>) -> String {
    match excess.map(Uncertain::value).filter(|sought| *sought > Ampere::ZERO) {
        Some(sought) if draws.value > sought * NEARLY_ALL => {
            format!("all of the {} too much", bare(sought, 2))
        }
        Some(sought) if draws.high > sought * NEARLY_ALL => {
            format!("{} to all of the {} too much", bare(draws.low, 2), bare(sought, 2))
        }
        Some(sought) => format!("{} of the {} too much", between(draws), bare(sought, 2)),
        None => between(draws),
    }
}

/// Returns an excess as the range that it lies in.
fn between(draws: &Excess) -> String {
    format!("{} to {}", bare(draws.low, 2), bare(draws.high, 2))
}

/// Returns what a reading showed, in one clause. A reading at a feed above the branch says so.
fn read(evidence: &SuspectEvidence, branch: BranchId, panel: &Panel) -> String {
    let current = with_interval(&evidence.read);
    let name = subject(evidence.scope, panel);
    match fall(evidence.scope) {
        true => format!("the total fell by {current} {}", occasion(evidence.scope, panel)),
        false => match evidence.scope {
            Scope::Through(_) if is_above(evidence, branch, panel) => {
                format!("{name}, which feeds it, carries {current}")
            }
            _ => format!("{name} carries {current}"),
        },
    }
}

/// Returns true if a reading was taken at a feed above the branch.
fn is_above(evidence: &SuspectEvidence, branch: BranchId, panel: &Panel) -> bool {
    matches!(evidence.scope, Scope::Through(feed) if panel.tree.branch_of_feed(feed) != branch)
}

/// Returns the most that a low reading leaves, in one clause.
fn read_little(evidence: &SuspectEvidence, panel: &Panel) -> String {
    let most = bare(evidence.read.high().max(Ampere::ZERO), 2);
    match fall(evidence.scope) {
        true => format!("the total fell by {most} at most {}", occasion(evidence.scope, panel)),
        false => format!("{} carries {most} at most", subject(evidence.scope, panel)),
    }
}

fn fall(scope: Scope) -> bool {
    is_taken_out(scope) || matches!(scope, Scope::FallOfInput(..))
}

fn is_taken_out(scope: Scope) -> bool {
    matches!(scope, Scope::FallOfFeed(_) | Scope::FallOfLoad(..))
}

/// Returns why a wake group is suspect, in one sentence.
pub fn why_group(group: &HeldGroup, panel: &Panel) -> String {
    if let Some(module) = &group.module
        && let Some(evidence) = group.evidence.iter().find(|evidence| is_taken_out(evidence.scope))
    {
        return format!(
            "the total fell by {} {}: the whole group fell asleep without {}, so that one, or what keeps it awake, is the shared cause",
            with_interval(&evidence.read),
            occasion(evidence.scope, panel),
            module.0
        );
    }
    let is_high =
        |evidence: &&SuspectEvidence| evidence.read.value() > evidence.normal + evidence.read.u() * 2.0;
    let (high, low): (Vec<&SuspectEvidence>, Vec<&SuspectEvidence>) =
        lowest_feeds(&group.evidence, panel).into_iter().partition(is_high);
    let worked = group.evidence.iter().any(|evidence| matches!(evidence.scope, Scope::FallOfInput(..)));
    let input = group.input.as_ref().filter(|_| worked);
    let input = input.map(|(name, _)| format!("; \"{name}\" ended it")).unwrap_or_default();
    let read = |evidence: &&SuspectEvidence| {
        format!("{} {}", subject(evidence.scope, panel), bare(evidence.read.value(), 2))
    };
    let named: Vec<String> = high.iter().take(4).map(read).collect();
    match (high.len(), low.len()) {
        (0, 0) => format!("its modules would draw {} together{input}", between(&group.excess)),
        (0, low) => format!("none of its {low} fuses read so far is high{input}"),
        (1, 0) => {
            format!("{} is high, as it would be with the whole group held awake{input}", named.join(""))
        }
        (1, low) => format!("{} is high, {low} other of its fuses are not{input}", named.join("")),
        (_, 0) => format!(
            "{} are high together: one input that holds the group awake explains them all{input}",
            named.join(", ")
        ),
        (_, low) => format!(
            "{} are high together, {low} other of its fuses are not: one input may hold part of the group awake{input}",
            named.join(", ")
        ),
    }
}

/// Returns the readings of feeds, those left out that have a feed below them that was read too: it says more.
fn lowest_feeds<'a>(all: &'a [SuspectEvidence], panel: &Panel) -> Vec<&'a SuspectEvidence> {
    let feed = |evidence: &SuspectEvidence| match evidence.scope {
        Scope::Through(feed) => Some(feed),
        _ => None,
    };
    let read: Vec<FeedId> = all.iter().filter_map(feed).collect();
    let is_lowest = |evidence: &&SuspectEvidence| {
        feed(evidence).is_some_and(|own| {
            !read.iter().any(|other| *other != own && panel.tree.path_to_battery(*other).contains(&own))
        })
    };
    all.iter().filter(is_lowest).collect()
}

/// Heads the list of suspects.
pub const HEADING: &str = "Suspects, the largest share first";

/// Nothing was measured yet.
pub const NO_TOTAL: &str = "No settled total yet: what follows is what is usual, not what was measured.";

/// Says that a total has no limit to be held against.
pub fn no_limit(total: &Uncertain<Ampere>) -> StyledText {
    StyledText::plain("Settled draw ").and(Role::Value, with_interval(total)).and(
        Role::Doubt,
        "; no limit is known for this kind of vehicle, so there is no verdict: give one with open --limit",
    )
}

/// Returns the line of a suspect: name, loads, odds, why.
pub fn suspect_line(suspect: &Suspect, excess: Option<&Uncertain<Ampere>>, panel: &Panel) -> StyledText {
    let loads: Vec<&str> = suspect
        .loads
        .iter()
        .filter(|(_, share)| *share > 0.15)
        .take(3)
        .map(|(name, _)| name.as_deref().unwrap_or("unlisted load"))
        .collect();
    // An unfused item is its own load, and an unlisted branch says what it is.
    let says_more = !loads.is_empty() && loads != [suspect.id.as_str()] && !suspect.id.ends_with(":unlisted");
    // What is as good as sure to draw a little more is not for that likely to be the cause.
    let cause = if suspect.is_minor() { suspect.standing.matters } else { suspect.probability };
    let odds = if suspect.is_minor() { String::new() } else { format!(", {}", odds(cause)) };
    StyledText::plain(format!("{} ", bar(cause)))
        .and(Role::Name, &suspect.id)
        .and(Role::Plain, if says_more { format!(" ({})", loads.join(", ")) } else { String::new() })
        .and(Role::Hint, assumed(is_assumed(suspect.branch, panel)))
        .and(Role::Plain, format!("{odds}: "))
        .and(Role::Plain, why(suspect, excess, panel))
}

/// Says of what no map tells that it is only assumed.
fn assumed(is_assumed: bool) -> &'static str {
    if is_assumed { " (no map names it: assumed)" } else { "" }
}

fn is_assumed(branch: BranchId, panel: &Panel) -> bool {
    match panel.tree.branches().get(branch).map(|branch| branch.kind) {
        Some(BranchKind::Unfused(item)) => panel.map.unfused.get(item).is_some_and(|item| item.assumed),
        _ => false,
    }
}

/// Returns the line of a wake group; one that is assumed, because no map tells of any, says so.
pub fn group_line(group: &HeldGroup, panel: &Panel) -> StyledText {
    let is_assumed = panel.map.wake_groups.get(group.group).is_some_and(|one| one.assumed);
    StyledText::plain(format!("{} ", bar(group.probability)))
        .and(Role::Name, format!("group {} held awake", group.id))
        .and(Role::Hint, assumed(is_assumed))
        .and(Role::Plain, format!(", {}: ", odds(group.probability)))
        .and(Role::Plain, why_group(group, panel))
}

/// Returns the line that says how likely it is that nothing is wrong.
pub fn nothing_line(probability: f64) -> StyledText {
    StyledText::plain(format!("{} ", bar(probability)))
        .and(Role::Name, "nothing wrong")
        .and(Role::Plain, format!(", {}", odds(probability)))
}

/// Returns the line of two that are to blame together.
pub fn pair_line(pair: &SuspectPair) -> StyledText {
    StyledText::plain(format!("{} ", bar(pair.probability)))
        .and(Role::Name, pair.branches.join(" and "))
        .and(Role::Plain, format!(" together, {}", odds(pair.probability)))
}

/// Returns how likely those are that are not shown. Two may be to blame together, so the sum is a bound.
pub fn rest(count: usize, probability: f64) -> String {
    match probability * 100.0 {
        small if small < 1.0 => format!("{count} others, less than 1 in 100 in all"),
        more => format!("{count} others, at most {more:.0} in 100 in all"),
    }
}
