//! The JSON shape of `convert`. Leaves to others: the conversion (`render/convert`).

use super::round;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::show::{Q, q};
use crate::render::convert::ConvertResult;
use crate::text::convert::remark;

shape! {
    /// What `convert` prints. Where no resistance is known the warning says what to do, and all else is null.
    ConvertShape(meant: Result<&ConvertResult, &Diagnostic>) [let known = meant.ok();] {
        current: Option<Q> = known.map(|meant| q(&meant.converted.current)),
        /// True if the drop is too small to tell.
        below_floor: Option<bool> = known.map(|meant| meant.converted.below_floor),
        /// Smallest current that the meter can show there.
        floor: Option<Q> = known.map(|meant| q(&meant.converted.floor)),
        /// Resistance of the fuse at its temperature.
        resistance_mohm: Option<f64> = known.map(|meant| round(meant.converted.resistance.milli(), 4)),
        /// What the resistance rests on.
        basis: Option<&'static str> = known.map(|meant| meant.resistance.basis.word()),
        warnings: Vec<String> = meant.map_or_else(|fault| vec![fault.to_string()], |meant| meant.warnings.clone()),
        sources: Vec<String> = known.map(|meant| meant.resistance.remarks.iter().map(remark).collect()).unwrap_or_default(),
    }
}
