//! Reads the keys of a written map by hand, so that every fault of shape is found at once: unknown and doubled keys,
//! wrong types, missing keys, numbers that cannot be. Leaves to others: what refers to what (`check`).

use super::wording::did_you_mean;
use super::written::{
    FORMAT, WrittenBox, WrittenFeed, WrittenFuse, WrittenGroup, WrittenLoad, WrittenMap, WrittenUnfused,
};
use crate::fault::Fault;
use crate::piece::clean;
use crate::yaml::{Node, Step};

/// Way to a place in the document.
pub(super) type Way = Vec<Step>;

/// A fault with the way to its place; the line is looked up at the end.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spotted {
    pub way: Way,
    pub fault: Fault,
}

/// Faults found so far.
pub(super) type Found = Vec<Spotted>;

/// Adds a fault at a place.
pub(super) fn spot(found: &mut Found, way: &Way, fault: Fault) {
    found.push(Spotted { way: way.clone(), fault });
}

/// Returns the way one key further.
pub(super) fn key(way: &Way, name: &str) -> Way {
    let mut further = way.clone();
    further.push(Step::Key(name.to_owned()));
    further
}

/// Returns the way one item further.
pub(super) fn item(way: &Way, index: usize) -> Way {
    let mut further = way.clone();
    further.push(Step::Item(index));
    further
}

/// Writes a way as people read it: `feeds[3].fuse.rating_a`, items counted from 0.
pub(super) fn field(way: &[Step]) -> String {
    let mut text = String::new();
    for step in way {
        match step {
            Step::Key(name) | Step::Again(name, _) => {
                if !text.is_empty() {
                    text.push('.');
                }
                text.push_str(&clean(name));
            }
            Step::Item(index) => text.push_str(&format!("[{index}]")),
        }
    }
    text
}

/// What a number may be.
#[derive(Clone, Copy, PartialEq)]
enum Range {
    AboveZero,
    FromZero,
}

/// The keys of one mapping.
struct Keys<'n> {
    entries: &'n [(String, Node)],
    way: Way,
}

const MAP_KEYS: [&str; 11] = [
    "format",
    "title",
    "class",
    "system_v",
    "boxes",
    "wake_groups",
    "feeds",
    "unfused",
    "sleep_after_min",
    "limit_ma",
    "limit_source",
];

/// Reads a whole map.
pub(super) fn read_map(node: &Node, found: &mut Found) -> WrittenMap {
    let Some(keys) = Keys::of(node, Way::new(), &MAP_KEYS, found) else { return WrittenMap::default() };
    let format = keys.needed_text("format", found);
    if let Some(other) = format.as_deref().filter(|format| *format != FORMAT) {
        let fault = Fault::new(format!("the format is \"{}\"", clean(other))).expected(FORMAT);
        let remedy = if other.starts_with("fusetrail-map/") {
            "the map is from a newer version"
        } else {
            "is this a circuit map?"
        };
        spot(found, &key(&keys.way, "format"), fault.remedy(remedy));
    }
    if keys.get("feeds").is_none() {
        keys.missing("feeds", found);
    }
    WrittenMap {
        format,
        title: keys.needed_text("title", found),
        class: keys.text("class", found),
        system_v: keys.number("system_v", Range::AboveZero, found),
        sleep_after_min: keys.number("sleep_after_min", Range::FromZero, found),
        limit_ma: keys.number("limit_ma", Range::AboveZero, found),
        limit_source: keys.text("limit_source", found),
        boxes: keys.named("boxes", found, read_box),
        wake_groups: keys.named("wake_groups", found, read_group),
        feeds: keys.list("feeds", found, read_feed),
        unfused: keys.list("unfused", found, read_unfused),
    }
}

fn read_box(node: &Node, way: Way, found: &mut Found) -> WrittenBox {
    let Some(keys) = Keys::of(node, way, &["where", "reach_min"], found) else {
        return WrittenBox::default();
    };
    WrittenBox {
        place: keys.text("where", found),
        reach_min: keys.number("reach_min", Range::FromZero, found),
    }
}

fn read_group(node: &Node, way: Way, found: &mut Found) -> WrittenGroup {
    let Some(keys) = Keys::of(node, way, &["inputs"], found) else { return WrittenGroup::default() };
    WrittenGroup { inputs: keys.texts("inputs", found) }
}

