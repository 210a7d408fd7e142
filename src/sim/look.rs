//! What a look at a load finds on a practice vehicle: a lamp lit or dark, anything else warm or cold; looks err as people do.
//! Leaves to others: the currents (`flow`).

use super::constants as k;
use super::flow::load_currents;
use super::vehicle::Vehicle;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Unit};
use crate::circuit::loads::Catalogue;

impl Vehicle {
    /// Looks at a load written `FEED/LOAD`, or feels it: the word for what was found.
    ///
    /// # Errors
    /// No such load on that feed by the map.
    pub(super) fn look(&mut self, at: &str) -> Result<&'static str, Diagnostic> {
        let (feed, name) = at.split_once('/').unwrap_or((at, ""));
        let index = self.load(feed, name)?;
        self.pass(k::MINUTES_LOOK);
        let listed = self.map.feeds.iter().filter(|found| found.id == feed).flat_map(|found| &found.loads);
        let kind =
            listed.filter(|load| load.name == name).find_map(|load| Catalogue::builtin().get(&load.kind));
        let is_lamp = kind.is_some_and(|kind| kind.cause == "lamp");
        let draws = if self.state.unplugged.contains(&index) { Ampere::ZERO } else { self.draws(index) };
        let (low, high) =
            if is_lamp { (k::LAMP_DARK_BELOW, k::LAMP_LIT_FROM) } else { (k::COLD_BELOW, k::WARM_FROM) };
        let (missed, mistaken) = if is_lamp { k::LAMP_ERRORS } else { k::WARMTH_ERRORS };
        let watts = draws.base() * self.map.system.base();
        // Between the two it is seen the more often the more it draws.
        let shown = ((watts - low) / (high - low)).clamp(0.0, 1.0);
        let chance = mistaken + shown * (1.0 - missed - mistaken);
        Ok(match (is_lamp, self.kit.is_found(chance, self.now(), &format!("{feed}/{name}"))) {
            (true, true) => "lit",
            (true, false) => "dark",
            (false, true) => "warm",
            (false, false) => "cold",
        })
    }

    fn draws(&self, index: usize) -> Ampere {
        load_currents(&self.wiring, &self.causes, &self.state).get(index).copied().unwrap_or_default()
    }
}
