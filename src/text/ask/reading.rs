//! Proposed readings in words: on the trail, and from the circuit to the part.
//! Leaves to others: which one (`plan/next`), and what is proposed in words (`text/next`).

use super::wording::wordings;

wordings! {
    TrailReading | NarrowReading ["mA"], "Reading",
        "Type the value, or any other reading: F12 3.0 · others 0.0 (the rest of this box, really read) · clamp L1 350mA · pull F12 482 77 · refit F12 480 · unplug F12/radio 482 77 · input NAME 560 50 · step F12 3.0mV 10.6mV 1.02A · total 482 · note TEXT · disturb TEXT. done ends the trail.";
    TrailVolts ["V"], "Battery volts now",
        "At the posts, nothing switched. Where they sank by 0.1 V or more the total sinks with them and is read again; a charger would wake the vehicle.";
}

/// The trail was ended.
pub const TRAIL_ENDS: &str = "The trail ends here.";
/// Looking for the part was ended.
pub const NARROWING_ENDS: &str = "Narrowing ends here.";
