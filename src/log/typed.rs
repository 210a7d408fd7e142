//! Reads what is typed into entries, wherever it is typed: the words of `add`, a line at a prompt, a piped line, a line
//! of an answers file. A reading takes its context from the case: meter, zero, temperature of its own fuse's box.
//! Leaves to others: the kinds of reading and their values (`measure/kind`, `measure/grammar`), whether a reading makes
//! sense (`measure/doubt`).

use chrono::{DateTime, FixedOffset};

use super::case::Case;
use super::entry::{LogEvent, Measured};
use super::identity::Identity;
use super::in_force;
use super::{reports, round};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Typed, Volt};
use crate::circuit::fuse::Family;
use crate::circuit::limits::Limits;
use crate::circuit::map::{Access, Hazard};
use crate::measure::Measurement;
use crate::measure::grammar::{Names, begins_value_of, values_of};
use crate::measure::kind::{MeasurementKind, MeasurementParts, TypedSlot};

/// Marks a reading that was taken after the repair.
pub const AFTER_REPAIR: &str = "--after-repair";

/// What stands before the reason for a reading on a circuit that can hurt.
pub const WHY: &str = "--why";

/// An entry that is typed and is no reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TypedEvent {
    /// The other fuses of the box last read, all with one value.
    Others,
    /// Something that restarts the sleep clock.
    Disturb,
    /// A note in words.
    Note,
    /// The limit for the settled draw.
    Limit,
    /// What identifies vehicle, job and part.
    Vehicle,
}

impl TypedEvent {
    /// Every event with its word.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::Others, "others"),
        (Self::Disturb, "disturb"),
        (Self::Note, "note"),
        (Self::Limit, "limit"),
        (Self::Vehicle, "vehicle"),
    ];

    /// Returns the event of a typed word.
    fn of_word(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, known)| known.eq_ignore_ascii_case(word)).map(|(event, _)| *event)
    }
}

/// A reading that is due: what a bare value stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposed {
    /// Its kind.
    pub kind: MeasurementKind,
    /// Where it is taken, as the map has the names.
    pub names: Vec<String>,
    /// True if a total is taken before anything was switched or opened.
    pub as_found: bool,
    /// True if it is taken after the repair.
    pub after_repair: bool,
    /// True if the engine runs, or the vehicle is ready.
    pub running: bool,
    /// What may be read and typed with it, behind its own value.
    pub beside: Option<MeasurementKind>,
    /// Fuses to read along a row before anything is typed, each with the drop from which it is high; mostly none.
    pub round: Vec<(String, Typed<Volt>)>,
    /// Inputs that a scan tool is asked about in one go, as they are numbered; mostly none.
    pub listed: Vec<String>,
}

impl Proposed {
    /// Proposes a reading at a place: a fuse, an unfused item, an input, `FUSE/LOAD`; empty at the battery.
    pub fn at(kind: MeasurementKind, at: &str) -> Self {
        let names = kind.row().target.names(at);
        Self {
            kind,
            names,
            as_found: false,
            after_repair: false,
            running: false,
            beside: None,
            round: vec![],
            listed: vec![],
        }
    }

    /// Proposes a total.
    pub fn total() -> Self {
        Self::at(MeasurementKind::Total, "")
    }

    /// Lets something else be typed behind its value.
    #[must_use]
    pub fn with(self, beside: MeasurementKind) -> Self {
        Self { beside: Some(beside), ..self }
    }

    /// Returns where it is taken, as [`Proposed::at`] had it.
    pub fn place(&self) -> String {
        self.names.join("/")
    }
}

/// Adds what is understood, not all of it: help names the rest.
fn formed(fault: Diagnostic) -> Diagnostic {
    fault.expected("a value such as 3.0, a fuse with its drop as F12 3.0, or a word such as total or clamp")
}

/// Reads a line, which may be a bare value where a reading is proposed.
///
/// # Errors
/// As for [`read`]; a bare value where nothing is proposed.
pub fn read_line(case: &Case, line: &str, proposed: Option<&Proposed>) -> Result<Vec<LogEvent>, Diagnostic> {
    let (word, rest) = line.trim().split_once(char::is_whitespace).unwrap_or((line.trim(), ""));
    let tokens: Vec<String> = if TypedEvent::of_word(word).is_some() {
        [word, rest.trim()].into_iter().filter(|part| !part.is_empty()).map(str::to_owned).collect()
    } else {
        line.split_whitespace().map(str::to_owned).collect()
    };
    let Some(first) = tokens.first() else {
        return Err(formed(Diagnostic::new("nothing was typed")));
    };
    let names = Names::new(&case.map);
    if let Some(read) = proposed.and_then(|proposed| round::read(&tokens, &proposed.round)) {
        let entry = |what| LogEvent::Reading(Box::new(measured(case, what, false)));
        return Ok(read?.into_iter().map(entry).collect());
    }
    if let Some(read) = proposed.and_then(|proposed| reports::read(&tokens, &proposed.listed)) {
        let entry = |what| LogEvent::Reading(Box::new(measured(case, what, false)));
        return Ok(read?.into_iter().map(entry).collect());
    }
    match proposed {
        Some(proposed) if begins_value_of(proposed.kind, first) && names.tree().find_feed(first).is_err() => {
            let mut parts = values_of(proposed.kind, proposed.names.clone(), &tokens)?;
            if proposed.as_found {
                parts.values.iter_mut().for_each(|value| {
                    if let TypedSlot::Flag(flag) = value {
                        *flag = true;
                    }
                });
            }
            Ok(vec![body(case, parts, proposed.after_repair)?])
        }
        _ => read_with(case, &names, &tokens),
    }
}

