//! Large logs end, and what makes them quick changes no answer: against covariances written out in full, on small ones.

use fusetrail::balance::repeat::without_repeated;
use fusetrail::balance::summed::account;
use fusetrail::base::numeric::density::ln_sum_exp;
use fusetrail::base::quantity::Unit;
use fusetrail::circuit::id::{IdVec, PartId};
use fusetrail::infer::cause::{Cause, HeldBy};
use fusetrail::infer::hypothesis::Pattern;
use fusetrail::infer::weight::Background;
use fusetrail::infer::{Inference, infer};
use fusetrail::measure::observation::{Observation, Panel, Scope};
use fusetrail::measure::observe::build_observations;
use nalgebra::{Cholesky, DMatrix, DVector};

#[path = "../bench/growth_world.rs"]
mod world;

use world::{Mood, World};

/// The readings written out: residual and covariance without any excess, and what a bad one adds.
struct Written<'a> {
    panel: &'a Panel,
    observations: &'a [Observation],
    residual: DVector<f64>,
    covariance: DMatrix<f64>,
}

impl<'a> Written<'a> {
    fn new(observations: &'a [Observation], panel: &'a Panel) -> Self {
        let (n, parts) = (observations.len(), &panel.parts);
        let rows: Vec<IdVec<PartId, f64>> =
            observations.iter().map(|one| panel.row(one.scope, &one.interrupted)).collect();
        let counts = DMatrix::from_fn(n, parts.len(), |row, column| rows[row][column]);
        let expected = DVector::from_iterator(parts.len(), parts.iter().map(|part| part.asleep.base()));
        let variances = parts.iter().map(|part| part.asleep_sd.base().powi(2));
        let variances = DMatrix::from_diagonal(&DVector::from_iterator(parts.len(), variances));
        let errors = DMatrix::from_fn(n, n, |i, j| match i == j {
            true => observations[i].current.u().base().powi(2),
            false => observations[i].current.covariance(&observations[j].current),
        });
        let normal = &counts * &expected;
        let read = DVector::from_iterator(
            n,
            observations.iter().map(|observation| observation.current.value().base()),
        );
        let covariance =
            &counts * variances * counts.transpose() + &normal * normal.transpose() * 0.04 + errors;
        Self { panel, observations, residual: read - normal, covariance }
    }

    fn along(&self, excess: &[(PartId, f64)]) -> DVector<f64> {
        let one = |observation: &Observation| {
            let row = self.panel.row(observation.scope, &observation.interrupted);
            excess.iter().map(|(part, size)| size * row.get(*part).expect("a part")).sum()
        };
        DVector::from_iterator(self.observations.len(), self.observations.iter().map(one))
    }

    /// Logarithm of the density over all assumptions about a bad reading, with normal excesses: direction, mean, standard deviation.
    fn density(&self, excesses: &[(DVector<f64>, f64, f64)]) -> f64 {
        let largest =
            self.observations.iter().map(|one| one.current.value().base().abs()).fold(0.0, f64::max);
        let bad = (0.5 * largest).max(0.03);
        let odds = |observation: &Observation| if observation.scope == Scope::Total { 0.02 } else { 0.004 };
        let none: f64 = 1.0 - self.observations.iter().map(odds).sum::<f64>();
        let (mut residual, mut covariance) = (self.residual.clone(), self.covariance.clone());
        for (d, mean, sd) in excesses {
            residual -= d * *mean;
            covariance += d * d.transpose() * (sd * sd);
        }
        let views = std::iter::once((None, none.max(0.5))).chain(
            self.observations.iter().enumerate().map(|(at, observation)| (Some(at), odds(observation))),
        );
        let each = views.map(|(wild, odds)| {
            let mut covariance = covariance.clone();
            wild.into_iter().for_each(|at| covariance[(at, at)] += bad * bad);
            let factor = Cholesky::new(covariance).expect("positive definite");
            let root = factor.l().diagonal().iter().map(|d| d.ln()).sum::<f64>();
            odds.ln() - 0.5 * residual.dot(&factor.solve(&residual)) - root
        });
        ln_sum_exp(each.collect::<Vec<f64>>())
    }

    /// Logarithm of the density of one pattern, over its sizes, with the spread of its parts.
    fn of_pattern(&self, pattern: &Pattern) -> f64 {
        let d = self.along(&pattern.excess);
        let one = |size: &fusetrail::base::numeric::mixture::MixturePart| {
            let modules = pattern.excess.iter().map(|(part, excess)| (*part, pattern.spread * excess));
            let apart = modules.chain(pattern.stray.iter().copied()).filter(|(_, sd)| *sd > 0.0);
            let apart = apart.map(|(part, sd)| (self.along(&[(part, 1.0)]), 0.0, sd * size.mean));
            let all: Vec<_> = std::iter::once((d.clone(), size.mean, size.sd)).chain(apart).collect();
            size.weight.ln() + self.density(&all)
        };
        pattern.share.ln() + ln_sum_exp(pattern.sizes.iter().map(one).collect::<Vec<f64>>())
    }
}

fn observations(world: &World) -> Vec<Observation> {
    build_observations(&world.readings, &world.panel, world.table).observations
}

fn inferred(world: &World, observations: &[Observation]) -> Inference {
    infer(observations, &world.panel, &Background::default()).expect("a covariance")
}

