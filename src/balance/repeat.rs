//! Readings that were repeated: where two at one place contradict one another, the one that doesn't fit the rest is set
//! aside, whichever came first. Leaves to others: which one that is (`conflict`), asking for it (`plan/next`).

use std::collections::HashSet;
use std::sync::Arc;

use super::Balance;
use super::conflict::{conflicts, contradiction};
use super::rows::{Rows, rows, used};
use super::solve::{Solved, largest};
use super::summed::summed_up;
use crate::instrument::uncertainty::DETECTION;
use crate::measure::event::{Event, Observed};
use crate::measure::observation::{Observation, Panel, Scope};

/// Makes the account of all that was observed. Observations that a repetition answers leave `observed`, with an event each.
///
/// The one that stands has the scope and the state of the one set aside: what there is to know, and what each observation
/// counts, stays as it was, so that the equations are made once and lose a reading at a time.
pub fn without_repeated(observed: &mut Observed, panel: &Panel) -> Option<Balance> {
    let observations = used(&observed.observations, panel);
    let mut rows = rows(&observations, panel)?;
    let mut aside: HashSet<usize> = HashSet::new();
    let mut events = Vec::new();
    let mut begin = rows.all();
    let account = loop {
        let left = |index: usize| !aside.contains(&index);
        let all = || observations.iter().copied().enumerate().filter(|(index, _)| left(*index));
        let solved = rows.solve(largest(all().map(|(_, observation)| observation)), &begin)?;
        let Some((wrong, event)) = answered(&solved, &observations, &left, panel) else {
            let conflicts = conflicts(&solved, &observations, &left);
            let standing: Vec<&Observation> = all().map(|(_, observation)| observation).collect();
            break summed_up(&solved, &standing, conflicts, panel);
        };
        events.push(event);
        begin.clone_from(&solved.solution.passive);
        drop(solved);
        aside.insert(wrong);
        Arc::make_mut(&mut rows.loads).leave_out(wrong);
    };
    let wrong = aside.iter().filter_map(|index| observations.get(*index));
    let wrong: HashSet<(usize, Scope)> =
        wrong.map(|observation| (observation.entry, observation.scope)).collect();
    observed.observations.retain(|observation| !wrong.contains(&(observation.entry, observation.scope)));
    observed.events.extend(events);
    account
}

impl Rows {
    /// Returns the readings that share a place with this one, itself among them.
    pub fn at_place_of(&self, index: usize) -> &[usize] {
        let place = self.places.of.get(index).and_then(|place| self.at_place.get(*place));
        place.map_or(&[], Vec::as_slice)
    }
}

/// Returns the observation that contradicts the rest, if the same was read again and clearly otherwise, and what to say of it.
fn answered(
    solved: &Solved,
    observations: &[&Observation],
    left: &dyn Fn(usize) -> bool,
    panel: &Panel,
) -> Option<(usize, (usize, Event))> {
    let worst = contradiction(solved, observations, left)?.worst;
    let wrong = observations.get(worst)?;
    if !matches!(wrong.scope, Scope::Through(_) | Scope::Unfused(_)) {
        return None;
    }
    let others = solved.rows.at_place_of(worst).iter().filter(|other| left(**other));
    let again = others.filter_map(|other| observations.get(*other)).find(|other| {
        let apart = other.current.minus(&wrong.current);
        other.entry != wrong.entry && apart.value().abs() > apart.u() * DETECTION
    })?;
    let event = Event::SetAside {
        entry: wrong.entry,
        at: name(wrong.scope, panel),
        read: wrong.current.value(),
        again: again.current.value(),
    };
    Some((worst, (wrong.entry.max(again.entry), event)))
}

fn name(scope: Scope, panel: &Panel) -> String {
    match scope {
        Scope::Through(feed) => panel.map.feed_name(feed).to_owned(),
        Scope::Unfused(item) => panel.map.unfused_name(item).to_owned(),
        _ => String::new(),
    }
}
