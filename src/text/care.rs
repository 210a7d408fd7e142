//! What hands forget: latches that were tripped by hand, a proof taken open or cold only, a charger's clamp on a sensor.
//! Leaves to others: when each is said (`hunt/stage`).

use crate::base::styled::{Role, StyledText};

/// Latches tripped by hand stand as if shut, so none of them can show that it hangs open.
pub const TRIPPED_HIDES: &str = "Latches were tripped by hand: one that does not close by itself hides behind that. Shut everything as the customer does and read once more, if the complaint stays.";
/// How the vehicle stands while a repair is proved.
const SHUT: &str = "Read it shut and locked as the customer leaves it, no latch tripped by hand.";
/// What leaks hot leaks less cold.
const HOT_AND_COLD: &str = "Diodes leak more hot than cold: read it hot from a drive and again cold.";
/// Where a charger's clips go.
const CHARGER: &str = "With a sensor on the minus post its charger clip goes on the body, not on the post. A new battery is made known to the vehicle where its maker asks for that.";

/// How one circuit of a motorcycle is read by itself.
pub const FUSES_PLACE: &str = "No clamp goes round one small fuse. Pull it and watch the total, or put the ammeter in its place, bridged by a fused jumper until it carries the current.";

/// Says how the vehicle stands for a proof; what leaks hot is read twice.
pub fn for_proof(leaks_hot: bool) -> Vec<StyledText> {
    let hot = leaks_hot.then_some(HOT_AND_COLD);
    [SHUT].into_iter().chain(hot).map(|text| StyledText::plain(text).indented(2)).collect()
}

/// Says where the clips of a charger go.
pub fn charger() -> StyledText {
    StyledText::of(Role::Hint, CHARGER).indented(2)
}
