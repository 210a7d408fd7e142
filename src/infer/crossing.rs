//! Two causes crossed: what the readings make of what both add, under each assumption about a bad reading, whatever their
//! sizes. Leaves to others: sizes and weights (`pair`), the arithmetic (`joint`).

use std::borrow::Cow;
use std::cell::OnceCell;

use super::hypothesis::signals;
use super::joint::Joint;
use super::null_model::NullModel;
use super::posterior::{Frame, ScoredHypothesis};
use crate::base::numeric::gaussian::Direction;

/// A frame of a first cause and a pattern of a second one.
pub struct Crossing<'a> {
    /// Which of the first cause's frames.
    pub frame: usize,
    /// Which of the second cause's patterns.
    pub pattern: usize,
    /// Largest log density that any two amplitudes could have, under any assumption about a bad reading.
    pub top: f64,
    within: &'a Frame,
    own: &'a Direction,
    other: Cow<'a, Direction>,
    views: OnceCell<Vec<Under>>,
}

/// A crossing under one assumption about a bad reading.
pub struct Under {
    /// Which assumption.
    pub view: usize,
    /// Products of the two directions.
    pub joint: Joint,
    /// Largest gain that any two amplitudes could have.
    pub bound: f64,
    /// Largest log density that they could have.
    pub most: f64,
    /// Σ⁻¹d of the second cause at the bad reading.
    pub second_at_wild: f64,
}

/// Crosses each frame of a cause with each pattern of another one.
pub fn crossings<'a>(
    first: &'a ScoredHypothesis,
    second: &'a ScoredHypothesis,
    null: &NullModel,
) -> Vec<Crossing<'a>> {
    let mut found = Vec::new();
    for (frame, within) in first.frames.iter().enumerate() {
        let Some(own) = within.direction.as_deref() else { continue };
        for (pattern, their) in second.hypothesis.patterns.iter().enumerate() {
            let ready = second.plain_direction(pattern).filter(|_| within.spread.is_empty());
            let other = ready.map_or_else(
                || {
                    let signals = signals(second.hypothesis.cause, &their.excess, &null.rows);
                    Cow::Owned(within.gaussian.direction(&null.along(&signals)))
                },
                Cow::Borrowed,
            );
            let top = top(within, own, &other);
            found.push(Crossing { frame, pattern, top, within, own, other, views: OnceCell::new() });
        }
    }
    found
}

fn top(within: &Frame, own: &Direction, other: &Direction) -> f64 {
    let each = Joint::under_each(within.gaussian.views(), own, other);
    each.map(|(view, joint)| view.ln_density + joint.bound()).fold(f64::NEG_INFINITY, f64::max)
}

impl Crossing<'_> {
    /// Returns it under every assumption.
    pub fn views(&self) -> &[Under] {
        self.views.get_or_init(|| {
            let each = Joint::under_each(self.within.gaussian.views(), self.own, &self.other);
            each.zip(self.other.all_at_wild())
                .enumerate()
                .map(|(number, ((view, joint), second_at_wild))| {
                    let bound = joint.bound();
                    Under { view: number, joint, bound, most: view.ln_density + bound, second_at_wild }
                })
                .collect()
        })
    }
}
