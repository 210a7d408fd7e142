//! What is typed from a fuse-box lid put into a map: a fuse a line, the links that feed the boxes, the family of a whole
//! box, and what the last fuse is (its family, its guard, the kind of what it feeds) in one word.
//! Leaves to others: taking a line apart (`lid_line`), whole panel lists (`sketch`), the checks (`resolve`).

use super::check::check_written;
use super::fuse::Family;
use super::id::BoxId;
use super::lid_line::{LidLine, family_of, formed, read_rating};
use super::loads::Catalogue;
use super::map::{Access, Hazard, Map};
use super::schema::{BATTERY, BoxSchema, FeedSchema, FuseSchema, LoadSchema, MapSchema, UNGUARDED};
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::{Ampere, Unit};
use crate::base::styled::clean;

/// Box in which the links at the battery sit.
const LINK_BOX: &str = "battery-top";
/// Word that takes the guard of the last fuse away.
const UNGUARDED_WORD: &str = "unguarded";

/// What adding a line did.
#[derive(Debug, Clone, PartialEq)]
pub struct Added {
    /// Ids of the fuses that are new or were changed, in the order of the map.
    pub feeds: Vec<String>,
    /// What was guessed: family, kinds of load, guard.
    pub guesses: Vec<Diagnostic>,
}

/// What a line typed from a lid says.
enum LidEntry {
    /// A fuse.
    Fuse(LidLine),
    /// `all mini`: every fuse of the box whose family was guessed is one.
    AllOf(Family),
    /// One word about the last fuse.
    Last(LastIs),
    /// `links 150 cabin, 80 engine bay`: what feeds each box from the battery.
    Links(Vec<(Ampere, String)>),
}

/// What one word says of the last fuse.
enum LastIs {
    /// `mini`.
    Of(Family),
    /// `brake`: guarded so; `unguarded`.
    Guarded(Option<Hazard>),
    /// `audio`: what it feeds last is of this kind.
    Feeding(String),
}

impl LastIs {
    fn read(word: &str) -> Option<Self> {
        let folded = word.to_lowercase();
        let kind = || Catalogue::builtin().get(&folded).map(|kind| Self::Feeding(kind.id.clone()));
        let guard = || Hazard::from_name(&folded).map(|guard| Self::Guarded(Some(guard)));
        let open = || (folded == UNGUARDED_WORD).then_some(Self::Guarded(None));
        family_of(word).ok().map(Self::Of).or_else(guard).or_else(open).or_else(kind)
    }

    /// Changes the last fuse; returns its id.
    fn tell(self, written: &mut MapSchema) -> Result<Option<String>, Diagnostic> {
        let Some(feed) = written.feeds.last_mut() else { return Ok(None) };
        match self {
            Self::Of(family) => return Ok(set_family(feed, family)),
            Self::Guarded(guard) => {
                let strict = feed.guard.as_deref().and_then(Hazard::from_name);
                if guard.is_none() && matches!(strict, Some(Hazard::Restraint | Hazard::Hv)) {
                    return Err(Diagnostic::new("airbags, belts and high voltage stay guarded").remedy(
                        "read another fuse, or write guard: none into a map file, by the wiring diagram",
                    ));
                }
                feed.guard = Some(guard.map_or(UNGUARDED, Hazard::name).to_owned());
            }
            Self::Feeding(kind) => {
                let Some(load) = feed.loads.last_mut() else { return Ok(None) };
                // What followed from the old kind follows from the new one.
                *load = LoadSchema { name: load.name.take(), kind: Some(kind), ..LoadSchema::default() };
            }
        }
        Ok(feed.id.clone())
    }
}

impl LidEntry {
    fn read(line: &str) -> Result<LidEntry, Diagnostic> {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.as_slice() {
            [all, family] if all.eq_ignore_ascii_case("all") => Ok(Self::AllOf(family_of(family)?)),
            [first, ..] if first.eq_ignore_ascii_case("links") => {
                let rest = line.trim().get(first.len()..).unwrap_or_default();
                rest.split([',', ';']).map(link).collect::<Result<_, _>>().map(Self::Links)
            }
            [word] => LastIs::read(word)
                .map_or_else(|| LidLine::read(line).map(Self::Fuse), |last| Ok(Self::Last(last))),
            _ => LidLine::read(line).map(Self::Fuse),
        }
    }
}

