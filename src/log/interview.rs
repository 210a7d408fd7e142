//! What the interview told, read from the answers as they were typed: what narrows the search before any reading.
//! Leaves to others: asking (`hunt/stage/interview`), what each weighs (`infer`).

use super::case::Case;
use super::onset::Onset;
use super::question_id::QuestionId;
use super::spoken_time::{read_time, time_in};
use crate::base::quantity::{Minute, Unit};

/// When it goes flat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum FlatPattern {
    /// Nobody knows.
    #[default]
    Unknown,
    /// Every time that it stands.
    Always,
    /// Only at times.
    Sometimes,
    /// Only at one place.
    OnePlace,
}

/// What the interview told. What was not told is `None`, `false` or unknown.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Interview {
    /// Model year.
    pub year: Option<u16>,
    /// How long it stands before it is flat.
    pub stand: Option<Minute>,
    /// When it goes flat.
    pub pattern: FlatPattern,
    /// Something was added lately: a device, a tow bar, a radio.
    pub add_on: bool,
    /// It was worked on lately: repair, bodywork, a new battery.
    pub work: bool,
    /// Water came in, or it is damp.
    pub water: bool,
    /// Something is left plugged in: sockets, the diagnosis plug, a charger.
    pub plugged_in: bool,
    /// It was jump-started lately.
    pub jumped: bool,
    /// How long it was driven since, if that was told.
    pub driven: Option<Minute>,
    /// It is driven so little that its battery is not filled again.
    pub short_trips: bool,
    /// A warning lamp came on.
    pub warning_lamp: bool,
    /// It is parked unlocked, or with a key near it.
    pub unlocked: bool,
    /// It is parked with a door or a lid that is not quite shut.
    pub ajar: bool,
    /// When what was added or worked on was, against the trouble.
    pub onset: Onset,
}

/// Model years before this one count as old: few modules, and no bus to hold them awake. Editorial.
const OLD: u16 = 2000;

/// Driving that fills a battery again after a jump start. Editorial: an alternator gives back most of a flat one in hours.
const FILLS: Minute = Minute::new(240.0);
/// Kilometres a day below which a battery is not filled again. Editorial: what a start takes, and a night.
const FEW_KILOMETRES: f64 = 15.0;
/// Kilometres of a mile.
const MILE: f64 = 1.609;

impl Interview {
    /// Returns false if what was told means that the battery was not full when it was parked: then a time to flat says little
    /// about the draw.
    pub fn was_full(&self) -> bool {
        !self.short_trips && (!self.jumped || self.driven.is_some_and(|driven| driven >= FILLS))
    }

    /// Returns what was told in the words of `circuit/hints`.
    pub fn hints(&self) -> Vec<&'static str> {
        let told = [
            (self.add_on, "add-on"),
            (self.work, "work"),
            (self.water, "water"),
            (self.plugged_in, "plugged-in"),
            (!self.was_full(), "not-full"),
            (self.warning_lamp, "warning-lamp"),
            (self.unlocked, "unlocked"),
            (self.ajar, "ajar"),
            (self.add_on && self.onset == Onset::Since, "since-add-on"),
            (self.work && self.onset == Onset::Since, "since-work"),
            ((self.add_on || self.work) && self.onset == Onset::LongAgo, "long-ago"),
            (self.pattern == FlatPattern::Sometimes, "sometimes"),
            (self.pattern == FlatPattern::OnePlace, "one-place"),
            (self.year.is_some_and(|year| year < OLD), "old"),
        ];
        told.into_iter().filter(|(is, _)| *is).map(|(_, word)| word).collect()
    }
}

/// Beginnings of words that mean something was added.
const ADD_ON: [&str; 22] = [
    "add", "tracker", "dash", "camera", "alarm", "tow", "stereo", "radio", "amplif", "retrofit", "fitted",
    "install", "accessor", "dongle", "locator", "inverter", "charger", "heater", "light", "lamp", "immobil",
    "sub",
];
/// Beginnings of words that mean it was worked on.
const WORK: [&str; 16] = [
    "work",
    "repair",
    "replac",
    "crash",
    "accident",
    "body",
    "paint",
    "battery",
    "windscreen",
    "windshield",
    "service",
    "engine",
    "recall",
    "update",
    "garage",
    "workshop",
];
/// Beginnings of words that mean water.
const WATER: [&str; 8] = ["water", "wet", "damp", "leak", "rain", "flood", "moist", "soaked"];
/// Beginnings of words that mean something is left plugged in.
const PLUGGED: [&str; 6] = ["plug", "socket", "usb", "fridge", "cooler", "lighter"];
/// Words that mean a door or a lid is not quite shut.
const AJAR: [&str; 4] = ["ajar", "slam", "unlatched", "misaligned"];
/// Answers that tell nothing.
const NOTHING: [&str; 10] =
    ["", "no", "none", "nothing", "nothing known", "don't know", "unknown", "not known", "n/a", "-"];

