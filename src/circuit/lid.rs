//! One line of a fuse-box lid as it is typed (`F12 mini 10 radio, clock`), and adding it to a map.
//! Leaves to others: whole panel lists (`sketch`), what names mean (`loads`), the checks (`resolve`).

use super::check::check_written;
use super::fuse::Family;
use super::id::{BoxId, FeedId};
use super::map::Map;
use super::resolve::unusable;
use super::schema::{BATTERY, BoxSchema, FeedSchema, FuseSchema, LoadSchema};
use super::wording::did_you_mean;
use crate::base::caps::LOADS_OF_ONE;
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Unit};
use crate::base::styled::clean;

/// What a lid line looks like, for messages.
const FORM: &str = "fuse, family, rating, what it feeds: F12 mini 10 radio, clock";

/// A line of a fuse-box lid, taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct LidLine {
    /// Id of the fuse.
    pub id: String,
    /// Family, if the line names one.
    pub family: Option<Family>,
    /// Rating.
    pub rating: Ampere,
    /// Feed above it, if the line names one with `from L1`.
    pub from: Option<String>,
    /// What it feeds, as named on the lid.
    pub loads: Vec<String>,
}

/// What adding a line did.
#[derive(Debug, Clone, PartialEq)]
pub struct Added {
    /// The new feed.
    pub feed: FeedId,
    /// What was guessed: family, kinds of load, guard.
    pub guesses: Vec<Diagnostic>,
}

impl LidLine {
    /// Reads a line: id, family (may be left out), rating, `from` and the feed above it (may be left out), then
    /// what it feeds, separated by commas.
    ///
    /// # Errors
    /// Nothing typed, no rating, a rating that is not positive, a family that is not known, a name that cannot be
    /// used, a load named twice.
    pub fn read(line: &str) -> Result<LidLine, Diagnostic> {
        let shown = clean(&line.trim().chars().take(80).collect::<String>());
        let refuse = |what: String| Diagnostic::new(what).expected(FORM);
        let mut words = line.split_whitespace().peekable();
        let Some(id) = words.next() else { return Err(refuse("nothing was typed".into())) };
        if let Some(fault) = unusable(id) {
            return Err(fault);
        }
        let mut family = None;
        // A family begins with a letter, a rating with a digit.
        if let Some(word) = words.next_if(|word| !begins_as_number(word)) {
            family = Some(family_of(word)?);
        }
        let Some(number) = words.next() else { return Err(refuse(format!("\"{shown}\" has no rating"))) };
        let unit = words.next_if(|word| is_ampere(word)).map_or("", |_| "A");
        let rating = read_rating(&format!("{number}{unit}"))?;
        let mut from = None;
        if words.next_if(|word| word.eq_ignore_ascii_case("from")).is_some() {
            let above = words.next().ok_or_else(|| refuse(format!("\"{shown}\": from what?")))?;
            from = Some(above.trim_end_matches([',', ';']).to_owned());
        }
        let rest: Vec<&str> = words.collect();
        let loads = split_loads(&rest.join(" "));
        if loads.len() > LOADS_OF_ONE {
            return Err(refuse(format!(
                "the line names {} loads, at most {LOADS_OF_ONE} are taken",
                loads.len()
            )));
        }
        if let Some((_, twice)) =
            loads.iter().enumerate().find(|(i, load)| loads.iter().take(*i).any(|one| one == *load))
        {
            let fault = Diagnostic::new(format!("the load {} is named twice", clean(twice)));
            return Err(fault.remedy("number them: lamp 1, lamp 2"));
        }
        Ok(LidLine { id: id.to_owned(), family, rating, from, loads })
    }

    /// Returns the feed as written, with the family that stands in where the line names none.
    pub(super) fn written(&self, place: Option<&str>, usual: Family) -> FeedSchema {
        let fuse = FuseSchema {
            family: Some(self.family.unwrap_or(usual).name().to_owned()),
            rating_a: Some(self.rating.base()),
            r_mohm: None,
        };
        FeedSchema {
            id: Some(self.id.clone()),
            from: Some(self.from.clone().unwrap_or_else(|| BATTERY.to_owned())),
            place: place.map(str::to_owned),
            fuse: Some(fuse),
            probe: None,
            guard: None,
            loads: self
                .loads
                .iter()
                .map(|name| LoadSchema { name: Some(name.clone()), ..LoadSchema::default() })
                .collect(),
        }
    }
}

