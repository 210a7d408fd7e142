//! The repair and its proof in words.

use chrono::{DateTime, FixedOffset};

use super::wording::wordings;
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::show::{bare, spoken};
use crate::base::quantity::{Ampere, Uncertain};
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::WakeGroup;
use crate::instrument::profile::Profile;
use crate::text::decide;
use crate::text::network::network;

wordings! {
    RepairWhat, "What did you repair?",
        "In words, for the record. not-repaired ends without a proof, and the record says so.";
    RepairRefit ["mA"], "Refit; total afterwards",
        "A radio may draw 240 mA until it was switched on and off, a navigation unit 800 mA for half an hour: no fault.";
    ProveProvoke, "Does it stay away?",
        "A pull or a slammed door can cure for a day. Work what brought it on, then prepare the vehicle as before. The wait begins again.",
        "stays-away" => "", "comes-back" => "", "not-tried" => "";
    ProveTotal ["mA"], "Settled total after the repair",
        "Same meter, same place and direction, same wait as before the repair: then the error of both cancels.";
    ProveLog, "Was it logged overnight?",
        "The record keeps what is still to be done.",
        "planned" => "still to be done", "quiet" => "nothing came back", "came-back" => "", "no" => "not to be logged";
    ProveRating, "What is printed on the battery?",
        "For the days it stands: 70 Ah 640 A EN, RC 120, CCA 540 SAE. Don't know takes a usual size.";
}

/// An empty answer to what was repaired.
pub const SAY_WHAT: &str = "Say in words what was done.";
/// What restarts the sleep clock.
pub const WORKED_AGAIN: &str = "cause worked again";
/// What to do about a fault that was not there every time.
pub const LOG_IT: &str = "It comes at times, and may only be away now. Log the current there overnight, locked, a sample every 1 to 10 s. Then: fusetrail settle FILE.csv";

/// Asks for the total once something is back.
pub fn refit(name: &str) -> String {
    format!("Put {name} back; total afterwards")
}

/// Says how the cause is worked again.
pub fn provoke(held: Option<&WakeGroup>) -> Vec<StyledText> {
    let how = match held {
        Some(group) => format!(
            "Work the switches of {} as the customer does: {}.",
            network(&group.id),
            group.inputs.join(", ")
        ),
        None => "Use the vehicle as the customer does.".to_owned(),
    };
    vec![StyledText::of(Role::Heading, "Prove the repair"), StyledText::plain(how).indented(2)]
}

/// Says what was read before the repair.
pub fn before(total: &str, at: DateTime<FixedOffset>, method: &str) -> StyledText {
    let line = StyledText::plain("Before the repair: ").and(Role::Value, total);
    line.and(Role::Plain, format!(" at {}, {method}.", at.format("%H:%M"))).indented(2)
}

/// Says what a total after the repair proves.
pub fn proof(
    current: &Uncertain<Ampere>,
    limit: Ampere,
    verdict: DrawVerdict,
    clamp: &Profile,
    was_woken: bool,
) -> StyledText {
    let line = StyledText::plain("After the repair ")
        .and(Role::Value, spoken(current))
        .and(Role::Plain, format!(", limit {}: ", bare(limit, 2)));
    match verdict {
        DrawVerdict::Within if was_woken => line
            .and(Role::Good, "within")
            .and(Role::Plain, ", as it was at rest before. A quiet night is the proof."),
        DrawVerdict::Within => line.and(Role::Good, "within. The repair is proven."),
        DrawVerdict::Over => line.and(Role::Doubt, "over. The cause is still there, or a second one."),
        DrawVerdict::Undecided => line
            .and(Role::Doubt, format!("undecided. What decides: {}.", decide::what(current, limit, clamp))),
    }
}

/// Says by how much the total fell.
pub fn difference(before: &str, after: &str, fell: &Uncertain<Ampere>) -> StyledText {
    let line =
        StyledText::plain(format!("It fell from {before} to {after}, by ")).and(Role::Value, spoken(fell));
    if fell.low() > Ampere::ZERO {
        return line.and(Role::Plain, ".");
    }
    line.and(Role::Doubt, ": no more than the meter's error.")
}

/// Nothing was repaired.
pub const NO_REPAIR: &str = "nothing was repaired";
/// What a proof lacks: a total.
pub const NO_TOTAL: &str = "no settled total after the repair";
/// What a proof lacks: the battery's test.
pub const BATTERY_NOT_TESTED: &str = "the battery is not tested good since it was seen to";
/// What a proof lacks: the charging side measured again.
pub const CHARGING_NOT_MEASURED: &str = "the charging side was not measured good since it was seen to";
/// What a proof lacks: a limit.
pub const NO_LIMIT: &str = "no limit to hold the total against";
/// What speaks against a proof: it came back.
pub const CAME_BACK: &str = "the draw came back when the cause was worked again";
/// What speaks against a proof: the night.
pub const LOG_SHOWS_IT: &str = "the overnight log shows it again";
/// What a proof lacks where it was within at rest all along: a night.
pub const NIGHT_WANTED: &str = "it was within at rest before as well: a quiet night is the proof";
/// What a proof leaves open: it was not worked again.
pub const NOT_WORKED: &str = "the cause was not worked again";
/// What a proof leaves open: no night.
pub const NOT_LOGGED: &str = "it comes at times, and no overnight log shows it away";

/// Says that a total after the repair is not within its limit.
pub fn not_within(verdict: DrawVerdict) -> String {
    format!("the total after the repair is {} against its limit", verdict.word())
}

/// Says how much is not back.
pub fn not_back(count: usize) -> String {
    format!("{count} of what was opened, tripped or pulled is not back yet")
}
