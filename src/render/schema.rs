//! JSON Schema (draft 2020-12) of everything that is printed for programs, of the record, the log, maps and answers.
//! Made from the types and tables that write and read them.
//! Leaves to others: those types (`render/json`, `render/record`) and tables (`log/schema/keys`, `circuit/schema`).

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::{Map, Value};

use super::json::circuits::{MapListShape, MapShape};
use super::json::convert::ConvertShape;
use super::json::log::{
    AddShape, CheckShape, HuntShape, ListShape, OpenShape, RecordWrittenShape, StrikeShape, UndoShape,
    WatchShape,
};
use super::json::practice::VehicleShape;
use super::json::score::ScoreShape;
use super::json::settle::SettleShape;
use super::json::sheet::SheetShape;
use super::json::stand::StandShape;
use super::json::suspects::{AccountShape, NextShape, SuspectsShape};
use super::record::RecordShape;
use crate::base::quantity::{Celsius, Unit};
use crate::circuit::check::Report;
use crate::circuit::schema as map;
use crate::log::entry::FORMAT;
use crate::log::schema::keys::{DEPARTURE, EntryKey, Form, OPEN, Presence, kinds};
use crate::log::seal::DIGITS;

/// A schema: its name, what it is of, and how it is made.
pub type NamedSchema = (&'static str, &'static str, fn(&mut SchemaGenerator) -> Schema);

/// Every schema. Those of commands are called like them, words joined by a hyphen.
pub const SCHEMAS: [NamedSchema; 27] = [
    ("hunt", "how a hunt ended", of::<HuntShape>),
    ("open", "the entry that begins a log", of::<OpenShape>),
    ("add", "entries that were added, and what they come to", of::<AddShape>),
    ("strike", "an entry that was struck", of::<StrikeShape>),
    ("undo", "entries that were taken back", of::<UndoShape>),
    ("list", "the entries of a log", of::<ListShape>),
    ("check", "whether a log is whole", of::<CheckShape>),
    ("suspects", "who is to blame", of::<SuspectsShape>),
    ("next", "what to read next", of::<NextShape>),
    ("account", "where the total goes", of::<AccountShape>),
    ("convert", "a drop as a current", of::<ConvertShape>),
    ("sheet", "drops by current and rating", of::<SheetShape>),
    ("record", "the record, as JSON or YAML", of::<RecordShape>),
    ("record-to", "where the record was written", of::<RecordWrittenShape>),
    ("settle", "what a meter log shows", of::<SettleShape>),
    ("watch", "what was written down of a live meter", of::<WatchShape>),
    ("stand", "how long a battery stands", of::<StandShape>),
    ("circuits-list", "the built-in maps", of::<MapListShape>),
    ("circuits-show", "a map with every figure", of::<MapShape>),
    ("circuits-check", "faults and doubts of a map", of::<Report>),
    ("circuits-sketch", "the map made from a panel list", of::<MapShape>),
    ("practice", "a practice vehicle", of::<VehicleShape>),
    ("practice-score", "how well practice vehicles are hunted", of::<ScoreShape>),
    ("schema", "the names of the schemas", of::<SchemaListShape>),
    ("log", "a session log, as this version writes it", log),
    ("map", "a circuit map, as it is written by hand", map::json_schema),
    ("answers", "an answers file", answers),
];

shape! {
    /// What `schema` prints without a name.
    SchemaListShape() {
        schemas: Vec<SchemaNameShape> = SCHEMAS.iter().map(SchemaNameShape::of).collect(),
    }

    /// One schema.
    SchemaNameShape(named: &NamedSchema) {
        name: &'static str = named.0,
        about: &'static str = named.1,
    }
}

/// Returns a schema by its name.
pub fn schema(name: &str) -> Option<Schema> {
    let (name, about, make) = SCHEMAS.iter().find(|(known, ..)| *known == name)?;
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut generator = settings.with_transform(RecursiveTransform(closed)).into_generator();
    let mut schema = make(&mut generator);
    schema.insert("title".to_owned(), Value::from(format!("fusetrail {name}: {about}")));
    Some(schema)
}

fn of<T: JsonSchema>(generator: &mut SchemaGenerator) -> Schema {
    generator.root_schema_for::<T>()
}

/// A key that is not told is refused.
fn closed(schema: &mut Schema) {
    if schema.get("properties").is_some() && schema.get("additionalProperties").is_none() {
        schema.insert("additionalProperties".to_owned(), Value::Bool(false));
    }
}