impl Map {
    /// Adds a feed from a line of the fuse-box lid. A box that the map does not know yet is added. A line without
    /// a family takes the one that most fuses of the box have, mini if there are none.
    ///
    /// # Errors
    /// As [`LidLine::read`]; the id is taken already, or the feed above it does not exist. The map stays as it was.
    pub fn add_feed(&mut self, place: Option<&str>, line: &str) -> Result<Added, Faults> {
        let line = LidLine::read(line)?;
        let place = place.map(str::trim).filter(|place| !place.is_empty());
        let box_index = place.and_then(|name| self.find_box(name));
        let usual = self.usual_family(box_index);
        let mut written = self.written();
        let id = match (place, box_index.and_then(|index| self.boxes.get(index))) {
            (_, Some(known)) => Some(known.id.clone()),
            (Some(name), None) => {
                written.boxes.push((name.to_owned(), BoxSchema::default()));
                Some(name.to_owned())
            }
            (None, None) => None,
        };
        written.feeds.push(line.written(id.as_deref(), usual));
        let (map, mut guesses) = check_written(&written)?;
        if line.family.is_none() {
            let what = format!("{}: family {} taken, none was typed", clean(&line.id), usual.name());
            guesses.insert(0, Diagnostic::new(what).remedy(FORM));
        }
        *self = map;
        Ok(Added { feed: self.feeds.len().saturating_sub(1).into(), guesses })
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

/// Splits what a fuse feeds into loads, at commas and semicolons.
pub(super) fn split_loads(text: &str) -> Vec<String> {
    text.split([',', ';']).map(str::trim).filter(|load| !load.is_empty()).map(str::to_owned).collect()
}

/// Reads a family as people name it.
pub(super) fn family_of(word: &str) -> Result<Family, Diagnostic> {
    let folded = word.to_lowercase().replace(['_', ' '], "-");
    let plain = match folded.as_str() {
        "regular" | "standard" | "normal" => "blade",
        "lowmini" | "low-profile" | "low-profile-mini" | "mini-low" => "low-mini",
        "micro-2" => "micro2",
        "micro-3" => "micro3",
        "link" | "fusible-link" => "wire",
        other => other,
    };
    Family::from_name(plain).ok_or_else(|| {
        let names = || Family::ALL.into_iter().map(Family::name);
        let all = format!("one of {}", names().collect::<Vec<_>>().join(", "));
        let fault = Diagnostic::new(format!("the fuse family \"{}\" is not known", clean(word)));
        fault.expected(all).remedy(did_you_mean(word, names(), ""))
    })
}

/// Reads a rating; a bare number is ampere.
pub(super) fn read_rating(text: &str) -> Result<Ampere, Diagnostic> {
    let due = "amperes above zero, such as 10";
    let typed = Ampere::read(text, "A").map_err(|fault| Diagnostic::new(fault.what).expected(due))?;
    if typed.value > Ampere::ZERO {
        Ok(typed.value)
    } else {
        Err(Diagnostic::new(format!("the rating is {}", clean(text))).expected(due))
    }
}

fn begins_as_number(word: &str) -> bool {
    let digits = word.trim_start_matches(['+', '-', '.', ',']);
    digits.starts_with(|c: char| c.is_ascii_digit())
}

fn is_ampere(word: &str) -> bool {
    ["a", "amp", "amps"].iter().any(|unit| word.eq_ignore_ascii_case(unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::builtin;
    use crate::circuit::check::check;
    use crate::circuit::map::Hazard;
    use proptest::prelude::*;

    #[test]
    fn what_people_type_from_a_lid_is_understood() {
        let line = |text: &str| LidLine::read(text).unwrap_or_else(|fault| panic!("{text}: {fault}"));
        let full = line("F12 mini 10 radio, clock");
        assert_eq!(
            (full.id.as_str(), full.family, full.rating),
            ("F12", Some(Family::Mini), Ampere::new(10.0))
        );
        assert_eq!(full.loads, ["radio", "clock"]);
        assert_eq!(line("  F12   10   radio").family, None);
        assert_eq!(line("F12 10A radio").loads, ["radio"]);
        assert_eq!(line("F12 10 A radio").loads, ["radio"]);
        assert_eq!(line("F12 mini 10 A/C clutch").loads, ["A/C clutch"]);
        assert_eq!(line("12 7,5 int lamps; boot lamp").rating, Ampere::new(7.5));
        assert_eq!(line("F3 low-profile 5").loads, Vec::<String>::new());
        let below = line("F12 mini 10 from L1 radio");
        assert_eq!((below.from.as_deref(), below.loads.len()), (Some("L1"), 1));
        assert_eq!(line("L1 link 80").family, Some(Family::Wire));
    }

    #[test]
    fn a_line_that_cannot_be_meant_is_refused_with_a_right_form() {
        let cases = [
            ("", "nothing was typed"),
            ("F12", "has no rating"),
            ("F12 mini", "has no rating"),
            ("F12 minni 10 radio", "did you mean mini"),
            ("F12 mini -5 radio", "above zero"),
            ("F12 mini 0 radio", "above zero"),
            ("F12 mini 10mV radio", "is a voltage"),
            ("F12 mini 1e999 radio", "finite"),
            ("F/12 mini 10 radio", "short name"),
            ("battery mini 10 radio", "battery itself"),
            ("F12 mini 10 from", "from what"),
            ("F12 mini 10 lamp, lamp", "twice"),
        ];
        for (text, due) in cases {
            let said = LidLine::read(text).expect_err(text).to_string();
            assert!(said.contains(due), "{text:?}: {said}");
        }
    }

    #[test]
    fn a_blank_map_grows_line_by_line_and_stays_sound() {
        let mut map = builtin::map("blank").expect("blank");
        let first = map.add_feed(Some("cabin"), "F12 low-mini 10 radio, clock").expect("a line");
        assert_eq!((first.feed, first.guesses.len()), (FeedId::from(0), 2));
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
