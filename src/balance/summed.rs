//! The balance: what a solution of the equations comes to, feed by feed.
//! Leaves to others: the solution (`solve`), contradictions (`conflict`).

use std::collections::HashMap;

use super::conflict::{Conflict, conflicts};
use super::rows::{Unknown, rows, used};
use super::solve::{Solved, largest};
use crate::base::numeric::factors::Factored;
use crate::base::quantity::{Ampere, Uncertain};
use crate::circuit::id::{BranchId, FeedId, IdVec, UnfusedId};
use crate::measure::observation::{Observation, Panel, Scope};

/// The balance.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Settled total, all readings of it and all other observations considered; `None` before one was read.
    pub total: Option<Uncertain<Ampere>>,
    /// What the measured branches carry together.
    pub placed: Uncertain<Ampere>,
    /// Total less placed; `None` without a total.
    pub unplaced: Option<Uncertain<Ampere>>,
    /// One line a feed, in the order of the map.
    pub feeds: IdVec<FeedId, FeedLine>,
    /// One line an unfused item, in the order of the map.
    pub unfused: IdVec<UnfusedId, FeedLine>,
    /// Readings that contradict each other.
    pub conflicts: Vec<Conflict>,
}

/// What one feed or unfused item carries.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedLine {
    /// Its id or name.
    pub id: String,
    /// What flows through it.
    pub current: Uncertain<Ampere>,
    /// What it carries itself, without the feeds below it.
    pub own: Uncertain<Ampere>,
    /// True if it was read there.
    pub measured: bool,
    /// Smallest current that the reading there could tell from none; `None` if not read.
    pub floor: Option<Ampere>,
}

impl FeedLine {
    /// Returns true if it was read and the reading is not told from none.
    pub fn below_floor(&self) -> bool {
        self.floor.is_some_and(|floor| self.current.value() < floor)
    }
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

impl Solved<'_> {
    fn sums(&self) -> Option<Sums<'_>> {
        let covariance = self.rows.problem(&self.variances).covariance(&self.rows.all())?;
        let together = self.rows.alike.sums(self.variances.iter().copied());
        Some(Sums { solved: self, covariance, together })
    }
}

/// Makes the balance of these observations.
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
    let is_measured = |branch: BranchId| solved.rows.measured.get(branch).copied().unwrap_or(false);
    let has_total = observations.iter().any(|observation| observation.scope == Scope::Total);
    let read = WeightedRow::new(observations);
    let placed = sums.of(|unknown| matches!(unknown, Unknown::Branch(branch) if is_measured(*branch)));
    let unplaced = sums.of(|unknown| !matches!(unknown, Unknown::Branch(branch) if is_measured(*branch)));
    Some(Balance {
        total: has_total.then(|| sums.of(|_| true)),
        placed,
        unplaced: has_total.then_some(unplaced),
        feeds: panel.map.feeds.map_ids(|feed| feed_line(feed, &sums, &read, panel)),
        unfused: panel.map.unfused.map_ids(|item| unfused_line(item, &sums, &read, panel)),
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

fn feed_line(feed: FeedId, sums: &Sums, read: &WeightedRow, panel: &Panel) -> FeedLine {
    let below = panel.tree.below_feed(feed);
    let own = panel.tree.branch_of_feed(feed);
    let is_below = |node: FeedId| panel.tree.path_to_battery(node).contains(&feed);
    let floor = read.floor(Scope::Through(feed));
    FeedLine {
        id: panel.map.feed_name(feed).to_owned(),
        current: sums.of(|unknown| match unknown {
            // The branches below a feed stand in ascending order.
            Unknown::Branch(branch) => below.binary_search(branch).is_ok(),
            Unknown::Unplaced(node) => node.is_some_and(is_below),
        }),
        own: sums.of(|unknown| *unknown == Unknown::Branch(own)),
        measured: floor.is_some() || read.floor(Scope::FallOfFeed(feed)).is_some(),
        floor,
    }
}

fn unfused_line(item: UnfusedId, sums: &Sums, read: &WeightedRow, panel: &Panel) -> FeedLine {
    let own = sums.of(|unknown| *unknown == Unknown::Branch(panel.tree.branch_of_unfused(item)));
    let floor = read.floor(Scope::Unfused(item));
    FeedLine {
        id: panel.map.unfused_name(item).to_owned(),
        current: own.clone(),
        own,
        measured: floor.is_some(),
        floor,
    }
}
