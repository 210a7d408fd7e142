//! Once an item without a fuse, a load or a cable is found to draw: what is taken off inside it to tell which part it is.
//! Leaves to others: what can be taken off (`circuit/inside`), what a fall told (`measure`).

use super::looks::entropy;
use super::proposal::{Proposal, StepReason};
use super::view::PlanView;
use crate::base::quantity::Minute;
use crate::circuit::inside::{InnerPart, Whole};
use crate::measure::kind::MeasurementKind;

/// Returns what to take off next, in the order in which it is done; empty once it is known which part draws. Nothing is
/// taken off a cable that feeds what must not be without current.
pub(super) fn inside(whole: Whole, view: &PlanView) -> Vec<Proposal> {
    let map = &view.setting.panel.map;
    let name = whole.name(map);
    if matches!(whole, Whole::Cable(cable) if view.setting.panel.tree.guard_through(cable).is_some()) {
        return Vec::new();
    }
    let told: Vec<_> = view.inside.iter().filter(|fall| fall.whole == whole).collect();
    if told.iter().any(|fall| fall.is_it == Some(true)) {
        return Vec::new();
    }
    let is_open = |part: &&InnerPart| told.iter().all(|fall| fall.part.part != part.part);
    let open: Vec<&InnerPart> = whole.parts(map).into_iter().filter(is_open).collect();
    let excluded: f64 =
        told.iter().filter(|fall| fall.is_it == Some(false)).map(|fall| fall.part.share).sum();
    let one = |part: &InnerPart| {
        let at = format!("{name}/{}", part.part);
        (!view.setting.is_passed_over(MeasurementKind::Unplug, &at)).then(|| Proposal {
            action: MeasurementKind::Unplug,
            bits: entropy(part.share / (1.0 - excluded)),
            at: Some(at),
            minutes: Minute::new(part.minutes),
            floor: None,
            reason: StepReason::NarrowsInside,
        })
    };
    open.into_iter().filter_map(one).collect()
}
