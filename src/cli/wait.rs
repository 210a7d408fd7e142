//! The settling screen: elapsed and expected time, what is still expected awake, the last readings as a small
//! curve, and a reading typed meanwhile. One thread: polling the keyboard is the clock tick too.
//! Leaves to others: what a reading means (`hunt`), plain lines (`ask/lines`), the keys themselves (`keys`).
#![allow(clippy::disallowed_methods, reason = "measures real time between two looks at the keyboard")]

use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::ask::{Pace, PromptStop, Tick};
use super::context::Context;
use super::keys::{Key, Keyboard, Raw};
use super::paint::columns;
use super::signal;
use super::source::SourceEnd;
use super::typing::Typing;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Minute, Unit};
use crate::base::styled::{Role, StyledText, clean};
use crate::hunt::question::Wait;
use crate::hunt::stage::settle::BY_CURVE;
use crate::text::ask::bench::ALL_ASLEEP;
use crate::text::fault::answer as fault;

/// How often the screen is drawn and the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// Most modules that are named as still awake; those that sleep last come first.
const NAMED: usize = 3;

/// Most columns of the curve; of more readings each column shows the highest of several.
const CURVE: usize = 16;

/// Returns the minutes from the last disturbance to a moment; never below zero.
fn elapsed(wait: &Wait, now: DateTime<FixedOffset>) -> Minute {
    // Durations of a wait are far below 2^52 seconds.
    let seconds = (now - wait.since).num_seconds().max(0) as f64;
    Minute::new(seconds / 60.0)
}

fn whole(minutes: Minute) -> String {
    format!("{:.0}", minutes.base().floor())
}

/// Returns elapsed and expected time in words.
fn progress(wait: &Wait, gone: Minute) -> String {
    if gone < wait.due {
        format!("{} of {} min", whole(gone), whole(wait.due))
    } else {
        format!("{} min ({} expected)", whole(gone), whole(wait.due))
    }
}

/// Says in one line how far the wait is.
pub fn status(wait: &Wait, now: DateTime<FixedOffset>) -> StyledText {
    let gone = elapsed(wait, now);
    let mut line = StyledText::plain("Waited ")
        .and(Role::Value, progress(wait, gone))
        .and(Role::Plain, ". ")
        .and(Role::Plain, still_awake(wait, gone))
        .and(Role::Plain, ".");
    let last: Vec<String> =
        wait.readings.iter().rev().take(3).rev().map(|(_, total)| bare(*total, 3)).collect();
    if !last.is_empty() {
        line = line.and(Role::Plain, " Last: ").and(Role::Value, last.join(", ")).and(Role::Plain, ".");
    }
    line
}

fn still_awake(wait: &Wait, gone: Minute) -> String {
    let awake: Vec<&(String, Minute)> = wait.awake.iter().filter(|(_, until)| *until > gone).collect();
    let named: Vec<String> = awake
        .iter()
        .take(NAMED)
        .map(|(name, until)| format!("{} until {} min", clean(name), whole(*until)))
        .collect();
    let more = match awake.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    if named.is_empty() {
        return ALL_ASLEEP.to_owned();
    }
    format!("Still expected awake: {}{more}", named.join(", "))
}

/// Draws readings as a row of blocks, from nothing to the highest of them.
fn curve(readings: &[Ampere], utf8: bool) -> String {
    let steps: Vec<char> = if utf8 { "▁▂▃▄▅▆▇█".chars() } else { "_.-:=+*#".chars() }.collect();
    let each = readings.len().div_ceil(CURVE).max(1);
    let top = |part: &[Ampere]| part.iter().map(|total| total.base()).fold(0.0, f64::max);
    let seen: Vec<f64> = readings.chunks(each).map(top).collect();
    let highest = seen.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
    let draw = |value: &f64| {
        // From 0 to the number of steps less one: both casts are exact.
        let at = (value / highest * (steps.len() - 1) as f64).round() as usize;
        steps.get(at).copied().unwrap_or(' ')
    };
    seen.iter().map(draw).collect()
}

/// Cuts a text to so many columns.
fn cut(text: &str, width: usize) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if columns(&out) + columns(c.encode_utf8(&mut [0; 4])) > width {
            break;
        }
        out.push(c);
    }
    out
}

/// The live lines.
struct Screen<'a> {
    bar: ProgressBar,
    wait: &'a Wait,
    unit: &'static str,
    context: &'a Context,
    seen: Vec<Ampere>,
}

impl<'a> Screen<'a> {
    fn new(wait: &'a Wait, unit: &'static str, mut seen: Vec<Ampere>, context: &'a Context) -> Self {
        let bar = ProgressBar::with_draw_target(Some(seconds(wait.due)), ProgressDrawTarget::stderr());
        if seen.is_empty() {
            seen.extend(wait.readings.iter().map(|(_, total)| *total));
        }
        let screen = Self { bar, wait, unit, context, seen };
        screen.style();
        screen
    }

    fn style(&self) {
        let length = if self.context.width() >= 60 { 24 } else { 12 };
        let characters = if self.context.environment.utf8 { "█░" } else { "#-" };
        // The template is fixed: should the library refuse it, its own bar serves as well.
        if let Ok(style) = ProgressStyle::with_template(&format!("{{prefix}}\n{{bar:{length}}} {{msg}}")) {
            self.bar.set_style(style.progress_chars(characters));
        }
    }

