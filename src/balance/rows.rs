//! Observations as equations for the account: which unknowns there are, and what is expected of them before any reading.
//! Unknowns are the branches (a branch that a reading splits is several) and, at every node that was read as a whole,
//! what flows somewhere below it without being placed. Leaves to others: solving (`solve`).

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use nalgebra::DVector;

use super::assumptions::{LOOSE, WEAK_LEAST, WEAK_SHARE};
use crate::base::numeric::loads::{Alike, Loads};
use crate::base::numeric::sparse::Sparse;
use crate::base::quantity::{Ampere, Unit};
use crate::circuit::id::{BranchId, FeedId, GroupId, IdVec};
use crate::circuit::tree::{Branch, BranchKind};
use crate::measure::errors::Errors;
use crate::measure::observation::{Observation, Panel, Scope, coefficient};
use crate::measure::place::Places;
use crate::measure::sources::CurrentSource;
use crate::measure::together::group_of;

/// What an unknown is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// Current of a branch, or of those of its parts that the readings treat alike.
    Branch(BranchId),
    /// Current below a node that was read as a whole, not placed on a branch: `None` at the battery.
    Unplaced(Option<FeedId>),
}

/// The equations: readings of a place share a row of coefficients, and unknowns that every place counts alike a column.
#[derive(Debug, Clone)]
pub struct Rows {
    /// The unknowns.
    pub unknowns: Vec<Unknown>,
    /// True for unknowns that may be negative (sources).
    pub free: Vec<bool>,
    /// Expected values, in ampere.
    pub expected: Vec<f64>,
    /// Standard deviations of what the map expects, in ampere, and whether the weak expectation is added.
    spread: Vec<(f64, bool)>,
    /// Readings, in ampere.
    pub read: DVector<f64>,
    /// The place of each reading.
    pub places: Places,
    /// The readings at each place.
    pub at_place: Vec<Vec<usize>>,
    /// Errors of the readings, with the loads of each place on the unknowns that count alike.
    pub loads: Arc<Loads>,
    /// Which unknowns count alike.
    pub alike: Alike,
    /// For each branch: true if readings tell its own current.
    pub measured: IdVec<BranchId, bool>,
}

impl Rows {
    /// Returns the variances of the expected values, in ampere squared, if this is the largest reading.
    pub fn variances(&self, largest: Ampere) -> Vec<f64> {
        let weak = (largest * WEAK_SHARE).max(WEAK_LEAST).base();
        let one = |(spread, is_weak): &(f64, bool)| match is_weak {
            true => spread * spread + weak * weak,
            false => spread * spread,
        };
        self.spread.iter().map(one).collect()
    }
}

/// Observations that the account uses: inputs release a group as a whole and are no sum of branches; where a group slept
/// while it is awake now, or was awake while it is released now, an observation that counts its modules tells of another state.
pub fn used<'a>(observations: &'a [Observation], panel: &Panel) -> Vec<&'a Observation> {
    let now = observations
        .last()
        .map(|observation| observation.interrupted.released.as_slice())
        .unwrap_or_default();
    let is_other = |group: GroupId, observation: &Observation| {
        let then = &observation.interrupted;
        (then.released.contains(&group) || then.asleep.contains(&group)) != now.contains(&group)
    };
    let is_used = |observation: &Observation| {
        let groups = panel.map.wake_groups.ids();
        let others: Vec<GroupId> = groups.filter(|group| is_other(*group, observation)).collect();
        let counts = |part: &CurrentSource| {
            group_of(part.kind, panel).is_some_and(|group| others.contains(&group))
                && coefficient(observation.scope, &observation.interrupted, part) != 0.0
        };
        let is_sum = !matches!(observation.scope, Scope::FallOfInput(..));
        is_sum && (others.is_empty() || !panel.parts.iter().any(counts))
    };
    let places = Places::new(observations);
    let by_place: Vec<bool> = places.firsts(observations).map(is_used).collect();
    observations
        .iter()
        .zip(places.spread(&by_place))
        .filter(|(_, used)| *used)
        .map(|(observation, _)| observation)
        .collect()
}

/// Makes the equations. Returns `None` only if a reading has no error of its own, which its last digit prevents.
pub fn rows(observations: &[&Observation], panel: &Panel) -> Option<Rows> {
    let places = Places::new(observations.iter().copied());
    let firsts: Vec<&Observation> =
        places.first.iter().filter_map(|index| observations.get(*index)).copied().collect();
    let measured = measured_branches(&firsts, panel);
    let mut columns = columns_of_branches(&firsts, panel, &measured);
    columns.extend(columns_of_nodes(&firsts, panel));
    let mut by_place: Vec<Sparse> = vec![Vec::new(); firsts.len()];
    for (number, column) in columns.iter().enumerate() {
        for (place, count) in &column.coefficients {
            if let Some(row) = by_place.get_mut(*place) {
                row.push((number, *count));
            }
        }
    }
    let alike = Alike::new(&by_place, columns.len());
    let errors = Errors::new(observations.iter().copied(), &places);
    let loads = Loads::new(errors.components, &alike.rows, alike.count, errors.sources.len())?;
    Some(Rows {
        free: columns.iter().map(|column| column.free).collect(),
        expected: columns.iter().map(|column| column.expected).collect(),
        spread: columns.iter().map(|column| (column.spread, column.weak)).collect(),
        unknowns: columns.iter().map(|column| column.unknown).collect(),
        read: DVector::from_iterator(
            observations.len(),
            observations.iter().map(|c| c.current.value().base()),
        ),
        at_place: places.members(),
        places,
        loads: Arc::new(loads),
        alike,
        measured,
    })
}

