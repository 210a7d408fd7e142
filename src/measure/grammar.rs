//! Reads a reading as it is typed, wherever that is: words of a command, a line at a prompt, a line of an answers file.
//! A name may hold blanks and digits: the longest beginning that names something is the target, the rest are values.
//! Leaves to others: which kinds there are (`kind`), the context of a reading and other entries (`log/typed`).

use super::kind::{MeasurementKind, MeasurementParts, Slot, SlotValue, TargetKind, TypedSlot};
use super::sighting;
use crate::base::diagnostic::Diagnostic;
use crate::circuit::id::{FeedId, LoadId};
use crate::circuit::inside::find_part;
use crate::circuit::map::{Load, Map};
use crate::circuit::tree::{ClampAt, Tree};

/// What names are looked up in.
pub struct Names<'a> {
    map: &'a Map,
    tree: Tree,
}

impl<'a> Names<'a> {
    /// Makes the names of a map.
    pub fn new(map: &'a Map) -> Self {
        Self { map, tree: Tree::new(map) }
    }

    /// Returns the tree.
    pub fn tree(&self) -> &Tree {
        &self.tree
    }

    /// Reads what stands behind the word of a kind.
    ///
    /// # Errors
    /// No such target, too few or too many values, or one that cannot be read.
    pub fn read(
        &self,
        kind: MeasurementKind,
        tokens: &[String],
    ) -> Result<Vec<MeasurementParts>, Diagnostic> {
        let row = kind.row();
        if row.several && tokens.first().is_some_and(|first| first.contains('=')) {
            return self.read_several(kind, tokens);
        }
        let Some(then) = row.then else { return Ok(vec![self.read_one(kind, tokens)?]) };
        let word = then.row().word;
        let Some(at) = tokens.iter().position(|token| token.eq_ignore_ascii_case(word)) else {
            return Ok(vec![self.read_one(kind, tokens)?]);
        };
        let (first, rest) = tokens.split_at(at);
        let first = self.read_one(kind, first)?;
        let second = values_of(then, first.names.clone(), rest.get(1..).unwrap_or_default())?;
        Ok(vec![first, second])
    }

    /// Reads several readings of a kind, each as TARGET=VALUE.
    ///
    /// # Errors
    /// One is no such pair, names nothing, or its value cannot be read.
    pub fn read_several(
        &self,
        kind: MeasurementKind,
        tokens: &[String],
    ) -> Result<Vec<MeasurementParts>, Diagnostic> {
        let mut pairs: Vec<Vec<String>> = Vec::new();
        for token in tokens {
            match (token.split_once('='), pairs.last_mut()) {
                (Some((target, value)), _) => pairs.push(vec![target.to_owned(), value.to_owned()]),
                (None, Some(pair)) => pair.push(token.clone()),
                (None, None) => {
                    let fault = Diagnostic::new(format!("\"{token}\" is no TARGET=VALUE"));
                    return Err(fault.expected("such as F12=3.0mV F13=0.1mV"));
                }
            }
        }
        let read = |pair: &Vec<String>| match (kind.row().target, pair.split_first()) {
            // An unknown box is said to be none where the log is added up.
            (TargetKind::BoxIfAny, Some((target, values))) => values_of(kind, vec![target.clone()], values),
            _ => self.read_one(kind, pair),
        };
        pairs.iter().map(read).collect()
    }

    fn read_one(&self, kind: MeasurementKind, tokens: &[String]) -> Result<MeasurementParts, Diagnostic> {
        let (names, rest) = self.split_target(kind, tokens)?;
        let parts = values_of(kind, names, rest)?;
        match (parts.names.first(), parts.values.first()) {
            (Some(of), Some(TypedSlot::Word(says))) if kind.row().target == TargetKind::InputOrLoad => {
                sighting::fits(of, says)?;
            }
            _ => {}
        }
        Ok(parts)
    }