impl Interview {
    /// Reads what was added, worked on or wet from an answer in words.
    #[must_use]
    pub fn with_recent(mut self, answer: &str) -> Self {
        let says = |beginnings: &[&str]| {
            words(answer).any(|word| beginnings.iter().any(|beginning| word.starts_with(beginning)))
        };
        self.warning_lamp = says(&["warning"]);
        // A warning lamp was not added, and that of the battery is no new battery.
        let other = |word: &&str| !self.warning_lamp || !["lamp", "light", "battery"].contains(word);
        let but_warnings = |words: &[&'static str]| words.iter().copied().filter(other).collect::<Vec<_>>();
        self.add_on = says(&but_warnings(&ADD_ON));
        self.work = says(&but_warnings(&WORK));
        self.water = says(&WATER);
        self.jumped = says(&["jump", "boosted"]);
        self.unlocked = says(&["unlock"]) || words(answer).any(|word| word == "key" || word == "keys");
        self.ajar = says(&AJAR);
        let all: Vec<String> = words(answer).collect();
        self.onset =
            Onset::of(&all, |word| ADD_ON.iter().chain(&WORK).any(|beginning| word.starts_with(beginning)));
        let driven = amounts(answer).find_map(|(amount, unit)| match unit.as_str() {
            "h" | "hour" | "hours" => Some(Minute::new(amount * 60.0)),
            "min" | "minute" | "minutes" => Some(Minute::new(amount)),
            _ => None,
        });
        self.driven = driven;
        let daily = says(&["day", "daily"]);
        let few = |(amount, unit): (f64, String)| match unit.as_str() {
            "km" | "kilometre" | "kilometres" => amount < FEW_KILOMETRES,
            "mile" | "miles" => amount * MILE < FEW_KILOMETRES,
            _ => false,
        };
        self.short_trips = says(&["short"]) || daily && amounts(answer).any(few);
        self
    }

    /// Returns what was understood of a free answer, in words; `None` if it told nothing that narrows the search.
    pub fn understood(&self) -> Option<String> {
        let named = [
            (self.add_on, "an add-on"),
            (self.work, "work"),
            (self.water, "water"),
            (self.jumped, "a jump start"),
            (self.short_trips, "short trips"),
            (self.warning_lamp, "a warning lamp"),
            (self.unlocked, "unlocked or key near"),
            (self.ajar, "a door ajar"),
            (self.onset == Onset::Since, "trouble since then"),
            (self.onset == Onset::LongAgo, "long ago"),
        ];
        let found: Vec<&str> = named.iter().filter(|(is_so, _)| *is_so).map(|(_, name)| *name).collect();
        (!found.is_empty()).then(|| found.join(", "))
    }
}

/// Finds in a sentence when it goes flat.
fn pattern_in(text: &str) -> FlatPattern {
    let text = text.to_lowercase();
    let says = |told: &[&str]| told.iter().any(|told| text.contains(told));
    if says(&["now and then", "sometimes", "at times", "once in a while"]) {
        FlatPattern::Sometimes
    } else if says(&["only at", "only in one place", "at one place"]) {
        FlatPattern::OnePlace
    } else if says(&["every time", "always", "every night", "each time"]) {
        FlatPattern::Always
    } else {
        FlatPattern::Unknown
    }
}

/// Numbers with the word behind each, in lower case: `20 km` and `1.5h`.
fn amounts(answer: &str) -> impl Iterator<Item = (f64, String)> {
    let lower = answer.to_lowercase().replace(',', ".");
    let is_number = |c: char| c.is_ascii_digit() || c == '.';
    let starts: Vec<usize> = lower.match_indices(is_number).map(|(at, _)| at).collect();
    let first = starts.iter().filter(|at| **at == 0 || !starts.contains(&(*at - 1))).copied();
    let found: Vec<(f64, String)> = first
        .filter_map(|at| {
            let rest = lower.get(at..)?;
            let number: String = rest.chars().take_while(|c| is_number(*c)).collect();
            let unit = rest.get(number.len()..)?.trim_start();
            let unit: String = unit.chars().take_while(|c| c.is_alphabetic()).collect();
            Some((number.trim_matches('.').parse().ok()?, unit))
        })
        .collect();
    found.into_iter()
}

/// Words in lower case; one that is denied (`no water`) is left out.
fn words(answer: &str) -> impl Iterator<Item = String> {
    let lower = answer.to_lowercase();
    let all: Vec<String> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    let before = std::iter::once(String::new()).chain(all.clone());
    let denied = |word: &str| matches!(word, "no" | "not" | "never" | "without");
    before
        .zip(all)
        .filter(move |(before, _)| !denied(before))
        .map(|(_, word)| word)
        .collect::<Vec<_>>()
        .into_iter()
}

impl Interview {
    /// Reads what was told from the answers, each found by the id of its question. The year stands on the map.
    pub fn of<'a>(answer: impl Fn(QuestionId) -> Option<&'a str>) -> Self {
        let answer = |id| answer(id).map(str::trim).unwrap_or_default();
        let complaint = answer(QuestionId::InterviewComplaint);
        let stand = match answer(QuestionId::InterviewStand) {
            "" => time_in(complaint),
            told => read_time(told).ok(),
        };
        let recent = answer(QuestionId::InterviewRecent);
        let plugged = answer(QuestionId::InterviewPlugged).to_lowercase();
        Interview {
            stand: stand.filter(|time| time.base() > 0.0),
            pattern: match answer(QuestionId::InterviewPattern) {
                "always" => FlatPattern::Always,
                "sometimes" => FlatPattern::Sometimes,
                "one-place" => FlatPattern::OnePlace,
                "" => pattern_in(complaint),
                _ => FlatPattern::Unknown,
            },
            plugged_in: (!NOTHING.contains(&plugged.as_str()) && !plugged.starts_with("no "))
                || words(recent).any(|word| PLUGGED.iter().any(|beginning| word.starts_with(beginning))),
            ..Interview::default()
        }
        .with_recent(recent)
    }
}