/// The log: a sequence of entries, the first of which begins it. Kinds that are not known here may be a newer version's.
fn log(generator: &mut SchemaGenerator) -> Schema {
    let mut schema = map::json_schema(generator);
    let mut defs = schema.remove("$defs").unwrap_or_default();
    schema.remove("$schema");
    let mut rules = Vec::new();
    if let Value::Object(defs) = &mut defs {
        defs.insert("map".to_owned(), schema.to_value());
        defs.insert("profile".to_owned(), profile().to_value());
        for (kind, keys) in kinds() {
            defs.insert(format!("entry-{kind}"), entry(kind, &keys).to_value());
            if kind != OPEN {
                rules.push(json_schema!({
                    "if": {"required": ["entry"], "properties": {"entry": {"const": kind}}},
                    "then": {"$ref": format!("#/$defs/entry-{kind}")},
                }));
            }
        }
    }
    json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "array",
        "minItems": 1,
        "prefixItems": [{"$ref": format!("#/$defs/entry-{OPEN}")}],
        "items": {
            "type": "object",
            "required": ["at", "entry", "seal"],
            "properties": {"at": moment(), "entry": {"type": "string", "not": {"const": OPEN}}, "seal": seal()},
            "allOf": rules,
        },
        "$defs": defs,
    })
}

fn moment() -> Schema {
    json_schema!({"type": "string", "format": "date-time"})
}

fn seal() -> Schema {
    json_schema!({"type": "string", "pattern": format!("^[0-9a-f]{{{DIGITS}}}$")})
}

/// One kind of entry.
fn entry(kind: &str, keys: &[EntryKey]) -> Schema {
    let mut properties: Map<String, Value> = Map::new();
    properties.insert("at".to_owned(), moment().to_value());
    properties.insert("entry".to_owned(), json_schema!({"const": kind}).to_value());
    properties.insert("with".to_owned(), form(Form::Whole).to_value());
    for key in keys {
        let mut value = form(key.form);
        if key.presence == Presence::OrNull {
            value = json_schema!({"anyOf": [value, {"type": "null"}]});
        }
        properties.insert(key.name.to_owned(), value.to_value());
    }
    if kind == OPEN {
        properties.insert("format".to_owned(), json_schema!({"const": FORMAT}).to_value());
    }
    properties.insert("seal".to_owned(), seal().to_value());
    let there = keys.iter().filter(|key| key.presence != Presence::If).map(|key| key.name);
    object(properties, ["at", "entry"].into_iter().chain(there).chain(["seal"]).collect())
}

fn object(properties: Map<String, Value>, required: Vec<&str>) -> Schema {
    json_schema!({
        "type": "object", "properties": properties, "required": required, "additionalProperties": false,
    })
}

fn form(wanted: Form) -> Schema {
    match wanted {
        Form::Text => json_schema!({"type": "string"}),
        Form::Typed(unit) => typed(unit),
        Form::Number => json_schema!({"type": "number"}),
        Form::Whole => json_schema!({"type": "integer", "minimum": 0}),
        Form::Flag => json_schema!({"const": true}),
        Form::Profile => json_schema!({"$ref": "#/$defs/profile"}),
        Form::Map => json_schema!({"$ref": "#/$defs/map"}),
        Form::Temperatures => {
            let properties = [("box", form(Form::Text)), ("temperature", typed(Celsius::SYMBOL))];
            json_schema!({"type": "array", "items": object(named(properties), vec!["temperature"])})
        }
        Form::Departures => {
            let properties = named(DEPARTURE.map(|key| (key, form(Form::Number))));
            json_schema!({"type": "array", "items": object(properties, DEPARTURE.to_vec())})
        }
    }
}

fn named<const N: usize>(all: [(&str, Schema); N]) -> Map<String, Value> {
    all.into_iter().map(|(key, schema)| (key.to_owned(), schema.to_value())).collect()
}

/// A value as it was typed: its text, and what was understood, in base units.
fn typed(unit: &str) -> Schema {
    let properties = [
        ("typed", form(Form::Text)),
        ("value", form(Form::Number)),
        ("unit", json_schema!({"const": unit})),
        ("step", form(Form::Number)),
    ];
    object(named(properties), vec!["typed", "value", "unit", "step"])
}

fn profile() -> Schema {
    let properties = [
        ("name", form(Form::Text)),
        ("way", json_schema!({"enum": ["volts", "clamp", "series"]})),
        ("resolution", form(Form::Number)),
        ("percent", form(Form::Number)),
        ("counts", form(Form::Number)),
    ];
    object(named(properties), vec!["name", "way", "resolution", "percent", "counts"])
}

/// An answers file: question ids, in which `*` stands for any text, with an answer or answers used in turn. A number
/// with decimals has to be a text, since its last zeros say how finely the meter reads.
fn answers(_: &mut SchemaGenerator) -> Schema {
    let answer = json_schema!({"type": ["string", "boolean", "integer", "null"]});
    json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "type": "object",
        "additionalProperties": {"anyOf": [answer, {"type": "array", "items": answer}]},
    })
}
