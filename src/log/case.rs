//! What a log adds up to: the hunt so far. Struck entries are gone from it, except in `struck`.
//! Leaves to others: making it from entries (`replay`), and every conclusion (`balance`, `infer`, `hunt`).

use chrono::{DateTime, FixedOffset};

use super::entry::{LogEvent, Opened};
use super::identity::Identity;
use super::question_id::{QuestionId, QuestionKey};
use super::trace_summary::TraceSummary;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Volt};
use crate::circuit::learnt::LearntShares;
use crate::circuit::limits::Limits;
use crate::circuit::map::{Limit, Map};
use crate::instrument::profile::{Profile, Way};
use crate::measure::{Measurement, Reading};

/// When something was entered, and as which entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stamp {
    /// Number of the entry, from 1.
    pub entry: usize,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// Something that was entered, and when.
#[derive(Debug, Clone, PartialEq)]
pub struct Dated<T> {
    /// When, and as which entry.
    pub stamp: Stamp,
    /// What.
    pub what: T,
}

/// What was said to a question: its answer, or why it was passed over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// The question, or the stage.
    pub question: QuestionKey,
    /// The answer or the reason.
    pub text: String,
}

/// A temperature that was noted.
#[derive(Debug, Clone, PartialEq)]
pub struct NotedTemperature {
    /// Box id; `None` for all.
    pub place: Option<String>,
    /// The value.
    pub value: Typed<Celsius>,
}

/// An entry that was struck.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Struck {
    /// Its number.
    pub entry: usize,
    /// Why.
    pub why: String,
}

/// An entry of a kind that this version does not know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UnknownEntry {
    /// Its number.
    pub entry: usize,
    /// Its kind.
    pub kind: String,
}

/// The hunt so far.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// What the first entry says.
    pub opened: Opened,
    /// When the log was opened.
    pub opened_at: DateTime<FixedOffset>,
    /// The circuit map, with the feeds added since.
    pub map: Map,
    /// Readings in the order of their entries.
    pub readings: Vec<Reading>,
    /// Meters named during the hunt, each in use from there on.
    pub meters: Vec<Dated<Profile>>,
    /// Zeros taken.
    pub zeros: Vec<Dated<Typed<Volt>>>,
    /// Temperatures noted.
    pub temperatures: Vec<Dated<NotedTemperature>>,
    /// Battery volts noted.
    pub volts: Vec<Dated<Typed<Volt>>>,
    /// Answers to questions. The newest of one id counts.
    pub answers: Vec<Dated<Said>>,
    /// Questions or stages passed over, with the reason.
    pub skips: Vec<Dated<Said>>,
    /// What meter logs showed while nobody looked, in the order of their entries.
    pub watched: Vec<Dated<TraceSummary>>,
    /// What restarted the sleep clock.
    pub disturbances: Vec<Dated<String>>,
    /// Those of them that somebody told of; the others are readings that touched the vehicle.
    pub woken: Vec<Stamp>,
    /// What identifies vehicle, job and part, as told last.
    pub identity: Identity,
    /// Shares of causes learnt from other hunts, where some are in force.
    pub learnt: LearntShares,
    /// Notes.
    pub notes: Vec<Dated<String>>,
    /// The user's own limit, if one was given.
    pub limit: Option<Limit>,
    /// Struck entries, each under the entry that struck it.
    pub struck: Vec<Dated<Struck>>,
    /// Entries of a kind that this version does not know.
    pub unknown: Vec<UnknownEntry>,
    /// The steps that count, oldest first: the entries of one command or one answer, by number. What was taken back is
    /// gone, and so is the taking back.
    pub steps: Vec<Vec<usize>>,
    /// Number of entries in the log, struck ones included.
    pub entries: usize,
    /// When the last entry was made.
    pub last_at: DateTime<FixedOffset>,
}

impl Case {
    /// Returns the case of a log that has only just been opened.
    pub fn begun(opened: Opened, at: DateTime<FixedOffset>, map: Map) -> Self {
        let stamp = Stamp { entry: 1, at };
        let noted = |(place, value): &(Option<String>, Typed<Celsius>)| Dated {
            stamp,
            what: NotedTemperature { place: place.clone(), value: value.clone() },
        };
        let given = |limit: &Typed<Ampere>| Limit {
            current: limit.value,
            source: "given when the log was opened".to_owned(),
        };
        Self {
            temperatures: opened.temperatures.iter().map(noted).collect(),
            limit: opened.limit.as_ref().map(given),
            opened,
            opened_at: at,
            map,
            readings: Vec::new(),
            meters: Vec::new(),
            zeros: Vec::new(),
            volts: Vec::new(),
            answers: Vec::new(),
            skips: Vec::new(),
            watched: Vec::new(),
            disturbances: Vec::new(),
            woken: Vec::new(),
            identity: Identity::default(),
            learnt: LearntShares::default(),
            notes: Vec::new(),
            struck: Vec::new(),
            unknown: Vec::new(),
            steps: Vec::new(),
            entries: 1,
            last_at: at,
        }
    }

