//! What planning looks at. Leaves to others: the plan (`next`, `looks`).

use super::candidate::Setting;
use crate::base::quantity::{Ampere, Uncertain};
use crate::circuit::id::BoxId;
use crate::infer::Inference;
use crate::infer::sign::Seen;
use crate::measure::event::InnerFall;
use crate::measure::observation::Observation;

/// Everything that planning looks at.
pub struct PlanView<'a> {
    /// What is fixed.
    pub setting: Setting<'a>,
    /// Causes as the readings weigh them.
    pub inference: &'a Inference,
    /// The excess that is looked for, with its uncertainty.
    pub excess: Option<Uncertain<Ampere>>,
    /// Box of the last reading.
    pub here: Option<BoxId>,
    /// Entries in doubt, whose reading may be repeated.
    pub doubtful: &'a [usize],
    /// What was read along a row and was not high.
    pub below: &'a [Observation],
    /// What was found without a figure.
    pub seen: &'a Seen,
    /// What was taken off inside unfused items.
    pub inside: Vec<&'a InnerFall>,
    /// True if the draw ended.
    pub ended: bool,
}
