//! Which meter a current was read with: the clamp, or from the answer on that the total is read in series an ammeter,
//! told by the last digit of what was typed. One meter's errors are never put to another's readings.
//! Leaves to others: the figures (`circuit/meters`), what they do to a reading (`instrument`).

use super::case::{Case, Stamp};
use super::question_id::QuestionId;
use crate::base::quantity::{Ampere, Typed};
use crate::circuit::meters;
use crate::instrument::profile::{Profile, Way};
use crate::measure::Measurement;

/// The answer that the total is read in series.
pub const SERIES: &str = "series";
/// Last digit of an ammeter as a car is read with it, before anything was read. Editorial: its 10 A range.
const USUAL_DIGIT: Ampere = Ampere::from_milli(1.0);

impl Case {
    /// Returns what the total is read with as things stand: its figures are those of the newest total read so.
    pub fn ammeter(&self) -> Profile {
        if !self.in_series(None) {
            return self.opened.clamp.clone();
        }
        let newest = self.readings.iter().rev().find(|reading| reading.clamp.way == Way::Series);
        let usual = || meters::in_series(self.map.scaled(USUAL_DIGIT));
        newest.map(|reading| reading.clamp.clone()).or_else(usual).unwrap_or_else(|| self.opened.clamp.clone())
    }

    /// Returns what a reading that is entered as this entry, or next, was read with, if it is one of a current.
    pub fn read_with(&self, what: &Measurement, stamp: Option<Stamp>) -> Profile {
        let digit = digit(what).filter(|_| self.in_series(stamp));
        digit.and_then(meters::in_series).unwrap_or_else(|| self.opened.clamp.clone())
    }

    /// Whoever named an ammeter when the log was opened has its figures already.
    fn in_series(&self, stamp: Option<Stamp>) -> bool {
        let said = match stamp {
            None => self.answer(QuestionId::HookUpMethod),
            Some(stamp) => {
                self.answered_before(QuestionId::HookUpMethod, stamp).map(|said| said.what.text.as_str())
            }
        };
        self.opened.clamp.way == Way::Clamp && said == Some(SERIES)
    }
}

/// Returns the last digit of a current that goes through the ammeter; `None` for all that is read otherwise.
fn digit(what: &Measurement) -> Option<Ampere> {
    let finer = |one: &Typed<Ampere>, other: &Typed<Ampere>| Ampere::new(one.step.min(other.step));
    match what {
        Measurement::Total { current, as_found: false } | Measurement::Watch { current } => {
            Some(Ampere::new(current.step))
        }
        Measurement::Refit { total, .. } => Some(Ampere::new(total.step)),
        Measurement::Pull { before, after, .. }
        | Measurement::Unplug { before, after, .. }
        | Measurement::Input { before, after, .. } => Some(finer(before, after)),
        _ => None,
    }
}
