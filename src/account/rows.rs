//! Claims as equations for the account: which unknowns there are, and what is expected of them before any reading.
//! Unknowns are the branches (a branch that a reading splits is several) and, at every node that was read as a whole,
//! what flows somewhere below it without being placed. Leaves to others: solving (`solve`).

use nalgebra::{DMatrix, DVector};

use crate::quantity::{Ampere, Unit};
use crate::reading::claim::{Claim, Panel, Scope, coefficient};
use crate::reading::parts::Part;
use crate::reading::together::group_of;

/// Weak expectation of a branch that was read: standard deviation as a share of the largest reading. Editorial.
const WEAK_SHARE: f64 = 0.6;
/// Asleep currents are held this much more loosely in the account than the map's spread says. Editorial.
const LOOSE: f64 = 2.0;

/// What an unknown is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// Current of a branch, or of those of its parts that the readings treat alike.
    Branch(usize),
    /// Current below a node that was read as a whole, not placed on a branch: `None` at the battery.
    Unplaced(Option<usize>),
}

/// The equations.
#[derive(Debug, Clone)]
pub struct Rows {
    /// The unknowns.
    pub unknowns: Vec<Unknown>,
    /// True for unknowns that may be negative (sources).
    pub free: Vec<bool>,
    /// Expected values, in ampere.
    pub expected: DVector<f64>,
    /// Standard deviations of the expected values, in ampere.
    pub spread: DVector<f64>,
    /// Coefficients: a row a claim, a column an unknown.
    pub coefficients: DMatrix<f64>,
    /// Readings, in ampere.
    pub read: DVector<f64>,
    /// Their covariance, in ampere squared.
    pub covariance: DMatrix<f64>,
    /// For each branch: true if readings tell its own current.
    pub measured: Vec<bool>,
}

/// Claims that the account uses: inputs release a group as a whole and are no sum of branches; where a group slept
/// while it is awake now, or was awake while it is released now, a claim that counts its modules tells of another state.
pub fn used<'a>(claims: &'a [Claim], panel: &Panel) -> Vec<&'a Claim> {
    let now = claims.last().map(|claim| claim.interrupted.released.as_slice()).unwrap_or_default();
    let groups = 0..panel.map.wake_groups.len();
    let is_other = |group: usize, claim: &Claim| {
        let then = &claim.interrupted;
        (then.released.contains(&group) || then.asleep.contains(&group)) != now.contains(&group)
    };
    let is_used = |claim: &&Claim| {
        let others: Vec<usize> = groups.clone().filter(|group| is_other(*group, claim)).collect();
        let counts = |part: &Part| {
            group_of(part.kind, panel).is_some_and(|group| others.contains(&group))
                && coefficient(claim.scope, &claim.interrupted, part) != 0.0
        };
        let is_sum = !matches!(claim.scope, Scope::FallOfInput(..));
        is_sum && (others.is_empty() || !panel.parts.all().iter().any(counts))
    };
    claims.iter().filter(is_used).collect()
}

/// Makes the equations.
pub fn rows(claims: &[&Claim], panel: &Panel) -> Rows {
    let measured = measured_branches(claims, panel);
    let largest = claims.iter().map(|claim| claim.current.value().abs()).fold(Ampere::ZERO, Ampere::max);
    let weak = (largest * WEAK_SHARE).max(Ampere::from_milli(20.0));
    let mut columns = columns_of_branches(claims, panel, &measured, weak);
    columns.extend(columns_of_nodes(claims, panel, weak));
    let m = claims.len();
    let coefficients = DMatrix::from_fn(m, columns.len(), |row, column| {
        columns.get(column).and_then(|c| c.coefficients.get(row)).copied().unwrap_or(0.0)
    });
    let covariance = DMatrix::from_fn(m, m, |i, j| match (claims.get(i), claims.get(j)) {
        (Some(a), Some(_)) if i == j => a.current.u().base().powi(2),
        (Some(a), Some(b)) => a.current.covariance(&b.current),
        _ => 0.0,
    });
    Rows {
        free: columns.iter().map(|column| column.free).collect(),
        expected: DVector::from_iterator(columns.len(), columns.iter().map(|column| column.expected)),
        spread: DVector::from_iterator(columns.len(), columns.iter().map(|column| column.spread)),
        unknowns: columns.iter().map(|column| column.unknown).collect(),
        read: DVector::from_iterator(m, claims.iter().map(|claim| claim.current.value().base())),
        coefficients,
        covariance,
        measured,
    }
}

struct Column {
    unknown: Unknown,
    coefficients: Vec<f64>,
    expected: f64,
    spread: f64,
    free: bool,
}

