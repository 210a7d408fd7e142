//! The wait for sleep in words.

use chrono::{DateTime, FixedOffset};

use super::wording::wordings;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Minute};
use crate::base::styled::{Role, StyledText};

wordings! {
    SettleWait | ProveWait ["mA"], "Total now",
        "A total typed here shows whether the draw is flat. It goes on by itself once the time has passed and the draw has been flat for 10 minutes. settled VALUE goes on where a logging meter has shown it at rest; skip REASON goes on at once: the total is then marked provisional.";
    SettleTouched, "Was the vehicle opened, switched on or driven meanwhile?",
        "A door, a key near it or a charger wakes modules: then the wait begins anew and the total is read again. No is taken by your word.",
        "no" => "nobody touched it", "opened" => "a door, a lid, a key or a switch", "driven" => "driven, or the engine run", "don't know" => "it may have been";
}

/// What restarts the sleep clock when a hunt is taken up again.
pub const TOUCHED: &str = "touched while the hunt was left";
/// That a total is settled is a claim.
pub const NOT_SEEN: &str =
    "That the draw was settled is told, not seen here: no ten flat minutes stand in this log.";

/// Says since when the hunt was left.
pub fn left_since(at: DateTime<FixedOffset>) -> StyledText {
    StyledText::of(Role::Hint, format!("The last entry is of {}.", at.format("%Y-%m-%d %H:%M")))
}

/// Says what is waited for.
pub fn head(due: Minute, since: DateTime<FixedOffset>) -> Vec<StyledText> {
    let from = since.format("%H:%M");
    let wait = format!(
        "{} from the last disturbance at {from}. Type a total now and then; nothing is touched.",
        bare(due, 3)
    );
    vec![StyledText::of(Role::Heading, "Wait until every module sleeps"), StyledText::plain(wait)]
}

/// Says that it sleeps, as the readings of the wait show.
pub fn asleep(total: Ampere, after: Minute) -> StyledText {
    let seen = format!("{} after {}: flat for 10 min, asleep.", bare(total, 3), bare(after, 3));
    StyledText::of(Role::Good, seen)
}

/// Says that it sleeps, as somebody told.
pub fn told_asleep(total: Ampere) -> StyledText {
    StyledText::of(Role::Good, format!("{}: settled, by your word.", bare(total, 3)))
}

/// Says that waiting longer would tell nothing new.
pub fn flat_far_over(total: Ampere) -> StyledText {
    let flat = format!(
        "{}: flat for 10 min at over five times the limit. Going on; the total is provisional until the time has passed.",
        bare(total, 3)
    );
    StyledText::of(Role::Doubt, flat)
}
