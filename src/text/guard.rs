//! What a guard over a parked vehicle has to say: the draw came back, since when and how high, what to read now, that it
//! is over, that nothing was heard for a while; and what became of a command that it ran.
//! Leaves to others: noticing it (`trace/guard`), what is to be read (`plan/awake`), bell and command (the edge).

use chrono::{DateTime, FixedOffset};

use super::next::instruction;
use super::settle::{charge, span};
use super::suspects::odds;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, AmpereHour, Minute, Volt};
use crate::base::styled::{Role, StyledText, clean};
use crate::measure::observation::Panel;
use crate::plan::awake::ReadNow;
use crate::trace::guard::{Awakening, GuardEvent};

/// What to do where no log tells which circuit is suspect.
pub const READ_ANY: &str =
    "Read the fuses now, before anybody opens a door. With --log LOG it says which one first.";

/// What to do where the log names no circuit that can be read.
pub const NOBODY_NAMED: &str =
    "The log names no fuse to read. Read them in a row now, before anybody opens a door.";

fn clock(at: DateTime<FixedOffset>) -> String {
    at.format("%H:%M:%S").to_string()
}

fn minutes(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> Minute {
    Minute::new((to - from).as_seconds_f64() / 60.0)
}

/// Says what happened, in a line with its time.
pub fn event(event: &GuardEvent) -> StyledText {
    match event {
        GuardEvent::Rests { since, level, still_awake: false } => {
            StyledText::of(Role::Good, "At rest at ").and(Role::Value, bare(*level, 3)).and(
                Role::Plain,
                format!(", flat since {}. On guard: a draw that comes back is told at once.", clock(*since)),
            )
        }
        GuardEvent::Rests { since, level, still_awake: true } => {
            StyledText::of(Role::Doubt, "Still awake: flat at ")
                .and(Role::Value, bare(*level, 3))
                .and(Role::Plain, format!(" since {}.", clock(*since)))
        }
        GuardEvent::Woke(woke) => awake(woke),
        GuardEvent::Slept { was, at } => StyledText::plain(format!("{}  Back at rest after ", clock(*at)))
            .and(Role::Value, span(minutes(was.since, *at)))
            .and(
                Role::Plain,
                format!(
                    ". At most {}, {} above rest.",
                    bare(was.peak, 3),
                    charge(AmpereHour::new(was.charge / 3600.0))
                ),
            ),
        GuardEvent::Gap { from, to } => StyledText::of(
            Role::Doubt,
            format!(
                "No samples from {} to {} ({}): meter off, computer asleep, or its clock set on. Nothing is taken for \
                 known in between.",
                clock(*from),
                clock(*to),
                span(minutes(*from, *to))
            ),
        ),
        GuardEvent::SetBack { from, to } => StyledText::of(
            Role::Doubt,
            format!(
                "The clock was set back from {} to {}. Times go on by the new one.",
                clock(*from),
                clock(*to)
            ),
        ),
    }
}

fn awake(woke: &Awakening) -> StyledText {
    let now = woke.now.map_or_else(|| "out of the meter's range".to_owned(), |now| bare(now, 3));
    let rise = woke.now.map_or_else(String::new, |now| format!(", {} above rest", bare(now - woke.rest, 3)));
    let since = match woke.unseen_from {
        Some(from) => format!("since some time between {} and {}", clock(from), clock(woke.since)),
        None => format!("since {}", clock(woke.since)),
    };
    let count = if woke.number > 1 { format!(" (wake-up {})", woke.number) } else { String::new() };
    StyledText::of(Role::Caution, "The draw is back: ")
        .and(Role::Value, now)
        .and(Role::Plain, format!("{rise}, {since}{count}."))
}

/// Says what to read now.
pub fn read_now(first: &ReadNow, panel: &Panel) -> StyledText {
    let shows = first.shows.map(|(asleep, awake)| {
        format!(" It shows {} if it is that, {} at rest.", bare(awake, 2), bare(asleep.max(Volt::ZERO), 1))
    });
    let load = first.load.as_deref().map(|load| format!(": {}", clean(load))).unwrap_or_default();
    StyledText::plain("Now, before anybody opens a door: ")
        .and(Role::Name, instruction(&first.reading, panel, None))
        .and(Role::Plain, format!("{load}, {}.{}", odds(first.probability), shows.unwrap_or_default()))
}

/// Says how long the battery holds at the present draw.
pub fn holds(draw: Ampere, time: Minute) -> StyledText {
    StyledText::of(
        Role::Doubt,
        format!("At {} the battery holds about {} before it may not start.", bare(draw, 3), span(time)),
    )
}

/// Warns of a battery that goes low.
pub fn low(volts: Volt) -> StyledText {
    StyledText::of(Role::Caution, "Battery at ")
        .and(Role::Value, bare(volts, 3))
        .and(Role::Plain, ". It may soon not start the engine. End the watch, or charge it and watch again.")
}

/// What became of the command.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ErrandEnd {
    /// It could not be begun, and what the system says.
    NotBegun(String),
    /// It ended with another code than 0; none where a signal ended it.
    Failed(Option<i32>),
    /// It took longer than so many seconds and was ended.
    TooLong(u64),
    /// It is not through with those before.
    Busy,
}

/// Says what became of the command.
pub fn errand(command: &str, end: &ErrandEnd) -> StyledText {
    let what = match end {
        ErrandEnd::NotBegun(why) => format!("cannot be started: {}", clean(why)),
        ErrandEnd::Failed(Some(code)) => format!("ended with code {code}"),
        ErrandEnd::Failed(None) => "was ended by a signal".to_owned(),
        ErrandEnd::TooLong(seconds) => format!("took longer than {seconds} s and was ended"),
        ErrandEnd::Busy => "is still busy with the wake-ups before".to_owned(),
    };
    StyledText::of(Role::Doubt, format!("--on-wake {} {what}. Watching on.", clean(command)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wake_up_says_height_and_since_when_and_owns_up_to_what_nobody_saw() {
        let at = |text: &str| DateTime::parse_from_rfc3339(text).expect("a time");
        let woke = Awakening {
            number: 1,
            since: at("2026-11-03T02:12:04+01:00"),
            unseen_from: None,
            rest: Ampere::from_milli(24.0),
            now: Some(Ampere::from_milli(380.0)),
            peak: Ampere::from_milli(410.0),
            charge: 640.8,
        };
        let said = |woke: Awakening| event(&GuardEvent::Woke(woke)).text();
        assert_eq!(said(woke), "The draw is back: 380 mA, 356 mA above rest, since 02:12:04.");
        let unseen =
            Awakening { number: 4, now: None, unseen_from: Some(at("2026-11-03T01:10:00+01:00")), ..woke };
        assert_eq!(
            said(unseen),
            "The draw is back: out of the meter's range, since some time between 01:10:00 and 02:12:04 (wake-up 4)."
        );
        let over = GuardEvent::Slept { was: woke, at: at("2026-11-03T02:42:04+01:00") };
        assert_eq!(
            event(&over).text(),
            "02:42:04  Back at rest after 30.0 min. At most 410 mA, 178 mAh above rest."
        );
    }
}
