//! The loads of a factor model with places: components of one place load the same local factors, alike; each has errors
//! of its own and loads common factors as it likes. Places that load few local factors fall into blocks that share none;
//! those that load many are wide, and their components are summed up by a weighted mean, for their contrasts tell of
//! common factors only.
//! Leaves to others: solving (`factors`).

use std::collections::{BTreeMap, HashMap};
use std::ops::Range;

use nalgebra::{DMatrix, DVector};

use super::sparse::{Sparse, add, along, bilinear, value};

/// Places that load more local factors than this are wide.
const FEW: usize = 3;

/// Where the components of a vector get their variance from.
#[derive(Debug, Clone)]
pub struct Loads {
    /// Number of common factors.
    common: usize,
    components: Vec<Component>,
    places: Vec<PlaceBlock>,
    /// Position of each local factor in the order of the blocks.
    order: Vec<usize>,
    blocks: Vec<Range<usize>>,
    wide: Vec<Wide>,
}

/// What one component of the vector is made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Variance of its own.
    pub own: f64,
    /// Its place.
    pub place: usize,
    /// Loads on common factors, each with variance one; no factor twice.
    pub common: Sparse,
}

#[derive(Debug, Clone)]
struct PlaceBlock {
    /// Loads on local factors by position.
    row: Sparse,
    /// Block and where it begins; `None` for a wide place and one without local factors.
    block: Option<(usize, usize)>,
    is_wide: bool,
}

/// A component of a narrow place, as the equations need it.
pub(super) struct Narrow<'a> {
    pub index: usize,
    pub precision: f64,
    pub row: &'a [(usize, f64)],
    pub shared: &'a [(usize, f64)],
    pub block: Option<(usize, usize)>,
}

/// A wide place: the precision-weighted mean of its components and what they scatter about it.
#[derive(Debug, Clone)]
pub(super) struct Wide {
    pub row: Sparse,
    /// Its row and column in the core.
    pub core: usize,
    all: Vec<usize>,
    members: Vec<Member>,
    /// Precision of the mean, 0 if nothing is left here.
    weight: f64,
    /// Loads of the mean on common factors.
    mean: Sparse,
    /// Σ (s − s̄)(s − s̄)ᵀ/ψ of the loads on common factors.
    scatter: Vec<((usize, usize), f64)>,
}

/// A component of a wide place, with its loads on common factors less those of the mean.
#[derive(Debug, Clone)]
struct Member {
    index: usize,
    precision: f64,
    apart: Sparse,
}

impl Loads {
    /// Prepares a model. `rows` has the loads of each place on local factors, `locals` counts these, `common` the
    /// common ones. Returns `None` unless every component has a variance of its own, positive and finite.
    pub fn new(components: Vec<Component>, rows: &[Sparse], locals: usize, common: usize) -> Option<Self> {
        if components.iter().any(|one| !(one.own > 0.0 && one.own.is_finite())) {
            return None;
        }
        let (order, blocks) = blocks(rows, locals);
        let position = |at: &usize| order.get(*at).copied().unwrap_or(0);
        let place = |row: &Sparse| {
            let row: Sparse = row.iter().map(|(at, load)| (position(at), *load)).collect();
            let is_wide = row.len() > FEW;
            let first = row.first().filter(|_| !is_wide).map(|(at, _)| *at);
            let block = first.and_then(|at| {
                let number = blocks.partition_point(|block| block.end <= at);
                Some((number, blocks.get(number)?.start))
            });
            PlaceBlock { row, block, is_wide }
        };
        let places: Vec<PlaceBlock> = rows.iter().map(place).collect();
        let mut found = Self { common, components, places, order, blocks, wide: Vec::new() };
        found.wide = found.wide_places();
        Some(found)
    }

    fn wide_places(&self) -> Vec<Wide> {
        let mut members: Vec<Vec<usize>> = vec![Vec::new(); self.places.len()];
        for (index, component) in self.components.iter().enumerate() {
            if let Some(list) = members.get_mut(component.place) {
                list.push(index);
            }
        }
        let wide = self.places.iter().zip(members).filter(|(place, _)| place.is_wide).enumerate();
        wide.map(|(number, (place, all))| self.summed_up(&place.row, self.common + number, all)).collect()
    }

