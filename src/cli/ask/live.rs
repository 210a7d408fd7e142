//! Live meters stand beside whoever answers: at a reading Enter takes what the meter shows once it is steady, and the
//! wait watches the total by itself. Anything may be typed instead, above all when a meter fails.
//! Leaves to others: the meters (`live`), the wait (`live_wait`), the questions (`hunt`).

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

use super::live_wait::Watching;
use super::{OnEnter, Pace, PromptStop, Prompter};
use crate::base::quantity::{Ampere, Minute, Volt};
use crate::base::styled::StyledText;
use crate::cli::clock::Clock;
use crate::cli::live::{Heard, Live};
use crate::cli::signal;
use crate::hunt::question::{Question, QuestionKind, Wait};
use crate::instrument::live::{LiveTrouble, Sense, Sensed, typed};
use crate::instrument::profile::Profile;
use crate::instrument::steady::Steady;
use crate::log::entry::LogEvent;
use crate::log::typed::Proposed;
use crate::measure::kind::{Bare, MeasurementKind, SlotValue};
use crate::text::ask::bench;

/// What Enter does where a meter can supply the reading.
const READ_IT: &str = "read the meter";

/// How often the signals are looked at.
const LOOK: Duration = Duration::from_millis(100);

/// Looks until a reading is given up as not steady: half a minute.
const LOOKS: usize = 300;

/// Looks in a row without a word until it is given up: six seconds.
const SILENT_LOOKS: usize = 60;

/// The meters of a hunt.
#[derive(Debug)]
pub struct LiveBench {
    /// Meter across fuses; for totals too where there is no other.
    pub meter: Option<Live>,
    /// Clamp or series ammeter.
    pub clamp: Option<Live>,
    /// What the meter across fuses can show.
    pub meter_profile: Profile,
    /// What the clamp can show.
    pub clamp_profile: Profile,
    /// The clock of the run.
    pub clock: Clock,
}

impl LiveBench {
    /// Returns the meter that shows this quantity, and one count of it; `None` if no meter does.
    pub fn of<U: Sensed>(&self) -> Option<(&Live, U)> {
        let (live, profile) = match U::SENSE {
            Sense::Volts => (self.meter.as_ref()?, &self.meter_profile),
            Sense::Current => (self.clamp.as_ref().or(self.meter.as_ref())?, &self.clamp_profile),
        };
        Some((live, U::from_base(profile.resolution)))
    }

    /// Returns true if a meter shows this.
    fn has(&self, sense: Sense) -> bool {
        self.meter.is_some() || (sense == Sense::Current && self.clamp.is_some())
    }

    /// Reads until it is steady; returns what a person would type, or why there is nothing.
    fn steady<U: Sensed>(&self) -> Result<Result<String, String>, PromptStop> {
        let Some((live, count)) = self.of::<U>() else { return Ok(Err("no meter shows this".into())) };
        live.turn_to(U::SENSE);
        let begun = self.clock.exact();
        let mut steady = Steady::new(count);
        let mut last = String::new();
        let mut silent = 0;
        for _ in 0..LOOKS {
            if signal::stopped() {
                return Err(PromptStop::Interrupted);
            }
            let shown = match live.hear(LOOK) {
                Heard::Shown(shown) => shown,
                Heard::Trouble(gone @ LiveTrouble::Gone(_)) => return Ok(Err(gone.to_string())),
                Heard::Trouble(trouble) => {
                    steady.clear();
                    last = trouble.to_string();
                    continue;
                }
                Heard::Nothing if silent >= SILENT_LOOKS => {
                    return Ok(Err(bench::SILENT.into()));
                }
                Heard::Nothing => {
                    silent += 1;
                    continue;
                }
                Heard::Over => return Ok(Err(bench::INPUT_ENDED.into())),
            };
            silent = 0;
            let Some(value) = U::of(&shown) else {
                steady.clear();
                last = bench::ITS_OVERLOAD.into();
                continue;
            };
            let since = Minute::new((self.clock.exact() - begun).as_seconds_f64() / 60.0);
            if let Some(value) = steady.take(since, value) {
                return Ok(Ok(typed(value, count)));
            }
            if let Some((least, most)) = steady.ends() {
                last = bench::not_steady(&typed(least, count), &typed(most, count));
            }
        }
        Ok(Err(last))
    }
}

/// What a reading needs: what is measured, and what is done between its two values, if it has two.
fn needs(wanted: &Proposed) -> Option<(Sense, Option<String>)> {
    if !wanted.round.is_empty() {
        return None;
    }
    let mut slots = wanted.kind.row().numbers().map(|slot| slot.value);
    let sense = match (slots.next()?, slots.nth(1)) {
        (SlotValue::Number(Bare::MilliVolt | Bare::Volt), None) => Sense::Volts,
        (SlotValue::Number(Bare::MilliAmpere), None) => Sense::Current,
        // Two meters at once and a load to switch, or no meter's: that is typed.
        _ => return None,
    };
    let work = match wanted.kind {
        MeasurementKind::Pull => "Pull",
        MeasurementKind::Unplug => "Unplug",
        MeasurementKind::Input => "Work",
        _ => return Some((sense, None)),
    };
    Some((sense, Some(format!("{work} {}", wanted.place()))))
}

