//! Cured by a pull: the draw stayed away after a fuse went back. Either a module behind it had hung and restarted, or
//! the draw ended by itself in the same minute; then the fall at the pull says nothing about that fuse.
//! Leaves to others: that the draw stayed away (`measure/build_observations`), the causes (`posterior`), the ranking (`rank`).

use super::assumptions::{ENDS_BY_ITSELF, HUNG_MODULE};
use super::hypothesis::PatternRow;
use super::weight::Background;
use super::{Inference, infer};
use crate::measure::event::{Event, Observed};
use crate::measure::observation::{Observation, Panel, Scope};

/// A pull that may have cured the fault.
#[derive(Debug, Clone, PartialEq)]
pub struct Cured {
    /// The feed that was pulled.
    pub feed: String,
    /// Probability that the pull cured it, and not time.
    pub probability: f64,
}

/// Returns the pull that may have cured the fault, with the causes as they stand without the fall at it; `None` if
/// the draw did not stay away after one.
pub fn cured(observed: &Observed, panel: &Panel, background: &Background) -> Option<(Cured, Inference)> {
    let feed = observed.events.iter().find_map(|(_, event)| match event {
        Event::Cured { feed } => Some(feed),
        _ => None,
    })?;
    let index = panel.tree.find_feed(feed).ok()?;
    let (falls, others): (Vec<Observation>, Vec<Observation>) = observed
        .observations
        .iter()
        .cloned()
        .partition(|observation| observation.scope == Scope::FallOfFeed(index));
    let fall = falls.last()?;
    let row = PatternRow::new(fall.scope, &fall.interrupted, panel);
    let without = infer(&others, panel, background)?;
    let behind: f64 = without
        .explanations()
        .filter(|explanation| explanation.members().any(|member| shows(&without, member, &row)))
        .map(|explanation| explanation.probability)
        .sum();
    let hung = HUNG_MODULE * behind;
    Some((Cured { feed: feed.clone(), probability: hung / (hung + ENDS_BY_ITSELF) }, without))
}

/// Returns true if a cause would show in a reading.
fn shows(inference: &Inference, member: usize, row: &PatternRow) -> bool {
    inference.weighed.get(member).is_some_and(|one| {
        let cause = one.hypothesis.cause;
        one.hypothesis.patterns.iter().any(|pattern| row.signal(cause, &pattern.excess) > 0.0)
    })
}
