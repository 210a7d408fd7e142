//! Two causes at once: any two parts, or a held group and a part, with every reading sound or one of them bad. All pairs
//! are weighed; a pair is passed over only if no sizes of its two excesses could make it likely (the likelihood at its
//! best fit bounds it from above). Causes that no reading tells apart are weighed once, and what only depends on what two
//! add to the readings is reckoned once for all that add the same.
//! Leaves to others: single causes (`posterior`), the arithmetic of two amplitudes (`joint`, `crossing`).

use std::collections::{BTreeMap, HashMap};
use std::sync::Arc;

use super::assumptions::SECOND_CAUSE;
use super::cause::Cause;
use super::crossing::{Crossing, Most, crossings};
use super::hypothesis::signals;
use super::joint::{Amplitudes, Joint};
use super::null_model::NullModel;
use super::posterior::ScoredHypothesis;
use super::sign::shared;
use crate::base::numeric::density::ln_sum_exp;
use crate::base::numeric::mixture::{MixturePart as Size, peak_below};
use crate::measure::observation::Panel;
use crate::measure::together::group_of;

/// Pairs, and single ways and sizes of a pair, below this share of the likeliest single cause, in logarithms, are left
/// out. exp(−18) is 1.5e-8; a hundred thousand of that size together are less than two in a thousand.
const OUT_OF_SIGHT: f64 = 18.0;
/// What is just within sight must not be hidden by rounding.
const ROUNDING: f64 = 1e-6;
/// Sizes that weigh less than this share of their pair are left out of forecasts.
const NEGLIGIBLE: f64 = 1e-3;
/// Sizes are kept only for pairs within this of the likeliest explanation, in logarithms: others are too unlikely to
/// be forecast. exp(−9) is 1.2e-4.
const FORECAST_WITHIN: f64 = 9.0;

/// Two causes with the weight that the readings give them together.
#[derive(Debug, Clone)]
pub struct Pair {
    /// Index of the first cause among the single hypotheses; a held group always comes first.
    pub first: usize,
    /// Index of the second.
    pub second: usize,
    /// Logarithm of prior and likelihood together.
    pub ln: f64,
    /// Probability given the readings.
    pub probability: f64,
    /// What is known of its sizes; nothing if it is too unlikely to be forecast.
    sized: Option<Arc<Sizes>>,
}

/// The sizes of two causes.
#[derive(Debug, Clone)]
struct Sizes {
    /// Sizes with their weights relative to each other.
    weighted: Vec<(f64, PairSize)>,
    /// Mean and standard deviation of both amplitudes over all sizes, if there are any.
    amplitudes: Option<[(f64, f64); 2]>,
}

impl Pair {
    /// Returns its sizes with their weights relative to each other; none if it is too unlikely to be forecast.
    pub fn sizes(&self) -> &[(f64, PairSize)] {
        self.sized.as_ref().map_or(&[], |sized| &sized.weighted)
    }

    /// Weighs its sizes anew: for each the logarithm of a further likelihood, and its amplitudes' means and covariance with
    /// it; a size of which nothing is told stays as it is.
    pub fn reweigh(&mut self, mut with: impl FnMut(&PairSize) -> Option<(f64, [f64; 2], [f64; 3])>) {
        let Some(sized) = &self.sized else { return };
        let mut weighted = sized.weighted.clone();
        for (weight, size) in &mut weighted {
            if let Some((ln, mean, covariance)) = with(size) {
                *weight *= ln.exp();
                (size.amplitudes.mean, size.amplitudes.covariance) = (mean, covariance);
            }
        }
        let sum: f64 = weighted.iter().map(|(weight, _)| weight).sum();
        if sum > 0.0 {
            weighted.iter_mut().for_each(|(weight, _)| *weight /= sum);
            self.ln += sum.ln();
            self.probability *= sum;
            let amplitudes = Some([0, 1].map(|which| moments(&weighted, which)));
            self.sized = Some(Arc::new(Sizes { weighted, amplitudes }));
        }
    }

    /// Returns mean and standard deviation of both amplitudes over all sizes, if there are any.
    pub fn amplitudes(&self) -> Option<[(f64, f64); 2]> {
        self.sized.as_ref()?.amplitudes
    }
}