/// Meters beside whoever else answers.
pub struct Attended {
    inner: Box<dyn Prompter>,
    bench: LiveBench,
    watching: Rc<RefCell<Watching>>,
}

impl Attended {
    /// Puts meters beside a front.
    pub fn new(inner: Box<dyn Prompter>, bench: LiveBench) -> Self {
        Self { inner, bench, watching: Rc::default() }
    }

    /// Takes a steady reading and shows it; `None` after saying why there is none.
    fn reading(&mut self, sense: Sense) -> Result<Option<String>, PromptStop> {
        let steady = match sense {
            Sense::Current => self.bench.steady::<Ampere>()?,
            Sense::Volts => self.bench.steady::<Volt>()?,
        };
        Ok(match steady {
            Ok(text) => {
                self.inner.show(&[bench::shows(&text, ", steady.")]);
                Some(text)
            }
            Err(why) => {
                self.inner.show(&[bench::no_reading(&why)]);
                None
            }
        })
    }

    /// Takes the total before, has the work done, and takes the total after it.
    fn both(&mut self, question: &Question, work: &str) -> Result<Option<String>, PromptStop> {
        let Some(before) = self.reading(Sense::Current)? else { return Ok(None) };
        let then = Question {
            default: Some(READ_IT.to_owned()),
            ..Question::line(question.id.and(".after"), bench::now(work), bench::AFTER_HELP)
                .in_unit(question.unit)
        };
        loop {
            let text = self.inner.ask(&then)?;
            let after = match text.trim() {
                "" | READ_IT => self.reading(Sense::Current)?,
                typed if typed.starts_with(|c: char| c.is_ascii_digit() || c == '-') => {
                    Some(typed.to_owned())
                }
                // A way out of the question belongs to the hunt.
                other => return Ok(Some(other.to_owned())),
            };
            if let Some(after) = after {
                return Ok(Some(format!("{before} {after}")));
            }
        }
    }
}

impl Prompter for Attended {
    fn show(&mut self, lines: &[StyledText]) {
        self.inner.show(lines);
    }

    fn ask_or(&mut self, question: &Question, on_enter: OnEnter) -> Result<String, PromptStop> {
        self.inner.ask_or(question, on_enter)
    }

    fn ask(&mut self, question: &Question) -> Result<String, PromptStop> {
        let needed = match &question.kind {
            QuestionKind::Reading(wanted) => needs(wanted).filter(|(sense, _)| self.bench.has(*sense)),
            _ => None,
        };
        let Some((sense, work)) = needed else { return self.inner.ask(question) };
        let offered = Question { default: Some(READ_IT.to_owned()), ..question.clone() };
        loop {
            let typed = self.inner.ask(&offered)?;
            if !typed.trim().is_empty() && typed.trim() != READ_IT {
                return Ok(typed);
            }
            let taken = match &work {
                Some(work) => self.both(question, work)?,
                None => self.reading(sense)?,
            };
            if let Some(text) = taken {
                return Ok(text);
            }
        }
    }

    fn wait(&mut self, question: &Question, wait: &Wait, pace: &mut dyn Pace) -> Result<String, PromptStop> {
        let Some((live, count)) = self.bench.of::<Ampere>() else {
            return self.inner.wait(question, wait, pace);
        };
        live.turn_to(Sense::Current);
        self.watching.borrow_mut().begin(wait, live.name(), self.bench.clock.exact());
        let mut pace = super::live_wait::ByMeter {
            watching: Rc::clone(&self.watching),
            live,
            count,
            clock: &self.bench.clock,
        };
        self.inner.wait(question, wait, &mut pace)
    }

    fn entered(&mut self, entry: &LogEvent) {
        self.inner.entered(entry);
    }

    fn farewell(&self, done: bool) -> Vec<StyledText> {
        self.inner.farewell(done)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_written_with_the_digits_of_the_display() {
        assert_eq!(typed(Ampere::new(0.482_3), Ampere::new(1e-3)), "482 mA");
        assert_eq!(typed(Volt::new(0.003_02), Volt::new(1e-4)), "3.0 mV");
        assert_eq!(typed(Volt::new(0.003_02), Volt::new(1e-5)), "3.02 mV");
        assert_eq!(typed(Volt::new(-0.000_01), Volt::new(1e-4)), "0.0 mV");
        assert_eq!(typed(Ampere::new(1.48), Ampere::new(1e-2)), "1480 mA");
    }
}
