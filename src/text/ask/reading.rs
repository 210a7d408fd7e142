//! Proposed readings in words: on the trail, and from the circuit to the part.
//! Leaves to others: which one (`plan/next`), and what is proposed in words (`text/next`).

use super::wording::wordings;

wordings! {
    TrailReading | NarrowReading ["mA"], "Reading",
        "Type the value, or any other reading: F12 3.0 · others 0.0 · clamp L1 350 · pull F12 482 77 · unplug F12/radio 482 77 · total 482. done ends the search.";
    TrailVolts ["V"], "Battery volts now",
        "At the posts, nothing switched. Good: as with the total before. Beware: 0.1 V lower or more means: read the total again. A charger would wake the vehicle.";
}

/// The trail was ended.
pub const TRAIL_ENDS: &str = "The search ends here.";
/// Looking for the part was ended.
pub const NARROWING_ENDS: &str = "No more looking for the part.";
