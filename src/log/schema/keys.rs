//! The keys of each kind of entry, in the order in which they are written; a reading's are made from the table of kinds.
//! Held against what is written by a test over every kind. Leaves to others: their JSON Schema (`render/schema`).

use self::Form::{Flag, List, Map, Number, Profile, Temperatures, Text, Typed, Whole};
use self::Presence::{Always, If, OrNull};
use crate::base::quantity::{Ampere, Celsius, Minute, Unit, Volt};
use crate::log::identity::IdentityKey;
use crate::measure::kind::{Bare, MeasurementKind, SlotValue, TargetKind};

/// One key of an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EntryKey {
    /// Its name.
    pub name: &'static str,
    /// What stands there.
    pub form: Form,
    /// Whether it is there.
    pub presence: Presence,
}

/// What stands at a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// A text.
    Text,
    /// A value as it was typed, understood in this unit.
    Typed(&'static str),
    /// A number.
    Number,
    /// A whole number from 0.
    Whole,
    /// True; where it is not, the key is left out.
    Flag,
    /// All figures of a meter.
    Profile,
    /// Temperatures, each of a box or of all.
    Temperatures,
    /// A circuit map.
    Map,
    /// A list of mappings that have these keys.
    List(&'static [EntryKey]),
}

/// Whether a key is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Presence {
    /// Always.
    Always,
    /// Always, but it may be null.
    OrNull,
    /// Only where there is something to say.
    If,
}

const fn key(name: &'static str, form: Form, presence: Presence) -> EntryKey {
    EntryKey { name, form, presence }
}

/// The kind of the first entry.
pub const OPEN: &str = "open";

const EVENTS: [(&str, &[EntryKey]); 10] = [
    (
        OPEN,
        &[
            key("format", Text, Always),
            key("program", Text, Always),
            key("tables", Text, Always),
            key("meter", Profile, Always),
            key("clamp", Profile, Always),
            key("temperatures", Temperatures, If),
            key("limit", Typed(Ampere::SYMBOL), If),
            key("reserve", Typed(Minute::SYMBOL), If),
            key("practice", Whole, If),
            key("map", Map, Always),
        ],
    ),
    ("answer", &[key("question", Text, Always), key("answer", Text, Always)]),
    ("skip", &[key("question", Text, Always), key("reason", Text, Always)]),
    ("meter", &[key("meter", Profile, Always)]),
    ("disturb", &[key("what", Text, Always)]),
    ("note", &[key("text", Text, Always)]),
    ("limit", &[key("limit", Typed(Ampere::SYMBOL), Always), key("source", Text, Always)]),
    ("feed", &[key("box", Text, If), key("line", Text, Always)]),
    ("strike", &[key("target", Whole, Always), key("why", Text, Always)]),
    (
        "watched",
        &[
            key("file", Text, Always),
            key("start", Text, If),
            key("span_min", Number, Always),
            key("rests_after_min", Number, OrNull),
            key("level_ma", Number, OrNull),
            key("average_ma", Number, OrNull),
            key("period_min", Number, OrNull),
            key("regular", Flag, If),
            key("away", Number, Always),
            key("count", Whole, Always),
            key("departures", List(&DEPARTURE), Always),
            key("held_min", Number, If),
            key("ledger", List(&LEDGER_LINE), If),
            key("curve", List(&CURVE_PART), If),
            key("channels", List(&CHANNEL), If),
        ],
    ),
];

/// The context of a reading.
const CONTEXT: [EntryKey; 6] = [
    key("meter", Text, Always),
    key("zero", Whole, OrNull),
    key("temperature_c", Number, If),
    key("provisional", Flag, If),
    key("after_repair", Flag, If),
    key("why", Text, If),
];

/// The keys of a departure: when something woke, how long and how much.
const DEPARTURE: [EntryKey; 4] = [
    key("after_min", Number, Always),
    key("seconds", Number, Always),
    key("peak_ma", Number, Always),
    key("charge_mah", Number, Always),
];

/// The keys of a line of a charge ledger.
const LEDGER_LINE: [EntryKey; 8] = [
    key("what", Text, Always),
    key("times", Whole, Always),
    key("period_min", Number, OrNull),
    key("seconds", Number, Always),
    key("peak_ma", Number, Always),
    key("rise_ma", Number, Always),
    key("charge_mah", Number, Always),
    key("first_min", Number, Always),
];

/// The keys of a part of the curve.
const CURVE_PART: [EntryKey; 3] =
    [key("after_min", Number, Always), key("low_ma", Number, Always), key("high_ma", Number, Always)];

/// The keys of a column logged beside the total.
const CHANNEL: [EntryKey; 7] = [
    key("name", Text, Always),
    key("share", Number, Always),
    key("carries", Whole, Always),
    key("with", Whole, Always),
    key("first", Whole, Always),
    key("unclear", Whole, Always),
    key("lead_s", Number, OrNull),
];

/// Returns every kind with its keys; `at`, `entry` and `seal` are in every entry, `with` in some.
pub fn kinds() -> Vec<(&'static str, Vec<EntryKey>)> {
    let events = EVENTS.iter().map(|(kind, keys)| (*kind, keys.to_vec()));
    let identity = IdentityKey::ALL.iter().map(|part| key(part.name(), Text, If)).collect();
    let weights = vec![key("cases", Whole, Always), key("shares", Text, Always)];
    let events = events.chain([("vehicle", identity), ("weights", weights)]);
    events.chain(MeasurementKind::ALL.map(|kind| (kind.row().entry, measured(kind)))).collect()
}

fn measured(kind: MeasurementKind) -> Vec<EntryKey> {
    use MeasurementKind::{Temperature, Volts, Zero};
    let row = kind.row();
    let named = if row.target == TargetKind::BoxIfAny { If } else { Always };
    let names = row.target.keys().iter().map(|name| key(name, Text, named));
    let values = row.slots.iter().map(|slot| match slot.value {
        SlotValue::Flag(_) => key(slot.key, Flag, If),
        SlotValue::Word(_) => key(slot.key, Text, Always),
        SlotValue::Number(Bare::MilliVolt | Bare::Volt) => key(slot.key, Typed(Volt::SYMBOL), Always),
        SlotValue::Number(Bare::MilliAmpere | Bare::Ampere) => key(slot.key, Typed(Ampere::SYMBOL), Always),
        SlotValue::Number(Bare::Celsius) => key(slot.key, Typed(Celsius::SYMBOL), Always),
        SlotValue::Number(Bare::Minute) => key(slot.key, Typed(Minute::SYMBOL), Always),
    });
    // These three say something of readings and are none themselves.
    let context = if matches!(kind, Zero | Temperature | Volts) { &[][..] } else { &CONTEXT };
    names.chain(values).chain(context.iter().copied()).collect()
}
