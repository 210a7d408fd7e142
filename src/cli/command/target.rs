//! Finds what a typed name means on a map: feeds, loads, unfused items, inputs of wake groups.
//! Leaves to others: what is measured there (`add`).

use crate::circuits::map::{Feed, Map};
use crate::fault::Fault;
use crate::piece::clean;
use crate::quantity::Celsius;
use crate::session::case::Case;

/// Most names that a refusal lists.
const LISTED: usize = 12;

/// Returns the feed of that id; capitals and small letters are told apart only where the map does.
///
/// # Errors
/// No such feed on the map.
pub fn feed<'a>(map: &'a Map, typed: &str) -> Result<&'a Feed, Fault> {
    let id = pick(map.feeds.iter().map(|feed| feed.id.as_str()), typed)
        .ok_or_else(|| unknown(typed, "no fuse", map.feeds.iter().map(|feed| feed.id.as_str())))?;
    map.feeds.iter().find(|feed| feed.id == id).ok_or_else(|| Fault::new(format!("no fuse {}", clean(typed))))
}

/// Returns the name of a feed or of an unfused item.
///
/// # Errors
/// Neither is on the map.
pub fn feed_or_unfused(map: &Map, typed: &str) -> Result<String, Fault> {
    let names = || map.unfused.iter().map(|item| &item.name).chain(map.feeds.iter().map(|feed| &feed.id));
    let found = pick(names().map(String::as_str), typed);
    found
        .map(str::to_owned)
        .ok_or_else(|| unknown(typed, "neither fuse nor unfused item", names().map(String::as_str)))
}

/// Returns feed and load of `FEED/load`.
///
/// # Errors
/// Not of that form, or no such feed or load on the map.
pub fn load(map: &Map, typed: &str) -> Result<(String, String), Fault> {
    let Some((at, name)) = typed.split_once('/') else {
        return Err(Fault::new(format!("\"{}\" names no load", clean(typed)))
            .expected("fuse and load, such as \"F12/audio unit\""));
    };
    let feed = feed(map, at)?;
    let names = || feed.loads.iter().map(|load| load.name.as_str());
    let found = pick(names(), name)
        .ok_or_else(|| unknown(name, &format!("no load on {}", clean(&feed.id)), names()))?;
    Ok((feed.id.clone(), found.to_owned()))
}

/// Returns the name of an input of a wake group.
///
/// # Errors
/// No wake group of the map has such an input.
pub fn input(map: &Map, typed: &str) -> Result<String, Fault> {
    let names = || map.wake_groups.iter().flat_map(|group| group.inputs.iter().map(String::as_str));
    let found = pick(names(), typed);
    found.map(str::to_owned).ok_or_else(|| unknown(typed, "no input of a wake group", names()))
}

/// Returns the temperature that was noted last for the box of a feed, else the one noted last for all.
pub fn temperature(case: &Case, feed: &Feed) -> Option<Celsius> {
    let place = feed.place.and_then(|at| case.map.boxes.get(at)).map(|place| place.id.as_str());
    let noted = |wanted: Option<&str>| {
        let fits = |noted: &&(_, Option<String>, _)| noted.1.as_deref() == wanted;
        case.temperatures.iter().rev().find(fits).map(|(_, _, value)| value.value)
    };
    place.and_then(|id| noted(Some(id))).or_else(|| noted(None))
}

/// Finds a name, first as it stands, then without regard to capitals if that fits only one.
fn pick<'a>(names: impl Iterator<Item = &'a str> + Clone, typed: &str) -> Option<&'a str> {
    let typed = typed.trim();
    if let Some(exact) = names.clone().find(|name| *name == typed) {
        return Some(exact);
    }
    let folded = typed.to_lowercase();
    let mut alike = names.filter(|name| name.to_lowercase() == folded);
    let first = alike.next();
    if alike.next().is_none() { first } else { None }
}

/// Says that a name is unknown, and which ones are: those that begin alike first.
fn unknown<'a>(typed: &str, what: &str, names: impl Iterator<Item = &'a str>) -> Fault {
    let begin: String = typed.trim().to_lowercase().chars().take(1).collect();
    let mut names: Vec<&str> = names.collect();
    names.sort_by_key(|name| !name.to_lowercase().starts_with(&begin));
    let mut known: Vec<String> = names.iter().take(LISTED).map(|name| clean(name)).collect();
    if names.len() > LISTED {
        known.push(format!("… ({} in all)", names.len()));
    }
    let fault = Fault::new(format!("{what} \"{}\" on the map of this log", clean(typed)));
    if known.is_empty() {
        fault.expected("a name from a map that has some")
    } else {
        fault.expected(known.join(", "))
    }
}