/// Reads words: a kind of reading or an event and what belongs to it, a fuse with its drop, or a new fuse of the lid.
///
/// # Errors
/// None of the known forms, nothing of that name on the map, values that cannot be read, or a circuit that can hurt
/// without a reason.
pub fn read(case: &Case, tokens: &[String]) -> Result<Vec<LogEvent>, Diagnostic> {
    read_with(case, &Names::new(&case.map), tokens)
}

fn read_with(case: &Case, names: &Names, tokens: &[String]) -> Result<Vec<LogEvent>, Diagnostic> {
    let Some((first, rest)) = tokens.split_first() else {
        return Err(formed(Diagnostic::new("nothing was typed")));
    };
    if let Some(event) = TypedEvent::of_word(first) {
        return read_event(case, event, rest);
    }
    if let Some(kind) = MeasurementKind::of_word(first) {
        return readings(case, names, rest, |tokens| names.read(kind, tokens));
    }
    if first.contains('=') {
        return readings(case, names, tokens, |tokens| names.read_several(MeasurementKind::Drop, tokens));
    }
    match names.tree().find_feed(first) {
        Ok(_) => readings(case, names, tokens, |tokens| names.read(MeasurementKind::Drop, tokens)),
        Err(_) if tokens.get(1).is_some_and(|second| Family::from_name(second).is_some()) => {
            new_fuse(case, tokens.join(" "))
        }
        Err(fault) => Err(formed(fault)),
    }
}

/// Reads readings, with what may stand behind them: that they were taken after the repair, and why on a circuit that
/// can hurt.
fn readings(
    case: &Case,
    names: &Names,
    tokens: &[String],
    read: impl Fn(&[String]) -> Result<Vec<MeasurementParts>, Diagnostic>,
) -> Result<Vec<LogEvent>, Diagnostic> {
    let at = tokens.iter().position(|token| token == WHY).unwrap_or(tokens.len());
    let (tokens, why) = tokens.split_at(at);
    let why = why.get(1..).unwrap_or_default().join(" ");
    let after_repair = tokens.iter().any(|token| token == AFTER_REPAIR);
    let tokens: Vec<String> = tokens.iter().filter(|token| *token != AFTER_REPAIR).cloned().collect();
    let why = Some(why.trim().to_owned()).filter(|why| !why.is_empty());
    let entry = |parts: MeasurementParts| match (names.barred(&parts), &why) {
        (Some((feed, guard)), None) => {
            let word = parts.kind.row().word;
            Err(Diagnostic::new(format!("{feed} is a {guard} circuit: no {word} there"))
                .remedy(format!("leave it alone; or say why behind it: {WHY} REASON")))
        }
        (barred, why) => {
            let mut entry = body(case, parts, after_repair)?;
            if let (LogEvent::Reading(measured), Some(_)) = (&mut entry, barred) {
                measured.why.clone_from(why);
            }
            Ok(entry)
        }
    };
    read(&tokens)?.into_iter().map(entry).collect()
}

/// Makes the entry of a reading.
fn body(case: &Case, parts: MeasurementParts, after_repair: bool) -> Result<LogEvent, Diagnostic> {
    let mut values = parts.values.iter();
    Ok(match (parts.kind, values.next()) {
        (MeasurementKind::Zero, Some(TypedSlot::Volt(offset))) => LogEvent::Zero { offset: offset.clone() },
        (MeasurementKind::Volts, Some(TypedSlot::Volt(volts))) => LogEvent::Volts { volts: volts.clone() },
        (MeasurementKind::Temperature, Some(TypedSlot::Celsius(temperature))) => {
            LogEvent::Temperature { place: parts.names.into_iter().next(), temperature: temperature.clone() }
        }
        _ => {
            let what = Measurement::build(parts)
                .ok_or_else(|| Diagnostic::new("the values are not those of this reading"))?;
            LogEvent::Reading(Box::new(measured(case, what, after_repair)))
        }
    })
}