    /// Sums up the components of a wide place.
    fn summed_up(&self, row: &Sparse, core: usize, all: Vec<usize>) -> Wide {
        let left: Vec<(usize, &Component)> = all
            .iter()
            .filter_map(|index| Some((*index, self.components.get(*index)?)))
            .filter(|(_, component)| component.own.is_finite())
            .collect();
        let weight: f64 = left.iter().map(|(_, component)| 1.0 / component.own).sum();
        let mut mean: BTreeMap<usize, f64> = BTreeMap::new();
        for (_, component) in &left {
            for (at, load) in &component.common {
                *mean.entry(*at).or_insert(0.0) += load / component.own / weight;
            }
        }
        let mut scatter: BTreeMap<(usize, usize), f64> = BTreeMap::new();
        let mut members = Vec::with_capacity(left.len());
        for (index, component) in left {
            let precision = 1.0 / component.own;
            let mut apart: BTreeMap<usize, f64> = component.common.iter().copied().collect();
            mean.iter().for_each(|(at, load)| *apart.entry(*at).or_insert(0.0) -= load);
            let apart: Sparse = apart.into_iter().collect();
            for (row, x) in &apart {
                for (column, y) in &apart {
                    *scatter.entry((*row, *column)).or_insert(0.0) += precision * x * y;
                }
            }
            members.push(Member { index, precision, apart });
        }
        let row = if members.is_empty() { Vec::new() } else { row.clone() };
        let (mean, scatter) = (mean.into_iter().collect(), scatter.into_iter().collect());
        Wide { row, core, all, members, weight, mean, scatter }
    }

    /// Leaves a component out from now on: its variance becomes infinite.
    pub fn leave_out(&mut self, index: usize) {
        let Some(component) = self.components.get_mut(index) else { return };
        component.own = f64::INFINITY;
        let Some(place) = self.places.get(component.place).filter(|place| place.is_wide) else { return };
        let is_it = |wide: &&Wide| wide.all.contains(&index);
        let Some(found) = self.wide.iter().find(is_it) else { return };
        let left = self.summed_up(&place.row, found.core, found.all.clone());
        if let Some(slot) = self.wide.get_mut(left.core - self.common) {
            *slot = left;
        }
    }

    /// Returns the number of components.
    pub fn len(&self) -> usize {
        self.components.len()
    }

    /// Returns true if there is no component.
    pub fn is_empty(&self) -> bool {
        self.components.is_empty()
    }

    /// Returns Σ v for a vector, local factors left out.
    pub fn without_local(&self, v: &DVector<f64>) -> DVector<f64> {
        let mut common = DVector::zeros(self.common);
        for (component, size) in self.components.iter().zip(v) {
            component.common.iter().for_each(|(at, load)| add(&mut common, *at, load * size));
        }
        let each = self.components.iter().zip(v).map(|(component, size)| match component.own.is_finite() {
            true => component.own * size + along(&component.common, &common),
            false => 0.0,
        });
        DVector::from_iterator(v.len(), each)
    }

    pub(super) fn common(&self) -> usize {
        self.common
    }

    pub(super) fn core(&self) -> usize {
        self.common + self.wide.len()
    }

    pub(super) fn blocks(&self) -> &[Range<usize>] {
        &self.blocks
    }

    pub(super) fn in_order(&self, deviations: &[f64]) -> Vec<f64> {
        let mut ordered = vec![0.0; self.order.len()];
        for (at, deviation) in self.order.iter().zip(deviations) {
            if let Some(slot) = ordered.get_mut(*at) {
                *slot = *deviation;
            }
        }
        ordered
    }

    /// Σ ln ψ over the components, less that of the means of wide places.
    pub(super) fn ln_own(&self) -> f64 {
        let components = self.components.iter().filter(|one| one.own.is_finite());
        let wide = self.wide.iter().filter(|wide| wide.weight > 0.0);
        components.map(|one| one.own.ln()).sum::<f64>() + wide.map(|wide| wide.weight.ln()).sum::<f64>()
    }

    pub(super) fn narrow(&self) -> impl Iterator<Item = Narrow<'_>> {
        let all = self.components.iter().enumerate().filter(|(_, component)| component.own.is_finite());
        all.filter_map(|(index, component)| {
            let place = self.places.get(component.place).filter(|place| !place.is_wide)?;
            Some(Narrow {
                index,
                precision: 1.0 / component.own,
                row: &place.row,
                shared: &component.common,
                block: place.block,
            })
        })
    }

    pub(super) fn wide(&self) -> &[Wide] {
        &self.wide
    }

    fn of_wide(&self) -> impl Iterator<Item = (&Wide, &Member)> {
        self.wide.iter().flat_map(|wide| wide.members.iter().map(move |member| (wide, member)))
    }

    /// Adds to the right side of the core what wide places say: their means, and contrasts about them.
    pub(super) fn gather_wide(&self, d: &DVector<f64>, core: &mut DVector<f64>) {
        for (wide, member) in self.of_wide() {
            let weighted = member.precision * value(d, member.index);
            add(core, wide.core, weighted / wide.weight);
            member.apart.iter().for_each(|(at, load)| add(core, *at, load * weighted));
        }
    }

    /// Writes Σ⁻¹d of the components of wide places, given the solution for the core.
    pub(super) fn spread_wide(&self, d: &DVector<f64>, core: &DVector<f64>, solved: &mut DVector<f64>) {
        for wide in &self.wide {
            let sizes = wide.members.iter().map(|member| member.precision * value(d, member.index));
            let mean = sizes.sum::<f64>() / wide.weight;
            let of_mean = value(core, wide.core) / wide.weight;
            for Member { index, precision, apart } in &wide.members {
                let contrast = value(d, *index) - mean - along(apart, core);
                add(solved, *index, precision * (contrast - of_mean));
            }
        }
    }

    /// Writes the diagonal of Σ⁻¹ of the components of wide places, given the inverse of the core.
    pub(super) fn diagonal_of_wide(&self, core: &DMatrix<f64>, diagonal: &mut [f64]) {
        for (wide, Member { index, precision, apart }) in self.of_wide() {
            let share = precision / wide.weight;
            let mut along: Sparse = apart.iter().map(|(at, load)| (*at, precision * load)).collect();
            along.push((wide.core, share));
            if let Some(slot) = diagonal.get_mut(*index) {
                *slot = precision * (1.0 - share) - bilinear(core, &along, &along);
            }
        }
    }
}

