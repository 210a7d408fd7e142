//! The keys of one mapping of a map, each read as what it has to be; every fault of shape is told.
//! Leaves to others: which keys there are (`parse`), what refers to what (`resolve`).

use std::collections::{HashMap, HashSet};

use super::spotted::{KeyPath, SpottedKey, item, key, spot, too_many};
use super::wording::did_you_mean;
use crate::base::caps::{LOAD_NAME, TEXT};
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;
use crate::base::yaml::{Node, PathStep};

/// What the numbers of a map may be: name of the key, least, most, unit. Editorial: beyond what vehicles have on both
/// sides, and far from where arithmetic fails.
const RANGES: [(&str, f64, f64, &str); 10] = [
    ("system_v", 5.0, 60.0, "V"),
    ("model_year", 1900.0, 2100.0, "as a year"),
    ("batteries", 1.0, 12.0, "in all"),
    ("limit_ma", 0.01, 100_000.0, "mA"),
    ("rating_a", 0.1, 2000.0, "A"),
    ("r_mohm", 0.001, 1e6, "mohm"),
    ("asleep_ma", 0.0, 2e6, "mA"),
    ("awake_ma", 0.0, 2e6, "mA"),
    ("reach_min", 0.0, 1440.0, "min"),
    // `sleep_after_min` and `sleeps_after_min`: a year.
    ("_after_min", 0.0, 525_600.0, "min"),
];

/// Returns least and most of what the number of a key may be; `None` where it is no number.
pub(super) fn range(name: &str) -> Option<(f64, f64)> {
    RANGES.iter().find(|(key, ..)| name.ends_with(key)).map(|(_, least, most, _)| (*least, *most))
}

/// The keys of one mapping.
pub(super) struct Keys<'n> {
    /// Where each key stands first.
    first: HashMap<&'n str, &'n Node>,
    pub way: KeyPath,
}

impl<'n> Keys<'n> {
    /// Takes a mapping; tells of unknown and doubled keys. `None` if it is none.
    pub fn of(mapping: &'n Node, way: KeyPath, known: &[&str], found: &mut SpottedKey) -> Option<Self> {
        let Node::Map(entries) = mapping else {
            let fault = Diagnostic::new(format!("{} stands here", shown(mapping)));
            spot(found, &way, fault.expected(format!("keys and values: {}", known.join(", "))));
            return None;
        };
        let first = told_once(entries, &way, found, |name, node, place, found| {
            if known.contains(&name) {
                return;
            }
            if found.is_full() {
                found.more += 1;
                return;
            }
            let fault = Diagnostic::new(format!("the key \"{}\" is not known", clean(name)));
            let all = format!("known here: {}", known.join(", "));
            let fault = match did_you_mean(name, known.iter().copied(), "") {
                near if !near.is_empty() => fault.remedy(near),
                _ if *node == Node::Null => fault.remedy("a text that holds a comma needs quotes here"),
                _ => fault.remedy(all),
            };
            spot(found, place, fault);
        });
        Some(Self { first, way })
    }

