//! What is typed where a reading is due: a value alone for the reading proposed, or a line that names its own
//! (`F12 3.0`, `others 0.0`, `clamp L1 350mA`, `pull F12 482 77`). A target may hold blanks and digits; the longest
//! beginning of the line that names something is the target.
//! Leaves to others: whether the reading makes sense (`reading/doubt`).

use super::Taken;
use super::question::Wanted;
use crate::circuits::fuse::Family;
use crate::circuits::map::{Guard, Probe};
use crate::circuits::tree::Tree;
use crate::fault::Fault;
use crate::quantity::parse::Readable;
use crate::quantity::{Ampere, Celsius, Typed, Volt};
use crate::reading::What;
use crate::session::case::Case;
use crate::session::entry::{Body, Measured};

/// Forms that are understood, for messages.
const FORMS: &str = "a value such as 3.0, or: F12 3.0 · others 0.0 · clamp L1 350mA · pull F12 482 77 · refit F12 480 · \
unplug F12/radio 482 77 · input NAME 560 50 · step F12 3.0mV 10.6mV 1.02A · total 482 · zero 0.02 · temp 20C · \
disturb TEXT · note TEXT · F40 mini 10 horn (adds a fuse)";

/// Makes the entry of a reading, with its context.
pub fn measured(case: &Case, what: What, after_repair: bool) -> Body {
    let meter = match &what {
        What::Drop { .. } | What::Step { .. } => case.opened.meter.name.clone(),
        _ => case.opened.clamp.name.clone(),
    };
    let temperature = case.temperatures.last().map(|(_, _, typed)| typed.value);
    Body::Reading(Box::new(Measured {
        what,
        meter,
        zero: case.zeros.last().map(|(stamp, _)| stamp.entry),
        temperature,
        provisional: false,
        after_repair,
    }))
}

/// Takes a total.
pub fn measured_total(case: &Case, text: &str, as_found: bool, after_repair: bool) -> Taken {
    match Ampere::read(text, "mA") {
        Ok(current) => Taken::entry(measured(case, What::Total { current, as_found }, after_repair)),
        Err(fault) => Taken::refuse(fault.to_string()),
    }
}

/// Takes battery volts.
pub fn volts_entry(text: &str) -> Taken {
    match Volt::read(text, "V") {
        Ok(volts) => Taken::entry(Body::Volts { volts }),
        Err(fault) => Taken::refuse(fault.to_string()),
    }
}

/// Reads a line where `wanted` is proposed.
///
/// # Errors
/// The line is none of the known forms, names nothing on the map, or its values cannot be read.
pub fn read(case: &Case, text: &str, wanted: Option<&Wanted>) -> Result<Vec<Body>, Fault> {
    let tree = Tree::new(&case.map);
    let line = Line { case, tree: &tree };
    let text = text.trim();
    let (word, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let rest = rest.trim();
    match word.to_lowercase().as_str() {
        "zero" => Ok(vec![Body::Zero { offset: Volt::read(rest, "mV")? }]),
        "volts" => Ok(vec![Body::Volts { volts: Volt::read(rest, "V")? }]),
        "temp" => line.temperature(rest),
        "disturb" => words(rest, |what| Body::Disturb { what }),
        "note" => words(rest, |text| Body::Note { text }),
        "total" => Ok(vec![line.entry(What::Total { current: Ampere::read(rest, "mA")?, as_found: false })]),
        "others" => line.others(rest),
        "drop" | "clamp" | "pull" | "refit" | "unplug" | "input" | "step" => {
            line.of_kind(&word.to_lowercase(), rest)
        }
        _ => line.bare(text, wanted),
    }
}

fn words(text: &str, body: impl Fn(String) -> Body) -> Result<Vec<Body>, Fault> {
    match text {
        "" => Err(Fault::new("nothing was said").expected("a few words after it")),
        text => Ok(vec![body(text.to_owned())]),
    }
}

struct Line<'a> {
    case: &'a Case,
    tree: &'a Tree,
}

