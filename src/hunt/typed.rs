//! What is typed where a reading is due, as entries.
//! Leaves to others: how a line reads (`session/typed`), whether the reading makes sense (`reading/doubt`).

use super::Taken;
use super::question::Wanted;
use crate::fault::Fault;
use crate::quantity::parse::Readable;
use crate::quantity::{Ampere, Volt};
use crate::reading::What;
use crate::reading::kind::Kind;
use crate::session::case::Case;
use crate::session::entry::Body;
use crate::session::typed::{self, Proposed};

/// Makes the entry of a reading, with its context.
pub fn measured(case: &Case, what: What, after_repair: bool) -> Body {
    Body::Reading(Box::new(typed::measured(case, what, after_repair)))
}

/// Takes a total.
pub fn measured_total(case: &Case, text: &str, as_found: bool, after_repair: bool) -> Taken {
    match Ampere::read(text, "mA") {
        Ok(current) => Taken::entry(measured(case, What::Total { current, as_found }, after_repair)),
        Err(fault) => Taken::refuse(fault.to_string()),
    }
}

/// Takes battery volts.
pub fn volts_entry(text: &str) -> Taken {
    match Volt::read(text, "V") {
        Ok(volts) => Taken::entry(Body::Volts { volts }),
        Err(fault) => Taken::refuse(fault.to_string()),
    }
}

/// Reads a line where `wanted` is proposed.
///
/// # Errors
/// The line is none of the known forms, names nothing on the map, or its values cannot be read.
pub fn read(case: &Case, text: &str, wanted: Option<&Wanted>) -> Result<Vec<Body>, Fault> {
    typed::read_line(case, text, wanted.and_then(proposed).as_ref())
}

/// Returns the reading that a bare value stands for; `None` where the stage of the question takes it itself.
fn proposed(wanted: &Wanted) -> Option<Proposed> {
    let plain = |kind, names: &[&str]| Proposed {
        kind,
        names: names.iter().map(|name| (*name).to_owned()).collect(),
        as_found: false,
        after_repair: false,
    };
    Some(match wanted {
        Wanted::Zero => plain(Kind::Zero, &[]),
        Wanted::Total { as_found, after_repair } => {
            Proposed { as_found: *as_found, after_repair: *after_repair, ..plain(Kind::Total, &[]) }
        }
        Wanted::Drop(at) => plain(Kind::Drop, &[at]),
        Wanted::Step(at) => plain(Kind::Step, &[at]),
        Wanted::Clamp(at) => plain(Kind::Clamp, &[at]),
        Wanted::Pull(at) => plain(Kind::Pull, &[at]),
        Wanted::Refit(at) => plain(Kind::Refit, &[at]),
        Wanted::Unplug(at) => {
            let (feed, load) = at.split_once('/').unwrap_or((at, ""));
            plain(Kind::Unplug, &[feed, load])
        }
        Wanted::Input(at) => plain(Kind::Input, &[at]),
        Wanted::Temperature | Wanted::Volts | Wanted::VoltsRunning => return None,
    })
}
