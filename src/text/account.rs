//! Where the total goes, in words. Leaves to others: the account (`balance`), tables (`cli/table`).

use super::reading::subject;
use crate::balance::conflict::Conflict;
use crate::balance::{Balance, FeedLine};
use crate::base::quantity::show::{bare, spoken};
use crate::base::quantity::{Ampere, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::measure::observation::Panel;

/// Returns what is still to find of the total.
pub fn unplaced(account: &Balance) -> Option<StyledText> {
    let unplaced = account.unplaced.as_ref()?;
    let line =
        StyledText::plain("Still to find: about ").and(Role::Value, part_of(unplaced.value(), account));
    Some(match &account.total {
        Some(total) => line.and(Role::Plain, format!(" of {}.", bare(total.value(), 2))),
        None => line.and(Role::Plain, "."),
    })
}

/// Returns what is unplaced, without its unit where that of the total follows.
fn part_of(unplaced: Ampere, account: &Balance) -> String {
    let whole = account.total.as_ref().map_or(Ampere::ZERO, Uncertain::value);
    let left = bare(roughly(unplaced.max(Ampere::ZERO), whole), 2);
    let total = account.total.as_ref().map(|total| bare(total.value(), 2)).unwrap_or_default();
    match (left.split_once(' '), total.split_once(' ')) {
        (Some((number, unit)), Some((_, same))) if unit == same => number.to_owned(),
        _ => left,
    }
}

/// Rounds what is left to steps of about a twentieth of the whole: it is said again only once it has changed by so much.
fn roughly(left: Ampere, whole: Ampere) -> Ampere {
    let step = whole.base() / 20.0;
    let digit = 10.0_f64.powf(step.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|times| times * digit).into_iter().find(|one| *one >= step);
    match step {
        Some(step) if step > 0.0 && left < whole => {
            Ampere::new((left.base() / step).round() * step).min(whole)
        }
        _ => left,
    }
}

/// Returns why two readings do not fit together, and which to repeat.
pub fn conflict(conflict: &Conflict, panel: &Panel) -> String {
    let [read, expected] = [conflict.read, conflict.expected].map(|current: Ampere| bare(current, 2));
    let name = subject(conflict.scope, panel);
    match conflict.entries.as_slice() {
        [entry, other] => format!(
            "{name} read {read} (entry {entry}), but the others leave {expected} there; it disagrees most with entry {other}: read {name} again"
        ),
        _ => format!("{name} read {read}, but the map leaves only {expected} there: read it again"),
    }
}

/// Returns what one fuse or item carries, for a list of what was read.
pub fn carried(line: &FeedLine) -> StyledText {
    let name = StyledText::new().and(Role::Name, &line.id).and(Role::Plain, "  ").indented(2);
    match line.floor.filter(|_| line.below_floor()) {
        Some(floor) => name.and(Role::Value, format!("under {}", bare(floor, 2))),
        None => name.and(Role::Value, spoken(&line.current)),
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
