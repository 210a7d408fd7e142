//! The search as a table: what each reading would show under each explanation that is still likely. Rough on purpose
//! (three outcomes, errors taken as independent): it only orders readings; what each is worth is reckoned exactly.
//! Leaves to others: the search itself (`search`), the exact worth (`worth`).

use super::{Act, SearchProblem, SearchState};
use crate::base::numeric::density::normal_below;
use crate::base::quantity::{Ampere, Minute, Unit};
use crate::circuit::id::BoxId;
use crate::infer::Inference;
use crate::infer::assumptions::{SHOWS_ALL, SHOWS_SOMETHING, SURE_CHANCE};
use crate::infer::hypothesis::PatternRow;
use crate::measure::observation::Panel;
use crate::plan::candidate::Candidate;

/// Explanations below this probability are left out.
const TOO_UNLIKELY: f64 = 1e-4;
/// So many explanations at most, the likeliest.
const MOST: usize = 200;

/// An explanation with the parts of it that a reading would see alike.
struct TableItem {
    class: usize,
    weight: f64,
    /// Hypothesis, pattern, mean and variance of the amplitude, for each cause.
    causes: Vec<(usize, usize, f64, f64)>,
}

/// Makes the table. `classes` numbers the explanations as [`Inference::explanations`] gives them; `excess` is what
/// the total is above normal.
pub fn table(
    candidates: &[Candidate],
    inference: &Inference,
    classes: &[usize],
    excess: Ampere,
    panel: &Panel,
    (decided, wrong): (f64, Minute),
) -> (SearchProblem, Vec<f64>) {
    let mut items = items(inference, classes);
    items.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    items.truncate(MOST);
    let act = |candidate: &Candidate| {
        let row = PatternRow::new(candidate.outlook.scope, &candidate.outlook.interrupted, panel);
        let spread =
            row.normal_variance(&inference.null.variances) + candidate.outlook.errors.u().base().powi(2);
        let chances = Chances { spread, relative: candidate.outlook.relative, excess: excess.base() };
        let shows = |(index, item): (usize, &TableItem)| Some((index, chances.of(item, &row, inference)?));
        Act {
            minutes: candidate.minutes.base(),
            place: candidate.place.map(usize::from),
            shows: items.iter().enumerate().filter_map(shows).collect(),
        }
    };
    let acts = candidates.iter().map(act).collect();
    let reach = panel.map.boxes.iter().map(|found| found.reach.base()).collect();
    let weights = items.iter().map(|item| item.weight).collect();
    let classes = items.iter().map(|item| item.class).collect();
    (SearchProblem::new(classes, acts, reach, decided, wrong.base()), weights)
}

/// Returns the state in which such a search begins.
pub fn start(problem: &SearchProblem, weights: Vec<f64>, here: Option<BoxId>) -> SearchState {
    SearchState { weights, here: here.map(usize::from), taken: vec![false; problem.acts.len()] }
}

fn items(inference: &Inference, classes: &[usize]) -> Vec<TableItem> {
    let class = |at: usize| classes.get(at).copied().unwrap_or(at);
    let mut items: Vec<TableItem> = Vec::new();
    let mut add = |class: usize, weight: f64, causes: Vec<(usize, usize, f64, f64)>| {
        if weight > TOO_UNLIKELY {
            items.push(TableItem { class, weight, causes });
        }
    };
    for (index, one) in inference.weighed.iter().enumerate().filter(|(_, one)| one.probability > TOO_UNLIKELY)
    {
        let patterns = one.hypothesis.patterns.len().max(1);
        for pattern in 0..patterns {
            let sizes = one.sizes.iter().filter(|(_, size)| size.pattern == pattern);
            let (weight, mean, variance) =
                pooled(sizes.map(|(weight, size)| (*weight, size.mean, size.variance)));
            let causes = if one.hypothesis.patterns.is_empty() {
                Vec::new()
            } else {
                vec![(index, pattern, mean, variance)]
            };
            add(class(index), one.probability * weight, causes);
        }
    }
    let singles = inference.weighed.len();
    for (index, pair) in
        inference.pairs.iter().enumerate().filter(|(_, pair)| pair.probability > TOO_UNLIKELY)
    {
        let mut patterns: Vec<[usize; 2]> = pair.sizes().iter().map(|(_, size)| size.patterns).collect();
        patterns.sort_unstable();
        patterns.dedup();
        for pattern in patterns {
            let of = |which: usize| {
                let sizes = pair.sizes().iter().filter(|(_, size)| size.patterns == pattern);
                pooled(sizes.map(|(weight, size)| match which {
                    0 => (*weight, size.amplitudes.mean[0], size.amplitudes.covariance[0]),
                    _ => (*weight, size.amplitudes.mean[1], size.amplitudes.covariance[1]),
                }))
            };
            let ((weight, mean1, variance1), (_, mean2, variance2)) = (of(0), of(1));
            let causes =
                vec![(pair.first, pattern[0], mean1, variance1), (pair.second, pattern[1], mean2, variance2)];
            add(class(singles + index), pair.probability * weight, causes);
        }
    }
    items
}

/// Weight, mean and variance of a mixture.
fn pooled(sizes: impl Iterator<Item = (f64, f64, f64)> + Clone) -> (f64, f64, f64) {
    let weight: f64 = sizes.clone().map(|(weight, ..)| weight).sum();
    let each = weight.max(f64::MIN_POSITIVE);
    let mean = sizes.clone().map(|(weight, mean, _)| weight * mean).sum::<f64>() / each;
    let variance =
        sizes.map(|(weight, one, variance)| weight * (variance + (one - mean).powi(2))).sum::<f64>();
    (weight, mean, variance / each)
}

/// What a reading may show.
struct Chances {
    /// Variance of the reading where nothing is wrong, in ampere squared.
    spread: f64,
    relative: f64,
    excess: f64,
}

impl Chances {
    /// Returns the chance of each outcome under an explanation; `None` if it shows nothing for sure.
    fn of(
        &self,
        item: &TableItem,
        row: &PatternRow,
        inference: &Inference,
    ) -> Option<[f64; super::OUTCOMES]> {
        let (mut mean, mut variance) = (0.0, self.spread);
        for (index, pattern, amplitude, spread) in &item.causes {
            let hypothesis = &inference.weighed.get(*index)?.hypothesis;
            let pattern = hypothesis.patterns.get(*pattern)?;
            let slope = row.signal(hypothesis.cause, &pattern.excess);
            mean += slope * amplitude;
            variance += slope * slope * spread;
            let modules = pattern.excess.iter().map(|(part, size)| (*part, size * pattern.spread));
            for (part, per_unit) in modules.chain(pattern.stray.iter().copied()) {
                let departs = row.signal(hypothesis.cause, &[(part, 1.0)]) * per_unit * amplitude;
                variance += departs * departs;
            }
        }
        let sd = (variance + (self.relative * mean).powi(2)).sqrt();
        let something = SHOWS_SOMETHING * self.spread.sqrt();
        let short = SHOWS_ALL * (self.spread.sqrt() + self.relative * self.excess);
        let all = (self.excess - short).max(something * 1.5);
        let below = |limit: f64| match normal_below((limit - mean) / sd) {
            chance if chance < SURE_CHANCE => 0.0,
            chance if chance > 1.0 - SURE_CHANCE => 1.0,
            chance => chance,
        };
        let (nothing, not_all) = (below(something), below(all));
        (nothing < 1.0).then_some([nothing, not_all - nothing, 1.0 - not_all])
    }
}
