//! A normal vector of which at most one component may be wild: its log density, and what further normal parts along
//! given directions do to it. One factored covariance serves every case: a wild component and a part along a direction
//! are rank-one updates of its inverse (Sherman and Morrison 1950).
//! Leaves to others: what the vector is.

use std::ops::Range;

use nalgebra::DVector;

use super::factors::Factored;
use super::sparse::{Sparse, along};

const LN_TWO_PI: f64 = 1.837_877_066_409_345_5;

/// ln √2.
const LN_ROOT_TWO: f64 = 0.5 * std::f64::consts::LN_2;

/// Assumptions that are looked through together for one that counts.
const AT_ONCE: usize = 64;

/// Two directions are the same if the determinant of their products is below this share of its largest.
pub const SAME: f64 = 1e-9;

/// A residual with its covariance, and every assumption about a wild component.
#[derive(Debug, Clone)]
pub struct Gaussian {
    covariance: Factored,
    /// Σ⁻¹ r.
    weighted: DVector<f64>,
    ln_determinant: f64,
    /// The assumptions: first that no component is wild, then one for each component.
    views: Vec<OutlierCase>,
    /// Log density and factor of each assumption, side by side for [`Gaussian::within_reach`].
    ln_densities: Vec<f64>,
    factors: Vec<f64>,
}

/// An assumption about which component is wild.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutlierCase {
    /// The component that is wild, if one is.
    pub wild: Option<usize>,
    /// Log density of the residual under it, with the logarithm of its probability beforehand.
    pub ln_density: f64,
    /// Factor of the rank-one correction of the inverse.
    factor: f64,
}

/// How likely a wild component is beforehand, and how far off it then is.
#[derive(Debug, Clone, PartialEq)]
pub struct Wildness {
    /// Probability beforehand that a component is wild, for each of them; none at all for never.
    pub probabilities: Vec<f64>,
    /// Standard deviation that is added to a wild component.
    pub sd: f64,
}

/// A direction, made ready: Σ⁻¹ d, and its products under each assumption.
#[derive(Debug, Clone, PartialEq)]
pub struct Direction {
    /// The direction, where it is not zero.
    d: Sparse,
    /// Σ⁻¹ d.
    weighted: DVector<f64>,
    /// dᵀΣ⁻¹r under each assumption.
    along: Vec<f64>,
    /// dᵀΣ⁻¹d under each assumption.
    square: Vec<f64>,
    /// Σ⁻¹d at what is wild under each assumption, zero where nothing is.
    at_wild: Vec<f64>,
    /// ½ ln(2π/dᵀΣ⁻¹d) under each assumption, and the largest of these: how widely the amplitude is left open.
    open: Vec<f64>,
    widest: f64,
    /// The same in short, of each [`AT_ONCE`] assumptions.
    short: Vec<Short>,
}

/// What a direction has at most under each of some assumptions.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Short {
    /// Gain of its best amplitude, and log density and gain together.
    gain: f64,
    ln_with_gain: f64,
    /// dᵀΣ⁻¹d at least.
    square: f64,
    /// Size of Σ⁻¹d at what is wild, times the root of the factor.
    at_wild: f64,
    /// ½ ln(2π/dᵀΣ⁻¹d).
    open: f64,
}

impl Short {
    /// Returns a log density that no two amplitudes exceed under these assumptions, their shares beforehand counted. With
    /// u = b/√a of each and their correlation ρ the gain of both is ½(u₁² + u₂² − 2ρu₁u₂)/(1 − ρ²), at most that of one
    /// and the other over 1 − |ρ|. Without bound where they are much alike.
    fn ln_most(&self, other: &Self, plain: f64, [peak1, peak2]: [f64; 2]) -> f64 {
        let most = plain.abs() + self.at_wild * other.at_wild;
        let correlation = most / (self.square * other.square).sqrt();
        if correlation.is_nan() || correlation > 0.5 {
            return f64::INFINITY;
        }
        let (share1, share2) = ((peak1 + self.open).min(0.0), (peak2 + other.open).min(0.0));
        let alone = (self.ln_with_gain + other.gain).min(self.gain + other.ln_with_gain);
        let further = (self.gain + other.gain) * correlation / (1.0 - correlation);
        alone + further + share1 + share2 + LN_ROOT_TWO
    }
}

