//! A practice vehicle stands in for the meter and its customer: where a reading is due, or the customer is asked, an
//! empty answer is answered by the vehicle, and time is compressed. Everything else is asked of whoever answers anyway.
//! Leaves to others: the vehicle (`sim`), the questions (`hunt`).

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use super::{Pace, PromptStop, Prompter, Tick};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Minute;
use crate::base::styled::{Role, StyledText};
use crate::cli::clock::Clock;
use crate::cli::error::fault_lines;
use crate::hunt::question::{Question, QuestionKind, Wait};
use crate::hunt::slip::SURE;
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;
use crate::measure::kind::TypedSlot;
use crate::sim::{self, Vehicle};
use crate::text::ask::bench;

/// Real time in which one simulated minute goes by at a terminal.
const REAL_MINUTE: Duration = Duration::from_millis(150);

/// Simulated minutes between two readings of a wait.
const BETWEEN_READINGS: u32 = 5;

/// What Enter does where the vehicle can supply the reading.
const READ_IT: &str = "read the meter";

/// A vehicle whose time drives the clock of the run.
#[derive(Debug)]
struct PracticeBench {
    vehicle: Vehicle,
    start: sim::SimClock,
    clock: Clock,
}

impl PracticeBench {
    fn set_clock(&self) {
        self.clock.set(self.start.at(self.vehicle.now()));
    }

    fn pass(&mut self, minutes: Minute) {
        self.vehicle.pass(minutes);
        self.set_clock();
    }

    /// Returns what the display shows, values with a blank between.
    fn read(&mut self, wanted: &Proposed) -> Result<String, Diagnostic> {
        let values = self.vehicle.measure(wanted.kind, &wanted.place(), wanted.running)?;
        self.set_clock();
        let shown = values.iter().map(TypedSlot::text).filter(|text| !text.is_empty());
        Ok(shown.collect::<Vec<_>>().join(" "))
    }
}

/// A practice vehicle in front of whoever else answers.
pub struct PracticePrompter {
    inner: Box<dyn Prompter>,
    bench: Rc<RefCell<PracticeBench>>,
    told: bool,
    /// True if the last answer was read off the vehicle's meters: then there is no slip of the hand in it.
    supplied: bool,
}

impl PracticePrompter {
    /// Puts a vehicle in front of a front. The clock must be a simulated one; it is set to the vehicle's time.
    pub fn new(
        inner: Box<dyn Prompter>,
        vehicle: Vehicle,
        start: DateTime<FixedOffset>,
        clock: Clock,
    ) -> Self {
        let bench = PracticeBench { vehicle, start: sim::SimClock::new(start), clock };
        bench.set_clock();
        Self { inner, bench: Rc::new(RefCell::new(bench)), told: false, supplied: false }
    }
}

impl PracticePrompter {
    /// Where the customer is asked, their answer is the default.
    fn ask_customer(&mut self, question: &Question) -> Result<String, PromptStop> {
        let plain = question.id.plain();
        let told = plain.and_then(|id| self.bench.borrow().vehicle.answers(id));
        let Some(told) = told else { return self.inner.ask(question) };
        let typed = self.inner.ask(&Question { default: Some(told.clone()), ..question.clone() })?;
        if !typed.trim().is_empty() {
            return Ok(typed);
        }
        self.inner.show(&[StyledText::of(Role::Hint, "The customer: ").and(Role::Value, &told)]);
        Ok(told)
    }
}

impl Prompter for PracticePrompter {
    fn show(&mut self, lines: &[StyledText]) {
        self.inner.show(lines);
    }

    fn ask(&mut self, question: &Question) -> Result<String, PromptStop> {
        let supplied = std::mem::take(&mut self.supplied);
        if supplied && question.id.tail.ends_with(SURE) {
            return Ok("yes".to_owned());
        }
        let QuestionKind::Reading(wanted) = &question.kind else { return self.ask_customer(question) };
        let offered = Question { default: Some(READ_IT.to_owned()), ..question.clone() };
        loop {
            let typed = self.inner.ask(&offered)?;
            if !typed.trim().is_empty() && typed.trim() != READ_IT {
                return Ok(typed);
            }
            match self.bench.borrow_mut().read(wanted) {
                Ok(text) => {
                    self.inner.show(&[bench::shows(&text, ".")]);
                    self.supplied = true;
                    return Ok(text);
                }
                Err(fault) => self.inner.show(&fault_lines(&fault)),
            }
        }
    }

    fn wait(&mut self, question: &Question, wait: &Wait, _: &mut dyn Pace) -> Result<String, PromptStop> {
        if !self.told {
            self.told = true;
            self.inner.show(&[StyledText::of(Role::Hint, bench::COMPRESSED)]);
        }
        let mut pace = Compressed { bench: Rc::clone(&self.bench), real: Duration::ZERO, gone: 0 };
        self.inner.wait(question, wait, &mut pace)
    }

    fn entered(&mut self, entry: &LogEvent) {
        let mut bench = self.bench.borrow_mut();
        match entry {
            LogEvent::Disturb { .. } => bench.vehicle.disturb(),
            LogEvent::Meter(profile) => bench.vehicle.take_meter(profile),
            // Whatever was repaired, it was the right thing: from then on the vehicle is sound.
            LogEvent::Answer { question, answer }
                if question.plain() == Some(QuestionId::RepairWhat) && answer != "not-repaired" =>
            {
                bench.vehicle.repair();
            }
            _ => {}
        }
        drop(bench);
        self.inner.entered(entry);
    }

    fn farewell(&self, done: bool) -> Vec<StyledText> {
        let mut lines = self.inner.farewell(done);
        if done {
            lines.push(StyledText::new());
            lines.extend(self.bench.borrow().vehicle.truth().tell());
        }
        lines
    }
}

/// Compressed time: one simulated minute in each [`REAL_MINUTE`], a reading every few of them.
struct Compressed {
    bench: Rc<RefCell<PracticeBench>>,
    real: Duration,
    gone: u32,
}

impl Pace for Compressed {
    fn now(&self) -> DateTime<FixedOffset> {
        self.bench.borrow().clock.now()
    }

    fn tick(&mut self, real: Duration) -> Tick {
        self.real += real;
        if self.real < REAL_MINUTE {
            return Tick::Nothing;
        }
        self.real -= REAL_MINUTE;
        self.gone += 1;
        let mut bench = self.bench.borrow_mut();
        bench.pass(Minute::new(1.0));
        let seen = bench.vehicle.see_total();
        if self.gone >= BETWEEN_READINGS { Tick::Answer(seen.text) } else { Tick::Seen(seen.value) }
    }

    fn on_enter(&mut self) -> Option<String> {
        let mut bench = self.bench.borrow_mut();
        bench.pass(Minute::new(f64::from(BETWEEN_READINGS.saturating_sub(self.gone))));
        Some(bench.vehicle.see_total().text)
    }
}
