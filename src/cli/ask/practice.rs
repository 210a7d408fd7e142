//! A practice vehicle stands in for the meter and its customer: where a reading is due, or the customer is asked, an
//! empty answer is answered by the vehicle, and time is compressed. Everything else is asked of whoever answers anyway.
//! Leaves to others: the vehicle (`sim`), the questions (`hunt`).

use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use super::{OnEnter, Pace, PromptStop, Prompter, Tick};
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Minute};
use crate::base::styled::StyledText;
use crate::cli::clock::Clock;
use crate::cli::error::fault_lines;
use crate::hunt::question::{Question, QuestionKind, Wait};
use crate::hunt::slip::SURE;
use crate::hunt::stage::settle::{BY_CURVE, SettleState, judge};
use crate::log::entry::LogEvent;
use crate::log::question_id::QuestionId;
use crate::log::round::NONE;
use crate::log::typed::Proposed;
use crate::measure::kind::TypedSlot;
use crate::sim::{self, Vehicle};
use crate::text::ask::bench;
use crate::text::truth::{self, answers};

/// Real time in which one simulated minute goes by at a terminal.
const REAL_MINUTE: Duration = Duration::from_millis(150);

/// So many times its expected length a wait is let go by at once.
const PATIENT: f64 = 3.0;

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
        if !wanted.round.is_empty() {
            return self.read_along(wanted);
        }
        if !wanted.listed.is_empty() {
            return self.reported(wanted);
        }
        let mut values = self.vehicle.measure(wanted.kind, &wanted.place(), wanted.running)?;
        if let Some(beside) = wanted.beside {
            values.extend(self.vehicle.measure(beside, "", false)?);
        }
        self.set_clock();
        let shown = values.iter().map(TypedSlot::text).filter(|text| !text.is_empty());
        Ok(shown.collect::<Vec<_>>().join(" "))
    }

    /// Asks the vehicle about each listed input, and returns what a person would type: the numbers of those that are open, or
    /// none.
    fn reported(&mut self, wanted: &Proposed) -> Result<String, Diagnostic> {
        let mut open = Vec::new();
        for (at, input) in wanted.listed.iter().enumerate() {
            let said = self.vehicle.measure(wanted.kind, input, false)?;
            if said.iter().any(|word| word.text() == "open") {
                open.push((at + 1).to_string());
            }
        }
        self.set_clock();
        Ok(if open.is_empty() { NONE.to_owned() } else { open.join(" ") })
    }

    /// Reads the fuses of a round up to the first that is high, and returns what a person would type: that one, or none.
    fn read_along(&mut self, wanted: &Proposed) -> Result<String, Diagnostic> {
        let mut high = Vec::new();
        for (feed, from) in &wanted.round {
            let shown = self.vehicle.drop_along(feed)?;
            if shown.value >= from.value {
                high.push(format!("{feed} {}", shown.text));
                break;
            }
        }
        self.vehicle.type_round();
        self.set_clock();
        Ok(if high.is_empty() { NONE.to_owned() } else { high.join(" ") })
    }
}

/// A practice vehicle in front of whoever else answers.
pub struct PracticePrompter {
    inner: Box<dyn Prompter>,
    bench: Rc<RefCell<PracticeBench>>,
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
        Self { inner, bench: Rc::new(RefCell::new(bench)), supplied: false }
    }
}

impl PracticePrompter {
    /// Where the customer is asked, or the work is done on the vehicle, Enter takes what they say or what was done.
    fn ask_customer(&mut self, question: &Question) -> Result<String, PromptStop> {
        if question.kind == QuestionKind::Acknowledge {
            let offered = Question { default: Some("yes".to_owned()), ..question.clone() };
            return self.inner.ask_or(&offered, &mut || Some("yes".to_owned()));
        }
        let told = question.id.plain().and_then(|id| self.told(id));
        let Some(told) = told else { return self.inner.ask(question) };
        let offered = Question { default: Some(told.clone()), ..question.clone() };
        self.inner.ask_or(&offered, &mut || Some(told.clone()))
    }