    /// Returns the newest answer to a question.
    pub fn answer(&self, question: impl Into<QuestionKey>) -> Option<&str> {
        newest(&self.answers, &question.into())
    }

    /// Returns the meter across fuses that is in use.
    pub fn meter(&self) -> &Profile {
        self.named_meter(Way::Volts).unwrap_or(&self.opened.meter)
    }

    /// Returns the clamp or the ammeter that totals are read with: where one in series was named, that one, also if a
    /// clamp for cables was named after it.
    pub fn ammeter(&self) -> &Profile {
        self.named_meter(Way::Series).unwrap_or_else(|| self.clamp())
    }

    /// Returns the clamp that goes around cables; totals may be read in series.
    pub fn clamp(&self) -> &Profile {
        self.named_meter(Way::Clamp).unwrap_or(&self.opened.clamp)
    }

    /// Returns the meter of a way that was named last during the hunt.
    pub fn named_meter(&self, way: Way) -> Option<&Profile> {
        self.meters.iter().rev().map(|named| &named.what).find(|named| named.way == way)
    }

    /// Returns why a question or stage was passed over, if it was.
    pub fn skipped(&self, question: impl Into<QuestionKey>) -> Option<&str> {
        newest(&self.skips, &question.into())
    }

    /// Returns when the sleep clock was last restarted: the latest disturbance, or the opening of the log. Pulls,
    /// refits, unplugged loads and worked inputs count. The latest in time counts, not the last entered: an entry may
    /// be made afterwards with its true time.
    pub fn last_disturbance(&self) -> DateTime<FixedOffset> {
        self.disturbances.iter().map(|one| one.stamp.at).fold(self.opened_at, DateTime::max)
    }

    /// Returns true if something was repaired.
    pub fn was_repaired(&self) -> bool {
        self.answer(QuestionId::RepairWhat).is_some_and(is_repair)
    }

    /// Returns true if a reading is no longer about the fault as it was found. After the repair none is; once the hunt
    /// was handed over a total is there to prove it, whoever made the repair.
    pub(super) fn is_past_fault(&self, stamp: Stamp, what: &Measurement) -> bool {
        let answered = |id| self.answered_before(id, stamp).filter(|said| said.stamp.at <= stamp.at);
        let is_total = matches!(what, Measurement::Total { .. } | Measurement::Watch { .. });
        answered(QuestionId::RepairWhat).is_some_and(|said| is_repair(&said.what.text))
            || (is_total && answered(QuestionId::HandoverDone).is_some())
    }

    /// Returns true if the vehicle may not be asleep at a moment: somebody told of a disturbance so shortly before that
    /// the sleep time has not run, and no wait was ended by what was seen or told meanwhile.
    pub fn is_too_early(&self, at: DateTime<FixedOffset>) -> bool {
        let Some(woken) = self.woken.iter().rev().find(|woken| woken.at <= at) else { return false };
        // Milliseconds of a wait are far below 2^53.
        let gone = Minute::new((at - woken.at).num_milliseconds() as f64 / 60_000.0);
        let waited = self.answers.iter().any(|said| {
            let is_wait = [Some(QuestionId::SettleWait), Some(QuestionId::ProveWait)]
                .contains(&said.what.question.plain());
            is_wait && said.stamp.entry > woken.entry && is_asleep(&said.what.text)
        });
        let logged = self.watched.iter().any(|seen| seen.what.is_settled() && seen.stamp.at >= woken.at);
        gone < self.sleep_after() && !waited && !logged
    }

    /// Returns the newest answer to a question that was given before an entry.
    fn answered_before(&self, id: QuestionId, stamp: Stamp) -> Option<&Dated<Said>> {
        let is_it =
            |said: &&Dated<Said>| said.stamp.entry < stamp.entry && said.what.question.plain() == Some(id);
        self.answers.iter().rev().find(is_it)
    }

