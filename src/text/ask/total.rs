//! The settled total and its limit in words.

use super::wording::wordings;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Uncertain};
use crate::base::styled::{Role, StyledText};

wordings! {
    TotalReading ["mA"], "Settled total",
        "Every cable on one post inside the clamp, or the ammeter in series. Nothing may feed the vehicle meanwhile.";
    TotalVolts ["V"], "Battery volts beside it",
        "Logged with each total: 0.1 V lower later on means that the total must be read again.";
    TotalLimit ["mA"], "Which limit holds for this vehicle, and where is it from?",
        "A current and its source, such as: 50 mA maker's service information. No published figure is known for this class of vehicle. Don't know goes on without one: then no verdict is given, and what is high is told by what the map expects of each load.";
    TotalWithin, "Look for more all the same?",
        "Stop goes to the handover with this verdict. On goes through the fuses, in case one circuit is high while the total still passes.",
        "stop" => "hand over with this verdict", "on" => "read the fuses all the same";
}

/// What going on without a limit costs.
pub const NO_LIMIT: &str = "Without a limit there is no verdict on the total. The search goes on by what the map expects of each load asleep.";
/// Why a total within its limit may not be the end.
pub const ELSEWHERE: &str = "What flattens it may not be there now: a wake at night, something at one place only, the battery or the charging side.";
/// What to do where the fault is away.
pub const RETURNS: &str = "Shut it as the customer does, with what was plugged in back in its place and the clamp's cable led out under the bonnet, and read again after its sleep time; or log it overnight.";
/// A total before sleep was proved.
pub const PROVISIONAL: &str =
    "Provisional: sleep was not proved before this total. Read it again later (total VALUE).";
/// The same after the repair.
pub const PROVES_NOTHING: &str =
    "Provisional: sleep was not proved before this total, so it proves nothing yet.";

/// Says that what drew as found is gone since the vehicle was touched, and what to do about it.
pub fn gone(found: &Uncertain<Ampere>, settled: &Uncertain<Ampere>) -> StyledText {
    let text = format!(
        "It drew {} as found and draws {} now: what drew is gone since it was touched. A module had hung, a latch was open, or something was unplugged. {RETURNS}",
        bare(found.value(), 3),
        bare(settled.value(), 3)
    );
    StyledText::of(Role::Doubt, text)
}

/// Says what the battery's reserve advises.
pub fn advised(current: Ampere, source: &str) -> StyledText {
    let text = format!("Beside it: {} by {source}; a limit only if you take it.", bare(current, 2));
    StyledText::of(Role::Hint, text)
}

/// Says that the draw fell between the end of the wait and the total.
pub fn still_falling(waited: Ampere) -> StyledText {
    let text = format!(
        "It was {} at the end of the wait: something fell asleep only now, and more may. Read it again in ten minutes (total VALUE).",
        bare(waited, 3)
    );
    StyledText::of(Role::Doubt, text)
}
