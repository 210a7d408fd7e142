//! The written form of a circuit map: its keys as they stand in YAML, and the way back from a checked map to text.
//! Leaves to others: reading the keys (`parse`) and what they must satisfy (`check`).

use std::collections::BTreeMap;

use schemars::transform::{RecursiveTransform, Transform};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use serde_json::Value;

use super::id::FeedId;
use super::keys::range;
use super::map::{Feed, Load, Map, Unfused};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Unit;
use crate::base::yaml;

/// Format name of a map.
pub const FORMAT: &str = "fusetrail-map/1";

/// Parent that stands for the battery.
pub const BATTERY: &str = "battery";

/// A map as written. Numbers are in the unit that their key names.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub(super) struct MapSchema {
    #[schemars(required, extend("const" = FORMAT))]
    pub format: Option<String>,
    #[schemars(required)]
    pub title: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub class: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub system_v: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub model_year: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub batteries: Option<u16>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sleep_after_min: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_ma: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit_source: Option<String>,
    #[serde(serialize_with = "as_map", skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "BTreeMap<String, Option<BoxSchema>>")]
    pub boxes: Vec<(String, BoxSchema)>,
    #[serde(serialize_with = "as_map", skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "BTreeMap<String, GroupSchema>")]
    pub wake_groups: Vec<(String, GroupSchema)>,
    pub feeds: Vec<FeedSchema>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unfused: Vec<UnfusedSchema>,
}

/// A box as written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub(super) struct BoxSchema {
    #[serde(rename = "where", skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach_min: Option<f64>,
    /// Feed below which fuses hang that are added to this box.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
}

/// A wake group as written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub(super) struct GroupSchema {
    pub inputs: Vec<String>,
    /// True if no map lists it: all modules that name no other group belong to it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assumed: Option<bool>,
}

/// A feed as written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub(super) struct FeedSchema {
    #[schemars(required)]
    pub id: Option<String>,
    #[schemars(required)]
    pub from: Option<String>,
    #[serde(rename = "box", skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    #[schemars(required)]
    pub fuse: Option<FuseSchema>,
    /// True if nobody told the family.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub family_guessed: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub probe: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guard: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub loads: Vec<LoadSchema>,
}

/// A fuse as written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub(super) struct FuseSchema {
    #[schemars(required)]
    pub family: Option<String>,
    #[schemars(required)]
    pub rating_a: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub r_mohm: Option<f64>,
}

/// A load as written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
#[schemars(transform = or_its_name)]
pub(super) struct LoadSchema {
    #[schemars(required)]
    pub name: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// True if `kind` was guessed from the name when the map was checked first.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind_guessed: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asleep_ma: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub awake_ma: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sleeps_after_min: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wake_group: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub also_from: Vec<String>,
}

/// An unfused item as written.
#[derive(Debug, Clone, Default, PartialEq, Serialize, JsonSchema)]
pub(super) struct UnfusedSchema {
    #[schemars(required)]
    pub name: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub assumed: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub asleep_ma: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub awake_ma: Option<f64>,
}

/// A bare text is a load of that name.
fn or_its_name(schema: &mut Schema) {
    *schema = json_schema!({"anyOf": [{"type": "string"}, std::mem::take(schema)]});
}

/// Returns the JSON Schema of a map, numbers with the ranges in which they are taken. What must fit together within it
/// is told by `circuits check`.
pub fn json_schema(generator: &mut SchemaGenerator) -> Schema {
    let mut schema = generator.root_schema_for::<MapSchema>();
    RecursiveTransform(as_read).transform(&mut schema);
    schema
}

/// A whole number is taken as a text too, for fuses are often just numbered.
fn as_read(schema: &mut Schema) {
    match schema.get_mut("type") {
        Some(Value::String(word)) if word == "string" => {
            schema.insert("type".to_owned(), Value::from(vec!["string", "integer"]));
        }
        Some(Value::Array(all)) if all.iter().any(|word| word == "string") => {
            all.push(Value::from("integer"))
        }
        _ => {}
    }
    let properties = schema.get_mut("properties").and_then(Value::as_object_mut);
    for (key, value) in properties.into_iter().flatten() {
        if let (Some((least, most)), Value::Object(value)) = (range(key), value) {
            value.insert("minimum".to_owned(), Value::from(least));
            value.insert("maximum".to_owned(), Value::from(most));
        }
    }
}

/// Writes pairs as keys and values, in their order.
fn as_map<T: Serialize, S: Serializer>(pairs: &[(String, T)], out: S) -> Result<S::Ok, S::Error> {
    out.collect_map(pairs.iter().map(|(key, value)| (key, value)))
}

