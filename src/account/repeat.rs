//! Readings that were repeated: where two at one place contradict one another, the one that doesn't fit the rest is set
//! aside, whichever came first. Leaves to others: which one that is (`conflict`), asking for it (`suspects/plan`).

use std::collections::HashSet;
use std::sync::Arc;

use super::Account;
use super::conflict::{conflicts, contradiction};
use super::rows::{Rows, rows, used};
use super::solve::{Solved, largest, summed_up};
use crate::instrument::uncertainty::DETECTION;
use crate::reading::claim::{Claim, Panel, Scope};
use crate::reading::event::{Event, Observed};

/// Makes the account of all that was observed. Claims that a repetition answers leave `observed`, with an event each.
///
/// The one that stands has the scope and the state of the one set aside: what there is to know, and what each claim
/// counts, stays as it was, so that the equations are made once and lose a reading at a time.
pub fn without_repeated(observed: &mut Observed, panel: &Panel) -> Option<Account> {
    let claims = used(&observed.claims, panel);
    let mut rows = rows(&claims, panel)?;
    let mut aside: HashSet<usize> = HashSet::new();
    let mut events = Vec::new();
    let mut begin = rows.all();
    let account = loop {
        let left = |index: usize| !aside.contains(&index);
        let all = || claims.iter().copied().enumerate().filter(|(index, _)| left(*index));
        let solved = rows.solve(largest(all().map(|(_, claim)| claim)), &begin)?;
        let Some((wrong, event)) = answered(&solved, &claims, &left, panel) else {
            let conflicts = conflicts(&solved, &claims, &left);
            let standing: Vec<&Claim> = all().map(|(_, claim)| claim).collect();
            break summed_up(&solved, &standing, conflicts, panel);
        };
        events.push(event);
        begin.clone_from(&solved.solution.passive);
        drop(solved);
        aside.insert(wrong);
        Arc::make_mut(&mut rows.loads).leave_out(wrong);
    };
    let wrong = aside.iter().filter_map(|index| claims.get(*index));
    let wrong: HashSet<(usize, Scope)> = wrong.map(|claim| (claim.entry, claim.scope)).collect();
    observed.claims.retain(|claim| !wrong.contains(&(claim.entry, claim.scope)));
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

/// Returns the claim that contradicts the rest, if the same was read again and clearly otherwise, and what to say of it.
fn answered(
    solved: &Solved,
    claims: &[&Claim],
    left: &dyn Fn(usize) -> bool,
    panel: &Panel,
) -> Option<(usize, (usize, Event))> {
    let worst = contradiction(solved, claims, left)?.worst;
    let wrong = claims.get(worst)?;
    if !matches!(wrong.scope, Scope::Through(_) | Scope::Unfused(_)) {
        return None;
    }
    let others = solved.rows.at_place_of(worst).iter().filter(|other| left(**other));
    let again = others.filter_map(|other| claims.get(*other)).find(|other| {
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
    let found = match scope {
        Scope::Through(feed) => panel.map.feeds.get(feed).map(|feed| feed.id.clone()),
        Scope::Unfused(item) => panel.map.unfused.get(item).map(|item| item.name.clone()),
        _ => None,
    };
    found.unwrap_or_default()
}
