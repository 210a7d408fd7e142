//! JSON Schema (draft 2020-12) of everything that is printed for programs, of the record, the log, maps and answers.
//! Made from the types and tables that write and read them.
//! Leaves to others: those types (`render/json`, `render/record`) and tables (`log/schema/keys`, `circuit/schema`).

use schemars::generate::SchemaSettings;
use schemars::transform::RecursiveTransform;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::{Map, Value};

use super::json::circuits::{MapListShape, MapShape};
use super::json::convert::ConvertShape;
use super::json::explain::{ExplainListShape, ExplainShape};
use super::json::guard::WakeShape;
use super::json::lessons::LessonsShape;
use super::json::log::{
    AddShape, CheckShape, HuntShape, ListShape, OpenShape, RecordWrittenShape, StrikeShape, UndoShape,
    WatchShape,
};
use super::json::practice::VehicleShape;
use super::json::score::ScoreShape;
use super::json::settle::SettleShape;
use super::json::sheet::{BayShape, SheetShape};
use super::json::stand::StandShape;
use super::json::suspects::{AccountShape, NextShape, SuspectsShape};
use super::record::RecordShape;
use crate::base::quantity::{Celsius, Unit};
use crate::circuit::check::Report;
use crate::circuit::schema as map;
use crate::log::entry::FORMAT;
use crate::log::schema::keys::{EntryKey, Form, OPEN, Presence, kinds};
use crate::log::seal::DIGITS;
use crate::text;

/// A schema: its name, and how it is made. What it is of: `text/record`.
pub type NamedSchema = (&'static str, fn(&mut SchemaGenerator) -> Schema);

/// Every schema. Those of commands are called like them, words joined by a hyphen.
pub const SCHEMAS: [NamedSchema; 32] = [
    ("hunt", of::<HuntShape>),
    ("open", of::<OpenShape>),
    ("add", of::<AddShape>),
    ("strike", of::<StrikeShape>),
    ("undo", of::<UndoShape>),
    ("list", of::<ListShape>),
    ("check", of::<CheckShape>),
    ("suspects", of::<SuspectsShape>),
    ("next", of::<NextShape>),
    ("account", of::<AccountShape>),
    ("convert", of::<ConvertShape>),
    ("sheet-map", of::<BayShape>),
    ("sheet", of::<SheetShape>),
    ("record", of::<RecordShape>),
    ("record-to", of::<RecordWrittenShape>),
    ("settle", of::<SettleShape>),
    ("watch", of::<WatchShape>),
    ("watch-wake", of::<WakeShape>),
    ("stand", of::<StandShape>),
    ("circuits-list", of::<MapListShape>),
    ("circuits-show", of::<MapShape>),
    ("circuits-check", of::<Report>),
    ("circuits-sketch", of::<MapShape>),
    ("practice", of::<VehicleShape>),
    ("practice-score", of::<ScoreShape>),
    ("explain", of::<ExplainShape>),
    ("explain-list", of::<ExplainListShape>),
    ("lessons", of::<LessonsShape>),
    ("schema", of::<SchemaListShape>),
    ("log", log),
    ("map", map::json_schema),
    ("answers", answers),
];

shape! {
    /// What `schema` prints without a name.
    SchemaListShape() {
        schemas: Vec<SchemaNameShape> = SCHEMAS.iter().map(SchemaNameShape::of).collect(),
    }

    /// One schema.
    SchemaNameShape(named: &NamedSchema) {
        name: &'static str = named.0,
        about: &'static str = text::record::schema(named.0),
    }
}

/// Returns a schema by its name.
pub fn schema(name: &str) -> Option<Schema> {
    let (name, make) = SCHEMAS.iter().find(|(known, _)| *known == name)?;
    let settings = SchemaSettings::draft2020_12().for_serialize();
    let mut generator = settings.with_transform(RecursiveTransform(closed)).into_generator();
    let mut schema = make(&mut generator);
    schema
        .insert("title".to_owned(), Value::from(format!("fusetrail {name}: {}", text::record::schema(name))));
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
    properties.extend(keyed(keys));
    if kind == OPEN {
        properties.insert("format".to_owned(), json_schema!({"const": FORMAT}).to_value());
    }
    properties.insert("seal".to_owned(), seal().to_value());
    object(properties, ["at", "entry"].into_iter().chain(there(keys)).chain(["seal"]).collect())
}

/// What stands at each key.
fn keyed(keys: &[EntryKey]) -> impl Iterator<Item = (String, Value)> {
    keys.iter().map(|key| {
        let mut value = form(key.form);
        if key.presence == Presence::OrNull {
            value = json_schema!({"anyOf": [value, {"type": "null"}]});
        }
        (key.name.to_owned(), value.to_value())
    })
}

/// The keys that are always there.
fn there(keys: &[EntryKey]) -> impl Iterator<Item = &'static str> {
    keys.iter().filter(|key| key.presence != Presence::If).map(|key| key.name)
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
        Form::List(keys) => {
            json_schema!({"type": "array", "items": object(keyed(keys).collect(), there(keys).collect())})
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
