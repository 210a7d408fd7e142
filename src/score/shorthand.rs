//! A reading in short, for the list of vehicles that were missed.
//! Leaves to others: its words for people (`text/reading`).

use crate::base::quantity::{Ampere, Typed};
use crate::measure::Measurement;

/// Returns a reading in short; `None` for one that is no reading of the hunt.
pub(super) fn in_short(what: &Measurement) -> Option<String> {
    let both = |before: &Typed<Ampere>, after: &Typed<Ampere>| format!("{} → {}", before.text, after.text);
    Some(match what {
        Measurement::Total { current, .. } => format!("total {}", current.text),
        Measurement::Drop { feed, drop } => format!("drop {feed} {}", drop.text),
        Measurement::Below { feed, drop } => format!("below {feed} {}", drop.text),
        Measurement::Clamp { at, current } => format!("clamp {at} {}", current.text),
        Measurement::Pull { feed, before, after } => format!("pull {feed} {}", both(before, after)),
        Measurement::Unplug { feed, load, before, after } => {
            format!("unplug {feed}/{load} {}", both(before, after))
        }
        Measurement::Input { input, before, after } => format!("input {input} {}", both(before, after)),
        Measurement::Step { feed, before, after, current } => {
            format!("step {feed} {} → {} with {}", before.text, after.text, current.text)
        }
        _ => return None,
    })
}