    /// The longest beginning that names something of the right kind is the target; the rest are values.
    fn split_target<'t>(
        &self,
        kind: MeasurementKind,
        tokens: &'t [String],
    ) -> Result<(Vec<String>, &'t [String]), Diagnostic> {
        let row = kind.row();
        match row.target {
            TargetKind::Battery => return Ok((Vec::new(), tokens)),
            TargetKind::BoxIfAny => return Ok(self.box_if_any(tokens)),
            _ => {}
        }
        let mut fault = Diagnostic::new(format!("{} names nothing", row.word)).expected(form(kind));
        for count in (1..=tokens.len()).rev() {
            let (name, rest) = tokens.split_at(count);
            match self.find(row.target, &name.join(" ")) {
                Ok(names) => return Ok((names, rest)),
                Err(found) => fault = found,
            }
        }
        Err(fault)
    }

    fn box_if_any<'t>(&self, tokens: &'t [String]) -> (Vec<String>, &'t [String]) {
        match tokens.split_first() {
            Some((first, rest)) if self.map.boxes.iter().any(|known| known.id == *first) => {
                (vec![first.clone()], rest)
            }
            _ => (Vec::new(), tokens),
        }
    }

    /// Returns the names as the map has them.
    fn find(&self, target: TargetKind, name: &str) -> Result<Vec<String>, Diagnostic> {
        let fuse = |feed: FeedId| self.map.feed_name(feed).to_owned();
        let load = |name: &str| {
            if let Some(inner) = self.inner_part(name) {
                return Ok(inner);
            }
            let load = self.tree.find_load(name)?;
            let found = self.map.load(load).map(|load| load.name.clone()).unwrap_or_default();
            Ok::<_, Diagnostic>((fuse(load.feed), found))
        };
        Ok(match target {
            TargetKind::Battery | TargetKind::BoxIfAny => Vec::new(),
            TargetKind::FuseOrLoad if name.contains('/') => {
                let (feed, load) = load(name)?;
                vec![format!("{feed}/{load}")]
            }
            TargetKind::Fuse | TargetKind::FuseOrLoad => vec![fuse(self.tree.find_feed(name)?)],
            TargetKind::Place => vec![match self.tree.find_place_to_clamp(name)? {
                ClampAt::Feed(feed) => fuse(feed),
                ClampAt::Unfused(item) => self.map.unfused_name(item).to_owned(),
            }],
            TargetKind::Load => {
                let (feed, load) = load(name)?;
                vec![feed, load]
            }
            TargetKind::Input => vec![self.tree.find_input(name)?.to_owned()],
            TargetKind::InputOrLoad => vec![self.input_or_load(name)?],
        })
    }

    /// Returns what has parts and one of them, written `alternator/control plug`.
    fn inner_part(&self, name: &str) -> Option<(String, String)> {
        let (whole, part) = name.split_once('/')?;
        let (whole, part) = find_part(whole, part, self.map)?;
        Some((whole.name(self.map).to_owned(), part.part.clone()))
    }

    /// Finds an input, or a load: as FUSE/LOAD, or by its name alone where one load only has it.
    fn input_or_load(&self, name: &str) -> Result<String, Diagnostic> {
        let of_load = |(id, load): (LoadId, &Load)| format!("{}/{}", self.map.feed_name(id.feed), load.name);
        let fault = match self.tree.find_input(name) {
            Ok(input) => return Ok(input.to_owned()),
            Err(fault) => fault,
        };
        if name.contains('/') {
            let found = self.tree.find_load(name)?;
            return Ok(self.map.load(found).map(|load| of_load((found, load))).unwrap_or_default());
        }
        let named = self.map.loads().filter(|(_, load)| load.name.eq_ignore_ascii_case(name.trim()));
        let named: Vec<String> = named.map(of_load).collect();
        match named.as_slice() {
            [one] => Ok(one.clone()),
            [] => Err(fault.expected("an input, or a load")),
            several => Err(Diagnostic::new(format!("{name} can mean several"))
                .expected(format!("one of {}", several.join(", ")))),
        }
    }

    /// Returns why a reading needs a reason: the circuit that it touches, and its guard.
    pub fn barred(&self, parts: &MeasurementParts) -> Option<(&'a str, &'static str)> {
        let feed = self.map.feeds.iter().find(|feed| parts.names.first() == Some(&feed.id))?;
        let row = parts.kind.row();
        let guard = match self.tree.find_feed(&feed.id) {
            Ok(index) if row.cuts_below => self.tree.guard_through(index),
            _ => feed.hazard,
        };
        let guard = guard.filter(|guard| row.barred_on.contains(guard))?;
        Some((feed.id.as_str(), guard.name()))
    }
}