    fn draw(&self, now: DateTime<FixedOffset>, typed: &Typing) {
        // The last column stays free: a full line would make the cursor wrap.
        let width = self.context.width().saturating_sub(1);
        let length = if width >= 59 { 25 } else { 13 };
        let gone = elapsed(self.wait, now);
        let last = self.seen.last().map(|total| format!("  {}", bare(*total, 3))).unwrap_or_default();
        let state = format!(
            "{}{last} {}",
            progress(self.wait, gone),
            curve(&self.seen, self.context.environment.utf8)
        );
        let unit = self.unit;
        let (mut text, _) = typed.shown(width.saturating_sub(columns(unit) + 4));
        text.push('_');
        self.bar.set_position(seconds(gone).min(seconds(self.wait.due)));
        self.bar.set_prefix(cut(&still_awake(self.wait, gone), width));
        self.bar.set_message(format!("{}\n{unit} > {text}", cut(&state, width.saturating_sub(length))));
        self.bar.tick();
    }
}

fn seconds(minutes: Minute) -> u64 {
    // A wait lasts hours at most, and is never negative here.
    (minutes.base().max(0.0) * 60.0).round() as u64
}

/// Shows the wait at a terminal until something is typed or the pace brings an answer.
///
/// # Errors
/// Ctrl-C, a closed terminal, or none. Raw mode is left in any case.
pub fn watch(
    wait: &Wait,
    unit: &'static str,
    pace: &mut dyn Pace,
    keyboard: &mut Keyboard,
    context: &Context,
) -> Result<String, PromptStop> {
    let raw = Raw::enter().map_err(|error| no_terminal(&error))?;
    raw.hide_cursor();
    let mut screen = Screen::new(wait, unit, pace.seen(), context);
    let outcome = look(&mut screen, pace, keyboard);
    screen.bar.finish_and_clear();
    keyboard.drain();
    drop(raw);
    if let Ok(text) = &outcome {
        let gone = format!("{}: ", progress(wait, elapsed(wait, pace.now())));
        context.talk(&[StyledText::of(Role::Hint, gone).and(Role::Value, text)]);
    }
    outcome
}

/// Says that there is no terminal to type at.
pub fn no_terminal(error: &std::io::Error) -> PromptStop {
    PromptStop::Refused(fault::no_terminal(error))
}

fn look(screen: &mut Screen, pace: &mut dyn Pace, keyboard: &mut Keyboard) -> Result<String, PromptStop> {
    let mut typing = Typing::default();
    let mut looked = Instant::now();
    let mut is_due = elapsed(screen.wait, pace.now()) >= screen.wait.due;
    loop {
        if signal::stopped() {
            return Err(PromptStop::Interrupted);
        }
        screen.draw(pace.now(), &typing);
        match keyboard.key(LOOK) {
            Ok(Some(Key::Stop)) | Err(SourceEnd) => return Err(PromptStop::Interrupted),
            Ok(Some(Key::Close)) if typing.is_empty() => return Err(PromptStop::Interrupted),
            Ok(Some(key)) => match typing.take(key).as_deref().map(str::trim) {
                Some("") => {
                    if let Some(text) = pace.on_enter() {
                        return Ok(text);
                    }
                }
                Some("q") => return Ok("quit".to_owned()),
                Some(text) => return Ok(text.to_owned()),
                None => {}
            },
            Ok(None) => {}
        }
        let now = Instant::now();
        match pace.tick(now - looked) {
            Tick::Answer(text) if typing.is_empty() => {
                if text.starts_with(BY_CURVE) {
                    screen.context.ring();
                }
                return Ok(text);
            }
            Tick::Woke(what) => {
                screen.bar.println(clean(&what));
                screen.context.ring();
            }
            Tick::Seen(total) => screen.seen.push(total),
            Tick::Said(what) => screen.bar.println(clean(&what)),
            Tick::Answer(_) | Tick::Nothing => {}
        }
        looked = now;
        if !is_due && elapsed(screen.wait, pace.now()) >= screen.wait.due {
            is_due = true;
            screen.context.ring();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::clock::read_time;

    fn sample() -> Wait {
        let since = read_time("2026-11-02T07:40:00+01:00").expect("a time");
        Wait {
            since,
            due: Minute::new(30.0),
            awake: vec![("audio".into(), Minute::new(15.0)), ("gateway\u{1b}[2J".into(), Minute::new(20.0))],
            readings: vec![(since, Ampere::from_milli(482.0))],
            still: Ampere::from_milli(5.0),
            head: Vec::new(),
        }
    }

    #[test]
    fn the_status_tells_elapsed_expected_awake_and_the_last_reading() {
        let wait = sample();
        let at = |minutes: i64| wait.since + chrono::TimeDelta::seconds(minutes * 60 + 59);
        assert_eq!(
            status(&wait, at(16)).text(),
            "Waited 16 of 30 min. Still expected awake: gateway\\u{1b}[2J until 20 min. Last: 482 mA."
        );
        assert!(status(&wait, at(40)).text().contains("Everything should be asleep"));
        assert!(status(&wait, wait.since - chrono::TimeDelta::hours(1)).text().starts_with("Waited 0 of 30"));
    }

    #[test]
    fn the_curve_runs_from_nothing_to_the_highest() {
        let totals: Vec<Ampere> = [0.0, 350.0, 700.0, -5.0].map(Ampere::from_milli).to_vec();
        assert_eq!(curve(&totals, true), "▁▅█▁");
        assert_eq!(curve(&totals, false), "_=#_");
        let many: Vec<Ampere> = (0..40).map(|at| Ampere::from_milli(f64::from(at))).collect();
        let drawn = curve(&many, false);
        assert!(drawn.chars().count() <= CURVE && drawn.starts_with('_') && drawn.ends_with('#'), "{drawn}");
    }
}