/// Reads one link: `150 cabin`, `80A engine bay`.
fn link(text: &str) -> Result<(Ampere, String), Diagnostic> {
    let refuse = || {
        Diagnostic::new(format!("\"{}\" is no link", clean(text.trim())))
            .expected("links, then rating and box of each: links 150 cabin, 80 engine bay")
    };
    let (rating, place) = text.trim().split_once(char::is_whitespace).ok_or_else(refuse)?;
    let place = place.trim();
    let (unit, named) = place.split_once(char::is_whitespace).unwrap_or(("", place));
    let place = if unit.eq_ignore_ascii_case("a") { named } else { place };
    Ok((read_rating(rating)?, place.split_whitespace().collect::<Vec<_>>().join("-")))
}

impl LidLine {
    /// Returns the feed as written, with the family and the feed above it that stand in where the line names none.
    pub(super) fn written(&self, place: Option<&str>, usual: Family, above: Option<&str>) -> FeedSchema {
        let load = |name: &String| LoadSchema { name: Some(name.clone()), ..LoadSchema::default() };
        FeedSchema {
            id: Some(self.id.clone()),
            from: Some(self.from.clone().unwrap_or_else(|| above.unwrap_or(BATTERY).to_owned())),
            place: place.map(str::to_owned),
            fuse: Some(FuseSchema {
                family: Some(self.family.unwrap_or(usual).name().to_owned()),
                rating_a: Some(self.rating.base()),
                r_mohm: None,
            }),
            family_guessed: self.family.is_none().then_some(true),
            loads: self.loads.iter().map(load).collect(),
            ..FeedSchema::default()
        }
    }
}

impl Map {
    /// Adds what a line typed from the fuse-box lid says. A box that the map does not know yet is added. A line without a
    /// family takes the one that most fuses of the box have, mini if there are none; one without a feed above it hangs
    /// below the link of its box, if that is known.
    ///
    /// # Errors
    /// As `LidLine::read`; the id is taken already, or the feed above it does not exist; a family for a fuse where
    /// there is none yet. The map stays as it was.
    pub fn add_feed(&mut self, place: Option<&str>, line: &str) -> Result<Added, Faults> {
        let place = place.map(str::trim).filter(|place| !place.is_empty());
        let mut written = self.written();
        let mut guesses = Vec::new();
        let feeds = match LidEntry::read(line)? {
            LidEntry::Fuse(mut line) => {
                // Boxes often number their fuses alike.
                let here = place.and_then(|name| self.find_box(name));
                let elsewhere = |feed: &super::map::Feed| feed.id == line.id && feed.place != here;
                if let Some(place) = place.filter(|_| self.feeds.iter().any(elsewhere)) {
                    line.id = format!("{place}.{}", line.id);
                }
                let usual = self.usual_family(here);
                if line.family.is_none() {
                    let (id, name) = (clean(&line.id), usual.name());
                    let guess = Diagnostic::new(format!("{id}: family {name} taken, none was typed"));
                    guesses.push(formed(guess));
                }
                let place = place.map(|name| self.open_box(&mut written, name, None));
                let above = place.as_ref().and_then(|id| supply(&written, id));
                written.feeds.push(line.written(place.as_deref(), usual, above.as_deref()));
                vec![line.id]
            }
            LidEntry::AllOf(family) => {
                let here = place.and_then(|name| self.find_box(name));
                let guessed = |(at, feed): (usize, &super::map::Feed)| {
                    (feed.family_guessed && feed.place == here && feed.access != Access::Clamp).then_some(at)
                };
                let all: Vec<usize> = self.feeds.iter().enumerate().filter_map(guessed).collect();
                let mut changed = Vec::new();
                for at in all {
                    let feed = written.feeds.get_mut(at).map(|feed| set_family(feed, family));
                    changed.extend(feed.flatten());
                }
                changed
            }
            LidEntry::Last(last) => last.tell(&mut written)?.into_iter().collect(),
            LidEntry::Links(links) => {
                let add = |(rating, place)| self.add_link(&mut written, rating, place);
                links.into_iter().map(add).collect()
            }
        };
        if feeds.is_empty() {
            let fault = Diagnostic::new("there is no fuse yet that this could be about");
            return Err(formed(fault).into());
        }
        let (map, doubts) = check_written(&written)?;
        // That a box is empty so far is no doubt about the line.
        guesses.extend(doubts.into_iter().filter(|doubt| !is_of_a_box(doubt)));
        *self = map;
        Ok(Added { feeds, guesses })
    }

