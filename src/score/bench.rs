//! A vehicle on the bench: set up alike for every way of hunting, read on demand, with the readings as the log would
//! tell them and the minutes that they took. What the customer tells is known to the analysis. Leaves to others: which reading (`planned`, `panel`, `halving`).

use chrono::{DateTime, FixedOffset};

use super::policy::{Ending, Hunted, Said};
use super::shorthand::in_short;
use super::subject::Subject;
use crate::log::question_id::QuestionId;
use std::sync::Arc;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Uncertain};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::id::{FeedId, UnfusedId};
use crate::circuit::map::{Access, Hazard};
use crate::hunt::gone::is_gone;
use crate::instrument::uncertainty::{Zero, current};
use crate::log::interview::Interview;
use crate::measure::doubt::doubts;
use crate::measure::kind::{MeasurementKind, MeasurementParts, TypedSlot};
use crate::measure::observation::{Interrupted, Observation, Panel, Scope};
use crate::measure::observe::{build_observations, fuse_of};
use crate::measure::slip::{in_reading, known_total};
use crate::measure::{Measurement, Reading, box_temperature};
use crate::plan::analysis::{Analysis, Facts};
use crate::plan::round::Round;
use crate::sim::constants as k;
use crate::sim::{SimClock, Vehicle};
use crate::text::truth::answers;

/// Entry of the zero, as a log would number it; the temperature is the next, then come the readings.
const ZERO_ENTRY: usize = 1;
/// A total that rises by so much with a pull means that neighbours woke: the hunt waits until they sleep. Editorial.
const WOKE: Ampere = Ampere::from_milli(5.0);
/// A fuse counts as high from this much above what the map expects asleep. Basis: single fuses over 10–20 mA asleep
/// count as high in two makers' manuals.
const HIGH: Ampere = Ampere::from_milli(20.0);
/// How sure the known total is where a reading is held against it, as a share of it. Editorial: a clamp's percent.
const CERTAIN: f64 = 0.02;
/// For the two habits: a fuse is worth naming, and a remainder worth searching, from this share of the whole excess.
const SHARE: f64 = 0.2;

/// A vehicle being hunted.
pub(super) struct ScoreBench<'a> {
    subject: &'a Subject<'a>,
    table: &'static FuseTable,
    vehicle: Vehicle,
    clock: SimClock,
    zero: Zero,
    temperature: Uncertain<Celsius>,
    told: Vec<&'static str>,
    readings: Vec<Reading>,
    trail: Vec<String>,
    start: Minute,
    hands_on: Minute,
    /// How often something is typed.
    prompts: usize,
    /// Fuses read along a row since something was typed, where a habit reads so.
    along: usize,
}

impl<'a> ScoreBench<'a> {
    /// Sets a vehicle up: zero, temperature of the place, settled total. Minutes count from here.
    pub(super) fn new(subject: &'a Subject<'a>, table: &'static FuseTable) -> Self {
        let mut vehicle = subject.vehicle.clone();
        let found = vehicle.total();
        vehicle.disturb();
        vehicle.pass(vehicle.asleep_from() - vehicle.now());
        let zero = Zero { entry: ZERO_ENTRY, offset: vehicle.zero().value };
        let temperature = box_temperature(Some(vehicle.temperature_outside().value));
        vehicle.oversleep();
        let total = vehicle.total();
        let mut bench = Self {
            subject,
            table,
            clock: SimClock::new(DateTime::<FixedOffset>::from(DateTime::UNIX_EPOCH)),
            zero,
            temperature,
            told: told_by(subject, [&found, &total]),
            readings: Vec::new(),
            trail: Vec::new(),
            start: vehicle.now(),
            hands_on: Minute::ZERO,
            prompts: 0,
            along: 0,
            vehicle,
        };
        let shown = vec![TypedSlot::Ampere(total), TypedSlot::Flag(false)];
        bench.readings.extend(bench.typed(MeasurementKind::Total, "", shown));
        bench
    }