impl Line<'_> {
    fn entry(&self, what: What) -> Body {
        measured(self.case, what, false)
    }

    fn temperature(&self, rest: &str) -> Result<Vec<Body>, Fault> {
        let (place, value) = match rest.split_once(char::is_whitespace) {
            Some((place, value)) if self.case.map.boxes.iter().any(|found| found.id == place) => {
                (Some(place), value)
            }
            _ => (None, rest),
        };
        let temperature = Celsius::read(value, "C")?;
        Ok(vec![Body::Temperature { place: place.map(str::to_owned), temperature }])
    }

    /// All fuses of the box last read that can be read and have not been: for a box that was really swept.
    fn others(&self, rest: &str) -> Result<Vec<Body>, Fault> {
        let drop = Volt::read(rest, "mV")?;
        let feed_of = |what: &What| match what {
            What::Drop { feed, .. } => Some(feed.clone()),
            _ => None,
        };
        let read: Vec<String> =
            self.case.readings.iter().filter_map(|reading| feed_of(&reading.what)).collect();
        let last = read.last().and_then(|name| self.tree.find_feed(name).ok());
        let place = last.and_then(|feed| self.case.map.feeds.get(feed)).map(|feed| feed.place);
        let Some(place) = place else {
            return Err(Fault::new(
                "\"others\" means the other fuses of a box, but no fuse has been read yet",
            ));
        };
        let others: Vec<Body> = self
            .case
            .map
            .feeds
            .iter()
            .filter(|feed| feed.place == place && feed.probe == Probe::Points)
            .filter(|feed| !matches!(feed.guard, Some(Guard::Restraint | Guard::Hv)))
            .filter(|feed| !read.iter().any(|name| name.eq_ignore_ascii_case(&feed.id)))
            .map(|feed| self.entry(What::Drop { feed: feed.id.clone(), drop: drop.clone() }))
            .collect();
        if others.is_empty() { Err(Fault::new("every fuse of this box has been read")) } else { Ok(others) }
    }

    fn of_kind(&self, kind: &str, rest: &str) -> Result<Vec<Body>, Fault> {
        if kind == "drop" && rest.contains('=') {
            return self.several(rest);
        }
        let (target, values) = self.split_target(kind, rest)?;
        Ok(vec![self.entry(self.what(kind, &target, &values)?)])
    }

    /// `F12=3.0mV F13=0.1mV F14=0`.
    fn several(&self, rest: &str) -> Result<Vec<Body>, Fault> {
        let one = |pair: &str| {
            let (feed, value) = pair.split_once('=').ok_or_else(|| {
                Fault::new(format!("\"{pair}\" is no FUSE=VALUE")).expected("such as F12=3.0mV F13=0.1mV")
            })?;
            let feed = self.feed_id(self.tree.find_feed(feed)?);
            Ok(self.entry(What::Drop { feed, drop: Volt::read(value, "mV")? }))
        };
        rest.split_whitespace().map(one).collect()
    }

    fn what(&self, kind: &str, target: &str, values: &[String]) -> Result<What, Fault> {
        let value = |index: usize| {
            values.get(index).map(String::as_str).ok_or_else(|| {
                Fault::new(format!("{kind} {target} needs {}", needed(kind)))
                    .remedy("total before, then total after")
            })
        };
        let ampere = |index: usize| -> Result<Typed<Ampere>, Fault> { Ampere::read(value(index)?, "mA") };
        if values.len() > needed_count(kind) {
            return Err(Fault::new(format!(
                "{kind} {target} takes {}, not {} values",
                needed(kind),
                values.len()
            )));
        }
        Ok(match kind {
            "drop" => What::Drop { feed: target.to_owned(), drop: Volt::read(value(0)?, "mV")? },
            "clamp" => What::Clamp { at: target.to_owned(), current: ampere(0)? },
            "refit" => What::Refit { feed: target.to_owned(), total: ampere(0)? },
            "pull" => What::Pull { feed: target.to_owned(), before: ampere(0)?, after: ampere(1)? },
            "input" => What::Input { input: target.to_owned(), before: ampere(0)?, after: ampere(1)? },
            "unplug" => {
                let (feed, load) = target.split_once('/').unwrap_or((target, ""));
                What::Unplug {
                    feed: feed.to_owned(),
                    load: load.to_owned(),
                    before: ampere(0)?,
                    after: ampere(1)?,
                }
            }
            _ => What::Step {
                feed: target.to_owned(),
                before: Volt::read(value(0)?, "mV")?,
                after: Volt::read(value(1)?, "mV")?,
                current: Ampere::read(value(2)?, "A")?,
            },
        })
    }

    /// The longest beginning that names something of the right kind is the target; the rest are values.
    fn split_target(&self, kind: &str, rest: &str) -> Result<(String, Vec<String>), Fault> {
        let tokens: Vec<&str> = rest.split_whitespace().collect();
        let mut fault = Fault::new(format!("{kind} names nothing")).expected(FORMS);
        for count in (1..=tokens.len()).rev() {
            let name = tokens.get(..count).unwrap_or_default().join(" ");
            match self.resolve(kind, &name) {
                Ok(target) => return Ok((target, values(tokens.get(count..).unwrap_or_default()))),
                Err(found) => fault = found,
            }
        }
        Err(fault)
    }

    fn feed_id(&self, feed: usize) -> String {
        self.case.map.feeds.get(feed).map(|found| found.id.clone()).unwrap_or_default()
    }

    /// Returns the name as the map writes it.
    fn resolve(&self, kind: &str, name: &str) -> Result<String, Fault> {
        use crate::circuits::tree::ClampAt;
        let load_name = |(feed, load): (usize, usize)| {
            let found = self.case.map.feeds.get(feed).and_then(|found| found.loads.get(load));
            format!("{}/{}", self.feed_id(feed), found.map_or("", |load| load.name.as_str()))
        };
        match kind {
            "clamp" => Ok(match self.tree.find_place_to_clamp(name)? {
                ClampAt::Feed(feed) => self.feed_id(feed),
                ClampAt::Unfused(item) => {
                    self.case.map.unfused.get(item).map(|found| found.name.clone()).unwrap_or_default()
                }
            }),
            "unplug" => self.tree.find_load(name).map(load_name),
            "refit" if name.contains('/') => self.tree.find_load(name).map(load_name),
            "input" => self.tree.find_input(name).map(|(name, _)| name.to_owned()),
            _ => self.tree.find_feed(name).map(|feed| self.feed_id(feed)),
        }
    }

    /// A line without a leading word: values for what is proposed, a fuse with a drop, several of them, or a new fuse.
    fn bare(&self, text: &str, wanted: Option<&Wanted>) -> Result<Vec<Body>, Fault> {
        let first = text.split_whitespace().next().unwrap_or("");
        if first.is_empty() {
            return Err(Fault::new("nothing was typed").expected(FORMS));
        }
        if first.contains('=') {
            return self.several(text);
        }
        let is_value =
            first.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | '\u{2212}'));
        if is_value && self.tree.find_feed(first).is_err() {
            return self.proposed(text, wanted);
        }
        if self.tree.find_feed(first).is_ok() {
            return self.of_kind("drop", text);
        }
        let second = text.split_whitespace().nth(1).unwrap_or("");
        if Family::from_name(second).is_some() {
            return Ok(vec![Body::Feed { place: None, line: text.to_owned() }]);
        }
        Err(self.tree.find_feed(first).err().unwrap_or_else(|| Fault::new("not understood")).expected(FORMS))
    }

    fn proposed(&self, text: &str, wanted: Option<&Wanted>) -> Result<Vec<Body>, Fault> {
        let values = values(&text.split_whitespace().collect::<Vec<_>>());
        let (kind, target) = match wanted {
            Some(Wanted::Zero) => return Ok(vec![Body::Zero { offset: Volt::read(text, "mV")? }]),
            Some(Wanted::Total { as_found, after_repair }) => {
                let current = Ampere::read(text, "mA")?;
                return Ok(vec![measured(
                    self.case,
                    What::Total { current, as_found: *as_found },
                    *after_repair,
                )]);
            }
            Some(Wanted::Drop(at)) => ("drop", at),
            Some(Wanted::Step(at)) => ("step", at),
            Some(Wanted::Clamp(at)) => ("clamp", at),
            Some(Wanted::Pull(at)) => ("pull", at),
            Some(Wanted::Refit(at)) => ("refit", at),
            Some(Wanted::Unplug(at)) => ("unplug", at),
            Some(Wanted::Input(at)) => ("input", at),
            _ => return Err(Fault::new("no reading is proposed here").expected(FORMS)),
        };
        Ok(vec![self.entry(self.what(kind, target, &values)?)])
    }
}

fn needed_count(kind: &str) -> usize {
    match kind {
        "pull" | "input" | "unplug" => 2,
        "step" => 3,
        _ => 1,
    }
}

fn needed(kind: &str) -> &'static str {
    match needed_count(kind) {
        1 => "one value",
        2 => "two values",
        _ => "millivolts before, millivolts after and amperes",
    }
}

/// Joins numbers with the units that follow them: `482 mA 77mA` is two values.
fn values(tokens: &[&str]) -> Vec<String> {
    let mut values: Vec<String> = Vec::new();
    for token in tokens {
        let starts_number =
            token.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.' | '\u{2212}'));
        match values.last_mut() {
            Some(last) if !starts_number => {
                last.push(' ');
                last.push_str(token);
            }
            _ => values.push((*token).to_owned()),
        }
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_stay_with_their_numbers() {
        assert_eq!(values(&["482", "mA", "77mA"]), ["482 mA", "77mA"]);
        assert_eq!(values(&["3.0mV", "10.6", "mV", "1.02A"]), ["3.0mV", "10.6 mV", "1.02A"]);
    }
}
