//! Why somebody is suspect: one sentence with numbers, and the odds in words. No jargon of probability.
//! Leaves to others: the ranking (`suspects/rank`), what to read next (`words/next`).

use super::reading::{occasion, subject};
use crate::piece::{Line, Role};
use crate::quantity::show::{bare, with_interval};
use crate::quantity::{Ampere, Uncertain};
use crate::reading::claim::{Panel, Scope};
use crate::suspects::rank::{Evidence, HeldGroup, Suspect};

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
    let sought = excess.filter(|excess| excess.value() > Ampere::ZERO);
    let sought = sought.map(|excess| format!(" of the {} too much", bare(excess.value(), 2)));
    let share = format!("{}{}", bare(suspect.excess.value(), 2), sought.unwrap_or_default());
    let Some(evidence) = &suspect.evidence else {
        return format!("not read yet; it could draw {share}");
    };
    let normal = bare(evidence.normal.max(Ampere::ZERO), 2);
    if evidence.read.value() - evidence.normal > suspect.excess.value() * 0.3 {
        format!(
            "{}, where {normal} is normal asleep; it would explain {share}",
            read(evidence, suspect.branch, panel)
        )
    } else {
        format!("{}, {normal} being normal asleep: little room for a fault", read_little(evidence, panel))
    }
}

/// Returns what a reading showed, in one clause. A reading at a feed above the branch says so.
fn read(evidence: &Evidence, branch: usize, panel: &Panel) -> String {
    let current = with_interval(&evidence.read);
    let name = subject(evidence.scope, panel);
    match fall(evidence.scope) {
        true => format!("the total fell by {current} {}", occasion(evidence.scope, panel)),
        false => match evidence.scope {
            Scope::Through(feed) if panel.tree.branch_of_feed(feed) != branch => {
                format!("{name}, which feeds it, carries {current}")
            }
            _ => format!("{name} carries {current}"),
        },
    }
}

/// Returns the most that a low reading leaves, in one clause.
fn read_little(evidence: &Evidence, panel: &Panel) -> String {
    let most = bare(evidence.read.high().max(Ampere::ZERO), 2);
    match fall(evidence.scope) {
        true => format!("the total fell by {most} at most {}", occasion(evidence.scope, panel)),
        false => format!("{} carries {most} at most", subject(evidence.scope, panel)),
    }
}

fn fall(scope: Scope) -> bool {
    matches!(scope, Scope::FallOfFeed(_) | Scope::FallOfLoad(..) | Scope::FallOfInput(..))
}

/// Returns why a wake group is suspect, in one sentence.
pub fn why_group(group: &HeldGroup, panel: &Panel) -> String {
    let high: Vec<String> = group
        .evidence
        .iter()
        .filter(|evidence| evidence.read.value() > evidence.normal + evidence.read.u() * 2.0)
        .take(4)
        .map(|evidence| format!("{} {}", subject(evidence.scope, panel), bare(evidence.read.value(), 2)))
        .collect();
    let input = group.input.as_ref().map(|(name, _)| format!("; \"{name}\" ended it")).unwrap_or_default();
    match high.len() {
        0 => format!("its modules would draw about {} together{input}", bare(group.excess.value(), 2)),
        1 => format!("{} is high, as it would be with the whole group held awake{input}", high.join("")),
        _ => format!(
            "{} are high together: one input that holds the group awake explains them all{input}",
            high.join(", ")
        ),
    }
}

/// Returns the line of a suspect: name, loads, odds, why.
pub fn suspect_line(suspect: &Suspect, excess: Option<&Uncertain<Ampere>>, panel: &Panel) -> Line {
    let loads: Vec<&str> = suspect
        .loads
        .iter()
        .filter(|(_, share)| *share > 0.15)
        .take(3)
        .map(|(name, _)| name.as_deref().unwrap_or("unlisted load"))
        .collect();
    // An unfused item is its own load, and an unlisted branch says what it is.
    let says_more = !loads.is_empty() && loads != [suspect.id.as_str()] && !suspect.id.ends_with(":unlisted");
    Line::plain(format!("{} ", bar(suspect.probability)))
        .and(Role::Name, &suspect.id)
        .and(Role::Plain, if says_more { format!(" ({})", loads.join(", ")) } else { String::new() })
        .and(Role::Plain, format!(", {}: ", odds(suspect.probability)))
        .and(Role::Plain, why(suspect, excess, panel))
}

/// Returns the line of a wake group.
pub fn group_line(group: &HeldGroup, panel: &Panel) -> Line {
    Line::plain(format!("{} ", bar(group.probability)))
        .and(Role::Name, format!("group {} held awake", group.id))
        .and(Role::Plain, format!(", {}: ", odds(group.probability)))
        .and(Role::Plain, why_group(group, panel))
}

/// Returns the line that says how likely it is that nothing is wrong.
pub fn nothing_line(probability: f64) -> Line {
    Line::plain(format!("{} ", bar(probability)))
        .and(Role::Name, "nothing wrong")
        .and(Role::Plain, format!(", {}", odds(probability)))
}

/// Returns how likely all those are together that are not shown.
pub fn rest(count: usize, probability: f64) -> String {
    match probability * 100.0 {
        small if small < 1.0 => format!("{count} others, less than 1 in 100 together"),
        more => format!("{count} others, {more:.0} in 100 together"),
    }
}
