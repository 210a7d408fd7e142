//! The guard of `watch`: says what it notices, rings, has the user's command run, and asks the session log what to read
//! while the draw is there.
//! Leaves to others: noticing (`trace/guard`), what to read (`plan/awake`), the words (`text/guard`).

use std::path::PathBuf;
use std::rc::Rc;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, AmpereHour, Minute, Unit, Volt};
use crate::base::styled::{Role, StyledText};
use crate::cli::context::Context;
use crate::cli::errand::Errand;
use crate::cli::error::CliError;
use crate::cli::{json, log};
use crate::hunt::analysis::Analysis;
use crate::hunt::reserve::Reserve;
use crate::plan::awake::{ReadNow, read_now};
use crate::render::json::guard::{GapShape, SeenWakeShape, WakeShape};
use crate::text::guard as words;
use crate::trace::guard::{At, Awakening, Guard, GuardEvent, Sample};

/// Readings that an event names.
const NAMED: usize = 3;

/// Wake-ups and gaps that are kept for the end: more than a week of one in a minute.
const MOST: usize = 12_000;

/// A battery that holds for less than this, in minutes, is told. Editorial: the night and the morning.
const SOON: f64 = 720.0;

/// What the user wants to be done.
#[derive(Debug)]
pub struct Orders {
    /// What stays flat for so long is at rest.
    pub flat: Minute,
    /// Session log that is asked.
    pub log: Option<PathBuf>,
    /// Command that is run.
    pub errand: Option<Errand>,
    /// Name of the file that is written.
    pub file: String,
}

/// What the log says to read.
type Advice = (Rc<Analysis>, Vec<ReadNow>);

/// The guard at work.
pub struct Sentry<'a> {
    context: &'a Context,
    orders: Orders,
    guard: Guard,
    reserve: Reserve,
    /// Drawn since the watch began.
    taken: AmpereHour,
    last: Option<(At, Ampere)>,
    low: bool,
    /// Wake-ups, with their ends.
    pub wakes: Vec<(Awakening, Option<At>)>,
    /// Stretches without samples.
    pub gaps: Vec<(At, At)>,
}

impl<'a> Sentry<'a> {
    /// Sets up; the log is read and reckoned once, so that the first wake-up need not wait for it.
    ///
    /// # Errors
    /// The log cannot be read.
    pub fn new(orders: Orders, context: &'a Context) -> Result<Self, CliError> {
        let mut reserve = Reserve::default();
        if let Some(path) = &orders.log {
            let (_, case, notes) = log::read(path)?;
            context.talk(&notes);
            Analysis::of(&case).ranking();
            reserve = Reserve::of(&case)?;
        }
        let guard = Guard::new(orders.flat);
        let (wakes, gaps) = (Vec::new(), Vec::new());
        let taken = AmpereHour::ZERO;
        Ok(Self { context, orders, guard, reserve, taken, last: None, low: false, wakes, gaps })
    }

    /// Takes what the meter shows.
    pub fn hear(&mut self, at: At, current: Option<Ampere>, step: f64) {
        let events = self.guard.take(Sample { at, current, step });
        let is_gap =
            events.iter().any(|one| matches!(one, GuardEvent::Gap { .. } | GuardEvent::SetBack { .. }));
        if let Some((last, drawn)) = self.last.filter(|_| !is_gap) {
            self.taken = self.taken + AmpereHour::new(drawn.base() * (at - last).as_seconds_f64() / 3600.0);
        }
        self.last = current.map(|current| (at, current));
        for event in events {
            self.notice(&event, at);
        }
        self.look();
    }

    /// Takes the volts of the battery.
    pub fn hear_volts(&mut self, volts: Volt) {
        let is_low = self.reserve.is_low(volts).unwrap_or(false);
        if is_low && !self.low {
            self.context.talk(&[words::low(volts)]);
            self.context.ring();
        }
        self.low = is_low;
    }

    /// Says what became of the command.
    fn look(&self) {
        let Some(errand) = &self.orders.errand else { return };
        for end in errand.ended() {
            self.context.talk(&[words::errand(&errand.command, &end)]);
        }
    }