impl Map {
    /// Writes the map as YAML text of `fusetrail-map/1`, every figure and guess spelled out, so that a later
    /// version with another catalogue reads the same map.
    ///
    /// # Errors
    /// None that a checked map can cause.
    pub fn to_yaml(&self) -> Result<String, Diagnostic> {
        yaml::write(&self.written())
    }

    pub(super) fn written(&self) -> MapSchema {
        let name = |index: FeedId| self.feeds.get(index).map(|feed| feed.id.clone());
        let parent = |index: Option<FeedId>| index.and_then(name).or(Some(BATTERY.to_owned()));
        MapSchema {
            format: Some(FORMAT.to_owned()),
            title: Some(self.title.clone()),
            class: Some(self.class.name().to_owned()),
            system_v: Some(self.system.base()),
            model_year: self.year,
            batteries: self.told_batteries,
            sleep_after_min: self.sleep_after.map(Unit::base),
            limit_ma: self.limit.as_ref().map(|limit| thousandths(limit.current)),
            limit_source: self.limit.as_ref().map(|limit| limit.source.clone()),
            boxes: self
                .boxes
                .iter()
                .map(|b| {
                    let written = BoxSchema {
                        place: Some(b.place.clone()),
                        reach_min: Some(b.reach.base()),
                        from: b.supply.and_then(name),
                    };
                    (b.id.clone(), written)
                })
                .collect(),
            wake_groups: self
                .wake_groups
                .iter()
                .map(|group| {
                    let assumed = group.assumed.then_some(true);
                    (group.id.clone(), GroupSchema { inputs: group.inputs.clone(), assumed })
                })
                .collect(),
            feeds: self.feeds.iter().map(|feed| self.written_feed(feed, parent(feed.parent))).collect(),
            unfused: self.unfused.iter().map(|item| written_unfused(item, parent(item.parent))).collect(),
        }
    }

    fn written_feed(&self, feed: &Feed, from: Option<String>) -> FeedSchema {
        FeedSchema {
            id: Some(feed.id.clone()),
            from,
            place: self.box_of(feed).map(|b| b.id.clone()),
            fuse: Some(FuseSchema {
                family: Some(feed.fuse.family.name().to_owned()),
                rating_a: Some(feed.fuse.rating.base()),
                r_mohm: feed.fuse.own_resistance.map(thousandths),
            }),
            family_guessed: feed.family_guessed.then_some(true),
            probe: Some(feed.access.name().to_owned()),
            guard: Some(feed.hazard.map_or(UNGUARDED, |guard| guard.name()).to_owned()),
            loads: feed.loads.iter().map(|load| self.written_load(load)).collect(),
        }
    }

    fn written_load(&self, load: &Load) -> LoadSchema {
        LoadSchema {
            name: Some(load.name.clone()),
            kind: Some(load.kind.clone()),
            kind_guessed: load.kind_guessed.then_some(true),
            asleep_ma: Some(thousandths(load.asleep)),
            awake_ma: Some(thousandths(load.awake)),
            sleeps_after_min: Some(load.sleeps_after.base()),
            wake_group: load.wake_group.and_then(|group| self.wake_groups.get(group)).map(|g| g.id.clone()),
            also_from: load
                .also_from
                .iter()
                .filter_map(|feed| self.feeds.get(*feed))
                .map(|feed| feed.id.clone())
                .collect(),
        }
    }
}

fn written_unfused(item: &Unfused, from: Option<String>) -> UnfusedSchema {
    UnfusedSchema {
        name: Some(item.name.clone()),
        from,
        kind: Some(item.kind.clone()),
        source: Some(item.source),
        assumed: item.assumed.then_some(true),
        asleep_ma: Some(thousandths(item.asleep)),
        awake_ma: Some(thousandths(item.awake)),
    }
}

/// Returns the number of thousandths that reads back as exactly this value: division by a thousand rounds, so the
/// plain product may be off in the last digit.
fn thousandths<U: Unit>(value: U) -> f64 {
    let plain = value.base() * 1000.0;
    let short = (plain * 1e6).round() / 1e6;
    [short, plain, plain.next_up(), plain.next_down()]
        .into_iter()
        .find(|milli| milli / 1000.0 == value.base())
        .unwrap_or(plain)
}

/// Guard as written where a circuit needs no special care although its name might hint at it.
pub const UNGUARDED: &str = "none";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Ampere;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_figure_in_milliampere_reads_back_as_it_was(ma in 0.0..1e5_f64) {
            let written = thousandths(Ampere::from_milli(ma));
            prop_assert_eq!(Ampere::from_milli(written), Ampere::from_milli(ma));
        }
    }
}
