//! The text of a reading: what was measured, with the context that a later version needs to compute it anew. Which
//! fields a kind has stands in its row of the table of kinds.
//! Leaves to others: entries of other kinds (`written`), what a reading says (`reading`).

use super::fields::{Fields, Given};
use crate::fault::Fault;
use crate::quantity::{Celsius, Unit};
use crate::reading::What;
use crate::reading::kind::{Bare, Kind, Parts, Slot, SlotValue, Value};
use crate::session::entry::Measured;

/// Adds the fields of a reading.
pub(super) fn write(fields: &mut Fields, measured: &Measured) {
    let parts = measured.what.parts();
    let row = parts.kind.row();
    for (key, name) in row.target.keys().iter().zip(&parts.names) {
        fields.text(key, name);
    }
    for (slot, value) in row.slots.iter().zip(&parts.values) {
        match value {
            Value::Volt(typed) => fields.typed(slot.key, typed),
            Value::Ampere(typed) => fields.typed(slot.key, typed),
            Value::Celsius(typed) => fields.typed(slot.key, typed),
            Value::Flag(flag) => fields.flag(slot.key, *flag),
        }
    }
    fields.text("meter", &measured.meter);
    fields.number_or_null("zero", measured.zero);
    if let Some(temperature) = measured.temperature {
        fields.value("temperature_c", temperature.base());
    }
    fields.flag("provisional", measured.provisional);
    fields.flag("after_repair", measured.after_repair);
    fields.text_if("why", measured.why.as_deref());
}

/// Reads a reading; `None` if the kind is none of the readings.
pub(super) fn read(entry: &str, given: Given) -> Result<Option<Measured>, Fault> {
    let Some(kind) = Kind::of_entry(entry) else { return Ok(None) };
    let row = kind.row();
    let names = row.target.keys().iter().map(|key| given.text(key)).collect::<Result<_, _>>()?;
    let values = row.slots.iter().map(|slot| value(slot, given)).collect::<Result<_, _>>()?;
    let Some(what) = What::build(Parts { kind, names, values }) else { return Ok(None) };
    let temperature =
        given.value_if("temperature_c").map(|_| given.number("temperature_c")).transpose()?.map(Celsius::new);
    Ok(Some(Measured {
        what,
        meter: given.text("meter")?,
        zero: given.entry_if("zero")?,
        temperature,
        provisional: given.flag("provisional")?,
        after_repair: given.flag("after_repair")?,
        why: given.text_if("why")?,
    }))
}

fn value(slot: &Slot, given: Given) -> Result<Value, Fault> {
    Ok(match slot.value {
        SlotValue::Flag(_) => Value::Flag(given.flag(slot.key)?),
        SlotValue::Number(Bare::MilliVolt | Bare::Volt) => Value::Volt(given.typed(slot.key)?),
        SlotValue::Number(Bare::MilliAmpere | Bare::Ampere) => Value::Ampere(given.typed(slot.key)?),
        SlotValue::Number(Bare::Celsius) => Value::Celsius(given.typed(slot.key)?),
    })
}
