//! Who is suspect, a line each, and why: short sentences with numbers, and the odds in words. No jargon of probability.
//! Leaves to others: the ranking (`infer/rank`), what to read next (`text/next`).

use super::network::network;
use super::reading::{occasion, subject};
use super::sentence::capital;
use crate::base::quantity::show::{bare, spoken};
use crate::base::quantity::{Ampere, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::circuit::id::{BranchId, FeedId};
use crate::circuit::resolve::UNLISTED;
use crate::circuit::tree::BranchKind;
use crate::infer::leader::{Leader, LeaderKind};
use crate::infer::night::NightEvidence;
use crate::infer::pairs_ranked::SuspectPair;
use crate::infer::rank::{Excess, HeldGroup, Suspect, SuspectEvidence};
use crate::measure::observation::{Panel, Scope};
use crate::measure::sighting::SightingPlace;

/// From here on a cause is certain enough to act on.
const CERTAIN: f64 = 0.95;
/// From here on it is very likely.
const VERY_LIKELY: f64 = 0.85;
/// From here on it is likely.
pub const LIKELY: f64 = 0.60;
/// From here on it is possible.
pub const POSSIBLE: f64 = 0.20;

/// Returns a probability as people say it; the same words everywhere.
pub fn odds(probability: f64) -> &'static str {
    match probability {
        p if p >= CERTAIN => "certain enough to act",
        p if p >= VERY_LIKELY => "very likely",
        p if p >= LIKELY => "likely",
        p if p >= POSSIBLE => "possible",
        _ => "unlikely",
    }
}

/// Returns what a branch is called: the fuse or item, or where something sits that no map lists.
pub fn place(id: &str) -> String {
    match id.strip_suffix(UNLISTED) {
        Some("battery") => "something at the battery that isn't on the map".to_owned(),
        Some(feed) => format!("something on {feed} that isn't on the map"),
        None => id.to_owned(),
    }
}

/// Returns what leads, as it is spoken of.
pub fn called(leader: &Leader, loads: Option<&str>) -> String {
    let name = &leader.name;
    match leader.kind {
        LeaderKind::Group => format!("{}, kept awake", network(name)),
        LeaderKind::Nothing => "nothing wrong".to_owned(),
        LeaderKind::NotPresent => "nothing now".to_owned(),
        LeaderKind::Battery => format!("the battery ({name})"),
        LeaderKind::Charging => format!("the charging side ({name})"),
        LeaderKind::Use => format!("how it is used ({name})"),
        LeaderKind::Branch | LeaderKind::Unfused | LeaderKind::Cured => match loads {
            Some(load) if load != name && !name.ends_with(UNLISTED) => format!("{}, the {load}", place(name)),
            _ => place(name),
        },
    }
}

/// Returns why a branch is suspect, in short sentences.
pub fn why(
    suspect: &Suspect,
    excess: Option<&Uncertain<Ampere>>,
    night: &NightEvidence,
    panel: &Panel,
) -> String {
    if suspect.at_times > suspect.probability / 2.0 {
        let is_its = |at: SightingPlace| match at {
            SightingPlace::Load(load) => panel.tree.branch_of_feed(load.feed) == suspect.branch,
            SightingPlace::Feed(feed) => panel.tree.branch_of_feed(feed) == suspect.branch,
            SightingPlace::Input(_) | SightingPlace::Group(_) => false,
        };
        if let Some(why) = super::night::why(night, is_its) {
            return why;
        }
    }
    let share = share(&suspect.excess, excess);
    let Some(evidence) = &suspect.evidence else {
        let unread = match suspect.id.as_str() {
            "battery:unlisted" => "What the cables and items at the battery leave over",
            _ => "Not read yet",
        };
        return format!("{unread}. It could draw {share}.");
    };
    if suspect.probability < LITTLE && is_above(evidence, suspect.branch, panel) {
        return "Not read itself. What was read elsewhere leaves little for it.".to_owned();
    }
    let normal = bare(evidence.normal.max(Ampere::ZERO), 2);
    if suspect.is_minor() {
        return format!(
            "{}, normal asleep is {normal}. It may draw a little more than the map says. Without the others the vehicle is within its limit.",
            capital(&read(evidence, suspect.branch, panel))
        );
    }
    if evidence.read.value() - evidence.normal > suspect.excess.value * 0.3 {
        format!(
            "{}, normal asleep is {normal}. It would explain {share}.",
            capital(&read(evidence, suspect.branch, panel))
        )
    } else {
        format!(
            "{}, normal asleep is {normal}. Little room for a fault.",
            capital(&read_little(evidence, panel))
        )
    }
}

