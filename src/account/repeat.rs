//! Readings that were repeated: where two at one place contradict one another, the one that doesn't fit the rest is set
//! aside, whichever came first. Leaves to others: which one that is (`conflict`), asking for it (`suspects/plan`).

use super::Account;
use super::solve::account;
use crate::instrument::uncertainty::DETECTION;
use crate::reading::claim::{Claim, Panel, Scope};
use crate::reading::event::{Event, Observed};

/// Makes the account of all that was observed. Claims that a repetition answers leave `observed`, with an event each.
pub fn without_repeated(observed: &mut Observed, panel: &Panel) -> Option<Account> {
    loop {
        let account = account(&observed.claims, panel);
        let Some((wrong, again)) = account.as_ref().and_then(|found| answered(found, &observed.claims))
        else {
            return account;
        };
        let event = Event::SetAside {
            entry: wrong.entry,
            at: name(wrong.scope, panel),
            read: wrong.current.value(),
            again: again.current.value(),
        };
        let (entry, newest) = (wrong.entry, wrong.entry.max(again.entry));
        let scope = wrong.scope;
        observed.claims.retain(|claim| claim.entry != entry || claim.scope != scope);
        observed.events.push((newest, event));
    }
}

/// Returns the claim that contradicts the rest, if the same was read again and clearly otherwise, with the other one.
fn answered<'a>(account: &Account, claims: &'a [Claim]) -> Option<(&'a Claim, &'a Claim)> {
    let conflict = account.conflicts.first()?;
    let is_named = |claim: &&Claim| {
        conflict.entries.first() == Some(&claim.entry)
            && claim.scope == conflict.scope
            && matches!(claim.scope, Scope::Through(_) | Scope::Unfused(_))
    };
    let wrong = claims.iter().find(is_named)?;
    let again = claims.iter().find(|claim| {
        let apart = claim.current.minus(&wrong.current);
        claim.entry != wrong.entry
            && claim.scope == wrong.scope
            && claim.interrupted == wrong.interrupted
            && apart.value().abs() > apart.u() * DETECTION
    })?;
    Some((wrong, again))
}

fn name(scope: Scope, panel: &Panel) -> String {
    let found = match scope {
        Scope::Through(feed) => panel.map.feeds.get(feed).map(|feed| feed.id.clone()),
        Scope::Unfused(item) => panel.map.unfused.get(item).map(|item| item.name.clone()),
        _ => None,
    };
    found.unwrap_or_default()
}