/// Parts of one branch that every claim counts alike are one unknown.
fn columns_of_branches(claims: &[&Claim], panel: &Panel, measured: &[bool], weak: Ampere) -> Vec<Column> {
    let table: Vec<Vec<f64>> =
        claims.iter().map(|claim| panel.row(claim.scope, &claim.interrupted)).collect();
    let mut columns: Vec<Column> = Vec::new();
    for (index, part) in panel.parts.all().iter().enumerate() {
        let coefficients: Vec<f64> = table.iter().map(|row| row.get(index).copied().unwrap_or(0.0)).collect();
        let same = |column: &&mut Column| {
            column.unknown == Unknown::Branch(part.branch) && column.coefficients == coefficients
        };
        match columns.iter_mut().find(same) {
            Some(column) => add_part(column, part),
            None => {
                let mut column = Column {
                    unknown: Unknown::Branch(part.branch),
                    coefficients,
                    expected: 0.0,
                    spread: 0.0,
                    free: false,
                };
                add_part(&mut column, part);
                columns.push(column);
            }
        }
    }
    for column in &mut columns {
        column.spread *= LOOSE;
        if let Unknown::Branch(branch) = column.unknown
            && measured.get(branch).copied().unwrap_or(false)
        {
            column.spread = column.spread.hypot(weak.base());
        }
    }
    columns
}

fn add_part(column: &mut Column, part: &Part) {
    column.expected += part.asleep.base();
    column.spread = column.spread.hypot(part.asleep_sd.base());
    column.free |= part.source;
}

/// One unknown for each node that was read as a whole: the excess below it that is not placed on a branch.
fn columns_of_nodes(claims: &[&Claim], panel: &Panel, weak: Ampere) -> Vec<Column> {
    let mut nodes: Vec<Option<usize>> =
        claims.iter().filter_map(|claim| node_of(claim.scope, panel)).collect();
    nodes.sort_unstable();
    nodes.dedup();
    let counts = |node: Option<usize>, claim: &Claim| match (claim.scope, node) {
        (Scope::Total, node) => f64::from(u8::from(flows(node, claim, panel))),
        (Scope::Through(feed), Some(node)) => f64::from(u8::from(
            panel.tree.path_to_battery(node).contains(&feed) && flows(Some(node), claim, panel),
        )),
        (Scope::FallOfFeed(feed), Some(node)) => {
            f64::from(u8::from(panel.tree.path_to_battery(node).contains(&feed)))
        }
        _ => 0.0,
    };
    nodes
        .into_iter()
        .map(|node| Column {
            unknown: Unknown::Unplaced(node),
            coefficients: claims.iter().map(|claim| counts(node, claim)).collect(),
            expected: 0.0,
            spread: weak.base(),
            free: false,
        })
        .collect()
}

/// A node that is cut off at the time of a claim carries nothing.
fn flows(node: Option<usize>, claim: &Claim, panel: &Panel) -> bool {
    node.is_none_or(|node| {
        !panel.tree.path_to_battery(node).iter().any(|feed| claim.interrupted.feeds.contains(feed))
    })
}

/// The node that a claim reads as a whole, if there is more below it than one branch.
fn node_of(scope: Scope, panel: &Panel) -> Option<Option<usize>> {
    match scope {
        Scope::Total => Some(None),
        Scope::Through(feed) | Scope::FallOfFeed(feed) => {
            (panel.tree.below_feed(feed).len() > 1).then_some(Some(feed))
        }
        _ => None,
    }
}

/// A branch is measured if it was read alone, or if its node was read and so was everything below that node.
fn measured_branches(claims: &[&Claim], panel: &Panel) -> Vec<bool> {
    let read = |feed: usize| {
        claims.iter().any(|c| matches!(c.scope, Scope::Through(f) | Scope::FallOfFeed(f) if f == feed))
    };
    let mut measured = vec![false; panel.tree.branches().len()];
    for (index, branch) in panel.tree.branches().iter().enumerate() {
        use crate::circuits::tree::BranchKind;
        let alone = match branch.kind {
            BranchKind::Feed(feed) => read(feed) && panel.tree.below_feed(feed).len() == 1,
            BranchKind::Unfused(item) => claims.iter().any(|claim| claim.scope == Scope::Unfused(item)),
            BranchKind::Battery => false,
        };
        if let Some(slot) = measured.get_mut(index) {
            *slot = alone;
        }
    }
    // From the leaves up: deeper feeds have longer paths.
    let mut feeds: Vec<usize> = (0..panel.map.feeds.len()).filter(|feed| read(*feed)).collect();
    feeds.sort_by_key(|feed| std::cmp::Reverse(panel.tree.path_to_battery(*feed).len()));
    for feed in feeds {
        let own = panel.tree.branch_of_feed(feed);
        let rest = panel.tree.below_feed(feed).iter().filter(|branch| **branch != own);
        if rest.clone().all(|branch| measured.get(*branch).copied().unwrap_or(false))
            && let Some(slot) = measured.get_mut(own)
        {
            *slot = true;
        }
    }
    measured
}
