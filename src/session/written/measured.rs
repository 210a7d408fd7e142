//! The text of a reading: what was measured, with the context that a later version needs to compute it anew.
//! Leaves to others: entries of other kinds (`written`), what a reading says (`reading`).

use super::fields::{Fields, Given};
use crate::fault::Fault;
use crate::quantity::{Celsius, Unit};
use crate::reading::What;
use crate::session::entry::Measured;

/// Returns the kind of a reading, as written.
pub(super) fn kind(what: &What) -> &'static str {
    match what {
        What::Total { .. } => "total",
        What::Watch { .. } => "watch",
        What::Drop { .. } => "drop",
        What::Pull { .. } => "pull",
        What::Refit { .. } => "refit",
        What::Clamp { .. } => "clamp",
        What::Unplug { .. } => "unplug",
        What::Input { .. } => "input",
        What::Step { .. } => "step",
    }
}

/// Adds the fields of a reading.
pub(super) fn write(fields: &mut Fields, measured: &Measured) {
    match &measured.what {
        What::Total { current, as_found } => {
            fields.typed("current", current);
            fields.flag("as_found", *as_found);
        }
        What::Watch { current } => fields.typed("current", current),
        What::Drop { feed, drop } => {
            fields.text("feed", feed);
            fields.typed("drop", drop);
        }
        What::Pull { feed, before, after } => {
            fields.text("feed", feed);
            fields.typed("before", before);
            fields.typed("after", after);
        }
        What::Refit { feed, total } => {
            fields.text("feed", feed);
            fields.typed("current", total);
        }
        What::Clamp { at, current } => {
            fields.text("branch", at);
            fields.typed("current", current);
        }
        What::Unplug { feed, load, before, after } => {
            fields.text("feed", feed);
            fields.text("load", load);
            fields.typed("before", before);
            fields.typed("after", after);
        }
        What::Input { input, before, after } => {
            fields.text("input", input);
            fields.typed("before", before);
            fields.typed("after", after);
        }
        What::Step { feed, before, after, current } => {
            fields.text("feed", feed);
            fields.typed("before", before);
            fields.typed("after", after);
            fields.typed("current", current);
        }
    }
    fields.text("meter", &measured.meter);
    fields.number_or_null("zero", measured.zero);
    if let Some(temperature) = measured.temperature {
        fields.value("temperature_c", temperature.base());
    }
    fields.flag("provisional", measured.provisional);
    fields.flag("after_repair", measured.after_repair);
}

/// Reads a reading; `None` if the kind is none of the readings.
pub(super) fn read(kind: &str, given: Given) -> Result<Option<Measured>, Fault> {
    let what = match kind {
        "total" => What::Total { current: given.typed("current")?, as_found: given.flag("as_found")? },
        "watch" => What::Watch { current: given.typed("current")? },
        "drop" => What::Drop { feed: given.text("feed")?, drop: given.typed("drop")? },
        "pull" => What::Pull {
            feed: given.text("feed")?,
            before: given.typed("before")?,
            after: given.typed("after")?,
        },
        "refit" => What::Refit { feed: given.text("feed")?, total: given.typed("current")? },
        "clamp" => What::Clamp { at: given.text("branch")?, current: given.typed("current")? },
        "unplug" => What::Unplug {
            feed: given.text("feed")?,
            load: given.text("load")?,
            before: given.typed("before")?,
            after: given.typed("after")?,
        },
        "input" => What::Input {
            input: given.text("input")?,
            before: given.typed("before")?,
            after: given.typed("after")?,
        },
        "step" => What::Step {
            feed: given.text("feed")?,
            before: given.typed("before")?,
            after: given.typed("after")?,
            current: given.typed("current")?,
        },
        _ => return Ok(None),
    };
    let temperature =
        given.value_if("temperature_c").map(|_| given.number("temperature_c")).transpose()?.map(Celsius::new);
    Ok(Some(Measured {
        what,
        meter: given.text("meter")?,
        zero: given.entry_if("zero")?,
        temperature,
        provisional: given.flag("provisional")?,
        after_repair: given.flag("after_repair")?,
    }))
}
