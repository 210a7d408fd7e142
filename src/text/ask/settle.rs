//! The wait for sleep in words.

use chrono::{DateTime, FixedOffset};

use super::wording::wordings;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Minute};
use crate::base::styled::{Role, StyledText};

wordings! {
    SettleWait | ProveWait ["mA"], "Total now",
        "It goes on by itself once the time has passed and the draw was flat for 10 minutes. Or type: a total · settled VALUE, by your word · skip REASON, and the total is provisional.";
    SettleTouched, "Was the vehicle touched meanwhile?",
        "A door, a key near it or a charger wakes modules. Then the wait begins again and the total is read again. No is taken by your word.",
        "no" => "", "opened" => "a door, lid, key or switch", "driven" => "or the engine run", "don't know" => "it may have been";
}

/// What restarts the sleep clock when a hunt is taken up again.
pub const TOUCHED: &str = "touched while the hunt was left";
/// That a total is settled is a claim.
pub const NOT_SEEN: &str = "That the draw was settled is your word: no ten flat minutes stand in this log.";

/// Says since when the hunt was left.
pub fn left_since(at: DateTime<FixedOffset>) -> StyledText {
    StyledText::of(Role::Hint, format!("The last entry is of {}.", at.format("%Y-%m-%d %H:%M")))
}

/// Says what is waited for.
pub fn head(due: Minute, since: DateTime<FixedOffset>) -> Vec<StyledText> {
    let wait = format!(
        "Wait {} from {} until every module sleeps. Touch nothing.",
        bare(due, 2),
        since.format("%H:%M")
    );
    vec![StyledText::of(Role::Heading, wait)]
}

/// Says that it sleeps, as the readings of the wait show.
pub fn asleep(total: Ampere, after: Minute) -> StyledText {
    let seen = format!("Asleep: {} after {}, flat for 10 min.", bare(total, 2), bare(after, 2));
    StyledText::of(Role::Good, seen)
}

/// Says that it sleeps, as somebody told.
pub fn told_asleep(total: Ampere) -> StyledText {
    StyledText::of(Role::Good, format!("{}, settled by your word.", bare(total, 2)))
}

/// Says that waiting longer would tell nothing new.
pub fn flat_far_over(total: Ampere) -> StyledText {
    let flat = format!(
        "{}, flat for 10 min and over five times the limit: go on. The total is provisional until the time has passed.",
        bare(total, 2)
    );
    StyledText::of(Role::Doubt, flat)
}
