//! The text of a reading: what was measured, with the context that a later version needs to compute it anew. Which
//! fields a kind has stands in its row of the table of kinds.
//! Leaves to others: entries of other kinds (`schema`), what a reading says (`measure`).

use super::fields::{Fields, Given};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Celsius, Unit};
use crate::log::entry::Measured;
use crate::measure::Measurement;
use crate::measure::kind::{Bare, MeasurementKind, MeasurementParts, Slot, SlotValue, TypedSlot};

/// Adds the fields of a reading.
pub(super) fn write(fields: &mut Fields, measured: &Measured) {
    let parts = measured.what.parts();
    let row = parts.kind.row();
    for (key, name) in row.target.keys().iter().zip(&parts.names) {
        fields.text(key, name);
    }
    for (slot, value) in row.slots.iter().zip(&parts.values) {
        match value {
            TypedSlot::Volt(typed) => fields.typed(slot.key, typed),
            TypedSlot::Ampere(typed) => fields.typed(slot.key, typed),
            TypedSlot::Celsius(typed) => fields.typed(slot.key, typed),
            TypedSlot::Minute(typed) => fields.typed(slot.key, typed),
            TypedSlot::Flag(flag) => fields.flag(slot.key, *flag),
            TypedSlot::Word(word) => fields.text(slot.key, word),
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
pub(super) fn read(entry: &str, given: Given) -> Result<Option<Measured>, Diagnostic> {
    let Some(kind) = MeasurementKind::of_entry(entry) else { return Ok(None) };
    let row = kind.row();
    let names = row.target.keys().iter().map(|key| given.text(key)).collect::<Result<_, _>>()?;
    let values = row.slots.iter().map(|slot| value(slot, given)).collect::<Result<_, _>>()?;
    let Some(what) = Measurement::build(MeasurementParts { kind, names, values }) else { return Ok(None) };
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

fn value(slot: &Slot, given: Given) -> Result<TypedSlot, Diagnostic> {
    Ok(match slot.value {
        SlotValue::Flag(_) => TypedSlot::Flag(given.flag(slot.key)?),
        SlotValue::Word(_) => TypedSlot::Word(given.text(slot.key)?),
        SlotValue::Number(Bare::MilliVolt | Bare::Volt) => TypedSlot::Volt(given.typed(slot.key)?),
        SlotValue::Number(Bare::MilliAmpere | Bare::Ampere) => TypedSlot::Ampere(given.typed(slot.key)?),
        SlotValue::Number(Bare::Celsius) => TypedSlot::Celsius(given.typed(slot.key)?),
        SlotValue::Number(Bare::Minute) => TypedSlot::Minute(given.typed(slot.key)?),
    })
}