/// Two sizes, weighed.
#[derive(Debug, Clone, Copy)]
pub struct PairSize {
    /// Pattern of each cause.
    pub patterns: [usize; 2],
    /// Frame of the first cause in which the covariance stands.
    pub frame: usize,
    /// What is assumed about a bad reading: which of the views of that frame.
    pub view: usize,
    /// Σ⁻¹d of the second cause at the bad reading, in that frame.
    pub second_at_wild: f64,
    /// Amplitudes given the readings.
    pub amplitudes: Amplitudes,
}

/// Returns the pairs that are within sight of the likeliest single explanation.
pub fn pairs(weighed: &[ScoredHypothesis], null: &NullModel, panel: &Panel) -> Vec<Pair> {
    let best = weighed.iter().map(|one| one.ln).fold(f64::NEG_INFINITY, f64::max);
    let something: f64 =
        weighed.iter().filter(|one| one.hypothesis.cause != Cause::Nothing).map(|o| o.hypothesis.prior).sum();
    let ln_both = (2.0 * SECOND_CAUSE / something).ln();
    let ln_prior = |first: &ScoredHypothesis, second: &ScoredHypothesis| {
        let (first, second) = (&first.hypothesis, &second.hypothesis);
        ln_both + first.ln_weight() + second.ln_weight() - shared(&first.signs, &second.signs)
    };
    let kinds = kinds(weighed);
    let (groups, lines) = lines(&kinds, null);
    let mut found = Vec::new();
    let mut add =
        |first: &EquivalenceClass, second: &EquivalenceClass, crossings: &[Crossing]| -> Option<()> {
            let (one, two) = (first.likeliest()?, second.likeliest()?);
            let together = Together::weighed(one, two, crossings, best - ln_prior(one, two))?;
            for [(i, one), (j, two)] in first.pairs_with(second).filter(|[a, b]| !holds(a.1, b.1, panel)) {
                let ln = together.ln + ln_prior(one, two);
                if ln >= best - OUT_OF_SIGHT {
                    let sized = (ln > best - FORECAST_WITHIN).then(|| Arc::clone(&together.sized));
                    found.push(Pair { first: i, second: j, ln, probability: 0.0, sized });
                }
            }
            Some(())
        };
    let most: [Vec<Vec<Most>>; 2] = [&groups, &lines].map(|rows| rows.iter().map(most_of).collect());
    for (at, (seconds, their_most)) in lines.iter().zip(&most[1]).enumerate() {
        let before = groups.iter().zip(&most[0]).chain(lines.iter().zip(&most[1]).take(at + 1));
        for (firsts, own_most) in before {
            let [Some(one), Some(two)] = [firsts, seconds].map(|row| row.first()?.likeliest()) else {
                continue;
            };
            let [Some(first), Some(second)] = [firsts, seconds].map(likeliest_of) else { continue };
            let least = best - OUT_OF_SIGHT - ln_prior(first, second) - ROUNDING;
            let crossings = crossings([one, two], [own_most, their_most], null, least);
            if crossings.is_empty() {
                continue;
            }
            let same = std::ptr::eq(firsts, seconds);
            for (rank, second) in seconds.iter().enumerate() {
                for first in firsts.iter().take(if same { rank + 1 } else { usize::MAX }) {
                    add(first, second, &crossings);
                }
            }
        }
    }
    // In the order of the causes, whatever adds the same as what: ties are settled by it.
    let kind = |at: usize| weighed.get(at).map_or(0, |one| one.kind);
    let is_group = |pair: &Pair| {
        matches!(weighed.get(pair.first).map(|one| one.hypothesis.cause), Some(Cause::Held(..)))
    };
    found.sort_by_key(|pair| {
        let (first, second) = (kind(pair.first), kind(pair.second));
        if is_group(pair) { (second, false, first) } else { (first.max(second), true, first.min(second)) }
    });
    found
}

/// A module of a held group is no second cause beside it.
fn holds(first: &ScoredHypothesis, second: &ScoredHypothesis, panel: &Panel) -> bool {
    match (first.hypothesis.cause, second.hypothesis.cause) {
        (Cause::Held(group, _), Cause::Part(_, kind)) => group_of(kind, panel) == Some(group),
        _ => false,
    }
}

/// Causes that differ in nothing but their probability beforehand, as far as the readings go, with their indices among
/// the single ones; the likeliest beforehand comes first.
struct EquivalenceClass<'a>(Vec<(usize, &'a ScoredHypothesis)>);

/// Kinds of causes that add the same to the readings.
type ClassRow<'a, 'b> = Vec<&'b EquivalenceClass<'a>>;