impl Wide {
    /// What a wide place adds to the core.
    pub(super) fn core_entries(&self) -> impl Iterator<Item = ((usize, usize), f64)> {
        let own = if self.weight > 0.0 { -1.0 / self.weight } else { -1.0 };
        let across =
            self.mean.iter().flat_map(|(at, load)| [((*at, self.core), *load), ((self.core, *at), *load)]);
        self.scatter.iter().copied().chain(across).chain([((self.core, self.core), own)])
    }
}

/// Sorts local factors into blocks that no narrow place joins: the position of each, and the blocks.
fn blocks(rows: &[Sparse], locals: usize) -> (Vec<usize>, Vec<Range<usize>>) {
    let mut above: Vec<usize> = (0..locals).collect();
    for row in rows.iter().filter(|row| row.len() <= FEW) {
        let mut tops = row.iter().map(|(at, _)| top(*at, &mut above)).collect::<Vec<_>>().into_iter();
        if let Some(first) = tops.next() {
            for other in tops {
                let (first, other) = (top(first, &mut above), top(other, &mut above));
                if let Some(slot) = above.get_mut(first.max(other)) {
                    *slot = first.min(other);
                }
            }
        }
    }
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for at in 0..locals {
        members.entry(top(at, &mut above)).or_default().push(at);
    }
    let (mut order, mut blocks, mut next) = (vec![0; locals], Vec::new(), 0);
    for block in members.into_values() {
        blocks.push(next..next + block.len());
        for at in block {
            if let Some(slot) = order.get_mut(at) {
                *slot = next;
            }
            next += 1;
        }
    }
    (order, blocks)
}

/// The factor that stands for the set that this one is in; the way there is halved (Tarjan and van Leeuwen 1984).
fn top(mut at: usize, above: &mut [usize]) -> usize {
    let get = |above: &[usize], at: usize| above.get(at).copied().unwrap_or(at);
    while get(above, at) != at {
        let next = get(above, get(above, at));
        if let Some(slot) = above.get_mut(at) {
            *slot = next;
        }
        at = next;
    }
    at
}

/// Local factors that load every place alike, taken as one each.
#[derive(Debug, Clone, PartialEq)]
pub struct Alike {
    /// Loads of each place on what is taken as one.
    pub rows: Vec<Sparse>,
    /// How many there are.
    pub count: usize,
    /// What each factor became; `None` for those that load no place.
    pub of: Vec<Option<usize>>,
}

impl Alike {
    /// Finds them.
    pub fn new(rows: &[Sparse], locals: usize) -> Self {
        let mut columns: Vec<Vec<(usize, u64)>> = vec![Vec::new(); locals];
        for (place, row) in rows.iter().enumerate() {
            for (at, load) in row.iter().filter(|(_, load)| *load != 0.0) {
                if let Some(column) = columns.get_mut(*at) {
                    column.push((place, load.to_bits()));
                }
            }
        }
        let mut known: HashMap<Vec<(usize, u64)>, usize> = HashMap::new();
        let mut merged: Vec<Sparse> = vec![Vec::new(); rows.len()];
        let mut of = Vec::with_capacity(locals);
        for column in columns {
            if column.is_empty() {
                of.push(None);
                continue;
            }
            let next = known.len();
            let number = *known.entry(column.clone()).or_insert(next);
            if number == next {
                for (place, load) in &column {
                    if let Some(row) = merged.get_mut(*place) {
                        row.push((number, f64::from_bits(*load)));
                    }
                }
            }
            of.push(Some(number));
        }
        Self { rows: merged, count: known.len(), of }
    }

    /// Returns the sums over what is taken as one.
    pub fn sums(&self, each: impl IntoIterator<Item = f64>) -> Vec<f64> {
        let mut sums = vec![0.0; self.count];
        for (of, size) in self.of.iter().zip(each) {
            if let Some(sum) = of.and_then(|at| sums.get_mut(at)) {
                *sum += size;
            }
        }
        sums
    }

    /// Returns the standard deviations of what is taken as one, from the variance of each factor.
    pub fn deviations(&self, variances: impl IntoIterator<Item = f64>) -> Vec<f64> {
        self.sums(variances).into_iter().map(f64::sqrt).collect()
    }
}