    fn notice(&mut self, event: &GuardEvent, now: At) {
        self.context.talk(&[words::event(event)]);
        match event {
            GuardEvent::Woke(woke) => self.wake(woke, now),
            GuardEvent::Slept { was, at } => {
                if let Some(seen) = self.wakes.iter_mut().rev().find(|(seen, _)| seen.number == was.number) {
                    *seen = (*was, Some(*at));
                }
            }
            GuardEvent::Gap { from, to } if self.gaps.len() < MOST => self.gaps.push((*from, *to)),
            GuardEvent::Gap { .. } | GuardEvent::SetBack { .. } | GuardEvent::Rests { .. } => {}
        }
    }

    fn wake(&mut self, woke: &Awakening, now: At) {
        self.context.ring();
        if self.wakes.len() < MOST {
            self.wakes.push((*woke, None));
        }
        let rise = woke.now.map_or(Ampere::ZERO, |now| now - woke.rest);
        let (mut named, mut lines) = (Vec::new(), Vec::new());
        match self.asked(rise) {
            None => lines.push(StyledText::of(Role::Hint, words::READ_ANY)),
            Some(Ok((analysis, found))) => {
                lines.push(match found.first() {
                    Some(first) => words::read_now(first, &analysis.panel),
                    None => StyledText::of(Role::Hint, words::NOBODY_NAMED),
                });
                named = found;
            }
            Some(Err(error)) => {
                lines.extend(error.faults.iter().map(|fault| StyledText::of(Role::Doubt, fault.to_string())))
            }
        }
        lines.extend(self.soon(woke));
        self.context.talk(&lines);
        self.send(woke, now, &named, lines);
    }

    /// Returns what the log, as it is now, says to read; none without a log.
    fn asked(&self, rise: Ampere) -> Option<Result<Advice, CliError>> {
        let path = self.orders.log.as_ref()?;
        let ask = || {
            let (_, case, _) = log::read(path)?;
            let analysis = Analysis::of(&case);
            let mut found = read_now(&analysis, rise);
            found.truncate(NAMED);
            Ok((analysis, found))
        };
        Some(ask())
    }

    /// Says for how long the battery holds, if that is not long.
    fn soon(&self, woke: &Awakening) -> Option<StyledText> {
        let now = woke.now?;
        let holds = self.reserve.holds(now, self.taken)?;
        (holds.base() < SOON).then(|| words::holds(now, holds))
    }

    fn send(&self, woke: &Awakening, now: At, named: &[ReadNow], lines: Vec<StyledText>) {
        let Some(errand) = &self.orders.errand else { return };
        let session = self.orders.log.as_ref().map(|path| path.to_string_lossy());
        let first = words::event(&GuardEvent::Woke(*woke));
        let said = std::iter::once(first).chain(lines).map(|line| line.text()).collect();
        let shape = WakeShape::of(woke, now, &self.orders.file, session.as_deref(), named, said);
        let Ok(event) = json::document(&shape) else { return };
        if let Some(end) = errand.run(event) {
            self.context.talk(&[words::errand(&errand.command, &end)]);
        }
    }

    /// Returns what was seen, in JSON shapes, after the command has had time to end.
    pub fn finish(self) -> Seen {
        let rest = self.guard.level();
        if let Some(errand) = self.orders.errand {
            let command = errand.command.clone();
            for end in errand.finish() {
                self.context.talk(&[words::errand(&command, &end)]);
            }
        }
        Seen {
            rest,
            wakes: self.wakes.iter().map(|(woke, over)| SeenWakeShape::of(woke, *over)).collect(),
            gaps: self.gaps.iter().map(|(from, to)| GapShape::of(*from, *to)).collect(),
        }
    }
}

/// What a guard saw.
pub struct Seen {
    /// Level that it rests at.
    pub rest: Option<Ampere>,
    /// Wake-ups.
    pub wakes: Vec<SeenWakeShape>,
    /// Stretches without samples.
    pub gaps: Vec<GapShape>,
}

/// Reads the command of an option.
///
/// # Errors
/// It has no words.
pub fn errand(command: Option<&str>) -> Result<Option<Errand>, Diagnostic> {
    command.map(Errand::new).transpose().map_err(|fault| fault.in_field("--on-wake"))
}