    /// Returns the value of a key; a key without a value counts as missing.
    pub fn get(&self, name: &str) -> Option<&'n Node> {
        self.first.get(name).copied().filter(|node| **node != Node::Null)
    }

    pub fn missing(&self, name: &str, found: &mut SpottedKey) {
        spot(found, &key(&self.way, name), Diagnostic::new(format!("the key \"{name}\" is missing")));
    }

    fn wrong(&self, name: &str, node: &Node, expected: &str, found: &mut SpottedKey) {
        let fault = Diagnostic::new(format!("{name} is {}", shown(node))).expected(expected);
        spot(found, &key(&self.way, name), fault);
    }

    /// Reads a text; a whole number is taken as a text too, for fuses are often just numbered.
    pub fn text(&self, name: &str, found: &mut SpottedKey) -> Option<String> {
        let node = self.get(name)?;
        let text = as_text(node);
        match &text {
            None => self.wrong(name, node, "a text", found),
            Some(text) if text.trim().is_empty() => self.wrong(name, node, "a text, not empty", found),
            Some(text) => {
                let count = text.chars().count();
                if too_many(found, &key(&self.way, name), &format!("characters of {name}"), count, TEXT) {
                    return None;
                }
            }
        }
        text.map(|text| text.trim().to_owned()).filter(|text| !text.is_empty())
    }

    pub fn needed_text(&self, name: &str, found: &mut SpottedKey) -> Option<String> {
        if self.get(name).is_none() {
            self.missing(name, found);
        }
        self.text(name, found)
    }

    /// Reads a number that is in the range of its key.
    pub fn number(&self, name: &str, found: &mut SpottedKey) -> Option<f64> {
        let node = self.get(name)?;
        let (_, least, most, unit) = RANGES.into_iter().find(|(key, ..)| name.ends_with(key))?;
        match node {
            Node::Number(number) if (least..=most).contains(number) => Some(*number),
            _ => {
                let fault = Diagnostic::new(format!("{name} is {}", shown(node)))
                    .expected(format!("{least} to {most} {unit}"));
                let text = matches!(node, Node::Text(_));
                let fault = if text { fault.remedy(format!("the bare number, in {unit}")) } else { fault };
                spot(found, &key(&self.way, name), fault);
                None
            }
        }
    }

    /// Returns a whole number.
    pub fn whole(&self, name: &str, found: &mut SpottedKey) -> Option<u16> {
        let number = self.number(name, found)?;
        if number.fract() == 0.0 {
            // Within the range of every key that is asked for here.
            return Some(number as u16);
        }
        self.wrong(name, self.get(name)?, "a whole number", found);
        None
    }

    pub fn truth(&self, name: &str, found: &mut SpottedKey) -> Option<bool> {
        match self.get(name)? {
            Node::Truth(truth) => Some(*truth),
            node => {
                self.wrong(name, node, "true or false", found);
                None
            }
        }
    }

    /// Reads a list of texts, at most so many.
    pub fn texts(&self, name: &str, cap: usize, found: &mut SpottedKey) -> Vec<String> {
        let mut texts = Vec::new();
        self.list(name, cap, found, |node, way, found| match as_text(node) {
            Some(text) if too_many(found, &way, "characters", text.chars().count(), LOAD_NAME) => {}
            Some(text) if !text.trim().is_empty() => texts.push(text.trim().to_owned()),
            _ => {
                spot(found, &way, Diagnostic::new(format!("{} stands here", shown(node))).expected("a text"))
            }
        });
        texts
    }

    /// Reads a list of at most so many.
    pub fn list<T>(
        &self,
        name: &str,
        cap: usize,
        found: &mut SpottedKey,
        mut read: impl FnMut(&'n Node, KeyPath, &mut SpottedKey) -> T,
    ) -> Vec<T> {
        let way = key(&self.way, name);
        match self.get(name) {
            None => Vec::new(),
            Some(Node::List(nodes)) if too_many(found, &way, name, nodes.len(), cap) => Vec::new(),
            Some(Node::List(nodes)) => {
                nodes.iter().enumerate().map(|(index, node)| read(node, item(&way, index), found)).collect()
            }
            Some(node) => {
                self.wrong(name, node, "a list", found);
                Vec::new()
            }
        }
    }

    /// Reads keys that are names given by the user, at most so many; a doubled one is told of and left out.
    pub fn named<T>(
        &self,
        name: &str,
        cap: usize,
        found: &mut SpottedKey,
        read: impl Fn(&'n Node, KeyPath, &mut SpottedKey) -> T,
    ) -> Vec<(String, T)> {
        let Some(node) = self.get(name) else { return Vec::new() };
        let Node::Map(entries) = node else {
            self.wrong(name, node, "names with their values", found);
            return Vec::new();
        };
        let way = key(&self.way, name);
        if too_many(found, &way, name, entries.len(), cap) {
            return Vec::new();
        }
        let first = told_once(entries, &way, found, |_, _, _, _| {});
        let mut left: HashSet<&str> = first.keys().copied().collect();
        let firsts = entries.iter().filter(|(name, _)| left.remove(name.as_str()));
        let value = |(name, node): &'n (String, Node)| {
            let node = if *node == Node::Null { &EMPTY } else { node };
            (name.clone(), read(node, key(&way, name), found))
        };
        firsts.map(value).collect()
    }
}

/// Returns where each key stands first, and looks at those; tells of each that stands again.
fn told_once<'n>(
    entries: &'n [(String, Node)],
    way: &KeyPath,
    found: &mut SpottedKey,
    look: impl Fn(&str, &Node, &KeyPath, &mut SpottedKey),
) -> HashMap<&'n str, &'n Node> {
    let mut first = HashMap::new();
    let mut again: HashMap<&str, usize> = HashMap::new();
    for (name, node) in entries {
        if !first.contains_key(name.as_str()) {
            first.insert(name.as_str(), node);
            look(name, node, &key(way, name), found);
            continue;
        }
        let count = again.entry(name).and_modify(|count| *count += 1).or_insert(1);
        let mut place = way.clone();
        place.push(PathStep::Again(name.clone(), *count));
        spot(found, &place, Diagnostic::new(format!("the key \"{}\" is there twice", clean(name))));
    }
    first
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
        Node::Number(number) => plain(*number),
        Node::Text(text) => format!("\"{}\"", clean(&text.chars().take(60).collect::<String>())),
        Node::List(_) => "a list".into(),
        Node::Map(_) => "keys and values".into(),
        Node::Tagged => "a tagged value".into(),
    }
}

/// Writes a number; one with a long row of digits by its power of ten.
fn plain(number: f64) -> String {
    if number == 0.0 || (1e-6..1e15).contains(&number.abs()) {
        number.to_string()
    } else {
        format!("{number:e}")
    }
}
