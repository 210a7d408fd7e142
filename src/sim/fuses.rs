//! What each fuse of a vehicle really has: the make of its family, fuse to fuse, odd makes, what the test points
//! leave out. Leaves to others: the table's resistance (`circuit`), the temperature of its box (`wiring`).

use super::constants as k;
use super::rng::SimRng;
use crate::base::quantity::{Celsius, Ohm, Unit};
use crate::circuit::fuse::Basis;
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::id::{FeedId, IdVec};
use crate::circuit::map::{Access, Feed, FuseSpec, Map};

/// One fuse as it really is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct TrueFuse {
    /// Resistance at 25 °C between the test points.
    pub(super) at_25: Ohm,
    /// Temperature coefficient, per kelvin.
    pub(super) alpha: f64,
    /// True if somebody replaced it by one of an odd make.
    pub(super) odd: bool,
}

impl TrueFuse {
    /// Returns the resistance between the test points at a temperature: `R₂₅ · (1 + α (T − 25 °C))`.
    pub(super) fn at(&self, temperature: Celsius) -> Ohm {
        self.at_25 * (1.0 + self.alpha * (temperature.base() - 25.0))
    }
}

/// Draws one fuse for each feed of the map, so many of them of an odd make.
pub(super) fn fuses(map: &Map, seed: u64, odd_share: f64) -> IdVec<FeedId, TrueFuse> {
    let mut rng = SimRng::new(seed, "fuses");
    let alpha = rng.between(k::ALPHA_RANGE.0, k::ALPHA_RANGE.1);
    map.feeds.iter().map(|feed| TrueFuse { alpha, ..draw(feed, seed, odd_share, &mut rng) }).collect()
}

/// Draws one fuse. Everything is drawn always, so that one feed's kind does not shift the next one's draws.
fn draw(feed: &Feed, seed: u64, odd_share: f64, rng: &mut SimRng) -> TrueFuse {
    // Keyed by the family, so that all its fuses share the make.
    let mut make = SimRng::new(seed, &format!("make {}", feed.fuse.family.name()));
    let make = 1.0 + make.between(-k::MAKE_HALF_WIDTH, k::MAKE_HALF_WIDTH);
    let own = 1.0 + k::FUSE_SD * rng.normal_within(3.0);
    let odd_make = rng.between(k::ODD_MAKE_RANGE.0, k::ODD_MAKE_RANGE.1);
    let odd = rng.chance(odd_share);
    let about_law = rng.factor(k::LAW_LN_SD);
    let measured = 1.0 + k::MEASURED_SD * rng.normal_within(3.0);
    let most = (k::POINTS_SHORTFALL_PER_AMPERE * feed.fuse.rating.base()).min(k::POINTS_SHORTFALL_MOST);
    let shortfall = rng.between(0.0, most);
    if let Some(own) = feed.fuse.own_resistance {
        return TrueFuse { at_25: own * measured, alpha: 0.0, odd: false };
    }
    let drawn = if odd { odd_make } else { make * own };
    let points = if feed.access == Access::Points { 1.0 - shortfall } else { 1.0 };
    let nominal = tabled(&feed.fuse).unwrap_or_else(|| by_law(&feed.fuse) * about_law);
    TrueFuse { at_25: nominal * (drawn * points), alpha: 0.0, odd }
}

/// Returns the fuse tables' resistance at 25 °C, where a sheet has a figure; the tables' own estimate is not taken.
fn tabled(fuse: &FuseSpec) -> Option<Ohm> {
    let found = FuseTable::builtin().resistance(fuse).ok()?;
    (found.basis == Basis::DataSheet).then_some(found.r25)
}

/// Returns a plausible resistance of a fuse without a figure.
fn by_law(fuse: &FuseSpec) -> Ohm {
    Ohm::from_milli(k::LAW_MOHM * fuse.rating.base().max(0.1).powf(k::LAW_EXPONENT))
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::*;

    /// Resistance of one feed of the sample map against the sheet's figure, over many vehicles.
    fn ratios(feed: usize, sheet_mohm: f64) -> Vec<f64> {
        (0..1000)
            .map(|seed| fuses(&map(), seed, k::ODD_MAKE_SHARE)[feed].at_25.milli() / sheet_mohm)
            .collect()
    }

    #[test]
    fn fuses_lie_about_the_sheet_as_far_as_makes_and_points_let_them() {
        // F1 is a mini 10 A: 7.42 milliohm by the sheet, up to 4 % less at the points.
        let drawn = ratios(2, 7.42);
        let mean = drawn.iter().sum::<f64>() / drawn.len() as f64;
        assert!((0.97..0.99).contains(&mean), "mean {mean}");
        let near = drawn.iter().filter(|ratio| (0.84..1.12).contains(*ratio)).count();
        assert!(near > 930, "{near} of 1000 near the sheet");
        assert!(near < 1000, "some are of an odd make");
    }

    #[test]
    fn fuses_of_one_family_share_their_make() {
        // F1 and F4, both mini 10 A: half of the variance and more is the make's.
        let pairs: Vec<(f64, f64)> = ratios(2, 7.42).into_iter().zip(ratios(5, 7.42)).collect();
        let count = pairs.len() as f64;
        let mean = |pick: fn(&(f64, f64)) -> f64| pairs.iter().map(pick).sum::<f64>() / count;
        let (a, b) = (mean(|p| p.0), mean(|p| p.1));
        let sum = |f: &dyn Fn(&(f64, f64)) -> f64| pairs.iter().map(f).sum::<f64>();
        let both = sum(&|p| (p.0 - a) * (p.1 - b));
        let each = (sum(&|p| (p.0 - a).powi(2)) * sum(&|p| (p.1 - b).powi(2))).sqrt();
        assert!((0.25..0.75).contains(&(both / each)), "correlation {}", both / each);
    }

    #[test]
    fn a_warm_fuse_has_more() {
        let fuse = TrueFuse { at_25: Ohm::from_milli(10.0), alpha: 0.0038, odd: false };
        assert!((fuse.at(Celsius::new(60.0)).milli() - 11.33).abs() < 1e-9);
        assert!((fuse.at(Celsius::new(-10.0)).milli() - 8.67).abs() < 1e-9);
    }

    #[test]
    fn a_measured_resistance_is_nearly_the_true_one() {
        let mut known = map();
        known.feeds[2].fuse.own_resistance = Some(Ohm::from_milli(8.0));
        for seed in 0..200 {
            let found = fuses(&known, seed, k::ODD_MAKE_SHARE)[2].at_25.milli();
            assert!((found / 8.0 - 1.0).abs() <= 0.045 + 1e-12, "seed {seed}: {found}");
            assert_eq!(
                fuses(&known, seed, k::ODD_MAKE_SHARE)[3],
                fuses(&map(), seed, k::ODD_MAKE_SHARE)[3],
                "the others stay as they were"
            );
        }
    }
}
