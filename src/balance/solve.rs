//! Solves the account's equations and sums them up by feed.
//! Leaves to others: the equations (`rows`), contradictions (`conflict`).

use std::collections::HashMap;

use super::conflict::{Conflict, conflicts};
use super::rows::{Rows, Unknown, rows, used};
use super::{Balance, FeedLine};
use crate::base::numeric::bounded::{BoundedProblem, Solution};
use crate::base::numeric::factors::Factored;
use crate::base::quantity::{Ampere, Uncertain};
use crate::circuit::tree::BranchKind;
use crate::measure::observation::{Observation, Panel, Scope};

/// A solved set of equations.
#[derive(Debug, Clone)]
pub struct Solved<'a> {
    /// The equations.
    pub rows: &'a Rows,
    /// Currents of the unknowns, in ampere, and what goes with them.
    pub solution: Solution,
    /// Variances of the expected values, in ampere squared.
    pub variances: Vec<f64>,
}

/// Sums of unknowns, with their uncertainty without the bounds, so that a current held at zero keeps an honest width.
struct Sums<'a> {
    solved: &'a Solved<'a>,
    /// Covariance of the readings with every unknown in it.
    covariance: Factored,
    /// Sums of the variances of the unknowns that count alike.
    together: Vec<f64>,
}

impl Sums<'_> {
    /// Returns the sum of the chosen unknowns. Those that count alike are only known together: each has a share in their
    /// sum that goes by its variance, and varies about it on its own.
    fn of(&self, chosen: impl Fn(&Unknown) -> bool) -> Uncertain<Ampere> {
        let Solved { rows, solution, variances } = self.solved;
        let mut value = 0.0;
        let mut alone = 0.0;
        let mut shares = vec![0.0; self.together.len()];
        let each = rows.unknowns.iter().zip(&solution.x).zip(variances.iter().zip(&rows.alike.of));
        for ((_, x), (variance, of)) in each.filter(|((unknown, _), _)| chosen(unknown)) {
            value += x;
            match of.and_then(|at| shares.get_mut(at)) {
                Some(share) => *share += variance,
                // No reading counts it.
                None => alone += variance,
            }
        }
        for (share, together) in shares.iter_mut().zip(&self.together).filter(|(share, _)| **share > 0.0) {
            alone += *share * (1.0 - *share / together);
            *share /= together;
        }
        let variance = alone + self.covariance.variance_left(&shares);
        Uncertain::new(Ampere::new(value), Ampere::new(variance.max(0.0).sqrt()))
    }
}

impl Rows {
    /// Solves the equations, with this as the largest reading, beginning with these unknowns above zero. Returns `None`
    /// only if the covariance of the readings is singular, which the last digit in each prevents.
    pub fn solve(&self, largest: Ampere, begin: &[bool]) -> Option<Solved<'_>> {
        let variances = self.variances(largest);
        let solution = self.problem(&variances).minimise(begin)?;
        Some(Solved { rows: self, solution, variances })
    }

    fn problem<'a>(&'a self, variances: &'a [f64]) -> BoundedProblem<'a> {
        BoundedProblem {
            loads: &self.loads,
            places: &self.places.of,
            alike: &self.alike,
            read: &self.read,
            expected: &self.expected,
            variances,
            free: &self.free,
        }
    }

    /// Returns A x for the solution: what the readings should have been.
    pub fn fitted(&self, solved: &Solved) -> Vec<f64> {
        self.problem(&solved.variances).fitted(&solved.solution.x).iter().copied().collect()
    }

    /// Every unknown above zero: where the search for the solution begins.
    pub fn all(&self) -> Vec<bool> {
        vec![true; self.unknowns.len()]
    }
}

impl Solved<'_> {
    fn sums(&self) -> Option<Sums<'_>> {
        let covariance = self.rows.problem(&self.variances).covariance(&self.rows.all())?;
        let together = self.rows.alike.sums(self.variances.iter().copied());
        Some(Sums { solved: self, covariance, together })
    }
}

