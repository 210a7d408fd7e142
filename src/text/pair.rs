//! Two batteries in series, in words: where a tap shows, what it takes, and what a pair does while it is charged.
//! Leaves to others: the arithmetic (`battery/pair`).

use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Day, Unit};
use crate::base::styled::{Role, StyledText};
use crate::battery::pair::PairCharging;

/// Where the total of a pair is read.
pub const CLAMP_AT: &str =
    "Two batteries in series: clamp the lower one's minus post, where a 12 V tap shows too.";

/// Says what a pair does while it is charged; nothing where it does as it should.
pub fn charging(found: PairCharging) -> Option<StyledText> {
    let text = || {
        format!(
            "The two batteries are {:.2} V apart while charging, {:.1} V are usual: the lower one is undercharged, the other overcharged. Look for a 12 V tap, at the equaliser and its fuses, then charge and test each by itself.",
            found.apart.base(),
            found.most.base()
        )
    };
    found.is_unequal().then(|| StyledText::of(Role::Doubt, text()))
}

/// Says what a tap takes, and in how many days it sets the pair apart.
pub fn tap(taken: Ampere, days: Day) -> StyledText {
    let by_day = taken.base() * 24.0;
    let text = format!(
        "The 12 V tap takes {} from the lower battery alone: {by_day:.1} Ah a day, 0.1 V apart in about {:.0} days.",
        bare(taken, 2),
        days.base().max(1.0)
    );
    StyledText::of(Role::Doubt, text)
}

/// Nothing is tapped.
pub const NO_TAP: &str = "Both totals are the same: nothing is tapped off one battery.";
