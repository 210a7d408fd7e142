//! Questions about slips of the hand.
//! Leaves to others: finding them (`measure/slip`).

use crate::base::quantity::show::bare;
use crate::measure::slip::Slip;

/// Returns what is odd, in one or two short sentences.
fn odd(slip: &Slip) -> String {
    match slip {
        Slip::Factor { typed, known } => {
            format!("{} now, {} before.", bare(typed.value, 3), bare(*known, 3))
        }
        Slip::Digits { text, meter } => {
            format!("{text} has more digits than the meter {meter} shows.")
        }
        Slip::Swapped { before, after } => format!(
            "{} before and {} after: the total was last about {}. Before and after swapped?",
            before.text,
            after.text,
            bare(after.value, 2)
        ),
        Slip::NoBattery { volts, system, meant } => {
            let meant = meant.map(|meant| format!(" Is it {}?", bare(meant, 4))).unwrap_or_default();
            format!("{}: a {} battery does not show that.{meant}", volts.text, bare(*system, 2))
        }
        Slip::Limit { typed, usual } => {
            format!(
                "A limit of {}: about {} is usual for this class of vehicle.",
                typed.text,
                bare(*usual, 2)
            )
        }
        Slip::RatingAsName(name) => {
            format!("{name} looks like a rating. The fuse's name comes first, such as F12 mini 10 radio.")
        }
    }
}

/// Says it of a reading that is in the log already.
pub fn entered(slip: &Slip) -> String {
    format!("{} It is in; if it is a slip: fusetrail undo, and enter it again.", odd(slip))
}

/// Asks it before anything is entered.
pub fn sure(slip: &Slip) -> String {
    format!("{} Type yes if it is right, or type it again", odd(slip))
}