fn read_feed(node: &Node, way: Way, found: &mut Found) -> WrittenFeed {
    let known = ["id", "from", "box", "fuse", "probe", "guard", "loads"];
    let Some(keys) = Keys::of(node, way, &known, found) else { return WrittenFeed::default() };
    let fuse = match keys.get("fuse") {
        Some(node) => Some(read_fuse(node, key(&keys.way, "fuse"), found)),
        None => {
            keys.missing("fuse", found);
            None
        }
    };
    WrittenFeed {
        id: keys.needed_text("id", found),
        from: keys.needed_text("from", found),
        place: keys.text("box", found),
        fuse,
        probe: keys.text("probe", found),
        guard: keys.text("guard", found),
        loads: keys.list("loads", found, read_load),
    }
}

fn read_fuse(node: &Node, way: Way, found: &mut Found) -> WrittenFuse {
    let known = ["family", "rating_a", "r_mohm"];
    let Some(keys) = Keys::of(node, way, &known, found) else { return WrittenFuse::default() };
    if keys.get("rating_a").is_none() {
        keys.missing("rating_a", found);
    }
    WrittenFuse {
        family: keys.needed_text("family", found),
        rating_a: keys.number("rating_a", Range::AboveZero, found),
        r_mohm: keys.number("r_mohm", Range::AboveZero, found),
    }
}