/// The cause that is likeliest beforehand of all that add the same to the readings.
fn likeliest_of<'a>(row: &ClassRow<'a, '_>) -> Option<&'a ScoredHypothesis> {
    let each = row.iter().filter_map(|kind| kind.likeliest());
    each.max_by(|a, b| a.hypothesis.ln_weight().total_cmp(&b.hypothesis.ln_weight()))
}

/// What causes that add the same to the readings have at most, by pattern.
fn most_of(row: &ClassRow) -> Vec<Most> {
    let each = || row.iter().filter_map(|kind| kind.likeliest()).map(|one| &one.hypothesis.patterns);
    let of = |at: usize| each().filter_map(move |patterns| patterns.get(at));
    let count = each().map(Vec::len).max().unwrap_or(0);
    let largest = |at: usize| Most {
        share: of(at).map(|pattern| pattern.share).fold(0.0, f64::max),
        peak: of(at).map(|pattern| peak_below(&pattern.rough)).fold(0.0, f64::max),
    };
    (0..count).map(largest).collect()
}

/// Sorts the single causes into kinds.
fn kinds(weighed: &[ScoredHypothesis]) -> Vec<EquivalenceClass<'_>> {
    let mut sorted: BTreeMap<usize, Vec<(usize, &ScoredHypothesis)>> = BTreeMap::new();
    let something = weighed.iter().enumerate().filter(|(_, one)| one.hypothesis.cause != Cause::Nothing);
    for (index, one) in something {
        sorted.entry(one.kind).or_default().push((index, one));
    }
    let mut kinds: Vec<EquivalenceClass> = sorted.into_values().map(EquivalenceClass).collect();
    for kind in &mut kinds {
        kind.0.sort_by(|a, b| b.1.hypothesis.ln_weight().total_cmp(&a.1.hypothesis.ln_weight()));
    }
    kinds
}

/// Sorts kinds by what they add to the readings, in the order in which they first come: held groups, each alone, and
/// parts.
fn lines<'a, 'b>(
    kinds: &'b [EquivalenceClass<'a>],
    null: &NullModel,
) -> (Vec<ClassRow<'a, 'b>>, Vec<ClassRow<'a, 'b>>) {
    let (mut groups, mut lines): (Vec<ClassRow>, Vec<ClassRow>) = (Vec::new(), Vec::new());
    let mut known: HashMap<Vec<Vec<u64>>, usize> = HashMap::new();
    for kind in kinds {
        let Some(one) = kind.likeliest() else { continue };
        if kind.is_group() {
            groups.push(vec![kind]);
            continue;
        }
        let patterns = one.hypothesis.patterns.iter();
        let adds = patterns.map(|pattern| signals(one.hypothesis.cause, &pattern.excess, &null.rows));
        let adds = adds.map(|signals| signals.into_iter().map(f64::to_bits).collect()).collect();
        let line = *known.entry(adds).or_insert(lines.len());
        match lines.get_mut(line) {
            Some(found) => found.push(kind),
            None => lines.push(vec![kind]),
        }
    }
    (groups, lines)
}

impl<'a> EquivalenceClass<'a> {
    /// The cause that stands for all of them: the likeliest beforehand.
    fn likeliest(&self) -> Option<&'a ScoredHypothesis> {
        self.0.first().map(|(_, one)| *one)
    }

    fn is_group(&self) -> bool {
        self.likeliest().is_some_and(|one| matches!(one.hypothesis.cause, Cause::Held(..)))
    }

    /// Returns the pairs of a cause of this kind and one of the other; of the same kind, each two once.
    fn pairs_with(
        &self,
        other: &EquivalenceClass<'a>,
    ) -> impl Iterator<Item = [(usize, &'a ScoredHypothesis); 2]> {
        let same = std::ptr::eq(self, other);
        self.0.iter().enumerate().flat_map(move |(at, one)| {
            let others = other.0.iter().skip(if same { at + 1 } else { 0 });
            others.map(|two| [*one, *two])
        })
    }
}

/// Two kinds weighed together, without the probability of either beforehand.
struct Together {
    ln: f64,
    sized: Arc<Sizes>,
}

/// One way in which two causes may work out: pattern of each, frame, which reading is bad.
struct PairVariant<'a> {
    joint: Joint,
    /// Largest gain that any two amplitudes could have.
    bound: f64,
    /// Largest logarithm of the weight that they could have, and the least that is within sight.
    most: f64,
    least: f64,
    view: usize,
    second_at_wild: f64,
    frame: usize,
    patterns: [usize; 2],
    sizes: [&'a [Size]; 2],
}

