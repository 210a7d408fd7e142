//! The settled total and its limit in words.

use super::wording::wordings;
use crate::base::quantity::show::{bare, with_interval};
use crate::base::quantity::{Ampere, Day, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::battery::capacity::Capacity;
use crate::text::stand::capacity_in_short;

wordings! {
    TotalReading ["mA"], "Settled total, and battery volts",
        "Behind the total the volts: 95mA 12.61V.";
    TotalTap ["mA"], "The same total at the upper battery's plus post",
        "Clamp all cables on that post, as before. Good: the same as at the lower battery's minus post. The difference is what the 12 V tap takes. Beware: a cable left out.";
    TotalVolts ["V"], "Battery volts with it",
        "Type them with each total: they show whether the battery sinks.";
    TotalLimit ["mA"], "Which limit holds, or how many days must it stand?",
        "A current and its source: 50 mA service information. Or a time: 14 days. What a full battery bears for so long is then the limit. No figure is published for this kind of vehicle. Don't know goes on without a limit.";
    TotalStand | ProveStand ["days"], "How long must it stand and still start?",
        "Such as 14 days. What a full battery bears for so long is then the limit. Don't know goes on without one.";
    TotalWithin, "Look for more all the same?",
        "Stop hands over with this verdict. On reads the fuses: one circuit may be high while the total still passes.",
        "stop" => "hand over", "on" => "read the fuses";
}

/// What an answer about the limit looks like.
pub const A_LIMIT: &str = "such as 50 mA service information, or 14 days, or don't know";
/// Help where the class has a figure.
pub const CLASS_LIMIT: &str = "Enter takes the figure of its class. The maker's service information comes first: 30 mA service information.";

/// Says where the figure of the class is from.
pub fn class_limit(source: &str) -> StyledText {
    StyledText::of(Role::Hint, format!("The figure of its class: {source}."))
}

/// Says that a time will do for a limit, where things stay on by right.
pub fn or_stand(usual: Day) -> StyledText {
    let text = format!(
        "It holds with all switched off. Where a gas alarm or a bilge pump stays on by right, type the time that it must stand: {}.",
        days(usual)
    );
    StyledText::of(Role::Hint, text)
}

/// Says where a limit from a wanted stand time is from.
pub fn from_stand(wanted: Day, found: &Capacity) -> String {
    format!("from {} wanted, {}", days(wanted), capacity_in_short(found))
}

/// Says what limit a wanted stand time gives.
pub fn limit_from_stand(allowed: &Uncertain<Ampere>, source: &str) -> StyledText {
    StyledText::plain("Limit: ")
        .and(Role::Value, with_interval(allowed))
        .and(Role::Plain, format!(", {source}."))
}

/// Refuses a time that the battery doesn't stand by itself.
pub fn too_long(wanted: Day, found: &Capacity) -> String {
    format!(
        "No draw at all would do for {}: a battery of {} discharges itself by then. Type a shorter time.",
        days(wanted),
        capacity_in_short(found)
    )
}

/// Returns a time in days: `14 days`.
pub fn days(wanted: Day) -> String {
    format!("{} days", (wanted.base() * 10.0).round() / 10.0)
}

/// What going on without a limit costs.
pub const NO_LIMIT: &str =
    "Without a limit there is no verdict. The search goes by what the map expects asleep.";
/// Why a total within its limit may not be the end.
pub const ELSEWHERE: &str =
    "What flattens it may be away now, come at night, or be the battery or the charging.";
/// What to do where the fault is away.
pub const RETURNS: &str = "Shut it as the customer leaves it, clamp cable led out under the bonnet. Read again after its sleep time, or log it overnight.";
/// A total before sleep was proved.
pub const PROVISIONAL: &str = "Provisional: it may not have slept yet. Read it again later: total VALUE.";
/// The same after the repair.
pub const PROVES_NOTHING: &str = "Provisional: it may not have slept yet, so this proves nothing.";

/// Says that what drew as found is gone since the vehicle was touched, and what to do about it.
pub fn gone(found: &Uncertain<Ampere>, settled: &Uncertain<Ampere>) -> StyledText {
    let text = format!(
        "It drew {} as found and draws {} now. A module had hung, a latch was open, or something was unplugged. {RETURNS}",
        bare(found.value(), 3),
        bare(settled.value(), 3)
    );
    StyledText::of(Role::Doubt, text)
}

/// Says what hung in the sockets drew: it is judged apart from the vehicle.
pub fn plugged(drew: &Uncertain<Ampere>) -> StyledText {
    let text = format!(
        "What was plugged in drew {}: a cause by itself. The vehicle is judged without it.",
        with_interval(drew)
    );
    StyledText::of(Role::Doubt, text)
}

/// Says what the battery's reserve advises.
pub fn advised(current: Ampere, source: &str) -> StyledText {
    let text = format!("{source} advises {}; a limit only if you take it.", bare(current, 2));
    StyledText::of(Role::Hint, text)
}

/// Says that the draw fell between the end of the wait and the total.
pub fn still_falling(waited: Ampere) -> StyledText {
    let text = format!(
        "{} at the end of the wait: more may sleep late. Read again in ten minutes: total VALUE.",
        bare(waited, 3)
    );
    StyledText::of(Role::Doubt, text)
}
