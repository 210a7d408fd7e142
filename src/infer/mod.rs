//! Who is to blame: a posterior over causes from the observations that the readings make, and ranked suspects with the
//! numbers of their why.
//! Leaves to others: the observations (`measure`), where the current goes (`balance`), what to read next (`plan`).
//!
//! # The model, in short
//! Every part (a load once for each feed that supplies it, an unfused item, what is unlisted at each node) draws its
//! asleep current, normal about the map's figure. A cause adds an excess along a pattern of parts; its size is a mixture
//! of normal parts that stands for a broad log-normal, less what would leave the settled total far below the limit: nobody
//! complains of that. Readings are sums over parts with the full covariance of their errors
//! (zero, gain, box temperature, make of fuse). At most one reading is bad; the total is so more often than others, for a module that slept late may have been awake.
//! What eye, ear, hand or a camera found weighs causes by likelihood ratios (`sign`). So does what a meter log shows of
//! each, where the draw comes and goes and what is read now tells nothing of it (`night`).
//! Causes: nothing; one part; a group held awake
//! by an input or by one of its own modules, as a whole, in part or one module alone, possibly with modules that the map puts elsewhere; two parts, or a group
//! and a part; cured by a pull, against a draw that ended by itself meanwhile; each with every reading sound or one of them
//! bad. The posterior is exact for this model: the readings' covariance as a factor model (own errors,
//! few shared factors, places), factored once, rank-one updates for the
//! rest. Causes that no reading so far tells apart are weighed once, alone and in pairs; a pair (in each of its ways: pattern,
//! bad reading) is passed over where a bound on its likelihood puts it below exp(−18) of the likeliest single cause. Only readings whose floor lies below the excess are proposed. All weights, spreads and shares are editorial and stand as constants with that word.
//!
//! The next reading is that with which the whole search is expected to be cheapest: each reading that can still be taken
//! is a row of what it would show (nothing, a part, all of the excess) under each explanation; every first reading is
//! followed to the end by three simple policies and the best counts (`plan/search`). Among them are a known load step
//! where a rough fuse may hide a second cause, the total again where a late sleeper would explain it, and, before anything
//! else, the reading that contradicts the rest. A wrong finding is priced at 60
//! minutes (editorial): the search ends when it is likely to save less than it takes. A held group has its inputs worked
//! first, for it hides what else draws; what is left after the release is looked for again.

pub mod assumptions;
mod away;
pub mod cause;
pub(crate) mod crossing;
pub(crate) mod cured;
pub mod night;
pub(crate) mod null_model;
pub mod hypothesis;
pub(crate) mod joint;
mod marginals;
pub mod leader;
pub mod matter;
pub mod pair;
pub(crate) mod pairs_ranked;
pub(crate) mod posterior;
pub(crate) mod rank;
pub mod sign;
pub mod wake_clock;
pub mod weight;

use std::cell::Cell;

use crate::base::numeric::density::ln_sum_exp;
use crate::base::quantity::Ampere;
use crate::circuit::loads::Catalogue;
use crate::measure::observation::{Observation, Panel};
use cause::Cause;
use hypothesis::hypotheses;
use matter::{Room, drawn_alone, fell_with};

pub use matter::Explanation;
use null_model::NullModel;
use pair::{Pair, pairs};
use posterior::{ScoredHypothesis, weigh};
use weight::{Background, Weights};

/// The causes as the readings weigh them, one or two at a time, with the ground they were weighed on.
#[derive(Debug, Clone)]
pub struct Inference {
    /// The readings without any excess.
    pub null: NullModel,
    /// Single causes, "nothing wrong" among them.
    pub weighed: Vec<ScoredHypothesis>,
    /// Two causes at once.
    pub pairs: Vec<Pair>,
    /// Of each hypothesis, the probability that it comes and goes and is away now; empty without a log that shows so.
    pub away: Vec<f64>,
    /// How much of "nothing wrong" is a fault that is away at the moment: nothing that is read now tells the two apart.
    pub not_now: f64,
    /// The total against the limit, where both are known.
    room: Option<Room>,
    /// What each single hypothesis draws too much, and its excess for each unit of amplitude.
    drawn: Vec<((f64, f64), f64)>,
    /// By how much the total fell when the group of a hypothesis was released, in ampere with its standard deviation; `None`
    /// for one that was not: what is measured needs no reckoning.
    fell: Vec<Option<(f64, f64)>>,
}

impl Inference {
    /// Returns how likely it is that nothing is wrong now.
    pub fn sound(&self) -> f64 {
        let sound = self.weighed.iter().filter(|one| one.hypothesis.cause == Cause::Nothing);
        sound.map(|one| one.probability).sum()
    }

    /// Makes probabilities that were weighed anew sum to one, and reckons again what each cause draws. `before` is what
    /// [`Inference::sound`] was before they were.
    pub fn rescale(&mut self, before: f64) {
        let singles: f64 = self.weighed.iter().map(|one| one.probability).sum();
        let total = singles + self.pairs.iter().map(|pair| pair.probability).sum::<f64>();
        if total > 0.0 {
            self.weighed.iter_mut().for_each(|one| one.probability /= total);
            self.pairs.iter_mut().for_each(|pair| pair.probability /= total);
        }
        let share = self.sound() / before.max(f64::MIN_POSITIVE);
        self.away.iter_mut().for_each(|one| *one *= share);
        self.drawn = self.weighed.iter().map(drawn_alone).collect();
    }