/// What is known beforehand of the best that two amplitudes could do.
#[derive(Debug, Clone, Copy)]
pub struct Reach {
    /// Log density that is asked for.
    pub least: f64,
    /// Logarithm of a density that each amplitude's own beforehand nowhere exceeds.
    pub ln_peaks: [f64; 2],
}

impl Reach {
    /// The same with a little less asked for: rounding must not hide what is just within reach.
    fn rounded(self) -> Self {
        Self { least: self.least - 1e-3 - 1e-6 * self.least.abs(), ..self }
    }
}

impl Gaussian {
    /// Makes a residual with its covariance ready.
    pub fn new(residual: &DVector<f64>, covariance: Factored, wildness: &Wildness) -> Self {
        let n = residual.len();
        let weighted = covariance.solve(residual);
        let ln_determinant = covariance.ln_determinant();
        let ln_density = -0.5 * (n as f64 * LN_TWO_PI + ln_determinant + residual.dot(&weighted));
        let inverse = covariance.diagonal().inverse;
        let none = 1.0 - wildness.probabilities.iter().sum::<f64>();
        let sound = OutlierCase { wild: None, ln_density: ln_density + none.max(0.5).ln(), factor: 0.0 };
        let variance = wildness.sd * wildness.sd;
        let one = |(k, probability): (usize, &f64)| {
            let spread = 1.0 + variance * inverse.get(k).copied().unwrap_or(0.0);
            let factor = variance / spread;
            let off = weighted.get(k).copied().unwrap_or(0.0);
            let ln = ln_density - 0.5 * spread.ln() + 0.5 * factor * off * off;
            OutlierCase { wild: Some(k), ln_density: ln + probability.ln(), factor }
        };
        let may_be = wildness.probabilities.iter().enumerate();
        let views: Vec<OutlierCase> = std::iter::once(sound).chain(may_be.map(one)).collect();
        Self {
            covariance,
            weighted,
            ln_determinant,
            ln_densities: views.iter().map(|view| view.ln_density).collect(),
            factors: views.iter().map(|view| view.factor).collect(),
            views,
        }
    }

    /// Returns ln det Σ.
    pub fn ln_determinant(&self) -> f64 {
        self.ln_determinant
    }

    /// Returns the assumptions under which some two amplitudes along these directions may bring the log density up to what
    /// is asked for; most that do not are left out.
    pub fn within_reach(
        &self,
        first: &Direction,
        second: &Direction,
        plain: f64,
        reach: Reach,
    ) -> Vec<usize> {
        let reach = reach.rounded();
        let short = first.short.iter().zip(&second.short).enumerate();
        let near = short.filter(|(_, (one, two))| one.ln_most(two, plain, reach.ln_peaks) >= reach.least);
        let found = near.flat_map(|(block, _)| {
            let start = block * AT_ONCE;
            let each = || self.may_reach(first, second, (plain, reach), start..start + AT_ONCE);
            // Counted, for a search would end early and stand in the way of doing several at once.
            let any = each().map(u32::from).sum::<u32>() > 0;
            let which = any.then(|| each().enumerate().filter(|(_, may)| *may));
            which.into_iter().flatten().map(move |(at, _)| start + at)
        });
        found.collect()
    }