struct SourceColumn {
    unknown: Unknown,
    /// How often it counts at a place, where it does.
    coefficients: Sparse,
    expected: f64,
    spread: f64,
    weak: bool,
    free: bool,
}

/// Parts of one branch that every place counts alike are one unknown. `observations` has one of each place.
fn columns_of_branches(
    observations: &[&Observation],
    panel: &Panel,
    measured: &IdVec<BranchId, bool>,
) -> Vec<SourceColumn> {
    let mut counted: Vec<Sparse> = vec![Vec::new(); panel.parts.len()];
    for (place, observation) in observations.iter().enumerate() {
        for (column, count) in counted.iter_mut().zip(&panel.row(observation.scope, &observation.interrupted))
        {
            if *count != 0.0 {
                column.push((place, *count));
            }
        }
    }
    let mut columns: Vec<SourceColumn> = Vec::new();
    let mut known: HashMap<(BranchId, Vec<(usize, u64)>), usize> = HashMap::new();
    for (coefficients, part) in counted.into_iter().zip(&panel.parts) {
        let looks = coefficients.iter().map(|(place, count)| (*place, count.to_bits())).collect();
        let number = *known.entry((part.branch, looks)).or_insert(columns.len());
        if number == columns.len() {
            columns.push(SourceColumn {
                unknown: Unknown::Branch(part.branch),
                coefficients,
                expected: 0.0,
                spread: 0.0,
                weak: measured.get(part.branch).copied().unwrap_or(false),
                free: false,
            });
        }
        if let Some(column) = columns.get_mut(number) {
            add_part(column, part);
        }
    }
    for column in &mut columns {
        column.spread *= LOOSE;
    }
    columns
}

fn add_part(column: &mut SourceColumn, part: &CurrentSource) {
    column.expected += part.asleep.base();
    column.spread = column.spread.hypot(part.asleep_sd.base());
    column.free |= part.source;
}

/// One unknown for each node that was read as a whole: the excess below it that is not placed on a branch.
fn columns_of_nodes(observations: &[&Observation], panel: &Panel) -> Vec<SourceColumn> {
    let mut nodes: Vec<Option<FeedId>> =
        observations.iter().filter_map(|observation| node_of(observation.scope, panel)).collect();
    nodes.sort_unstable();
    nodes.dedup();
    let counts = |node: Option<FeedId>, observation: &Observation| match (observation.scope, node) {
        (Scope::Total, node) => f64::from(u8::from(flows(node, observation, panel))),
        (Scope::Through(feed), Some(node)) => f64::from(u8::from(
            panel.tree.path_to_battery(node).contains(&feed) && flows(Some(node), observation, panel),
        )),
        (Scope::FallOfFeed(feed), Some(node)) => {
            f64::from(u8::from(panel.tree.path_to_battery(node).contains(&feed)))
        }
        _ => 0.0,
    };
    nodes
        .into_iter()
        .map(|node| SourceColumn {
            unknown: Unknown::Unplaced(node),
            coefficients: observations
                .iter()
                .enumerate()
                .map(|(place, observation)| (place, counts(node, observation)))
                .filter(|(_, count)| *count != 0.0)
                .collect(),
            expected: 0.0,
            spread: 0.0,
            weak: true,
            free: false,
        })
        .collect()
}

/// A node that is cut off at the time of an observation carries nothing.
fn flows(node: Option<FeedId>, observation: &Observation, panel: &Panel) -> bool {
    node.is_none_or(|node| {
        !panel.tree.path_to_battery(node).iter().any(|feed| observation.interrupted.feeds.contains(feed))
    })
}

/// The node that an observation reads as a whole, if there is more below it than one branch.
fn node_of(scope: Scope, panel: &Panel) -> Option<Option<FeedId>> {
    match scope {
        Scope::Total => Some(None),
        Scope::Through(feed) | Scope::FallOfFeed(feed) => {
            (panel.tree.below_feed(feed).len() > 1).then_some(Some(feed))
        }
        _ => None,
    }
}

/// A branch is measured if it was read alone, or if its node was read and so was everything below that node.
fn measured_branches(observations: &[&Observation], panel: &Panel) -> IdVec<BranchId, bool> {
    let feed_of = |observation: &&Observation| match observation.scope {
        Scope::Through(feed) | Scope::FallOfFeed(feed) => Some(feed),
        _ => None,
    };
    let feeds: HashSet<FeedId> = observations.iter().filter_map(feed_of).collect();
    let read = |feed: FeedId| feeds.contains(&feed);
    let alone = |branch: &Branch| match branch.kind {
        BranchKind::Feed(feed) => read(feed) && panel.tree.below_feed(feed).len() == 1,
        BranchKind::Unfused(item) => {
            observations.iter().any(|observation| observation.scope == Scope::Unfused(item))
        }
        BranchKind::Battery => false,
    };
    let mut measured: IdVec<BranchId, bool> = panel.tree.branches().iter().map(alone).collect();
    // From the leaves up: deeper feeds have longer paths.
    let mut feeds: Vec<FeedId> = panel.map.feeds.ids().filter(|feed| read(*feed)).collect();
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
