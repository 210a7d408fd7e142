//! Names typed on the command line to what they mean on the map of the log.
//! Leaves to others: finding names (`circuits/tree`), what is measured there (`add`).

use crate::circuits::map::{Feed, Map};
use crate::circuits::tree::{ClampAt, Tree};
use crate::fault::Fault;
use crate::quantity::Celsius;
use crate::session::case::Case;

/// Returns the feed of that id.
///
/// # Errors
/// No such feed on the map.
pub fn feed<'a>(map: &'a Map, typed: &str) -> Result<&'a Feed, Fault> {
    let index = Tree::new(map).find_feed(typed)?;
    map.feeds.get(index).ok_or_else(|| Fault::new(format!("no fuse {typed}")))
}

/// Returns the name of a feed or of an unfused item.
///
/// # Errors
/// Neither is on the map.
pub fn feed_or_unfused(map: &Map, typed: &str) -> Result<String, Fault> {
    let name = match Tree::new(map).find_place_to_clamp(typed)? {
        ClampAt::Feed(index) => map.feeds.get(index).map(|feed| &feed.id),
        ClampAt::Unfused(index) => map.unfused.get(index).map(|item| &item.name),
    };
    Ok(name.cloned().unwrap_or_default())
}

/// Returns feed and load of `FEED/load`.
///
/// # Errors
/// Not of that form, or no such feed or load on the map.
pub fn load(map: &Map, typed: &str) -> Result<(String, String), Fault> {
    let (feed, load) = Tree::new(map).find_load(typed)?;
    let found =
        map.feeds.get(feed).and_then(|feed| Some((feed.id.clone(), feed.loads.get(load)?.name.clone())));
    found.ok_or_else(|| Fault::new(format!("no load {typed}")))
}

/// Returns the name of an input of a wake group.
///
/// # Errors
/// No wake group of the map has such an input.
pub fn input(map: &Map, typed: &str) -> Result<String, Fault> {
    Tree::new(map).find_input(typed).map(|(name, _)| name.to_owned())
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