    /// Returns the map as the engine sees it.
    pub(super) fn panel(&self) -> &'a Panel {
        &self.subject.world.panel
    }

    /// Returns how many readings were taken after the first total.
    pub(super) fn count(&self) -> usize {
        self.readings.len().saturating_sub(1)
    }

    /// Analyses what was read so far, as a hunt does.
    pub(super) fn analyse(&self) -> Analysis {
        let world = self.subject.world;
        Analysis::of_facts(Facts {
            panel: Arc::clone(&world.panel),
            table: self.table,
            readings: self.readings.clone(),
            meter: self.subject.meter.clone(),
            clamp: self.subject.clamp.clone(),
            ammeter: self.subject.ammeter().clone(),
            zero: Some(self.zero),
            temperature: self.temperature.clone(),
            limit: world.limit.clone(),
            sleep: world.sleep,
            told: self.told.clone(),
            series: None,
            night: Default::default(),
            supply: Vec::new(),
            learnt: self.subject.shop.learnt.clone(),
            passed_over: Vec::new(),
        })
    }

    /// Reads the fuses of a round along the row up to the first that is high, and types that.
    ///
    /// # Errors
    /// The vehicle refuses one of them.
    pub(super) fn take_round(&mut self, round: &Round) -> Result<(), Diagnostic> {
        let before = self.vehicle.now();
        for read in &round.reads {
            let shown = self.vehicle.drop_along(&read.at)?;
            let feed = read.at.clone();
            let is_high = shown.value >= read.high.value;
            let what = if is_high {
                Measurement::Drop { feed, drop: shown }
            } else {
                Measurement::Below { feed, drop: read.high.clone() }
            };
            self.trail.extend(in_short(&what));
            let reading = self.reading(what);
            self.readings.push(reading);
            if is_high {
                break;
            }
        }
        self.vehicle.type_round();
        self.prompts += 1;
        self.hands_on = self.hands_on + (self.vehicle.now() - before);
        Ok(())
    }

    /// Asks a scan tool about several inputs and types what it says in one go.
    ///
    /// # Errors
    /// The vehicle refuses one of them.
    pub(super) fn take_reports(&mut self, inputs: &[String]) -> Result<(), Diagnostic> {
        let before = self.prompts;
        inputs.iter().try_for_each(|input| self.take(MeasurementKind::Report, input))?;
        self.prompts = before + 1;
        Ok(())
    }

    /// Reads a drop as one of several along a row: [`ScoreBench::type_along`] types them.
    fn take_along(&mut self, feed: &str) -> Result<(), Diagnostic> {
        let before = self.vehicle.now();
        let shown = self.vehicle.drop_along(feed)?;
        let reading = self.typed(MeasurementKind::Drop, feed, vec![TypedSlot::Volt(shown)]);
        let reading = reading.ok_or_else(|| Diagnostic::new("no such reading"))?;
        self.hands_on = self.hands_on + (self.vehicle.now() - before);
        self.along += 1;
        self.trail.extend(in_short(&reading.what));
        self.readings.push(reading);
        Ok(())
    }

    /// Types what was read along a row, at the same price as the plan's rounds.
    pub(super) fn type_along(&mut self) {
        if self.along > 0 {
            let before = self.vehicle.now();
            self.vehicle.type_round();
            self.hands_on = self.hands_on + (self.vehicle.now() - before);
            self.prompts += 1;
            self.along = 0;
        }
    }

    /// Takes a reading. Its minutes count as work, except the wait until a worked input's group sleeps again.
    ///
    /// # Errors
    /// The vehicle refuses it.
    pub(super) fn take(&mut self, action: MeasurementKind, at: &str) -> Result<(), Diagnostic> {
        let before = self.vehicle.now();
        self.prompts += 1;
        let reading = self.read(action, at)?;
        let what = &reading.what;
        let took = self.vehicle.now() - before;
        let work = if action == MeasurementKind::Input { k::MINUTES_INPUT } else { took };
        self.hands_on = self.hands_on + work;
        if let Measurement::Pull { before, after, .. } | Measurement::Unplug { before, after, .. } = what
            && after.value > before.value + self.panel().map.scaled(WOKE)
        {
            self.vehicle.pass(self.subject.world.sleep);
        }
        self.trail.extend(in_short(what));
        if action != MeasurementKind::Zero {
            self.readings.push(reading);
        }
        Ok(())
    }

    fn read(&mut self, action: MeasurementKind, at: &str) -> Result<Reading, Diagnostic> {
        let values = match action {
            MeasurementKind::Input => self.work_input(at)?,
            MeasurementKind::Report if !at.contains('/') => self.report_of_input(at)?,
            _ => self.vehicle.measure(action, at, false)?,
        };
        if let (MeasurementKind::Zero, [TypedSlot::Volt(offset)]) = (action, values.as_slice()) {
            self.zero = Zero { entry: self.next_entry(), offset: offset.value };
            return Ok(self.reading(Measurement::Drop { feed: "leads".to_owned(), drop: offset.clone() }));
        }
        self.typed(action, at, values).ok_or_else(|| Diagnostic::new("no such reading"))
    }

    /// Returns what the hands type of what the display shows. A slip that the tool asks about is looked at again, mostly.
    fn typed(&self, action: MeasurementKind, at: &str, shown: Vec<TypedSlot>) -> Option<Reading> {
        let built = |values| {
            let parts = MeasurementParts { kind: action, names: action.row().target.names(at), values };
            Measurement::build(parts).map(|what| self.reading(what))
        };
        let slipped = self.vehicle.slip(action, at, &shown).and_then(built);
        let stays = slipped.filter(|typed| !(self.asks_about(typed) && self.vehicle.puts_right(at)));
        stays.or_else(|| built(shown))
    }

    /// Returns true if a hunt asks about a reading before it enters it, or says that it is doubtful.
    fn asks_about(&self, typed: &Reading) -> bool {
        let known = known_total(&self.readings, typed.entry, &typed.what, false);
        let total = known.map(|total| Uncertain::new(total, total * CERTAIN));
        in_reading(&typed.what, known, &typed.meter, &typed.clamp).is_some()
            || !doubts(typed, total.as_ref(), self.panel()).is_empty()
    }

    /// Works an input as the engine's map has it: it may be several of the vehicle's, or one that moves nothing there.
    fn work_input(&mut self, at: &str) -> Result<Vec<TypedSlot>, Diagnostic> {
        let meant = self.subject.world.inputs_meant(at);
        let mut seen = Vec::new();
        for input in &meant {
            seen.extend(self.vehicle.measure(MeasurementKind::Input, input, false)?);
        }
        if meant.is_empty() {
            self.vehicle.pass(k::MINUTES_INPUT);
            seen = [(); 2].map(|()| TypedSlot::Ampere(self.vehicle.see_total())).to_vec();
        }
        let (Some(before), Some(after)) = (seen.first().cloned(), seen.last().cloned()) else {
            return Err(Diagnostic::new("the input shows nothing"));
        };
        Ok(vec![before, after])
    }

    /// What the vehicle says of an input as the engine's map has it: open if one of those meant is, shut if it has none.
    fn report_of_input(&mut self, at: &str) -> Result<Vec<TypedSlot>, Diagnostic> {
        let meant = self.subject.world.inputs_meant(at);
        let mut said = Vec::new();
        for input in &meant {
            said.extend(self.vehicle.measure(MeasurementKind::Report, input, false)?);
        }
        let open = TypedSlot::Word("open".to_owned());
        Ok(vec![if said.contains(&open) { open } else { TypedSlot::Word("shut".to_owned()) }])
    }

    fn next_entry(&self) -> usize {
        self.readings.last().map_or(ZERO_ENTRY + 1, |last| last.entry).max(self.zero.entry + 1) + 1
    }

    /// A reading as it is entered next.
    fn reading(&self, what: Measurement) -> Reading {
        let by_clamp = matches!(what, Measurement::Clamp { .. } | Measurement::Step { .. });
        let read_with = if by_clamp { &self.subject.clamp } else { self.subject.ammeter() };
        Reading {
            entry: self.next_entry(),
            at: self.clock.at(self.vehicle.now()),
            what,
            meter: self.subject.meter.clone(),
            clamp: read_with.clone(),
            zero: Some((self.zero.entry, self.zero.offset)),
            temperature: self.temperature.clone(),
            provisional: false,
            after_repair: false,
        }
    }

    /// Ends the hunt.
    pub(super) fn end(self, said: Vec<Said>, ending: Ending) -> Hunted {
        Hunted {
            said,
            readings: self.trail.len(),
            prompts: self.prompts,
            hands_on: self.hands_on,
            elapsed: self.vehicle.now() - self.start,
            ending,
            trail: self.trail,
        }
    }

    /// Returns by how much the total is above what the map expects asleep.
    pub(super) fn excess(&self) -> Ampere {
        let total = self.readings.iter().rev().find_map(|reading| match &reading.what {
            Measurement::Total { current, .. } => Some(current.value),
            _ => None,
        });
        total.unwrap_or_default() - self.expected(Scope::Total)
    }

    /// Returns from which excess on a fuse or a remainder counts, for the two habits.
    pub(super) fn high(&self) -> Ampere {
        self.panel().map.scaled(HIGH).max(self.excess() * SHARE)
    }

    /// Reads a feed as a technician would: its drop where it can be read, else with the clamp; returns how far it is
    /// above what the map expects asleep, 0 where that is below what the reading can tell. `None` if it cannot be
    /// read: out of reach, or a drop on restraint or high-voltage circuits, which is not done.
    pub(super) fn excess_of_feed(&mut self, feed: FeedId, clamp: bool) -> Option<Ampere> {
        let found = self.panel().map.feeds.get(feed)?;
        let guarded = matches!(found.hazard, Some(Hazard::Restraint | Hazard::Hv));
        let known = fuse_of(feed, &self.panel().map, self.table).is_ok();
        let action = match found.access {
            Access::Points if !guarded && known && !clamp => MeasurementKind::Drop,
            Access::None => return None,
            _ if found.hazard == Some(Hazard::Hv) => return None,
            _ => MeasurementKind::Clamp,
        };
        match action {
            MeasurementKind::Drop => self.take_along(&found.id).ok()?,
            _ => self.take(action, &found.id).ok()?,
        }
        self.last_excess()
    }

    /// Reads an unfused item with the clamp.
    pub(super) fn excess_of_unfused(&mut self, item: UnfusedId) -> Option<Ampere> {
        let name = &self.panel().map.unfused.get(item)?.name;
        self.take(MeasurementKind::Clamp, name).ok()?;
        self.last_excess()
    }

    /// Returns what the newest reading shows above what the map expects asleep there.
    fn last_excess(&self) -> Option<Ampere> {
        let last = self.readings.last()?;
        let observations =
            build_observations(std::slice::from_ref(last), self.panel(), self.table).observations;
        let Observation { scope, current, floor, .. } = observations.first()?;
        let excess = current.value() - self.expected(*scope);
        Some(if current.value() < *floor { Ampere::ZERO } else { excess })
    }

    fn expected(&self, scope: Scope) -> Ampere {
        let row = self.panel().row(scope, &Interrupted::default());
        let parts = self.panel().parts.iter();
        parts.zip(&row).map(|(part, count)| part.asleep * *count).sum()
    }
}

/// Returns what the customer tells, and the totals as found and settled, as a hunt understands it.
fn told_by(subject: &Subject, [found, settled]: [&Typed<Ampere>; 2]) -> Vec<&'static str> {
    let vehicle = &subject.vehicle;
    let asked = [
        QuestionId::InterviewStand,
        QuestionId::InterviewPattern,
        QuestionId::InterviewRecent,
        QuestionId::InterviewPlugged,
    ];
    let answers: Vec<(QuestionId, String)> =
        asked.into_iter().filter_map(|id| Some((id, answers(vehicle, id)?))).collect();
    let answer =
        |id: QuestionId| answers.iter().find(|(asked, _)| *asked == id).map(|(_, answer)| answer.as_str());
    let mut told = Interview::of(answer).hints();
    let limit = subject.world.limit.as_ref().map(|limit| limit.current);
    let [found, settled] = [found, settled].map(|shown| current(shown, subject.ammeter()));
    if is_gone(&found, &settled, limit) {
        told.push("gone");
    }
    told
}