/// Below this a suspect that was not read itself is as good as out.
const LITTLE: f64 = 0.05;

/// Nearly all of what is sought is "all of it": the difference is within the uncertainty of both.
const NEARLY_ALL: f64 = 0.9;

/// Returns how much of what is sought something would draw.
fn share(draws: &Excess, excess: Option<&Uncertain<Ampere>>) -> String {
    match excess.map(Uncertain::value).filter(|sought| *sought > Ampere::ZERO) {
        Some(sought) if draws.value > sought * NEARLY_ALL => format!("all {} too much", bare(sought, 2)),
        Some(sought) if draws.high > sought * NEARLY_ALL => {
            format!("{} or more of the {} too much", bare(draws.low, 2), bare(sought, 2))
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
    let current = spoken(&evidence.read);
    let name = subject(evidence.scope, panel);
    match fall(evidence.scope) {
        true => format!("the total fell by {current} {}", occasion(evidence.scope, panel)),
        false => match evidence.scope {
            Scope::Through(_) if is_above(evidence, branch, panel) => {
                format!("{name} above it carries {current}")
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

/// Returns why a wake group is suspect, in short sentences.
pub fn why_group(group: &HeldGroup, night: &NightEvidence, panel: &Panel) -> String {
    if group.at_times > group.probability / 2.0
        && let Some(why) = super::night::why(night, |at| at == SightingPlace::Group(group.group))
    {
        return why;
    }
    if let Some(module) = &group.module
        && let Some(evidence) = group.evidence.iter().find(|evidence| is_taken_out(evidence.scope))
    {
        return format!(
            "The total fell by {} {}: the whole network fell asleep without {}. That one, or what keeps it awake, is the shared cause.",
            spoken(&evidence.read),
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
    let input = input.map(|(name, _)| format!(" \"{name}\" ended it.")).unwrap_or_default();
    let read = |evidence: &&SuspectEvidence| {
        format!("{} {}", subject(evidence.scope, panel), bare(evidence.read.value(), 2))
    };
    let named = high.iter().take(4).map(read).collect::<Vec<String>>().join(", ");
    match (high.len(), low.len()) {
        (0, 0) => format!("Its modules would draw {} together.{input}", between(&group.excess)),
        (0, low) => format!("None of its {low} fuses read so far is high.{input}"),
        (1, 0) => format!("{named} is high, as it would be with the whole network kept awake.{input}"),
        (1, low) => format!("{named} is high, {low} other of its fuses are not.{input}"),
        (_, 0) => format!(
            "{named} are high together. One input that keeps the network awake explains them all.{input}"
        ),
        (_, low) => format!(
            "{named} are high together, {low} other of its fuses are not. One input may keep part of the network awake.{input}"
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
pub const NO_TOTAL: &str = "No settled total yet: this is what is usual, not what was measured.";

/// Says that a total has no limit to be held against.
pub fn no_limit(total: &Uncertain<Ampere>) -> StyledText {
    StyledText::plain("Settled draw ").and(Role::Value, spoken(total)).and(
        Role::Doubt,
        ". No limit is known for this kind of vehicle, so there is no verdict. Give one with open --limit.",
    )
}

/// A suspect as it is listed: place, what is on it, what was read, the word of odds.
pub type SuspectRow = [String; 4];

/// Returns the row of a branch.
pub fn suspect_row(suspect: &Suspect, panel: &Panel) -> SuspectRow {
    let load = main_load(suspect);
    let (name, what) = match suspect.id.strip_suffix(UNLISTED) {
        Some("battery") => ("battery".to_owned(), "something not on the map"),
        Some(feed) => (feed.to_owned(), "something not on the map"),
        None if is_assumed(suspect.branch, panel) => (suspect.id.clone(), ASSUMED),
        None => (suspect.id.clone(), load.filter(|load| *load != suspect.id).unwrap_or_default()),
    };
    // What is as good as sure to draw a little more is not for that likely to be the cause.
    let odds = if suspect.is_minor() { "draws a little more" } else { odds(suspect.probability) };
    [name, what.to_owned(), seen(suspect, panel), odds.to_owned()]
}

/// From this share of its branch on a listed load is named before what no list names. Editorial: possible at least.
const WORTH_NAMING: f64 = 0.2;

/// Returns the load that is likeliest on a branch, a listed one first.
pub fn main_load(suspect: &Suspect) -> Option<&str> {
    let listed = suspect.loads.iter().find(|(name, share)| name.is_some() && *share >= WORTH_NAMING);
    let (name, _) = listed.or(suspect.loads.first())?;
    Some(name.as_deref().unwrap_or("something not listed"))
}

/// Returns what was read of a branch, in a word or two.
fn seen(suspect: &Suspect, panel: &Panel) -> String {
    let Some(evidence) = &suspect.evidence else { return "not read yet".to_owned() };
    let current = bare(evidence.read.value().max(Ampere::ZERO), 2);
    if fall(evidence.scope) {
        return format!("{current} went with it");
    }
    if is_above(evidence, suspect.branch, panel) {
        return format!("below {}, {current}", subject(evidence.scope, panel));
    }
    match evidence.read.low() > Ampere::ZERO {
        true => current,
        false => format!("under {}", bare(evidence.read.high().max(Ampere::ZERO), 2)),
    }
}

/// Said of what no map tells.
const ASSUMED: &str = "assumed, no map names it";

fn is_assumed(branch: BranchId, panel: &Panel) -> bool {
    match panel.tree.branches().get(branch).map(|branch| branch.kind) {
        Some(BranchKind::Unfused(item)) => panel.map.unfused.get(item).is_some_and(|item| item.assumed),
        _ => false,
    }
}

/// Returns the row of a wake group; one that is assumed, because no map tells of any, says so.
pub fn group_row(group: &HeldGroup, panel: &Panel) -> SuspectRow {
    let is_assumed = panel.map.wake_groups.get(group.group).is_some_and(|one| one.assumed);
    let what = if is_assumed { "kept awake; assumed" } else { "kept awake" };
    let read = match group.evidence.len() {
        0 => "not read yet".to_owned(),
        1 => "1 fuse read".to_owned(),
        count => format!("{count} fuses read"),
    };
    [network(&group.id), what.to_owned(), read, odds(group.probability).to_owned()]
}

/// Returns the row that says how likely it is that nothing is wrong.
pub fn nothing_row(probability: f64) -> SuspectRow {
    ["nothing wrong".to_owned(), String::new(), String::new(), odds(probability).to_owned()]
}

/// Returns the row that says how likely it is that what drew is not there now.
pub fn gone_row(probability: f64) -> SuspectRow {
    ["not there now".to_owned(), String::new(), String::new(), odds(probability).to_owned()]
}

/// Returns rows as lines, one below the other.
pub fn listed(rows: &[SuspectRow]) -> Vec<StyledText> {
    let wide = |at: usize| {
        rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let line = |row: &SuspectRow| {
        let [name, what, read, odds] = row;
        let pad = |cell: &str, at: usize| {
            let gap = if wide(at) == 0 { 0 } else { 2 };
            " ".repeat(wide(at).saturating_sub(cell.chars().count()) + gap)
        };
        StyledText::new()
            .and(Role::Name, name)
            .and(Role::Plain, format!("{}{what}{}{read}{}", pad(name, 0), pad(what, 1), pad(read, 2)))
            .and(Role::Value, odds)
            .indented(2)
    };
    rows.iter().map(line).collect()
}

/// Returns the line of two that are to blame together.
pub fn pair_line(pair: &SuspectPair) -> StyledText {
    let names: Vec<String> = pair.branches.iter().map(|id| place(id)).collect();
    StyledText::new()
        .and(Role::Name, names.join(" and "))
        .and(Role::Plain, " together  ")
        .and(Role::Value, odds(pair.probability))
}

/// Returns how likely those are that are not shown.
pub fn rest(count: usize, probability: f64) -> String {
    format!("One of the {count} others  {}", odds(probability.min(1.0)))
}