impl Case {
    /// Returns what the interview told, as far as the answers were understood.
    pub fn told(&self) -> Interview {
        Interview { year: self.map.year, ..Interview::of(|id| self.answer(id)) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn recent(answer: &str) -> (bool, bool, bool) {
        let told = Interview::default().with_recent(answer);
        (told.add_on, told.work, told.water)
    }

    #[test]
    fn keys_and_plain_words_are_understood() {
        assert_eq!(recent("add-on"), (true, false, false));
        assert_eq!(recent("work, water"), (false, true, true));
        assert_eq!(recent("Dash camera last month; bonnet painted"), (true, true, false));
        assert_eq!(recent("the boot was damp after rain"), (false, false, true));
        assert_eq!(recent("nothing known"), (false, false, false));
    }

    #[test]
    fn a_battery_that_was_jumped_and_hardly_driven_was_not_full() {
        let full = |answer: &str| Interview::default().with_recent(answer).was_full();
        assert!(full("nothing known") && full("tracker, wet") && full("no jump start"));
        assert!(
            !full("jump start")
                && !full("jumped twice, driven 20 min since")
                && !full("jump start, 1.5h driven")
        );
        assert!(full("jump-started a month ago, driven 5 hours since"));
        assert!(!full("short trips only") && !full("8 km a day") && !full("5 miles daily"));
        assert!(full("40 km a day") && full("8 km from the coast"));
    }

    #[test]
    fn a_warning_lamp_is_no_lamp_that_was_added() {
        let told = |answer: &str| Interview::default().with_recent(answer).hints();
        assert_eq!(told("battery warning light on"), ["warning-lamp"]);
        assert_eq!(told("extra light fitted"), ["add-on"]);
        assert_eq!(told("left unlocked"), ["unlocked"]);
        assert_eq!(told("flat since a tracker was fitted"), ["add-on", "since-add-on"]);
        assert_eq!(told("bonnet painted, boot lid ajar, flat since"), ["work", "ajar", "since-work"]);
        assert_eq!(told("tow bar fitted years ago"), ["add-on", "long-ago"]);
    }

    #[test]
    fn when_it_goes_flat_is_read_from_a_sentence() {
        assert_eq!(pattern_in("It goes flat now and then."), FlatPattern::Sometimes);
    }

    #[test]
    fn what_is_denied_is_not_told() {
        assert_eq!(recent("no water, no tracker"), (false, false, false));
        assert_eq!(recent("no work but a tracker"), (true, false, false));
    }

    #[test]
    fn what_was_understood_is_said_back() {
        assert_eq!(
            Interview::default().with_recent("tracker, wet").understood().as_deref(),
            Some("an add-on, water")
        );
        assert_eq!(Interview::default().with_recent("blue").understood(), None);
    }
}
