//! Why somebody is suspect: one sentence with numbers, and the odds in words. No jargon of probability.
//! Leaves to others: the ranking (`suspects/rank`), what to read next (`words/next`).

use super::reading::subject;
use crate::piece::{Line, Role};
use crate::quantity::show::{bare, with_interval};
use crate::quantity::{Ampere, Uncertain};
use crate::reading::claim::Panel;
use crate::suspects::rank::{HeldGroup, Suspect};

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
    let sought =
        excess.map(|excess| format!(" of the {} too much", bare(excess.value(), 2))).unwrap_or_default();
    match &suspect.evidence {
        Some(evidence) => {
            let read = with_interval(&evidence.read);
            let normal = bare(evidence.normal.max(Ampere::ZERO), 2);
            let name = subject(evidence.scope, panel);
            if evidence.read.value() - evidence.normal > suspect.excess.value() * 0.3 {
                format!(
                    "{name} carries {read}, where {normal} would be normal asleep: that leaves room for {}{sought}",
                    bare(suspect.excess.value(), 2)
                )
            } else {
                format!("{name} carries only {read}, {normal} being normal: little room for a fault there")
            }
        }
        None => format!("not read yet; it could carry {}{sought}", bare(suspect.excess.value(), 2)),
    }
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
        0 => format!(
            "held awake, its modules would draw about {} together{input}",
            bare(group.excess.value(), 2)
        ),
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
    Line::plain(format!("{} ", bar(suspect.probability)))
        .and(Role::Name, &suspect.id)
        .and(Role::Plain, if loads.is_empty() { String::new() } else { format!(" ({})", loads.join(", ")) })
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