fn read_load(node: &Node, way: Way, found: &mut Found) -> WrittenLoad {
    // A bare text is a load of that name.
    if let Node::Text(name) = node {
        return WrittenLoad { name: Some(name.clone()), ..WrittenLoad::default() };
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
    let Some(keys) = Keys::of(node, way, &known, found) else { return WrittenLoad::default() };
    WrittenLoad {
        name: keys.needed_text("name", found),
        kind: keys.text("kind", found),
        kind_guessed: keys.truth("kind_guessed", found),
        asleep_ma: keys.number("asleep_ma", Range::FromZero, found),
        awake_ma: keys.number("awake_ma", Range::FromZero, found),
        sleeps_after_min: keys.number("sleeps_after_min", Range::FromZero, found),
        wake_group: keys.text("wake_group", found),
        also_from: keys.texts("also_from", found),
    }
}

fn read_unfused(node: &Node, way: Way, found: &mut Found) -> WrittenUnfused {
    let known = ["name", "from", "kind", "source", "asleep_ma", "awake_ma"];
    let Some(keys) = Keys::of(node, way, &known, found) else { return WrittenUnfused::default() };
    WrittenUnfused {
        name: keys.needed_text("name", found),
        from: keys.text("from", found),
        kind: keys.text("kind", found),
        source: keys.truth("source", found),
        asleep_ma: keys.number("asleep_ma", Range::FromZero, found),
        awake_ma: keys.number("awake_ma", Range::FromZero, found),
    }
}

impl<'n> Keys<'n> {
    /// Takes a mapping; tells of unknown and doubled keys. `None` if it is none.
    fn of(mapping: &'n Node, way: Way, known: &[&str], found: &mut Found) -> Option<Self> {
        let Node::Map(entries) = mapping else {
            let fault = Fault::new(format!("{} stands here", shown(mapping)));
            spot(found, &way, fault.expected(format!("keys and values: {}", known.join(", "))));
            return None;
        };
        for (index, (name, node)) in entries.iter().enumerate() {
            let before = entries.iter().take(index).filter(|(other, _)| other == name).count();
            let mut place = way.clone();
            place.push(if before > 0 { Step::Again(name.clone(), before) } else { Step::Key(name.clone()) });
            if before > 0 {
                spot(found, &place, Fault::new(format!("the key \"{}\" is there twice", clean(name))));
            } else if !known.contains(&name.as_str()) {
                let all = if *node == Node::Null {
                    "a text that holds a comma needs quotes here".to_owned()
                } else {
                    format!("known here: {}", known.join(", "))
                };
                let remedy = did_you_mean(name, known.iter().copied(), all);
                let fault = Fault::new(format!("the key \"{}\" is not known", clean(name)));
                spot(found, &place, fault.remedy(remedy));
            }
        }
        Some(Self { entries, way })
    }

    /// Returns the value of a key; a key without a value counts as missing.
    fn get(&self, name: &str) -> Option<&'n Node> {
        let (_, node) = self.entries.iter().find(|(other, _)| other == name)?;
        (*node != Node::Null).then_some(node)
    }

    fn missing(&self, name: &str, found: &mut Found) {
        spot(found, &key(&self.way, name), Fault::new(format!("the key \"{name}\" is missing")));
    }

    fn wrong(&self, name: &str, node: &Node, expected: &str, found: &mut Found) {
        let fault = Fault::new(format!("{name} is {}", shown(node))).expected(expected);
        spot(found, &key(&self.way, name), fault);
    }

    /// Reads a text; a whole number is taken as a text too, for fuses are often just numbered.
    fn text(&self, name: &str, found: &mut Found) -> Option<String> {
        let node = self.get(name)?;
        let text = as_text(node);
        match &text {
            None => self.wrong(name, node, "a text", found),
            Some(text) if text.trim().is_empty() => self.wrong(name, node, "a text that is not empty", found),
            Some(_) => {}
        }
        text.map(|text| text.trim().to_owned()).filter(|text| !text.is_empty())
    }

    fn needed_text(&self, name: &str, found: &mut Found) -> Option<String> {
        if self.get(name).is_none() {
            self.missing(name, found);
        }
        self.text(name, found)
    }

    fn number(&self, name: &str, range: Range, found: &mut Found) -> Option<f64> {
        let node = self.get(name)?;
        let (expected, fits): (&str, fn(f64) -> bool) = match range {
            Range::AboveZero => ("a number above zero", |n| n > 0.0),
            Range::FromZero => ("a number, zero or more", |n| n >= 0.0),
        };
        match node {
            Node::Number(number) if number.is_finite() && fits(*number) => Some(*number),
            _ => {
                let unit = match name.rsplit('_').next().unwrap_or_default() {
                    "a" => "A",
                    "ma" => "mA",
                    "v" => "V",
                    other => other,
                };
                let fault = Fault::new(format!("{name} is {}", shown(node))).expected(expected);
                let text = matches!(node, Node::Text(_));
                let fault = if text { fault.remedy(format!("the bare number, in {unit}")) } else { fault };
                spot(found, &key(&self.way, name), fault);
                None
            }
        }
    }

    fn truth(&self, name: &str, found: &mut Found) -> Option<bool> {
        match self.get(name)? {
            Node::Truth(truth) => Some(*truth),
            node => {
                self.wrong(name, node, "true or false", found);
                None
            }
        }
    }

    /// Reads a list of texts.
    fn texts(&self, name: &str, found: &mut Found) -> Vec<String> {
        let mut texts = Vec::new();
        self.list(name, found, |node, way, found| match as_text(node) {
            Some(text) if !text.trim().is_empty() => texts.push(text.trim().to_owned()),
            _ => spot(found, &way, Fault::new(format!("{} stands here", shown(node))).expected("a text")),
        });
        texts
    }

    fn list<T>(
        &self,
        name: &str,
        found: &mut Found,
        mut read: impl FnMut(&'n Node, Way, &mut Found) -> T,
    ) -> Vec<T> {
        match self.get(name) {
            None => Vec::new(),
            Some(Node::List(nodes)) => {
                let way = key(&self.way, name);
                nodes.iter().enumerate().map(|(index, node)| read(node, item(&way, index), found)).collect()
            }
            Some(node) => {
                self.wrong(name, node, "a list", found);
                Vec::new()
            }
        }
    }

    /// Reads keys that are names given by the user; a doubled one is told of and left out.
    fn named<T>(
        &self,
        name: &str,
        found: &mut Found,
        read: impl Fn(&'n Node, Way, &mut Found) -> T,
    ) -> Vec<(String, T)> {
        let Some(node) = self.get(name) else { return Vec::new() };
        let Node::Map(entries) = node else {
            self.wrong(name, node, "names with what belongs to them", found);
            return Vec::new();
        };
        let names: Vec<&str> = entries.iter().map(|(name, _)| name.as_str()).collect();
        let way = key(&self.way, name);
        let Some(inner) = Keys::of(node, way, &names, found) else { return Vec::new() };
        let mut read_so_far: Vec<(String, T)> = Vec::new();
        for (name, node) in inner.entries {
            if !read_so_far.iter().any(|(other, _)| other == name) {
                let empty = *node == Node::Null;
                let value = read(if empty { &EMPTY } else { node }, key(&inner.way, name), found);
                read_so_far.push((name.clone(), value));
            }
        }
        read_so_far
    }
}

/// What a name without a value stands for.
static EMPTY: Node = Node::Map(Vec::new());

fn as_text(node: &Node) -> Option<String> {
    match node {
        Node::Text(text) => Some(text.clone()),
        Node::Number(number) if number.is_finite() && number.fract() == 0.0 => Some(number.to_string()),
        _ => None,
    }
}

/// Says what stands in the document, cut and cleaned.
fn shown(node: &Node) -> String {
    match node {
        Node::Null => "nothing".into(),
        Node::Truth(truth) => truth.to_string(),
        Node::Number(number) => number.to_string(),
        Node::Text(text) => format!("\"{}\"", clean(&text.chars().take(60).collect::<String>())),
        Node::List(_) => "a list".into(),
        Node::Map(_) => "keys and values".into(),
        Node::Tagged => "a value with a tag".into(),
    }
}