    /// Returns, for each of these assumptions, false if no two amplitudes bring the log density up to what is asked for: the
    /// gain ½ bᵀA⁻¹b of the best two, times the share of the amplitudes beforehand that fit as well. Both are taken times
    /// det A, so that nothing is divided and several are reckoned at once. Where the directions nearly are one it is true.
    fn may_reach<'a>(
        &'a self,
        first: &'a Direction,
        second: &'a Direction,
        (plain, reach): (f64, Reach),
        these: Range<usize>,
    ) -> impl Iterator<Item = bool> + 'a {
        let Reach { least, ln_peaks: [peak1, peak2] } = reach;
        let these = these.start..these.end.min(self.views.len());
        let views = within(&these, &self.ln_densities, &self.factors);
        let along = within(&these, &first.along, &second.along);
        let square = within(&these, &first.square, &second.square);
        let at_wild = within(&these, &first.at_wild, &second.at_wild);
        let open = within(&these, &first.open, &second.open);
        let each = views.zip(along).zip(square).zip(at_wild).zip(open);
        each.map(move |(((((ln, factor), (b1, b2)), (a1, a2)), (w1, w2)), (open1, open2))| {
            let x = plain - factor * (w1 * w2);
            let (both, determinant) = (a1 * a2, a1 * a2 - x * x);
            let (share1, share2) = ((peak1 + open1).min(0.0), (peak2 + open2).min(0.0));
            // Together they are their product over the root of det A/(a₁a₂), which is above ½ there.
            let share =
                if determinant > 0.5 * both { share1 + share2 + LN_ROOT_TWO } else { share1.min(share2) };
            let gain = a2 * b1 * b1 - 2.0 * x * b1 * b2 + a1 * b2 * b2;
            (gain >= 2.0 * (least - ln - share) * determinant) | (determinant <= SAME * both)
        })
    }

    /// Returns the assumptions, the one without a wild component first.
    pub fn views(&self) -> &[OutlierCase] {
        &self.views
    }

    /// Makes a direction ready.
    pub fn direction(&self, d: &DVector<f64>) -> Direction {
        let weighted = self.covariance.solve(d);
        let (along, square) = (d.dot(&self.weighted), d.dot(&weighted));
        let at_wild: Vec<f64> = self.views.iter().map(|view| view.of(&weighted)).collect();
        let under = self.views.iter().zip(&at_wild);
        let along: Vec<f64> =
            under.clone().map(|(view, w)| view.corrected(along, *w, view.of(&self.weighted))).collect();
        let square: Vec<f64> = under.map(|(view, w)| view.corrected(square, *w, *w)).collect();
        let open = square.iter().map(|square| 0.5 * (LN_TWO_PI - square.max(f64::MIN_POSITIVE).ln()));
        let open: Vec<f64> = open.collect();
        let starts = (0..self.views.len()).step_by(AT_ONCE);
        let short =
            starts.map(|start| self.short(start..start + AT_ONCE, [&along, &square, &at_wild, &open]));
        Direction {
            short: short.collect(),
            widest: open.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            d: d.iter().copied().enumerate().filter(|(_, size)| *size != 0.0).collect(),
            weighted,
            along,
            square,
            at_wild,
            open,
        }
    }

    /// Sums up what a direction has under some assumptions.
    fn short(&self, these: Range<usize>, [along, square, at_wild, open]: [&[f64]; 4]) -> Short {
        let these = these.start..these.end.min(self.views.len());
        let none = Short {
            gain: 0.0,
            ln_with_gain: f64::NEG_INFINITY,
            square: f64::INFINITY,
            at_wild: 0.0,
            open: f64::NEG_INFINITY,
        };
        let views = within(&these, &self.ln_densities, &self.factors);
        let each = views.zip(within(&these, along, square)).zip(within(&these, at_wild, open));
        each.fold(none, |most, (((ln, factor), (b, a)), (w, open))| {
            let gain = 0.5 * b * b / a;
            Short {
                gain: most.gain.max(gain),
                ln_with_gain: most.ln_with_gain.max(ln + gain),
                square: most.square.min(*a),
                at_wild: most.at_wild.max(w.abs() * factor.sqrt()),
                open: most.open.max(*open),
            }
        })
    }
}

impl Direction {
    /// Returns dᵀΣ⁻¹r and dᵀΣ⁻¹d under an assumption.
    pub fn products(&self, view: &OutlierCase) -> (f64, f64) {
        let at = view.wild.map_or(0, |k| k + 1);
        self.along.get(at).copied().zip(self.square.get(at).copied()).unwrap_or_default()
    }

    /// The same under each of [`Gaussian::views`].
    pub fn all_products(&self) -> impl Iterator<Item = (f64, f64)> {
        self.along.iter().copied().zip(self.square.iter().copied())
    }

    /// Returns aᵀΣ⁻¹b without a wild component, b being the other direction; it may be ready in any covariance.
    pub fn plain_product(&self, other: &Self) -> f64 {
        along(&other.d, &self.weighted)
    }

    /// Returns the logarithm of the largest share of the amplitudes beforehand that fit as well as the best one, whatever is
    /// wild, from that of the peak of their density.
    pub fn ln_share(&self, ln_peak: f64) -> f64 {
        (ln_peak + self.widest).min(0.0)
    }

    /// Returns Σ⁻¹d at the component that an assumption takes for wild, zero if it takes none.
    pub fn at_wild(&self, view: &OutlierCase) -> f64 {
        view.of(&self.weighted)
    }