    /// Returns every explanation: single ones first, then pairs.
    pub fn explanations(&self) -> impl Iterator<Item = Explanation> {
        let fell = |index: usize| self.fell.get(index).copied().flatten();
        let single = move |(first, one): (usize, &ScoredHypothesis)| Explanation {
            first,
            second: None,
            probability: one.probability,
            drawn: self.drawn.get(first).map(|(drawn, _)| [fell(first).unwrap_or(*drawn), (0.0, 0.0)]),
        };
        let unit = move |index: usize| self.drawn.get(index).map_or(1.0, |(_, unit)| *unit);
        let double = move |pair: &Pair| Explanation {
            first: pair.first,
            second: Some(pair.second),
            probability: pair.probability,
            drawn: pair.amplitudes().map(|[(one, sd), (two, their)]| {
                let units = [unit(pair.first), unit(pair.second)];
                let reckoned = [(one * units[0], sd * units[0]), (two * units[1], their * units[1])];
                [fell(pair.first).unwrap_or(reckoned[0]), fell(pair.second).unwrap_or(reckoned[1])]
            }),
        };
        self.weighed.iter().enumerate().map(single).chain(self.pairs.iter().map(double))
    }

    /// Returns the causes of an explanation that matter against the limit, one at least.
    pub fn mattering(&self, explanation: &Explanation) -> impl Iterator<Item = usize> {
        let [first, second] = explanation.matters(self.room.as_ref());
        let first = first.then_some(explanation.first);
        first.into_iter().chain(explanation.second.filter(|_| second))
    }

    /// Returns true if the vehicle would stay over its limit although everything that matters in an explanation were
    /// mended.
    pub fn stays_over(&self, explanation: &Explanation) -> bool {
        let matters = explanation.matters(self.room.as_ref());
        let drawn =
            explanation.drawn.unwrap_or_default().into_iter().zip(matters).filter(|(_, counts)| *counts);
        let (mean, variance) =
            drawn.fold((0.0, 0.0), |(mean, variance), ((more, sd), _)| (mean + more, variance + sd * sd));
        self.room.as_ref().is_some_and(|room| room.stays_over((mean, variance.sqrt())))
    }

    /// Returns true if the total is over the limit.
    pub fn is_over(&self) -> bool {
        self.room.as_ref().is_some_and(Room::is_over)
    }

    /// Returns how much more than normal the vehicle may draw within its limit; `None` without a limit.
    pub fn spare(&self) -> Option<Ampere> {
        self.room.as_ref().map(Room::spare)
    }

    /// Returns true if the total is within the limit: whatever draws more than the map says, nothing of it matters.
    pub fn is_within(&self) -> bool {
        self.room.as_ref().is_some_and(Room::is_kept)
    }

    /// Returns the probability that what draws comes and goes, as a meter log showed, and is away now.
    pub fn at_times(&self) -> f64 {
        self.away.iter().sum()
    }

    /// Returns the cause of a single hypothesis.
    pub fn cause(&self, index: usize) -> Cause {
        self.weighed.get(index).map_or(Cause::Nothing, |one| one.hypothesis.cause)
    }
}

thread_local! {
    static TIMES_WEIGHED: Cell<usize> = const { Cell::new(0) };
}

/// Returns how often causes were weighed on this thread: a test holds it against the number of answers.
pub fn times_weighed() -> usize {
    TIMES_WEIGHED.get()
}

/// Weighs every cause in the light of the observations and of what is known before them. Returns `None` only if their
/// covariance is singular, which the last digit in every reading prevents.
pub fn infer(observations: &[Observation], panel: &Panel, background: &Background) -> Option<Inference> {
    TIMES_WEIGHED.set(TIMES_WEIGHED.get() + 1);
    let weights = Weights::new(&panel.map, Catalogue::builtin(), background);
    let null = NullModel::new(observations, panel);
    let room = Room::of(observations, background.limit, panel);
    let mut weighed = weigh(hypotheses(panel, &weights, observations), observations, &null)?;
    let mut pairs = pairs(&weighed, &null, panel);
    let singles = weighed.iter().map(|one| one.ln);
    let total = ln_sum_exp(singles.chain(pairs.iter().map(|pair| pair.ln)).collect::<Vec<_>>());
    for one in &mut weighed {
        one.probability = (one.ln - total).exp();
    }
    for pair in &mut pairs {
        pair.probability = (pair.ln - total).exp();
    }
    let mut not_now = weights.not_now;
    let mut away = away::shared(weighed.iter().map(|one| &one.hypothesis), background, panel);
    if !away.is_empty() {
        let sound = away::sound(&weighed);
        let (at_times, others) = away::weighed_with_log(sound, not_now);
        away.iter_mut().for_each(|share| *share *= at_times);
        let now = (at_times + others * sound * (1.0 - not_now)) / sound.max(f64::MIN_POSITIVE);
        not_now = at_times / (now * sound).max(f64::MIN_POSITIVE);
        for one in &mut weighed {
            one.probability *= if one.hypothesis.cause == Cause::Nothing { now } else { others };
        }
        pairs.iter_mut().for_each(|pair| pair.probability *= others);
    }
    let drawn = weighed.iter().map(drawn_alone).collect();
    let fell = weighed.iter().map(|one| fell_with(one.hypothesis.cause, observations, panel)).collect();
    Some(Inference { null, weighed, pairs, away, not_now, room, drawn, fell })
}