    /// Returns the id of a box, added if there is none yet; a link that feeds it is noted.
    fn open_box(&self, written: &mut MapSchema, name: &str, link: Option<&str>) -> String {
        let known = written.boxes.iter().position(|(id, _)| id.eq_ignore_ascii_case(name));
        let at = known.unwrap_or_else(|| {
            written.boxes.push((name.to_owned(), BoxSchema::default()));
            written.boxes.len() - 1
        });
        let Some((id, found)) = written.boxes.get_mut(at) else { return name.to_owned() };
        if let Some(link) = link {
            found.from = Some(link.to_owned());
        }
        id.clone()
    }

    /// Adds a link at the battery that feeds a box, read with a clamp.
    fn add_link(&self, written: &mut MapSchema, rating: Ampere, place: String) -> String {
        let is_taken = |id: &String| {
            written.feeds.iter().any(|feed| feed.id.as_ref() == Some(id))
                || written.unfused.iter().any(|item| item.name.as_ref() == Some(id))
        };
        let id = (1..).map(|number| format!("L{number}")).find(|id| !is_taken(id)).unwrap_or_default();
        let links = self.open_box(written, LINK_BOX, None);
        self.open_box(written, &place, Some(&id));
        let line = LidLine { id: id.clone(), family: None, rating, from: None, loads: Vec::new() };
        let feed = line.written(Some(&links), Family::Bolt, None);
        written.feeds.push(FeedSchema { probe: Some(Access::Clamp.name().to_owned()), ..feed });
        id
    }

    /// Returns the box of this id; capitals do not matter.
    pub fn find_box(&self, name: &str) -> Option<BoxId> {
        let folded = name.trim().to_lowercase();
        self.boxes.find_id(|one| one.id.to_lowercase() == folded)
    }

    /// Returns the family that most fuses of a box have, mini if there are none; links do not count.
    pub fn usual_family(&self, place: Option<BoxId>) -> Family {
        let here: Vec<Family> = self
            .feeds
            .iter()
            .filter(|feed| feed.place == place)
            .map(|feed| feed.fuse.family)
            .filter(|family| {
                !matches!(family, Family::Bolt | Family::Wire | Family::Cartridge | Family::Maxi)
            })
            .collect();
        let count = |family: Family| here.iter().filter(|one| **one == family).count();
        // Of equally many the first family counts, so that the result does not depend on chance.
        Family::ALL
            .into_iter()
            .rev()
            .max_by_key(|family| count(*family))
            .filter(|f| count(*f) > 0)
            .unwrap_or(Family::Mini)
    }
}

fn is_of_a_box(doubt: &Diagnostic) -> bool {
    doubt.place.field.as_deref().is_some_and(|field| field.starts_with("boxes."))
}

/// The link that feeds a box, as noted when it was told.
fn supply(written: &MapSchema, place: &str) -> Option<String> {
    written.boxes.iter().find(|(id, _)| id == place)?.1.from.clone()
}

