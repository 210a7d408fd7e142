//! Fuses read along a row: quicker each, and typed together.
//! Leaves to others: what a fuse shows (`readings`), which fuses (`plan/round`).

use super::Vehicle;
use super::constants as k;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Typed, Volt};

impl Vehicle {
    /// Reads the drop across a fuse as one of several along a row: nothing is typed in between.
    ///
    /// # Errors
    /// As for [`Vehicle::drop`].
    pub fn drop_along(&mut self, feed: &str) -> Result<Typed<Volt>, Diagnostic> {
        let index = self.probed(feed)?;
        self.go_to(index);
        self.pass(k::MINUTES_IN_ROUND);
        Ok(self.see_drop(index, feed, Ampere::ZERO))
    }

    /// Lets the time go by in which is typed what was read along a row.
    pub fn type_round(&mut self) {
        self.pass(k::MINUTES_ROUND_TYPED);
    }
}
