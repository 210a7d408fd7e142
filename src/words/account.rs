//! Where the total goes, in words. Leaves to others: the account (`account`), tables (`cli/table`).

use super::reading::subject;
use crate::account::Account;
use crate::account::conflict::Conflict;
use crate::piece::{Line, Role};
use crate::quantity::Ampere;
use crate::quantity::show::{bare, with_interval};
use crate::reading::claim::Panel;

/// Returns what is placed and what is not.
pub fn unplaced(account: &Account) -> Option<Line> {
    let unplaced = account.unplaced.as_ref()?;
    let line = Line::plain("Not yet placed: ").and(Role::Value, with_interval(unplaced));
    Some(match &account.total {
        Some(total) => line.and(Role::Hint, format!(" of {}", bare(total.value(), 3))),
        None => line,
    })
}

/// Returns why two readings do not fit together, and which to repeat.
pub fn conflict(conflict: &Conflict, panel: &Panel) -> String {
    let [read, expected] = [conflict.read, conflict.expected].map(|current: Ampere| bare(current, 3));
    let name = subject(conflict.scope, panel);
    match conflict.entries.as_slice() {
        [entry, other] => format!(
            "entry {entry} ({name}) read {read}, but the other readings leave {expected} there; it disagrees most with entry {other}: read {name} again"
        ),
        _ => format!("{name} read {read}, but {expected} is all that the map leaves there: read it again"),
    }
}