    /// Returns dᵀΣ⁻¹r, dᵀΣ⁻¹d and Σ⁻¹d at what is wild under one of [`Gaussian::views`], by its number.
    pub fn under(&self, view: usize) -> Option<[f64; 3]> {
        Some([*self.along.get(view)?, *self.square.get(view)?, *self.at_wild.get(view)?])
    }
}

impl OutlierCase {
    /// Returns aᵀΣ⁻¹b under this assumption from what it is without a wild component, and from Σ⁻¹a and Σ⁻¹b at the
    /// wild one.
    pub fn corrected(&self, plain: f64, a: f64, b: f64) -> f64 {
        plain - self.factor * (a * b)
    }

    fn of(&self, weighted: &DVector<f64>) -> f64 {
        self.wild.and_then(|k| weighted.get(k)).copied().unwrap_or(0.0)
    }
}

/// Two lists side by side, as far as a range of both goes.
fn within<'a>(
    range: &Range<usize>,
    one: &'a [f64],
    two: &'a [f64],
) -> impl Iterator<Item = (&'a f64, &'a f64)> + use<'a> {
    let of = |values: &'a [f64]| values.get(range.clone()).unwrap_or_default();
    of(one).iter().zip(of(two))
}

/// What a part N(mean, sd²) along a direction does to the log density, and to the amplitude itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// Change of the log density.
    pub ln: f64,
    /// Mean of the amplitude, given the residual.
    pub mean: f64,
    /// Variance of the amplitude, given the residual.
    pub variance: f64,
}

/// Returns the gain of a part N(mean, sd²) along a direction with these products dᵀΣ⁻¹r and dᵀΣ⁻¹d. `None` where the log
/// density surely changes by less than `least`: then no logarithm is taken.
pub fn gain((along, square): (f64, f64), mean: f64, sd: f64, least: f64) -> Option<Gain> {
    let variance = sd * sd;
    let spread = 1.0 + variance * square;
    let surplus = along - mean * square;
    let shift = mean * along - 0.5 * mean * mean * square;
    let most = shift + 0.5 * variance * surplus * surplus / spread;
    (most >= least).then(|| Gain {
        ln: most - 0.5 * spread.ln(),
        mean: mean + variance * surplus / spread,
        variance: variance / spread,
    })
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::base::numeric::loads::{Component, Loads};

    const NEVER: Wildness = Wildness { probabilities: Vec::new(), sd: 1.0 };

    /// Errors of its own for each, and one that two share.
    fn factored(own: [f64; 3], direction: &[f64], sd: f64) -> Factored {
        let one = |at: usize| {
            let common = vec![(0, [0.5, 0.0, -0.3][at]), (1, direction[at] * sd)];
            Component { own: own[at], place: at, common }
        };
        let loads = Loads::new((0..3).map(one).collect(), &vec![Vec::new(); 3], 0, 2).expect("errors");
        Factored::new(&Arc::new(loads), &[]).expect("positive definite")
    }

    /// Against the density written out with the summed covariance, with and without a wild component.
    #[test]
    fn rank_one_gains_equal_the_density_done_directly() {
        let residual = DVector::from_vec(vec![1.0, -0.5, 2.0]);
        let (own, d) = ([2.0, 1.0, 0.5], [1.0, 0.0, 1.0]);
        let wildness = Wildness { probabilities: vec![0.01, 0.02, 0.005], sd: 3.0 };
        let base = Gaussian::new(&residual, factored(own, &d, 0.0), &wildness);
        let along = DVector::from_row_slice(&d);
        let direction = base.direction(&along);
        for view in base.views() {
            let found = view.ln_density
                + gain(direction.products(view), 1.5, 0.7, f64::NEG_INFINITY).expect("any").ln;
            let mut direct = own;
            let mut prior = 0.965_f64;
            if let Some(k) = view.wild {
                direct[k] += 9.0;
                prior = wildness.probabilities[k];
            }
            let left = &residual - &along * 1.5;
            let direct = Gaussian::new(&left, factored(direct, &d, 0.7), &NEVER);
            let expected = direct.views()[0].ln_density + prior.ln();
            assert!((found - expected).abs() < 1e-12, "{:?}", view.wild);
        }
    }
}