/// Returns the largest of some currents, either way.
pub fn largest<'a>(observations: impl IntoIterator<Item = &'a Observation>) -> Ampere {
    observations
        .into_iter()
        .map(|observation| observation.current.value().abs())
        .fold(Ampere::ZERO, Ampere::max)
}

/// Makes the account of these claims.
pub fn account(observations: &[Observation], panel: &Panel) -> Option<Balance> {
    let observations = used(observations, panel);
    let rows = rows(&observations, panel)?;
    let solved = rows.solve(largest(observations.iter().copied()), &rows.all())?;
    let contradiction = conflicts(&solved, &observations, &|_| true);
    summed_up(&solved, &observations, contradiction, panel)
}

/// Sums a solution up by feed. `observations` are those that count, less any that were set aside.
pub fn summed_up(
    solved: &Solved,
    observations: &[&Observation],
    conflicts: Vec<Conflict>,
    panel: &Panel,
) -> Option<Balance> {
    let sums = solved.sums()?;
    let is_measured = |branch: usize| solved.rows.measured.get(branch).copied().unwrap_or(false);
    let has_total = observations.iter().any(|observation| observation.scope == Scope::Total);
    let read = WeightedRow::new(observations);
    let placed = sums.of(|unknown| matches!(unknown, Unknown::Branch(branch) if is_measured(*branch)));
    let unplaced = sums.of(|unknown| !matches!(unknown, Unknown::Branch(branch) if is_measured(*branch)));
    Some(Balance {
        total: has_total.then(|| sums.of(|_| true)),
        placed,
        unplaced: has_total.then_some(unplaced),
        feeds: (0..panel.map.feeds.len()).map(|feed| feed_line(feed, &sums, &read, panel)).collect(),
        unfused: (0..panel.map.unfused.len()).map(|item| unfused_line(item, &sums, &read, panel)).collect(),
        conflicts,
    })
}

/// Where was read: the floor of the newest reading, by scope.
struct WeightedRow(HashMap<Scope, Ampere>);

impl WeightedRow {
    fn new(observations: &[&Observation]) -> Self {
        Self(observations.iter().map(|observation| (observation.scope, observation.floor)).collect())
    }

    fn floor(&self, scope: Scope) -> Option<Ampere> {
        self.0.get(&scope).copied()
    }
}

fn feed_line(feed: usize, sums: &Sums, read: &WeightedRow, panel: &Panel) -> FeedLine {
    let below = panel.tree.below_feed(feed);
    let own = panel.tree.branch_of_feed(feed);
    let is_below = |node: usize| panel.tree.path_to_battery(node).contains(&feed);
    let floor = read.floor(Scope::Through(feed));
    FeedLine {
        id: panel.map.feeds.get(feed).map(|found| found.id.clone()).unwrap_or_default(),
        current: sums.of(|unknown| match unknown {
            // The branches below a feed stand in ascending order.
            Unknown::Branch(branch) => below.binary_search(branch).is_ok(),
            Unknown::Unplaced(node) => node.is_some_and(is_below),
        }),
        own: sums.of(|unknown| matches!(unknown, Unknown::Branch(branch) if *branch == own)),
        measured: floor.is_some() || read.floor(Scope::FallOfFeed(feed)).is_some(),
        floor,
    }
}

fn unfused_line(item: usize, sums: &Sums, read: &WeightedRow, panel: &Panel) -> FeedLine {
    let is_it = |kind: BranchKind| kind == BranchKind::Unfused(item);
    let branch = panel.tree.branches().iter().position(|branch| is_it(branch.kind));
    let own = sums.of(|unknown| matches!(unknown, Unknown::Branch(found) if Some(*found) == branch));
    let floor = read.floor(Scope::Unfused(item));
    FeedLine {
        id: panel.map.unfused.get(item).map(|found| found.name.clone()).unwrap_or_default(),
        current: own.clone(),
        own,
        measured: floor.is_some(),
        floor,
    }
}
