//! What is known of a battery, one thing at a time, and the verdict that each leads to.
//! Leaves to others: finding them (`judge`), the words (`text/battery`).

use super::charge::{Charge, Unreadable};
use crate::base::quantity::{AmpereHour, Celsius, Share, Volt};

/// What is to be done about a battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remedy {
    /// It is not worked on: replaced, or thawed first.
    HandsOff,
    /// No charger mends it: it is replaced.
    Replace,
    /// It is charged and tested.
    Charge,
}

/// Verdict on a battery.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum BatteryVerdict {
    /// It is fit.
    Fit,
    /// It cannot be judged yet: charge it, let it rest, test it.
    NotYet,
    /// Something speaks against it.
    Doubtful,
}

impl BatteryVerdict {
    /// Returns the word used in text and JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fit => "fit",
            Self::NotYet => "not-yet",
            Self::Doubtful => "doubtful",
        }
    }
}

/// One thing that is known, and what it says.
#[derive(Debug, Clone, PartialEq)]
pub enum BatteryReason {
    /// It was found frozen, swollen or leaking.
    Unsafe,
    /// Its acid freezes near the temperature it has.
    MayBeFrozen {
        /// Where it freezes.
        freezes: Celsius,
        /// Its temperature.
        temperature: Celsius,
    },
    /// It tested good.
    TestedGood,
    /// It tested bad.
    TestedBad,
    /// Nobody tested it.
    NotTested,
    /// Its charge is high enough for a test and for judging a draw.
    Charged(Charge),
    /// Its charge is too low, for sure or perhaps.
    ChargeLow(Charge),
    /// Its charge cannot be read from volts.
    ChargeUnreadable(Charge),
    /// Measured cranking rating as a share of the rated one, and what that says.
    Cranking(Share, BatteryVerdict),
    /// Volts of the load test against the least at its temperature.
    LoadTest {
        /// Shown.
        shown: Volt,
        /// Least.
        least: Volt,
        /// What that says.
        says: BatteryVerdict,
    },
    /// Volts that five sound cells give.
    ShortedCell {
        /// Shown.
        shown: Volt,
        /// True if it had been charged before.
        charged: Option<bool>,
    },
    /// Measured capacity against the rated one.
    Capacity {
        /// Measured.
        measured: AmpereHour,
        /// Rated.
        rated: AmpereHour,
        /// What that says.
        says: BatteryVerdict,
    },
    /// A path from post to case top.
    PostLeak(Volt),
    /// Clamps that don't hold.
    Clamps,
    /// Old and not tested.
    Old(u16),
    /// Two batteries of a pair apart by so much.
    Unequal(Volt),
}

impl BatteryReason {
    /// Returns the verdict that this reason alone leads to.
    pub fn says(&self) -> BatteryVerdict {
        match self {
            Self::TestedGood | Self::Charged(_) => BatteryVerdict::Fit,
            // Lithium on its flat stretch is not flat; only how full it is stays unknown.
            Self::ChargeUnreadable(charge) if charge.unreadable == Some(Unreadable::Flat) => {
                BatteryVerdict::Fit
            }
            Self::NotTested | Self::ChargeLow(_) | Self::ChargeUnreadable(_) | Self::Old(_) => {
                BatteryVerdict::NotYet
            }
            Self::Cranking(_, says) | Self::LoadTest { says, .. } | Self::Capacity { says, .. } => *says,
            Self::Unsafe
            | Self::ShortedCell { .. }
            | Self::MayBeFrozen { .. }
            | Self::TestedBad
            | Self::PostLeak(_)
            | Self::Clamps
            | Self::Unequal(_) => BatteryVerdict::Doubtful,
        }
    }

    /// Returns what is to be done about it.
    pub fn remedy(&self) -> Remedy {
        match self {
            one if one.stops() => Remedy::HandsOff,
            Self::ShortedCell { charged: Some(true), .. } => Remedy::Replace,
            _ => Remedy::Charge,
        }
    }

    /// Returns true if it stops the work: nothing is charged, jumped or tested.
    pub fn stops(&self) -> bool {
        matches!(self, Self::Unsafe | Self::MayBeFrozen { .. })
    }

    /// Returns true if it is a fault of the battery itself: a failed test, worn plates, a shorted cell, a pair apart.
    pub fn is_fault(&self) -> bool {
        let may_be_mended = matches!(self, Self::PostLeak(_) | Self::Clamps);
        self.says() == BatteryVerdict::Doubtful && !may_be_mended
    }

    /// Returns true if it is the result of a test.
    pub(super) fn is_test(&self) -> bool {
        matches!(
            self,
            Self::TestedGood
                | Self::TestedBad
                | Self::Cranking(..)
                | Self::Capacity { .. }
                | Self::LoadTest { says: BatteryVerdict::Fit | BatteryVerdict::Doubtful, .. }
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_charger_mends_a_shorted_cell_and_nobody_charges_a_frozen_one() {
        let shorted = |charged| BatteryReason::ShortedCell { shown: Volt::new(10.5), charged };
        assert_eq!(shorted(Some(true)).remedy(), Remedy::Replace);
        assert_eq!(shorted(None).remedy(), Remedy::Charge, "low volts may be no more than that");
        assert_eq!(BatteryReason::Unsafe.remedy(), Remedy::HandsOff);
        assert_eq!(BatteryReason::TestedBad.remedy(), Remedy::Charge, "a test counts once it was full");
    }
}
