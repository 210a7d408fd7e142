//! Parts of the practice vehicle's unfused items, loads and cables, taken off and put on. Leaves to others: what flows then (`flow`).

use super::constants as k;
use super::readings::BeforeAfter;
use super::vehicle::Vehicle;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Typed};
use crate::circuit::inside::{Whole, find_part};

impl Vehicle {
    /// Finds a part by its place among those of its whole that can be taken off.
    pub(super) fn inner_part(&self, whole: &str, part: &str) -> Option<(Whole, usize)> {
        let (whole, part) = find_part(whole, part, &self.map)?;
        let at = whole.parts(&self.map).iter().position(|known| known.part == part.part)?;
        Some((whole, at))
    }

    /// Takes a part off and leaves it so: totals before and after.
    pub(super) fn take_part_off(&mut self, part: (Whole, usize)) -> Result<BeforeAfter, Diagnostic> {
        if self.state.detached.contains(&part) {
            return Err(Diagnostic::new("that is off already"));
        }
        self.pass(k::MINUTES_UNPLUG - k::MINUTES_AFTER_PULL);
        let before = self.see_total();
        self.state.detached.insert(part);
        self.pass(k::MINUTES_AFTER_PULL);
        Ok((before, self.see_total()))
    }

    /// Puts a part on again: the total afterwards.
    pub(super) fn put_part_on(&mut self, part: (Whole, usize)) -> Result<Typed<Ampere>, Diagnostic> {
        if !self.state.detached.remove(&part) {
            return Err(Diagnostic::new("that is not off"));
        }
        self.pass(k::MINUTES_REPLUG);
        Ok(self.see_total())
    }
}
