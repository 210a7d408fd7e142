//! Where the total goes, in words. Leaves to others: the account (`balance`), tables (`cli/table`).

use super::reading::subject;
use crate::balance::Balance;
use crate::balance::conflict::Conflict;
use crate::base::quantity::Ampere;
use crate::base::quantity::show::{bare, with_interval};
use crate::base::styled::{Role, StyledText};
use crate::measure::observation::Panel;

/// Returns what is placed and what is not.
pub fn unplaced(account: &Balance) -> Option<StyledText> {
    let unplaced = account.unplaced.as_ref()?;
    let line = StyledText::plain("Not yet placed: ").and(Role::Value, with_interval(unplaced));
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

/// The readings don't add up to anything.
pub const NO_ACCOUNT: &str = "The readings give no account.";
/// An item without a fuse that can also feed the vehicle.
pub const EITHER_WAY: &str = "may carry current either way";
/// The table is empty.
pub const NO_FUSE_READ: &str = "No fuse has been read yet.";

/// Says how many are left out of the table.
pub fn not_read(count: usize) -> String {
    format!("{count} more were not read; --all lists them with what is expected of them.")
}
