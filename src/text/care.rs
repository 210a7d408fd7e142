//! What hands forget: latches that were tripped by hand, a proof taken open or cold only, a charger's clamp on a sensor.
//! Leaves to others: when each is said (`hunt/stage`).

use crate::base::styled::{Role, StyledText};

/// Latches tripped by hand stand as if shut, so none of them can show that it hangs open.
pub const TRIPPED_HIDES: &str =
    "Latches were tripped by hand, and a latch fault hides behind that: shut it and read again.";
/// How the vehicle stands while a repair is proved.
const SHUT: &str = "Shut and locked as they leave it, no latch tripped by hand.";
/// What leaks hot leaks less cold.
const HOT_AND_COLD: &str = "Diodes leak more when hot: read hot, and again cold.";
/// Where a charger's clips go.
const CHARGER: &str = "With a sensor on the minus post the charger's clip goes on the body.";

/// How one circuit of a motorcycle is read by itself.
pub const FUSES_PLACE: &str = "No clamp fits one small fuse: pull it and watch the total.";

/// Says how the vehicle stands for a proof; what leaks hot is read twice.
pub fn for_proof(leaks_hot: bool) -> Vec<StyledText> {
    let hot = leaks_hot.then_some(HOT_AND_COLD);
    [SHUT].into_iter().chain(hot).map(|text| StyledText::plain(text).indented(2)).collect()
}

/// Says where the clips of a charger go.
pub fn charger() -> StyledText {
    StyledText::of(Role::Hint, CHARGER).indented(2)
}