    /// Returns the minutes that the vehicle needs to sleep: the map's, else by the model year, else the default.
    pub fn sleep_after(&self) -> Minute {
        self.map.sleep_after.unwrap_or_else(|| Limits::builtin().sleep_after(self.map.year).0)
    }

    /// Returns when a question was last answered or passed over.
    pub fn last_said(&self, id: QuestionId) -> Option<Stamp> {
        let both = self.answers.iter().chain(&self.skips);
        both.filter(|said| said.what.question.plain() == Some(id))
            .map(|said| said.stamp)
            .max_by_key(|one| one.entry)
    }

    /// Returns the newest settled total of the fault: not one as found, not provisional, not after the repair.
    pub fn settled_total(&self) -> Option<&Reading> {
        self.newest_total(|reading, as_found| !as_found && !reading.provisional && !reading.after_repair)
    }

    /// Returns the newest total taken as found, before anything was switched or opened.
    pub fn total_as_found(&self) -> Option<&Reading> {
        self.newest_total(|_, as_found| as_found)
    }

    /// Returns the newest settled total after the repair.
    pub fn total_after_repair(&self) -> Option<&Reading> {
        self.newest_total(|reading, _| reading.after_repair && !reading.provisional)
    }

    fn newest_total(&self, fits: impl Fn(&Reading, bool) -> bool) -> Option<&Reading> {
        let is_wanted = |reading: &&Reading| match reading.what {
            Measurement::Total { as_found, .. } => fits(reading, as_found),
            _ => false,
        };
        self.readings.iter().rev().find(is_wanted)
    }

    /// Returns the feeds that were pulled and have not been refitted, in the order of the pulls.
    pub fn pulled(&self) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        for reading in &self.readings {
            match &reading.what {
                Measurement::Pull { feed, .. } if !out.contains(&feed.as_str()) => out.push(feed),
                Measurement::Refit { feed, .. } => out.retain(|pulled| pulled != feed),
                _ => {}
            }
        }
        out
    }

    /// Returns the loads that are unplugged and not back, each with its feed, in the order of the readings.
    /// A load goes back as a refit of `FEED/load`.
    pub fn unplugged(&self) -> Vec<(&str, &str)> {
        let mut out: Vec<(&str, &str)> = Vec::new();
        for reading in &self.readings {
            match &reading.what {
                Measurement::Unplug { feed, load, .. } if !out.contains(&(feed, load)) => {
                    out.push((feed, load))
                }
                Measurement::Refit { feed, .. } => out.retain(|back| feed.split_once('/') != Some(*back)),
                _ => {}
            }
        }
        out
    }

    /// Returns the reading of an entry; `None` if that entry is no reading, or is struck.
    pub fn reading(&self, entry: usize) -> Option<&Reading> {
        self.readings.iter().find(|reading| reading.entry == entry)
    }

    /// Returns who struck an entry and why, if it is struck.
    pub fn struck_by(&self, entry: usize) -> Option<(Stamp, &str)> {
        let strike = self.struck.iter().rev().find(|strike| strike.what.entry == entry);
        strike.map(|strike| (strike.stamp, strike.what.why.as_str()))
    }

    /// Returns what takes back the last step: a strike for each of its entries, newest first; empty if nothing is left
    /// that could be taken back.
    pub fn taking_back(&self, why: &str) -> Vec<LogEvent> {
        let last = self.steps.last().into_iter().flatten().rev();
        last.map(|entry| LogEvent::Strike { target: *entry, why: why.to_owned() }).collect()
    }
}

/// How a wait is answered that showed the vehicle asleep.
pub const SEEN_ASLEEP: &str = "settled";
/// How a wait is answered that somebody ended by their word.
pub const TOLD_ASLEEP: &str = "told";

/// Returns true if a wait was ended because the vehicle slept, as was seen or told.
pub fn is_asleep(answer: &str) -> bool {
    [SEEN_ASLEEP, TOLD_ASLEEP].contains(&answer)
}

/// What somebody answers who repaired nothing.
const NOT_REPAIRED: &str = "not-repaired";

fn is_repair(told: &str) -> bool {
    !told.eq_ignore_ascii_case(NOT_REPAIRED)
}

fn newest<'a>(said: &'a [Dated<Said>], question: &QuestionKey) -> Option<&'a str> {
    said.iter().rev().find(|said| said.what.question == *question).map(|said| said.what.text.as_str())
}
