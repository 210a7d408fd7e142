//! The readings without any excess: what is expected of them, and their covariance from asleep currents and errors. It
//! is a factor model: parts are the local factors, the errors that readings share and the part of the asleep currents
//! that varies alike are the common ones. Leaves to others: what an excess adds (`hypothesis`, `posterior`).

use std::collections::HashMap;
use std::sync::Arc;

use nalgebra::DVector;

use super::assumptions::SHARED_SCALE;
use super::hypothesis::PatternRow;
use crate::base::numeric::factors::Factored;
use crate::base::numeric::loads::{Alike, Component, Loads};
use crate::base::numeric::sparse::Sparse;
use crate::base::quantity::{Ampere, ErrorSource, Uncertain, Unit};
use crate::measure::errors::Errors;
use crate::measure::observation::{Observation, Panel};
use crate::measure::place::Places;

/// The readings without any excess.
#[derive(Debug, Clone)]
pub struct NullModel {
    /// The places that the observations are about.
    pub places: Places,
    /// Each place as causes see it.
    pub rows: Vec<PatternRow>,
    /// How often each part counts at each place, where it does.
    pub counts: Vec<Sparse>,
    /// Variances of the parts asleep, in ampere squared.
    pub variances: Vec<f64>,
    /// Expected asleep currents, in ampere.
    pub expected: Vec<f64>,
    /// What is expected at each place, in ampere.
    pub normal: Vec<f64>,
    /// Residual of each observation: read less expected, in ampere.
    pub residual: DVector<f64>,
    /// Errors of each observation; the last of the common ones is the asleep currents that vary alike.
    components: Vec<Component>,
    sources: HashMap<ErrorSource, usize>,
}

/// The covariance with further parts that spread on their own, ready for any spread of them.
#[derive(Debug, Clone)]
pub struct Spreading {
    loads: Arc<Loads>,
    alike: Alike,
    asleep: Vec<f64>,
}

impl Spreading {
    /// Returns the covariance with these variances of the further parts. `None` only if it is singular.
    pub fn with(&self, variances: &[f64]) -> Option<Factored> {
        let all = self.asleep.iter().chain(variances).copied();
        Factored::new(&self.loads, &self.alike.deviations(all))
    }
}

impl NullModel {
    /// Prepares the ground for these observations.
    pub fn new(observations: &[Observation], panel: &Panel) -> Self {
        let parts = &panel.parts;
        let places = Places::new(observations);
        let count = |observation: &Observation| {
            let row = panel.row(observation.scope, &observation.interrupted);
            row.iter().copied().enumerate().filter(|(_, count)| *count != 0.0).collect()
        };
        let counts: Vec<Sparse> = places.firsts(observations).map(count).collect();
        let expected: Vec<f64> = parts.iter().map(|part| part.asleep.base()).collect();
        let sum = |row: &Sparse| {
            row.iter().map(|(part, count)| count * expected.get(*part).copied().unwrap_or(0.0)).sum()
        };
        let normal: Vec<f64> = counts.iter().map(sum).collect();
        let errors = Errors::new(observations, &places);
        let (mut components, together) = (errors.components, errors.sources.len());
        for (component, normal) in components.iter_mut().zip(places.spread(&normal)) {
            component.common.push((together, SHARED_SCALE * normal));
        }
        let read = observations.iter().map(|observation| observation.current.value().base());
        let residual = read.zip(places.spread(&normal)).map(|(read, normal)| read - normal);
        Self {
            rows: places
                .firsts(observations)
                .map(|observation| PatternRow::new(observation.scope, &observation.interrupted, panel))
                .collect(),
            residual: DVector::from_iterator(observations.len(), residual),
            places,
            counts,
            variances: parts.iter().map(|part| part.asleep_sd.base().powi(2)).collect(),
            expected,
            normal,
            components,
            sources: errors.sources,
        }
    }

    /// Makes the covariance ready, with further parts of which each adds so much to every place. Returns `None` only if a
    /// observation has no error of its own, which its last digit prevents.
    pub fn covariance(&self, further: Vec<Vec<f64>>) -> Option<Spreading> {
        let mut rows = self.counts.clone();
        let asleep = self.variances.len();
        let locals = asleep + further.len();
        for (number, signals) in further.into_iter().enumerate() {
            for (row, signal) in rows.iter_mut().zip(signals).filter(|(_, signal)| *signal != 0.0) {
                row.push((asleep + number, signal));
            }
        }
        let alike = Alike::new(&rows, locals);
        let common = self.sources.len() + 1;
        let loads = Arc::new(Loads::new(self.components.clone(), &alike.rows, alike.count, common)?);
        Some(Spreading { loads, alike, asleep: self.variances.clone() })
    }

    /// Returns for each observation what its place has.
    pub fn along(&self, by_place: &[f64]) -> DVector<f64> {
        DVector::from_vec(self.places.spread(by_place))
    }

    /// Returns the covariance with each observation of a new reading that counts the parts so often and has these errors, and
    /// its variance; without any excess.
    pub fn with_each(&self, counts: &[f64], errors: &Uncertain<Ampere>) -> (DVector<f64>, f64) {
        let of = |values: &[f64], part: usize| values.get(part).copied().unwrap_or(0.0);
        let asleep: Vec<f64> = counts.iter().zip(&self.variances).map(|(count, v)| count * v).collect();
        let together: f64 =
            counts.iter().zip(&self.expected).map(|(count, expected)| count * expected).sum::<f64>()
                * SHARED_SCALE;
        let mut shared = vec![0.0; self.sources.len() + 1];
        for (source, effect) in errors.shared() {
            if let Some(slot) = self.sources.get(source).and_then(|at| shared.get_mut(*at)) {
                *slot = effect.base();
            }
        }
        if let Some(last) = shared.last_mut() {
            *last = together;
        }
        let by_place: Vec<f64> = self
            .counts
            .iter()
            .map(|row| row.iter().map(|(part, count)| count * of(&asleep, *part)).sum())
            .collect();
        let each = self.components.iter().zip(self.places.spread(&by_place)).map(|(component, parts)| {
            parts + component.common.iter().map(|(at, load)| load * of(&shared, *at)).sum::<f64>()
        });
        let own: f64 = counts.iter().zip(&asleep).map(|(count, asleep)| count * asleep).sum();
        let variance = own + together * together + errors.u().base().powi(2);
        (DVector::from_iterator(self.components.len(), each), variance)
    }
}
