//! Solves the account's equations and sums them up by feed.
//! Leaves to others: the equations (`rows`), contradictions (`conflict`).

use nalgebra::{Cholesky, DMatrix, DVector};

use super::conflict::conflicts;
use super::rows::{Rows, Unknown, rows, used};
use super::{Account, FeedLine};
use crate::circuits::tree::BranchKind;
use crate::numeric::bounded::minimise;
use crate::quantity::{Ampere, Uncertain};
use crate::reading::claim::{Claim, Panel, Scope};

/// A solved set of equations.
#[derive(Debug, Clone)]
pub struct Solved {
    /// The equations.
    pub rows: Rows,
    /// Currents of the unknowns, in ampere.
    pub x: DVector<f64>,
    /// Covariance without the bounds, so that a current held at zero keeps an honest width.
    pub covariance: DMatrix<f64>,
    /// The same with what stands at its bound taken as exactly zero: what the fitted values rest on.
    pub bounded: DMatrix<f64>,
    /// Inverse covariance of the readings.
    pub weight: DMatrix<f64>,
}

impl Solved {
    /// Returns the sum of the chosen unknowns with its uncertainty.
    pub fn sum(&self, chosen: impl Fn(&Unknown) -> bool) -> Uncertain<Ampere> {
        let pick = DVector::from_iterator(
            self.x.len(),
            self.rows.unknowns.iter().map(|unknown| if chosen(unknown) { 1.0 } else { 0.0 }),
        );
        let variance = (pick.transpose() * &self.covariance * &pick).sum();
        Uncertain::new(Ampere::new(self.x.dot(&pick)), Ampere::new(variance.max(0.0).sqrt()))
    }
}

/// Solves the equations of these claims. Returns `None` only if their covariance is singular, which the last digit
/// in every reading prevents.
pub fn solve(claims: &[&Claim], panel: &Panel) -> Option<Solved> {
    let rows = rows(claims, panel);
    let weight = Cholesky::new(rows.covariance.clone())?.inverse();
    let expectation = DMatrix::from_diagonal(&rows.spread.map(|sd| 1.0 / (sd * sd)));
    let weighted = rows.coefficients.transpose() * &weight;
    let h = &weighted * &rows.coefficients + &expectation;
    let g = &weighted * &rows.read + &expectation * &rows.expected;
    let solution = minimise(&h, &g, &rows.free)?;
    let covariance = Cholesky::new(h)?.inverse();
    Some(Solved { rows, x: solution.x, covariance, bounded: solution.covariance, weight })
}

/// Makes the account of these claims.
pub fn account(claims: &[Claim], panel: &Panel) -> Option<Account> {
    let claims = used(claims, panel);
    let solved = solve(&claims, panel)?;
    let is_measured = |branch: usize| solved.rows.measured.get(branch).copied().unwrap_or(false);
    let has_total = claims.iter().any(|claim| claim.scope == Scope::Total);
    let placed = solved.sum(|unknown| matches!(unknown, Unknown::Branch(branch) if is_measured(*branch)));
    let unplaced = solved.sum(|unknown| !matches!(unknown, Unknown::Branch(branch) if is_measured(*branch)));
    let feeds = (0..panel.map.feeds.len()).map(|feed| feed_line(feed, &solved, &claims, panel)).collect();
    let unfused =
        (0..panel.map.unfused.len()).map(|item| unfused_line(item, &solved, &claims, panel)).collect();
    Some(Account {
        total: has_total.then(|| solved.sum(|_| true)),
        placed,
        unplaced: has_total.then_some(unplaced),
        feeds,
        unfused,
        conflicts: conflicts(&solved, &claims),
    })
}

fn feed_line(feed: usize, solved: &Solved, claims: &[&Claim], panel: &Panel) -> FeedLine {
    let below = panel.tree.below_feed(feed);
    let own = panel.tree.branch_of_feed(feed);
    let is_below = |node: usize| panel.tree.path_to_battery(node).contains(&feed);
    let here = claims.iter().rev().find(|claim| claim.scope == Scope::Through(feed));
    FeedLine {
        id: panel.map.feeds.get(feed).map(|found| found.id.clone()).unwrap_or_default(),
        current: solved.sum(|unknown| match unknown {
            Unknown::Branch(branch) => below.contains(branch),
            Unknown::Unplaced(node) => node.is_some_and(is_below),
        }),
        own: solved.sum(|unknown| matches!(unknown, Unknown::Branch(branch) if *branch == own)),
        measured: claims
            .iter()
            .any(|c| matches!(c.scope, Scope::Through(f) | Scope::FallOfFeed(f) if f == feed)),
        floor: here.map(|claim| claim.floor),
    }
}

fn unfused_line(item: usize, solved: &Solved, claims: &[&Claim], panel: &Panel) -> FeedLine {
    let is_it = |kind: BranchKind| kind == BranchKind::Unfused(item);
    let branch = panel.tree.branches().iter().position(|branch| is_it(branch.kind));
    let own = solved.sum(|unknown| matches!(unknown, Unknown::Branch(found) if Some(*found) == branch));
    let here = claims.iter().rev().find(|claim| claim.scope == Scope::Unfused(item));
    FeedLine {
        id: panel.map.unfused.get(item).map(|found| found.name.clone()).unwrap_or_default(),
        current: own.clone(),
        own,
        measured: here.is_some(),
        floor: here.map(|claim| claim.floor),
    }
}