/// Reads the values of a reading whose target is known.
///
/// # Errors
/// Too few or too many, or one that cannot be read.
pub fn values_of(
    kind: MeasurementKind,
    names: Vec<String>,
    tokens: &[String],
) -> Result<MeasurementParts, Diagnostic> {
    let row = kind.row();
    let given = join_units(tokens.iter().filter(|token| !token.starts_with("--")));
    let wanted = row.slots.iter().filter(|slot| !matches!(slot.value, SlotValue::Flag(_))).count();
    if given.len() != wanted {
        let what = match given.len() {
            0 => "no value was given".to_owned(),
            1 => "one value was given".to_owned(),
            count => format!("{count} values were given"),
        };
        return Err(Diagnostic::new(what).expected(form(kind)));
    }
    let mut given = given.iter();
    let mut values = Vec::with_capacity(row.slots.len());
    for slot in row.slots {
        values.push(match slot.value {
            SlotValue::Flag(word) => TypedSlot::Flag(tokens.iter().any(|token| token == word)),
            SlotValue::Number(bare) => bare.read(given.next().map_or("", String::as_str))?,
            SlotValue::Word(words) => {
                TypedSlot::Word(word_of(words, given.next().map_or("", String::as_str))?)
            }
        });
    }
    Ok(MeasurementParts { kind, names, values })
}

fn word_of(words: &[&str], typed: &str) -> Result<String, Diagnostic> {
    let of = |word: &&str| match (word.split_once('='), typed.split_once('=')) {
        (Some((word, _)), Some((typed, count))) if word.eq_ignore_ascii_case(typed.trim()) => {
            count.trim().parse::<u32>().ok().map(|count| format!("{word}={count}"))
        }
        _ => word.eq_ignore_ascii_case(typed).then(|| (*word).to_owned()).filter(|word| !word.contains('=')),
    };
    words.iter().find_map(of).ok_or_else(|| {
        Diagnostic::new(format!("\"{typed}\" is none of the words for it"))
            .expected(format!("one of {}", words.join(", ")))
    })
}

/// Returns how a reading of a kind is typed, for messages: `pull FUSE TOTAL-BEFORE TOTAL-AFTER (bare numbers: mA)`.
pub fn form(kind: MeasurementKind) -> String {
    let row = kind.row();
    let target = match row.target {
        TargetKind::Battery => "",
        TargetKind::BoxIfAny => " [BOX]",
        TargetKind::Fuse => " FUSE",
        TargetKind::FuseOrLoad => " FUSE or FUSE/LOAD",
        TargetKind::Place => " FUSE or unfused item",
        TargetKind::Load => " FUSE/LOAD",
        TargetKind::Input => " INPUT",
        TargetKind::InputOrLoad => " INPUT, FUSE/LOAD or LOAD",
    };
    let mut values = String::new();
    let mut units: Vec<&str> = Vec::new();
    for slot in row.slots {
        match slot.value {
            SlotValue::Number(bare) => {
                values.push(' ');
                values.push_str(&slot.told.to_uppercase().replace(' ', "-"));
                units.push(bare.unit());
            }
            SlotValue::Word(words) => {
                values.push(' ');
                values.push_str(&words.join("|"));
            }
            SlotValue::Flag(_) => {}
        }
    }
    if units.is_empty() {
        return format!("{}{target}{values}", row.word);
    }
    if units.iter().all(|unit| Some(unit) == units.first()) {
        units.truncate(1);
    }
    format!("{}{target}{values} (bare numbers: {})", row.word, units.join(", "))
}

/// Tells whether a word begins a value.
pub fn begins_value(token: &str) -> bool {
    token.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | ',' | '\u{2212}'))
}

/// Tells whether a word begins a value of this kind: a number, or one of its words.
pub fn begins_value_of(kind: MeasurementKind, token: &str) -> bool {
    let is_word = |slot: &Slot| match slot.value {
        SlotValue::Word(words) => word_of(words, token).is_ok(),
        SlotValue::Number(_) | SlotValue::Flag(_) => false,
    };
    begins_value(token) || kind.row().slots.iter().any(is_word)
}

/// Joins numbers with the units that follow them: `482 mA 77mA` is two values.
fn join_units<'t>(tokens: impl Iterator<Item = &'t String>) -> Vec<String> {
    let mut values: Vec<String> = Vec::new();
    for token in tokens {
        match values.last_mut() {
            Some(last) if !begins_value(token) => {
                last.push(' ');
                last.push_str(token);
            }
            _ => values.push(token.clone()),
        }
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_stay_with_their_numbers() {
        let join = |line: &str| {
            let tokens: Vec<String> = line.split(' ').map(str::to_owned).collect();
            join_units(tokens.iter())
        };
        assert_eq!(join("482 mA 77mA"), ["482 mA", "77mA"]);
        assert_eq!(join("3.0mV 10.6 mV 1.02A"), ["3.0mV", "10.6 mV", "1.02A"]);
    }
}