impl Together {
    /// Weighs two kinds. Returns `None` where no way gets within sight of `best`, the logarithm to be compared with.
    fn weighed(
        first: &ScoredHypothesis,
        second: &ScoredHypothesis,
        crossings: &[Crossing],
        best: f64,
    ) -> Option<Self> {
        let ways = ways(first, second, crossings, best - OUT_OF_SIGHT);
        let each = ways.iter().map(|way| way.most + way.sized().map(|(one, _)| one).sum::<f64>().ln());
        let ln = ln_sum_exp(each.collect::<Vec<_>>());
        if ways.is_empty() || ln < best - OUT_OF_SIGHT {
            return None;
        }
        let mut sizes = Vec::new();
        if ln > best - FORECAST_WITHIN {
            for way in &ways {
                let scale = (way.most - ln).exp();
                let relative = way.sized().map(|(one, size)| (scale * one, size));
                sizes.extend(relative.filter(|(weight, _)| *weight > NEGLIGIBLE));
            }
            let sum: f64 = sizes.iter().map(|(weight, _)| weight).sum();
            sizes.iter_mut().for_each(|(weight, _)| *weight /= sum);
        }
        let amplitudes = (!sizes.is_empty()).then(|| [0, 1].map(|which| moments(&sizes, which)));
        Some(Self { ln, sized: Arc::new(Sizes { weighted: sizes, amplitudes }) })
    }
}

/// Mean and standard deviation of the first or second amplitude over all sizes.
fn moments(sizes: &[(f64, PairSize)], which: usize) -> (f64, f64) {
    let of = |size: &PairSize| match which {
        0 => (size.amplitudes.mean[0], size.amplitudes.covariance[0]),
        _ => (size.amplitudes.mean[1], size.amplitudes.covariance[1]),
    };
    let mean: f64 = sizes.iter().map(|(weight, size)| weight * of(size).0).sum();
    let square = sizes.iter().map(|(weight, size)| weight * (of(size).1 + (of(size).0 - mean).powi(2)));
    (mean, square.sum::<f64>().sqrt())
}

/// Returns the ways in which two causes may work out together, as far as they could be likely.
fn ways<'a>(
    first: &'a ScoredHypothesis,
    second: &'a ScoredHypothesis,
    crossings: &[Crossing],
    least: f64,
) -> Vec<PairVariant<'a>> {
    let mut found = Vec::new();
    for crossing in crossings {
        let Some(frame) = first.frames.get(crossing.frame) else { continue };
        let (Some(pattern), Some(their)) =
            (first.hypothesis.patterns.get(frame.pattern), second.hypothesis.patterns.get(crossing.pattern))
        else {
            continue;
        };
        let shares = (pattern.share * their.share).ln();
        if shares + crossing.top < least {
            continue;
        }
        // A frame with a spread of its own stands for one size only.
        let own_sizes = frame.size.as_ref().map_or(pattern.rough.as_slice(), std::slice::from_ref);
        let (own_peak, their_peak) = (peak_below(own_sizes), peak_below(&their.rough));
        for under in &crossing.views {
            let most = shares + under.most;
            if most >= least && most + under.joint.share([own_peak, their_peak]).ln() >= least {
                found.push(PairVariant {
                    joint: under.joint,
                    bound: under.bound,
                    most,
                    least,
                    view: under.view,
                    second_at_wild: under.second_at_wild,
                    frame: crossing.frame,
                    patterns: [frame.pattern, crossing.pattern],
                    sizes: [own_sizes, their.rough.as_slice()],
                });
            }
        }
    }
    found
}

impl PairVariant<'_> {
    /// Returns every two sizes that are within sight with their weight, relative to the largest that they could have
    /// together.
    fn sized(&self) -> impl Iterator<Item = (f64, PairSize)> {
        let [firsts, seconds] = self.sizes;
        firsts.iter().flat_map(move |one| {
            seconds.iter().filter_map(move |two| {
                let amplitudes = self.joint.sized(*one, *two, self.bound, self.least - self.most)?;
                let weight = one.weight * two.weight * amplitudes.factor;
                let size = PairSize {
                    patterns: self.patterns,
                    frame: self.frame,
                    view: self.view,
                    second_at_wild: self.second_at_wild,
                    amplitudes,
                };
                Some((weight, size))
            })
        })
    }
}
