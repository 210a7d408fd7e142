//! The fuse-box lid in words: how its lines are asked for, and what each was understood as.

use super::wording::wordings;
use crate::base::quantity::Unit;
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::{Access, Feed, Hazard, Load, Map};

wordings! {
    HookUpLinks, "How many thick cables leave the battery's positive post, and where to?",
        "Type rating and box of each: 150 cabin, 80 engine bay. One clamp on such a cable tells for all fuses of its box. Don't know hangs every fuse at the battery itself.";
    HookUpLid, "Fuse from the lid (Enter ends the list)",
        "One line a fuse: F12 mini 10 radio, clock. The line box cabin says where the next fuses sit. A family alone corrects the last fuse, all mini the whole box. So does what it feeds or guards: amplifier, brake, unguarded. Families: blade, mini, low-mini, micro2, micro3, maxi, cartridge, bolt, glass, torpedo, wire.";
}

/// Says that fuses are typed.
pub fn no_map() -> Vec<StyledText> {
    vec![
        StyledText::of(Role::Heading, "The fuse-box lid"),
        StyledText::plain("There is no map yet: main cables first, then the fuses as the lid has them.")
            .indented(2),
        StyledText::of(Role::Hint, "Rating and box of each, as in: 150 cabin, 80 engine bay").indented(2),
    ]
}

/// Says how lines are typed.
pub fn how() -> Vec<StyledText> {
    vec![
        StyledText::plain("One line a fuse, as in: F12 mini 10 radio, clock").indented(2),
        StyledText::plain("A line such as box cabin says where the fuses that follow sit.").indented(2),
    ]
}

/// Asks for one fuse of the lid.
pub fn fuse_of_lid(number: usize, place: Option<&str>) -> String {
    let place = place.map(|place| format!(", box {place}")).unwrap_or_default();
    format!("Fuse {number} from the lid{place} (Enter ends the list)")
}

/// What is kept of the empty line.
pub const END_OF_LIST: &str = "end of the list";

/// Says where the fuses that follow sit.
pub fn box_chosen(name: &str) -> StyledText {
    StyledText::plain("The fuses that follow sit in: ").and(Role::Name, name)
}

/// Refuses the name of a box.
pub fn long_name(count: usize, most: usize) -> String {
    format!("The name of the box has {count} characters; at most {most} are taken. Type a shorter one.")
}

/// Says what it costs not to know the main links.
pub fn no_links() -> StyledText {
    StyledText::of(Role::Hint, "Every fuse then hangs at the battery, and no clamp tells for a whole box.")
}

/// Returns true if the family of a fuse was guessed; that of a link does not matter, for it is read with a clamp.
pub fn is_guessed(feed: &Feed) -> bool {
    feed.family_guessed && feed.access != Access::Clamp
}

/// Says what a line was understood as, by the ids of the fuses that it made or changed. At the first guess it says how
/// one is corrected.
pub fn understood(map: &Map, ids: &[String], first_guess: bool) -> Vec<StyledText> {
    let feeds: Vec<&Feed> = map.feeds.iter().filter(|feed| ids.contains(&feed.id)).collect();
    let links = feeds.iter().all(|feed| feed.access == Access::Clamp);
    if let (false, [first, _, ..]) = (links, feeds.as_slice()) {
        let line = StyledText::of(Role::Name, ids.join(", "));
        return vec![line.and(Role::Plain, format!(": {}", first.fuse.family.name())).indented(2)];
    }
    let mut lines: Vec<StyledText> = feeds.iter().map(|feed| fuse(map, feed)).collect();
    lines.extend(feeds.iter().filter_map(|feed| feed.hazard).map(hazard));
    let guessed = feeds.iter().find(|feed| is_guessed(feed)).filter(|_| first_guess);
    lines.extend(guessed.map(|feed| correction(feed.fuse.family.name())));
    lines
}

fn fuse(map: &Map, feed: &Feed) -> StyledText {
    let mut line = StyledText::of(Role::Name, &feed.id).indented(2);
    let at = map.feeds.iter_ids().find(|(_, one)| one.id == feed.id).map(|(at, _)| at);
    if let Some(fed) = map.boxes.iter().find(|place| place.supply.is_some() && place.supply == at) {
        return line.and(
            Role::Plain,
            format!(": link {} A to {}, read with a clamp", feed.fuse.rating.base(), fed.id),
        );
    }
    if let Some(place) = map.box_of(feed) {
        line = line.and(Role::Plain, format!(" in {}", place.id));
    }
    line = line.and(Role::Plain, format!(": {}", feed.fuse.words()));
    if is_guessed(feed) {
        line = line.and(Role::Doubt, " (family guessed)");
    }
    if let Some(parent) = feed.parent {
        line = line.and(Role::Plain, format!(" below {}", map.feed_name(parent)));
    }
    match feed.loads.as_slice() {
        [] => line.and(Role::Plain, "; what it feeds is not named"),
        loads => line
            .and(Role::Plain, format!(", feeds {}", loads.iter().map(load).collect::<Vec<_>>().join(", "))),
    }
}

/// A load and what it was taken for, where its name is another one.
fn load(load: &Load) -> String {
    let kind = load.kind.replace('-', " ");
    match load.kind.as_str() {
        "other" => format!("{} (kind unknown)", load.name),
        _ if load.name.to_lowercase().contains(&kind) => load.name.clone(),
        _ => format!("{} ({kind})", load.name),
    }
}

fn hazard(hazard: Hazard) -> StyledText {
    let text = match hazard {
        Hazard::Restraint => "Taken for airbags or belts by its name: never probed, pulled or unplugged.",
        Hazard::Hv => "Taken for high voltage by its name: it is left alone.",
        Hazard::Brake => "Taken for brakes by its name: it is read, never pulled.",
        Hazard::Steering => "Taken for steering by its name: it is read, never pulled.",
        Hazard::Fuel => "Taken for fuel supply by its name: it is read, never pulled.",
        Hazard::Gas => "Taken for a gas alarm by its name: it is read, never pulled.",
    };
    StyledText::of(Role::Doubt, text).indented(2)
}

fn correction(family: &str) -> StyledText {
    let other = if family == "blade" { "mini" } else { "blade" };
    let text =
        format!("Not {family}? Type its family alone, such as {other}; all {other} means the whole box.");
    StyledText::of(Role::Hint, text).indented(2)
}
