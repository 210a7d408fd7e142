//! A value with its standard uncertainty, own and shared parts kept apart (JCGM 100:2008, clauses 5.1 and 5.2).
//! A shared part is an error that stands in several readings at once, such as a meter's offset: it is kept by
//! name, with its signed effect, so that sums and differences add or cancel it as they should.
//! Leaves to others: which errors there are (`instrument`, `measure`).

use std::sync::Arc;

use super::unit::Unit;

/// Factor from a standard uncertainty to a 95 % interval of a normal error.
///
/// # Source
/// JCGM 100:2008, table G.1 (normal distribution, 95 %: 1.960).
pub const COVERAGE_95: f64 = 1.959_963_984_540_054;

/// Name of an error that several readings share, such as `zero 3` or `box temperature cabin`.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ErrorSource(Arc<str>);

impl ErrorSource {
    /// Names a shared error.
    pub fn new(name: impl AsRef<str>) -> Self {
        Self(Arc::from(name.as_ref()))
    }

    /// Returns the name.
    pub fn name(&self) -> &str {
        &self.0
    }
}

/// A value ± its standard uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Uncertain<U> {
    value: U,
    /// Standard uncertainty of what this value shares with no other.
    own: f64,
    /// Signed effect of one standard deviation of each shared error; sorted by source, no source twice.
    shared: Vec<(ErrorSource, f64)>,
}

impl<U: Unit> Uncertain<U> {
    /// Makes a value with an error of its own, given as a standard uncertainty (its sign is ignored).
    pub fn new(value: U, own: U) -> Self {
        Self { value, own: own.base().abs(), shared: Vec::new() }
    }

    /// Makes a value without uncertainty.
    pub fn exact(value: U) -> Self {
        Self { value, own: 0.0, shared: Vec::new() }
    }

    /// Adds a shared error: `effect` is what one standard deviation of it does to this value, signed.
    #[must_use]
    pub fn with_shared(mut self, source: ErrorSource, effect: U) -> Self {
        self.add_share(source, effect.base());
        self
    }

    /// Adds a further error of its own, a standard uncertainty.
    #[must_use]
    pub fn with_own(mut self, own: U) -> Self {
        self.own = self.own.hypot(own.base());
        self
    }

    fn add_share(&mut self, source: ErrorSource, effect: f64) {
        match self.shared.binary_search_by(|(known, _)| known.cmp(&source)) {
            Ok(at) => {
                if let Some((_, sum)) = self.shared.get_mut(at) {
                    *sum += effect;
                }
            }
            Err(at) => self.shared.insert(at, (source, effect)),
        }
    }

    /// Returns the best value.
    pub fn value(&self) -> U {
        self.value
    }

    /// Returns the standard uncertainty of what this value shares with no other.
    pub fn own(&self) -> U {
        U::from_base(self.own)
    }

    /// Returns the shared errors with their signed effects, sorted by name.
    pub fn shared(&self) -> impl Iterator<Item = (&ErrorSource, U)> {
        self.shared.iter().map(|(source, effect)| (source, U::from_base(*effect)))
    }

    /// Returns the combined standard uncertainty (root sum of squares; JCGM 100:2008, 5.1.2).
    pub fn u(&self) -> U {
        let shared: f64 = self.shared.iter().map(|(_, effect)| effect * effect).sum();
        U::from_base(self.own.mul_add(self.own, shared).sqrt())
    }

    /// Returns the lower end of the 95 % interval.
    pub fn low(&self) -> U {
        U::from_base(self.value.base() - COVERAGE_95 * self.u().base())
    }

    /// Returns the upper end of the 95 % interval.
    pub fn high(&self) -> U {
        U::from_base(self.value.base() + COVERAGE_95 * self.u().base())
    }

    /// Returns the covariance with another value, in the product of both base units: only shared errors count.
    pub fn covariance<V: Unit>(&self, other: &Uncertain<V>) -> f64 {
        let find = |source: &ErrorSource| {
            let at = other.shared.binary_search_by(|(known, _)| known.cmp(source)).ok()?;
            other.shared.get(at).map(|(_, effect)| *effect)
        };
        self.shared.iter().filter_map(|(source, effect)| Some(effect * find(source)?)).sum()
    }

    /// Returns this value times an exact factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self {
            value: U::from_base(self.value.base() * factor),
            own: self.own * factor.abs(),
            shared: self.shared.iter().map(|(source, effect)| (source.clone(), effect * factor)).collect(),
        }
    }

    /// Returns the sum; shared errors of one name add with their signs.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let mut sum = self.clone();
        sum.value = U::from_base(self.value.base() + other.value.base());
        sum.own = self.own.hypot(other.own);
        for (source, effect) in &other.shared {
            sum.add_share(source.clone(), *effect);
        }
        sum
    }

    /// Returns the difference; a shared error of one name and size cancels.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        self.plus(&other.scaled(-1.0))
    }

    /// Returns the same uncertainty about another value, in another unit, by a first-order map:
    /// `slope` is the derivative of the new value by this one.
    pub fn mapped<V: Unit>(&self, value: V, slope: f64) -> Uncertain<V> {
        let scaled = self.scaled(slope);
        Uncertain { value, own: scaled.own, shared: scaled.shared }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Ampere;

    /// Ten branches of 20 mA with 5 % on each, by hand: 10 · 1 mA when the 5 % is one shared error,
    /// √10 · 1 mA when each has its own.
    #[test]
    fn a_shared_error_adds_where_own_errors_average_out() {
        let ma = Ampere::from_milli;
        let sum = |one: Uncertain<Ampere>| (1..10).fold(one.clone(), |sum, _| sum.plus(&one));
        let shared = sum(Uncertain::exact(ma(20.0)).with_shared(ErrorSource::new("make"), ma(1.0)));
        let own = sum(Uncertain::new(ma(20.0), ma(1.0)));
        assert!((shared.u().milli() - 10.0).abs() < 1e-9);
        assert!((own.u().milli() - 10.0_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_difference_cancels_what_both_share() {
        let zero = ErrorSource::new("zero");
        let a =
            Uncertain::new(Ampere::new(0.5), Ampere::new(0.003)).with_shared(zero.clone(), Ampere::new(0.1));
        let b = Uncertain::new(Ampere::new(0.1), Ampere::new(0.004)).with_shared(zero, Ampere::new(0.1));
        let fall = a.minus(&b);
        assert!((fall.value().base() - 0.4).abs() < 1e-12);
        assert!((fall.u().base() - 0.005).abs() < 1e-12);
        assert!((a.covariance(&b) - 0.01).abs() < 1e-12);
    }
}