/// Gives a fuse its family, as told; returns its id.
fn set_family(feed: &mut FeedSchema, family: Family) -> Option<String> {
    feed.fuse.get_or_insert_default().family = Some(family.name().to_owned());
    feed.family_guessed = None;
    feed.id.clone()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::builtin;
    use crate::circuit::check::check;
    use proptest::prelude::*;

    #[test]
    fn a_blank_map_grows_line_by_line_and_stays_sound() {
        let mut map = builtin::map("blank").expect("blank");
        let first = map.add_feed(Some("cabin"), "F12 low-mini 10 radio, clock").expect("a line");
        assert_eq!((first.feeds, first.guesses.len()), (vec!["F12".to_owned()], 2));
        // The second line names no family: the box has low-mini, so that is taken and said.
        let second = map.add_feed(Some("Cabin"), "F13 7.5 SRS").expect("a line");
        assert_eq!(map.feeds[1].fuse.family, Family::LowMini);
        assert_eq!(map.feeds[1].hazard, Some(Hazard::Restraint));
        assert!(second.guesses[0].what.contains("family low-mini taken"));
        map.add_feed(None, "L1 bolt 80").expect("a line");
        map.add_feed(Some("cabin"), "F14 mini 15 from L1 horn").expect("a line");
        assert_eq!((map.boxes.len(), map.feeds[3].parent), (1, Some(2.into())));
        let again = check("again", &map.to_yaml().expect("text")).expect("sound").0;
        assert_eq!(map, again);
    }

    #[test]
    fn links_told_once_feed_what_is_typed_for_their_boxes() {
        let mut map = builtin::map("blank").expect("blank");
        let links = map.add_feed(None, "links 150 cabin, 80A engine bay, 60 A boot").expect("links");
        assert_eq!(links.feeds, ["L1", "L2", "L3"]);
        map.add_feed(Some("Engine-Bay"), "E1 10 horn").expect("a line");
        map.add_feed(Some("cabin"), "F1 10 from L3 radio").expect("a line");
        let again = map.add_feed(Some("roof"), "F1 10 lamps").expect("a name that another box has too");
        assert_eq!(again.feeds, ["roof.F1"]);
        let parents: Vec<_> =
            map.feeds.iter().map(|feed| feed.parent.map(|above| map.feed_name(above))).collect();
        assert_eq!(parents, [None, None, None, Some("L2"), Some("L3"), None]);
        assert_eq!(map.feeds[0].access, Access::Clamp);
        let again = check("again", &map.to_yaml().expect("text")).expect("sound").0;
        assert_eq!(map, again);
        for line in ["links", "links cabin", "links 0 cabin", "links 150"] {
            assert!(map.add_feed(None, line).is_err(), "{line}");
        }
    }

    #[test]
    fn one_word_tells_the_family_of_a_box_or_of_the_last_fuse() {
        let mut map = builtin::map("blank").expect("blank");
        assert!(map.add_feed(None, "all mini").is_err() && map.add_feed(None, "blade").is_err());
        for line in ["F1 10 radio", "F2 blade 15 horn", "F3 5 clock"] {
            map.add_feed(Some("cabin"), line).expect(line);
        }
        let families = |map: &Map| map.feeds.iter().map(|feed| feed.fuse.family).collect::<Vec<_>>();
        assert_eq!(map.add_feed(Some("cabin"), "all micro2").expect("a family").feeds, ["F1", "F3"]);
        assert_eq!(families(&map), [Family::Micro2, Family::Blade, Family::Micro2]);
        assert_eq!(map.add_feed(Some("cabin"), "ATO").expect("a family").feeds, ["F3"]);
        assert_eq!(families(&map), [Family::Micro2, Family::Blade, Family::Blade]);
    }

    #[test]
    fn one_word_corrects_the_kind_or_the_guard_of_the_last_fuse() {
        let mut map = builtin::map("blank").expect("blank");
        map.add_feed(Some("cabin"), "F1 mini 10 clock, box of tricks").expect("a line");
        assert_eq!(map.feeds[0].loads[1].kind, "other");
        assert_eq!(map.add_feed(Some("cabin"), "Amplifier").expect("a kind").feeds, ["F1"]);
        let load = &map.feeds[0].loads[1];
        assert_eq!((load.name.as_str(), load.kind.as_str()), ("box of tricks", "amplifier"));
        let amplifier = Catalogue::builtin().get("amplifier").expect("a kind");
        assert_eq!(load.asleep, amplifier.asleep);
        map.add_feed(Some("cabin"), "brake").expect("a guard");
        assert_eq!(map.feeds[0].hazard, Some(Hazard::Brake));
        map.add_feed(Some("cabin"), "unguarded").expect("a guard taken off");
        assert_eq!(map.feeds[0].hazard, None);
        map.add_feed(Some("cabin"), "F2 mini 10 SRS").expect("a line");
        let before = map.clone();
        assert!(map.add_feed(Some("cabin"), "unguarded").is_err() && map == before);
    }

    #[test]
    fn a_line_that_does_not_fit_leaves_the_map_as_it_was() {
        let mut map = builtin::map("hatch").expect("hatch");
        let before = map.clone();
        for line in ["C3 mini 10 radio", "F99 mini 10 from L9 radio", "F99 mini ten radio"] {
            assert!(map.add_feed(Some("cabin"), line).is_err(), "{line}");
            assert_eq!(map, before);
        }
    }

    proptest! {
        #[test]
        fn no_line_makes_the_reader_panic(line in ".{0,60}") {
            let mut map = builtin::map("blank").expect("blank");
            let _ = map.add_feed(Some("cabin"), &line);
        }
    }
}