/// Adds to a reading what later arithmetic needs.
pub fn measured(case: &Case, what: Measurement, after_repair: bool) -> Measured {
    let across_fuse =
        matches!(what, Measurement::Drop { .. } | Measurement::Below { .. } | Measurement::Step { .. });
    let meter = match what {
        _ if across_fuse => case.meter(),
        Measurement::Clamp { .. } => case.clamp(),
        _ => case.ammeter(),
    };
    let temperature = if across_fuse {
        in_force::noted(&case.temperatures, in_force::place_of(&case.map, &what))
    } else {
        None
    };
    Measured {
        meter: meter.name.clone(),
        zero: case.zeros.last().filter(|_| across_fuse).map(|zero| zero.stamp.entry),
        temperature,
        provisional: false,
        after_repair,
        why: None,
        what,
    }
}

/// Marks the totals among what is entered at a moment as provisional where the vehicle may not be asleep then.
#[must_use]
pub fn entered_at(case: &Case, at: DateTime<FixedOffset>, entries: Vec<LogEvent>) -> Vec<LogEvent> {
    let is_total = |what: &Measurement| matches!(what, Measurement::Total { as_found: false, .. });
    let mark = |entry: LogEvent| match entry {
        LogEvent::Reading(reading) if is_total(&reading.what) => {
            let provisional = reading.provisional || case.is_too_early(at);
            LogEvent::Reading(Box::new(Measured { provisional, ..*reading }))
        }
        other => other,
    };
    entries.into_iter().map(mark).collect()
}

fn read_event(case: &Case, event: TypedEvent, tokens: &[String]) -> Result<Vec<LogEvent>, Diagnostic> {
    // Words stay as they were typed, blanks and all.
    let words = || match tokens.join(" ") {
        text if text.trim().is_empty() => {
            Err(Diagnostic::new("nothing was said").expected("a few words after it"))
        }
        text => Ok(text),
    };
    Ok(vec![match event {
        TypedEvent::Others => return others(case, &Volt::read(&tokens.join(" "), "mV")?),
        TypedEvent::Disturb => LogEvent::Disturb { what: words()? },
        TypedEvent::Note => LogEvent::Note { text: words()? },
        TypedEvent::Limit => read_limit(&words()?)?,
        TypedEvent::Vehicle => LogEvent::Vehicle(Identity::read(&words()?)?),
    }])
}

/// Reads a limit, and where it is from.
///
/// # Errors
/// No current stands at its beginning, or none above zero.
pub fn read_limit(text: &str) -> Result<LogEvent, Diagnostic> {
    let tokens: Vec<&str> = text.split_whitespace().collect();
    let mut fault = None;
    for count in [2, 1] {
        let (value, source) = tokens.split_at(count.min(tokens.len()));
        match Ampere::read(&value.join(" "), "mA") {
            Ok(limit) if limit.value > Ampere::ZERO => {
                let source =
                    source.iter().copied().filter(|word| *word != "--source").collect::<Vec<_>>().join(" ");
                let source = if source.is_empty() { Limits::builtin().given.typed.clone() } else { source };
                return Ok(LogEvent::Limit { limit, source });
            }
            Ok(limit) => fault = Some(Diagnostic::new(format!("a limit of {} is none", limit.text))),
            Err(found) => fault = fault.or(Some(found)),
        }
    }
    let fault = fault.unwrap_or_else(|| Diagnostic::new("nothing was typed"));
    Err(fault.expected("a current and where it is from, such as: 50 mA maker's service information"))
}

/// All fuses of the box last read that can be read and have not been: for a box that was really swept.
fn others(case: &Case, drop: &Typed<Volt>) -> Result<Vec<LogEvent>, Diagnostic> {
    let feed_of = |what: &Measurement| match what {
        Measurement::Drop { feed, .. } | Measurement::Below { feed, .. } => Some(feed.clone()),
        _ => None,
    };
    let read: Vec<String> = case.readings.iter().filter_map(|reading| feed_of(&reading.what)).collect();
    let last = read.last().and_then(|name| case.map.feeds.iter().find(|feed| feed.id == *name));
    let Some(place) = last.map(|feed| feed.place) else {
        let fault =
            Diagnostic::new("\"others\" means the other fuses of a box, but no fuse has been read yet");
        return Err(fault.remedy("read one fuse of the box first"));
    };
    let others: Vec<LogEvent> = (case.map.feeds.iter())
        .filter(|feed| feed.place == place && feed.access == Access::Points)
        .filter(|feed| !matches!(feed.hazard, Some(Hazard::Restraint | Hazard::Hv)))
        .filter(|feed| !read.contains(&feed.id))
        .map(|feed| Measurement::Drop { feed: feed.id.clone(), drop: drop.clone() })
        .map(|what| LogEvent::Reading(Box::new(measured(case, what, false))))
        .collect();
    if others.is_empty() { Err(Diagnostic::new("every fuse of this box has been read")) } else { Ok(others) }
}

/// A fuse line must fit the map before it is entered.
fn new_fuse(case: &Case, line: String) -> Result<Vec<LogEvent>, Diagnostic> {
    match case.map.clone().add_feed(None, &line) {
        Ok(_) => Ok(vec![LogEvent::Feed { place: None, line }]),
        Err(faults) => Err(Diagnostic::new(faults.to_string())),
    }
}
