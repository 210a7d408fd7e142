//! Lasting steps from level to level, as modules fall asleep one after another.
//! Leaves to others: the levels (`level`), the rest (`rest`), which module it was (`known`).

use super::level::Level;
use super::rest;
use crate::base::quantity::{Ampere, Minute, Unit};

/// A lasting change of the level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelStep {
    /// When, counted from the first sample.
    pub at: Minute,
    /// Level before.
    pub from: Ampere,
    /// Level after.
    pub to: Ampere,
}

/// Levels no shorter than this, in seconds, are lasting ones. Editorial: the quickest modules of the trade's tables
/// fall asleep 10 to 40 s one after another.
pub(super) const LASTING: f64 = 30.0;

/// Returns the lasting steps among the levels before the rest, and the step into it.
pub(super) fn steps(
    before: &[Level],
    rest: Option<(&[Level], Ampere)>,
    step: Ampere,
    usual: f64,
) -> Vec<LevelStep> {
    let shortest = LASTING.max(2.0 * usual);
    // Stretches: when each begins, its charge and its time.
    let mut stretches: Vec<(f64, f64, f64)> = Vec::new();
    for level in before.iter().filter(|level| level.held >= shortest) {
        match stretches.last_mut() {
            Some((_, charge, held))
                if {
                    let mean = *charge / held.max(f64::MIN_POSITIVE);
                    (level.mean - mean).abs() <= rest::drift(mean, step.base())
                } =>
            {
                *charge += level.mean * level.held;
                *held += level.held;
            }
            _ => stretches.push((level.from, level.mean * level.held, level.held)),
        }
    }
    let mut lasting: Vec<(f64, f64)> = stretches
        .into_iter()
        .map(|(from, charge, held)| (from, charge / held.max(f64::MIN_POSITIVE)))
        .collect();
    if let Some((resting, current)) = rest {
        lasting.extend(resting.first().map(|level| (level.from, current.base())));
        // A rest that follows a short rise only, as at the very beginning, has come down from that.
        if let ([_], Some(short)) =
            (lasting.as_slice(), before.iter().map(|l| (l.from, l.mean)).reduce(highest))
        {
            lasting.insert(0, short);
        }
    }
    let pairs = lasting.iter().zip(lasting.iter().skip(1));
    pairs
        .map(|((_, from), (at, to))| LevelStep {
            at: Minute::new(at / 60.0),
            from: Ampere::new(*from),
            to: Ampere::new(*to),
        })
        .collect()
}

fn highest(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    if b.1 > a.1 { b } else { a }
}
