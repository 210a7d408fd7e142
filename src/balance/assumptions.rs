//! Every judgement that the balance rests on and that no reading gives, each with its basis.
//! Leaves to others: those of inference and planning (`infer/assumptions`).

use crate::base::quantity::Ampere;

/// One-sided 95 % point of the standard normal distribution.
///
/// # Source
/// JCGM 106:2012, 7.3.3 and table 1.
pub const ONE_SIDED_95: f64 = 1.645;

/// Probability of a false alarm of the global test. Editorial: one set of sound readings in a hundred is
/// told to be read again.
pub const FALSE_ALARM: f64 = 0.01;

/// Normalised residual from which a reading is named. Editorial: 3 standard deviations, as is common.
pub const NAMED_FROM: f64 = 3.0;

/// Readings that explain the contradiction so nearly alike are not told apart by it.
///
/// # Source
/// 95 % point of chi-square with one degree of freedom, on the fall of the statistic when one is left out.
pub const ALIKE: f64 = 3.841;

/// Weak expectation of a branch that was read: standard deviation as a share of the largest reading.
/// Editorial: wide enough to let any reading have its way.
pub const WEAK_SHARE: f64 = 0.6;

/// Least of it. Editorial: about what a sound vehicle draws.
pub const WEAK_LEAST: Ampere = Ampere::from_milli(20.0);

/// Asleep currents are held this much more loosely than the map's spread says. Editorial: a map is no
/// measurement, and the balance is to follow the readings.
pub const LOOSE: f64 = 2.0;