    fn told(&self, question: QuestionId) -> Option<String> {
        let vehicle = &self.bench.borrow().vehicle;
        let plugged = || answers(vehicle, QuestionId::InterviewPlugged).filter(|told| told != "nothing");
        match question {
            QuestionId::InterviewRecent => match (answers(vehicle, question), plugged()) {
                (Some(recent), Some(plugged)) if recent == "nothing" => Some(plugged),
                (Some(recent), Some(plugged)) => Some(format!("{recent}, {plugged}")),
                (recent, _) => recent,
            },
            QuestionId::RepairWhat if vehicle.has_fault() => Some(bench::MENDED.to_owned()),
            QuestionId::ProveProvoke => Some("stays-away".to_owned()),
            _ => answers(vehicle, question),
        }
    }
}

impl Prompter for PracticePrompter {
    fn show(&mut self, lines: &[StyledText]) {
        self.inner.show(lines);
    }

    fn ask_or(&mut self, question: &Question, on_enter: OnEnter) -> Result<String, PromptStop> {
        self.inner.ask_or(question, on_enter)
    }

    fn ask(&mut self, question: &Question) -> Result<String, PromptStop> {
        let supplied = std::mem::take(&mut self.supplied);
        if supplied && question.id.tail.ends_with(SURE) {
            return Ok("yes".to_owned());
        }
        let QuestionKind::Reading(wanted) = &question.kind else { return self.ask_customer(question) };
        let offered = Question { default: Some(READ_IT.to_owned()), ..question.clone() };
        loop {
            let mut read = None;
            let bench = Rc::clone(&self.bench);
            let typed = self.inner.ask_or(&offered, &mut || {
                let found = bench.borrow_mut().read(wanted);
                let text = found.as_ref().ok().cloned();
                read = Some(found);
                text
            })?;
            match read {
                None if !typed.trim().is_empty() && typed.trim() != READ_IT => return Ok(typed),
                None => {}
                Some(Ok(text)) => {
                    self.supplied = true;
                    return Ok(text);
                }
                Some(Err(fault)) => self.inner.show(&fault_lines(&fault)),
            }
        }
    }

    fn wait(&mut self, question: &Question, wait: &Wait, _: &mut dyn Pace) -> Result<String, PromptStop> {
        let mut pace = Compressed { bench: Rc::clone(&self.bench), wait, real: Duration::ZERO, gone: 0 };
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
            lines.extend(truth::tell(&self.bench.borrow().vehicle.truth()));
        }
        lines
    }
}

/// Compressed time: one simulated minute in each [`REAL_MINUTE`], a reading every few of them.
struct Compressed<'a> {
    wait: &'a Wait,
    bench: Rc<RefCell<PracticeBench>>,
    real: Duration,
    gone: u32,
}

impl Pace for Compressed<'_> {
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

    /// Lets the whole wait go by, as a meter left on would show it: until the draw is at rest, or it is plain that it
    /// never comes to rest.
    fn on_enter(&mut self) -> Option<String> {
        let mut bench = self.bench.borrow_mut();
        let mut seen: Vec<(Minute, Ampere)> =
            self.wait.readings.iter().map(|(at, total)| (self.minutes(*at), *total)).collect();
        let mut step = BETWEEN_READINGS.saturating_sub(self.gone);
        loop {
            bench.pass(Minute::new(f64::from(step)));
            step = BETWEEN_READINGS;
            let total = bench.vehicle.see_total();
            let elapsed = self.minutes(bench.clock.now());
            seen.push((elapsed, total.value));
            if judge((elapsed, self.wait.due), &seen, None, self.wait.still) == SettleState::Asleep {
                return Some(format!("{BY_CURVE}{}", total.text));
            }
            if elapsed > self.wait.due * PATIENT {
                return Some(total.text);
            }
        }
    }
}

impl Compressed<'_> {
    /// Minutes from the last disturbance to a moment.
    fn minutes(&self, at: DateTime<FixedOffset>) -> Minute {
        Minute::new((at - self.wait.since).as_seconds_f64() / 60.0)
    }
}