#[test]
fn causes_weigh_as_with_the_covariance_written_out() {
    let mut compared = 0;
    for dice in 1..7 {
        let world = World::drawn(11, 9 + dice as usize, [Mood::Steady, Mood::Wild][dice as usize % 2], dice);
        let observations = observations(&world);
        let inference = inferred(&world, &observations);
        let written = Written::new(&observations, &world.panel);
        let nothing = &inference.weighed[0];
        let base = nothing.ln - nothing.hypothesis.prior.ln() - written.density(&[]);
        for one in &inference.weighed[1..] {
            // A module that loses its current releases its group, which is no sum of parts.
            if matches!(one.hypothesis.cause, Cause::Held(_, HeldBy::Module(..))) {
                continue;
            }
            let patterns = one.hypothesis.patterns.iter().map(|pattern| written.of_pattern(pattern));
            let expected =
                ln_sum_exp(patterns.collect::<Vec<f64>>()) + (0.85 * one.hypothesis.prior).ln() + base;
            assert!(
                (one.ln - expected).abs() < 1e-8,
                "{dice} {:?}: {} {expected}",
                one.hypothesis.cause,
                one.ln
            );
            compared += 1;
        }
    }
    assert!(compared > 60, "{compared}");
}

/// Sizes and ways of a pair below exp(−18) of the likeliest cause are left out, as its module says.
#[test]
fn pairs_weigh_as_with_the_covariance_written_out() {
    let mut compared = 0;
    for dice in 11..14 {
        let world = World::drawn(9, 8, Mood::Steady, dice);
        let observations = observations(&world);
        let inference = inferred(&world, &observations);
        let written = Written::new(&observations, &world.panel);
        let nothing = &inference.weighed[0];
        let base = nothing.ln - nothing.hypothesis.prior.ln() - written.density(&[]);
        let something: f64 = inference.weighed[1..].iter().map(|one| one.hypothesis.prior).sum();
        let parts = |at: usize| matches!(inference.cause(at), Cause::Part(..));
        let mut pairs: Vec<_> =
            inference.pairs.iter().filter(|pair| parts(pair.first) && parts(pair.second)).collect();
        pairs.sort_by(|a, b| b.ln.total_cmp(&a.ln));
        for pair in pairs.iter().take(12) {
            let [one, two] = [pair.first, pair.second].map(|at| &inference.weighed[at].hypothesis);
            let mut terms = Vec::new();
            for (a, b) in one.patterns.iter().flat_map(|a| two.patterns.iter().map(move |b| (a, b))) {
                let (d1, d2) = (written.along(&a.excess), written.along(&b.excess));
                for (s1, s2) in a.rough.iter().flat_map(|s1| b.rough.iter().map(move |s2| (s1, s2))) {
                    let excesses = [(d1.clone(), s1.mean, s1.sd), (d2.clone(), s2.mean, s2.sd)];
                    let weight = a.share * b.share * s1.weight * s2.weight;
                    terms.push(weight.ln() + written.density(&excesses));
                }
            }
            let expected = (0.3 * one.prior * two.prior / something).ln() + ln_sum_exp(terms) + base;
            assert!((pair.ln - expected).abs() < 1e-3, "{dice}: {} {expected}", pair.ln);
            compared += 1;
        }
    }
    assert!(compared > 24, "{compared}");
}

/// One reading after the other set aside, the account of what is left made anew each time.
#[test]
fn readings_set_aside_one_by_one_leave_the_account_that_is_made_anew() {
    let mut aside = 0;
    for dice in 1..9 {
        let world = World::drawn(12, 40, Mood::Wild, dice);
        let mut observed = build_observations(&world.readings, &world.panel, world.table);
        let mut left = observed.observations.clone();
        let found = without_repeated(&mut observed, &world.panel).expect("an account");
        let anew = loop {
            let account = account(&left, &world.panel).expect("an account");
            let named = account.conflicts.first().map(|one| (one.entries[0], one.scope));
            let wrong =
                left.iter().position(|observation| Some((observation.entry, observation.scope)) == named);
            let answered = wrong.filter(|at| {
                let wrong = &left[*at];
                matches!(wrong.scope, Scope::Through(_) | Scope::Unfused(_))
                    && left.iter().any(|other| {
                        let apart = other.current.minus(&wrong.current);
                        other.entry != wrong.entry
                            && other.scope == wrong.scope
                            && other.interrupted == wrong.interrupted
                            && apart.value().abs() > apart.u() * 3.29
                    })
            });
            let Some(wrong) = answered else { break account };
            left.remove(wrong);
            aside += 1;
        };
        assert_eq!(observed.observations, left, "{dice}");
        for (one, other) in found.feeds.iter().zip(&anew.feeds) {
            let apart = [(one.current.value(), other.current.value()), (one.current.u(), other.current.u())];
            assert!(apart.iter().all(|(a, b)| (*a - *b).base().abs() < 1e-9), "{dice}: {one:?} {other:?}");
        }
        let entries = |account: &fusetrail::balance::Balance| {
            account.conflicts.iter().map(|one| one.entries.clone()).collect::<Vec<_>>()
        };
        assert_eq!(entries(&found), entries(&anew));
    }
    assert!(aside > 10, "{aside}");
}

/// It would take hours if anything were reckoned with the third power of the readings.
#[test]
fn logs_of_two_thousand_readings_end() {
    for mood in [Mood::Steady, Mood::Wild] {
        let analysis = World::new(35, 2000, mood).analyse();
        assert!(analysis.account.is_some() && analysis.inference().is_some());
        let certain: f64 = analysis.ranking().suspects.iter().map(|one| one.probability).fold(0.0, f64::max);
        assert!(certain > 0.0 && certain < 1.0 + 1e-9, "{certain}");
    }
}
