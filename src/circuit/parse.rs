//! The keys of a written map: which there are at each place, and what each holds. Read by hand, so that every fault of
//! shape is found at once. Leaves to others: reading one key (`keys`), what refers to what (`resolve`).

use super::keys::Keys;
use super::schema::{
    BoxSchema, FORMAT, FeedSchema, FuseSchema, GroupSchema, LoadSchema, MapSchema, UnfusedSchema,
};
use super::spotted::{KeyPath, SpottedKey, key, spot};
use crate::base::caps::{ALSO_FROM, BOXES, FEEDS, INPUTS, LOADS_OF_ONE, UNFUSED};
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;
use crate::base::yaml::Node;

const MAP_KEYS: [&str; 13] = [
    "format",
    "title",
    "class",
    "system_v",
    "model_year",
    "batteries",
    "boxes",
    "wake_groups",
    "feeds",
    "unfused",
    "sleep_after_min",
    "limit_ma",
    "limit_source",
];

/// Reads a whole map.
pub(super) fn read_map(node: &Node, found: &mut SpottedKey) -> MapSchema {
    let Some(keys) = Keys::of(node, KeyPath::new(), &MAP_KEYS, found) else { return MapSchema::default() };
    let format = keys.needed_text("format", found);
    if let Some(other) = format.as_deref().filter(|format| *format != FORMAT) {
        let fault = Diagnostic::new(format!("the format is \"{}\"", clean(other))).expected(FORMAT);
        let fault = if other.starts_with("fusetrail-map/") {
            fault.remedy("the map is from a newer version")
        } else {
            fault.remedy("is this a circuit map?")
        };
        spot(found, &key(&keys.way, "format"), fault);
    }
    if keys.get("feeds").is_none() {
        keys.missing("feeds", found);
    }
    MapSchema {
        format,
        title: keys.needed_text("title", found),
        class: keys.text("class", found),
        system_v: keys.number("system_v", found),
        model_year: keys.whole("model_year", found),
        batteries: keys.whole("batteries", found),
        sleep_after_min: keys.number("sleep_after_min", found),
        limit_ma: keys.number("limit_ma", found),
        limit_source: keys.text("limit_source", found),
        boxes: keys.named("boxes", BOXES, found, read_box),
        wake_groups: keys.named("wake_groups", BOXES, found, read_group),
        feeds: keys.list("feeds", FEEDS, found, read_feed),
        unfused: keys.list("unfused", UNFUSED, found, read_unfused),
    }
}

fn read_box(node: &Node, way: KeyPath, found: &mut SpottedKey) -> BoxSchema {
    let Some(keys) = Keys::of(node, way, &["where", "reach_min", "from"], found) else {
        return BoxSchema::default();
    };
    BoxSchema {
        place: keys.text("where", found),
        reach_min: keys.number("reach_min", found),
        from: keys.text("from", found),
    }
}

fn read_group(node: &Node, way: KeyPath, found: &mut SpottedKey) -> GroupSchema {
    let Some(keys) = Keys::of(node, way, &["inputs", "assumed"], found) else {
        return GroupSchema::default();
    };
    GroupSchema { inputs: keys.texts("inputs", INPUTS, found), assumed: keys.truth("assumed", found) }
}

fn read_feed(node: &Node, way: KeyPath, found: &mut SpottedKey) -> FeedSchema {
    let known = ["id", "from", "box", "fuse", "family_guessed", "probe", "guard", "loads"];
    let Some(keys) = Keys::of(node, way, &known, found) else { return FeedSchema::default() };
    let fuse = match keys.get("fuse") {
        Some(node) => Some(read_fuse(node, key(&keys.way, "fuse"), found)),
        None => {
            keys.missing("fuse", found);
            None
        }
    };
    FeedSchema {
        id: keys.needed_text("id", found),
        from: keys.needed_text("from", found),
        place: keys.text("box", found),
        fuse,
        family_guessed: keys.truth("family_guessed", found),
        probe: keys.text("probe", found),
        guard: keys.text("guard", found),
        loads: keys.list("loads", LOADS_OF_ONE, found, read_load),
    }
}

fn read_fuse(node: &Node, way: KeyPath, found: &mut SpottedKey) -> FuseSchema {
    let known = ["family", "rating_a", "r_mohm"];
    let Some(keys) = Keys::of(node, way, &known, found) else { return FuseSchema::default() };
    if keys.get("rating_a").is_none() {
        keys.missing("rating_a", found);
    }
    FuseSchema {
        family: keys.needed_text("family", found),
        rating_a: keys.number("rating_a", found),
        r_mohm: keys.number("r_mohm", found),
    }
}

fn read_load(node: &Node, way: KeyPath, found: &mut SpottedKey) -> LoadSchema {
    // A bare text is a load of that name.
    if let Node::Text(name) = node {
        return LoadSchema { name: Some(name.clone()), ..LoadSchema::default() };
    }
    let known = [
        "name",
        "kind",
        "kind_guessed",
        "asleep_ma",
        "awake_ma",
        "sleeps_after_min",
        "wake_group",
        "also_from",
    ];
    let Some(keys) = Keys::of(node, way, &known, found) else { return LoadSchema::default() };
    LoadSchema {
        name: keys.needed_text("name", found),
        kind: keys.text("kind", found),
        kind_guessed: keys.truth("kind_guessed", found),
        asleep_ma: keys.number("asleep_ma", found),
        awake_ma: keys.number("awake_ma", found),
        sleeps_after_min: keys.number("sleeps_after_min", found),
        wake_group: keys.text("wake_group", found),
        also_from: keys.texts("also_from", ALSO_FROM, found),
    }
}

fn read_unfused(node: &Node, way: KeyPath, found: &mut SpottedKey) -> UnfusedSchema {
    let known = ["name", "from", "kind", "source", "assumed", "asleep_ma", "awake_ma"];
    let Some(keys) = Keys::of(node, way, &known, found) else { return UnfusedSchema::default() };
    UnfusedSchema {
        name: keys.needed_text("name", found),
        from: keys.text("from", found),
        kind: keys.text("kind", found),
        source: keys.truth("source", found),
        assumed: keys.truth("assumed", found),
        asleep_ma: keys.number("asleep_ma", found),
        awake_ma: keys.number("awake_ma", found),
    }
}
