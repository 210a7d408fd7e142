//! What a trace says about sleep: settled or not, since when, at what level, with what steps and wake-ups.
//! The whole log counts: it rests since it first came to rest, and whatever departs from that later, for however long,
//! is a departure.
//! Leaves to others: levels (`level`), the base (`rest`), departures (`departure`), what comes again (`series`), the
//! charge (`ledger`), steps (`step`), averages (`average`), words (`text`).

use std::ops::Range;

use super::average::{self, Accuracy};
use super::departure::{Excursion, Pulse, excursions};
use super::ledger::{Bookkeeping, Ledger, Shared};
use super::level::{Level, Levels, levels};
use super::rest::{self, FLAT, MOST_AWAY, RestBase, SHORT};
use super::samples::Trace;
use super::series::{FEWEST, Search};
use super::step::{LASTING, LevelStep, steps};
use super::wake::{self, Period, Wake};
use crate::base::quantity::{Ampere, Minute, Uncertain, Unit};
use crate::instrument::profile::Profile;

/// What is known besides the trace.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Rules {
    /// Time that the vehicle needs to fall asleep by its map: before that nothing counts as settled.
    pub sleep_after: Option<Minute>,
    /// Meter that wrote the log; without it an editorial accuracy is taken.
    pub meter: Option<Profile>,
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SettleVerdict {
    /// It rests at a level.
    Settled,
    /// The log is shorter than the ten minutes that a rest must last.
    TooShort,
    /// By the map something may still be awake.
    TooEarly,
    /// The last step is less than ten minutes before the end.
    StillChanging,
    /// It came to rest, and was awake again when the log ended.
    Awake,
    /// It goes up and down in a rhythm.
    Cycling,
    /// It goes up and down without a rhythm.
    Restless,
}

/// What a trace says about sleep.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// The answer.
    pub verdict: SettleVerdict,
    /// When it first came to rest, counted from the first sample; none if it never did.
    pub after: Option<Minute>,
    /// Level that it rests at, wake-ups left out; none if it never rests.
    pub level: Option<Uncertain<Ampere>>,
    /// Average from then to the end, wake-ups in; of a current that never rests, over whole cycles. None where the log
    /// is too short to say.
    pub average: Option<Uncertain<Ampere>>,
    /// What the charge of that time went to; without lines where there is no average.
    pub ledger: Ledger,
    /// Lasting steps, the last one into the rest.
    pub steps: Vec<LevelStep>,
    /// Wake-ups from the rest; the cycles where it cycles.
    pub wakes: Vec<Wake>,
    /// Departures below the rest.
    pub dips: Vec<Wake>,
    /// How often wake-ups or cycles come; none below three of them.
    pub period: Option<Period>,
    /// Share of the time that wake-ups, dips or cycles take.
    pub away: f64,
    /// How far the rest moved from its beginning to its end, if that is more than a single drift.
    pub drift: Option<Ampere>,
    /// True if the current was logged with the other sign and was turned.
    pub reversed: bool,
    /// Departures in which the current runs the other way: something supports the battery.
    pub supports: usize,
    /// Trace, its sign as it should be.
    pub trace: Trace,
    /// Levels that all this was read from.
    pub levels: Vec<Level>,
}

/// A fall at the very end that has lasted longer than this, in seconds, may be a module falling asleep; a shorter one
/// may be the meter taken off.
const FALL_AT_END: f64 = 30.0;

/// Reads a trace.
pub fn settle(trace: Trace, rules: &Rules) -> Settling {
    let cut = levels(&trace);
    let reversed = rest::median(&cut.levels, f64::INFINITY) < 0.0;
    let (trace, cut) = if reversed { (trace.turned(), turned(cut)) } else { (trace, cut) };
    let mut settling = Settling {
        verdict: SettleVerdict::Restless,
        after: None,
        level: None,
        average: None,
        ledger: Ledger::default(),
        steps: Vec::new(),
        wakes: Vec::new(),
        dips: Vec::new(),
        period: None,
        away: 0.0,
        drift: None,
        reversed,
        supports: 0,
        levels: cut.levels.clone(),
        trace,
    };
    let (step, usual) = (settling.trace.step().base(), settling.trace.usual_seconds());
    if settling.is_short() {
        settling.unrest(&cut);
        return settling;
    }
    match rest::find(&cut.levels, step, usual) {
        Some(base) => settling.read_base(&base, &cut, rules),
        None => settling.search_cycles(&cut, rules),
    }
    settling
}

fn turned(mut cut: Levels) -> Levels {
    for level in &mut cut.levels {
        level.mean = -level.mean;
    }
    cut
}

/// What departs from a base, from a level on.
struct Departed {
    excursions: Vec<Excursion>,
    shared: Shared,
}

impl Settling {
    /// Returns true if the answer is yes.
    pub fn is_settled(&self) -> bool {
        self.verdict == SettleVerdict::Settled
    }

    /// Returns true if the log is shorter than a rest must last.
    fn is_short(&self) -> bool {
        self.trace.span().base() * 60.0 + self.trace.usual_seconds() < FLAT
    }

    fn search<'a>(&self, excursions: &'a [Excursion], cut: &'a Levels) -> Search<'a> {
        Search {
            excursions,
            levels: &cut.levels,
            step: self.trace.step().base(),
            usual: self.trace.usual_seconds(),
            end: cut.levels.last().map_or(0.0, |level| level.to),
        }
    }

    fn departed(&self, base: &RestBase, cut: &Levels, window: Range<usize>) -> Departed {
        let mut excursions = excursions(&self.trace, &cut.levels, base, window.start);
        excursions.retain(|one| one.levels.start < window.end);
        let shared = Shared::of(&self.search(&excursions, cut));
        Departed { excursions, shared }
    }

    /// Reads what a base says: a rest, or cycles.
    fn read_base(&mut self, base: &RestBase, cut: &Levels, rules: &Rules) {
        let departed = self.departed(base, cut, base.first..cut.levels.len());
        if self.goes_up_and_down(base, cut, &departed) {
            self.cycle(base, cut, &departed, rules);
            return;
        }
        let mut excused = vec![false; cut.levels.len()];
        for pulse in departed.shared.series.iter().flat_map(|(kind, _)| &kind.pulses) {
            let levels =
                departed.excursions.get(pulse.of).filter(|_| pulse.whole).map(|one| one.levels.clone());
            levels
                .and_then(|levels| excused.get_mut(levels))
                .into_iter()
                .flatten()
                .for_each(|one| *one = true);
        }
        match base.rested(&cut.levels, &excused, self.trace.usual_seconds()) {
            Some(first) => self.rest(base, first, cut, rules),
            None => self.unrest(cut),
        }
    }

    /// Returns true if what comes again and again takes too much of the time since the base was first met.
    fn goes_up_and_down(&self, base: &RestBase, cut: &Levels, departed: &Departed) -> bool {
        let since = cut.levels.get(base.first..).unwrap_or_default();
        let held: f64 = since.iter().map(|level| level.held).sum();
        let search = self.search(&departed.excursions, cut);
        let below = -rest::drift(0.0, self.trace.step().base());
        departed.shared.repeated(&search, |pulse| pulse.peak < below) >= MOST_AWAY * held
    }

    /// Looks for ups and downs where there is no base.
    fn search_cycles(&mut self, cut: &Levels, rules: &Rules) {
        let (off, on) = rest::two_states(&cut.levels);
        let far = on - off > 2.0 * rest::drift(off, self.trace.step().base());
        let Some(base) = RestBase::lower_half(&cut.levels, (on + off) / 2.0).filter(|_| far) else {
            self.unrest(cut);
            return;
        };
        let departed = self.departed(&base, cut, base.first..cut.levels.len());
        let ups = departed.excursions.iter().filter(|one| one.charge > 0.0).count();
        if ups >= FEWEST && self.goes_up_and_down(&base, cut, &departed) {
            self.cycle(&base, cut, &departed, rules);
        } else {
            self.unrest(cut);
        }
    }

    /// Fills in what a rest says.
    fn rest(&mut self, base: &RestBase, first: usize, cut: &Levels, rules: &Rules) {
        let (before, resting) = cut.levels.split_at_checked(first).unwrap_or_default();
        let on: Vec<Level> = resting
            .iter()
            .zip(base.on.iter().skip(first))
            .filter(|(_, on)| **on)
            .map(|(level, _)| *level)
            .collect();
        let accuracy = Accuracy { noise: cut.noise, meter: rules.meter.as_ref(), step: self.trace.step() };
        let level = average::of_levels(&on, &accuracy);
        let current = level.value();
        let departed = self.departed(base, cut, first..cut.levels.len());
        self.steps = steps(before, Some((resting, current)), self.trace.step(), self.trace.usual_seconds());
        self.drift = drifted(&on, self.trace.step());
        self.take_wakes(&departed, current);
        let held: f64 = resting.iter().map(|level| level.held).sum();
        self.away = departed.excursions.iter().map(|one| one.held).sum::<f64>() / held.max(f64::MIN_POSITIVE);
        if rules.sleep_after.is_some_and(|due| self.trace.span() + self.trace.usual() < due) {
            self.verdict = SettleVerdict::TooEarly;
            return;
        }
        self.verdict = self.at_the_end(&departed, cut);
        if self.verdict == SettleVerdict::StillChanging {
            // What falls at the end had not come to rest.
            (self.wakes, self.dips, self.period) = (Vec::new(), Vec::new(), None);
            self.unrest(cut);
            return;
        }
        self.after = resting.first().map(Level::from);
        self.level = Some(level);
        let window = first..cut.levels.len();
        let books = Bookkeeping { trace: &self.trace, levels: &cut.levels, base, window, restless: false };
        let booked = books.write(&departed.shared, &self.search(&departed.excursions, cut));
        self.average = Some(accuracy.of(booked.average, booked.samples));
        self.ledger = booked.ledger;
    }

    /// Returns what the end of the log says: at rest, awake, or falling.
    fn at_the_end(&self, departed: &Departed, cut: &Levels) -> SettleVerdict {
        let end = cut.levels.last().map_or(0.0, |level| level.to);
        let open = departed.shared.left.iter().map(|(pulse, _)| pulse).find(|pulse| pulse.to >= end);
        let below = -rest::drift(0.0, self.trace.step().base());
        match open {
            Some(open) if open.height > 0.0 && open.length() > SHORT => SettleVerdict::Awake,
            Some(open) if open.height < 0.0 && open.peak > below && open.length() > FALL_AT_END => {
                SettleVerdict::StillChanging
            }
            _ => SettleVerdict::Settled,
        }
    }

    fn take_wakes(&mut self, departed: &Departed, current: Ampere) {
        let (ups, downs): (Vec<&Excursion>, Vec<&Excursion>) =
            departed.excursions.iter().partition(|one| one.charge >= 0.0);
        self.wakes = ups.into_iter().map(Wake::from).collect();
        self.dips = downs.into_iter().map(Wake::from).collect();
        let below = -rest::drift(0.0, self.trace.step().base());
        self.supports = self.dips.iter().filter(|dip| dip.peak.base() < below).count();
        let most = departed.shared.series.iter().map(|(kind, _)| kind).max_by_key(|kind| kind.pulses.len());
        // A series of few among many wake-ups doesn't tell how often it wakes.
        let most = most.filter(|kind| 2 * kind.pulses.len() >= self.wakes.len());
        let regular = most.and_then(|kind| kind.period).map(|time| Period { time, regular: true });
        let middle =
            || wake::middle_interval(&self.wakes, current).map(|time| Period { time, regular: false });
        self.period = regular.or_else(middle);
    }

    /// Says why there is no rest and no cycling.
    fn unrest(&mut self, cut: &Levels) {
        self.steps = steps(&cut.levels, None, self.trace.step(), self.trace.usual_seconds());
        self.verdict = if self.is_short() { SettleVerdict::TooShort } else { SettleVerdict::StillChanging };
    }

    /// Returns the most pulses in a row between which nothing is unknown: a gap hides more of the ups or more of the downs.
    /// All of them where the rows are short.
    fn without_gap<'a>(&self, pulses: &'a [Pulse]) -> &'a [Pulse] {
        let gaps: Vec<f64> = self.trace.gaps().map(|(from, _)| from.base() * 60.0).collect();
        let is_whole = |a: &Pulse, b: &Pulse| !gaps.iter().any(|gap| (a.from..b.from).contains(gap));
        let rows = pulses.chunk_by(is_whole);
        rows.max_by_key(|row| row.len()).filter(|row| row.len() > FEWEST).unwrap_or(pulses)
    }

    /// Fills in what cycling says.
    fn cycle(&mut self, base: &RestBase, cut: &Levels, departed: &Departed, rules: &Rules) {
        let before = cut.levels.get(..base.first).unwrap_or_default();
        self.steps = steps(before, None, self.trace.step(), self.trace.usual_seconds());
        let main = departed.shared.main();
        self.verdict = if main.is_some() { SettleVerdict::Cycling } else { SettleVerdict::Restless };
        let current = base.here.get(base.first).map_or(Ampere::ZERO, |here| Ampere::new(*here));
        self.take_wakes(departed, current);
        let most = main.filter(|kind| 2 * kind.pulses.len() >= self.wakes.len());
        if let Some(time) = most.and_then(|kind| kind.period) {
            self.period = Some(Period { time, regular: true });
        }
        let since: f64 = cut.levels.iter().skip(base.first).map(|level| level.held).sum();
        self.away =
            departed.excursions.iter().map(|one| one.held).sum::<f64>() / since.max(f64::MIN_POSITIVE);
        // Whole cycles, where they are regular.
        let start_of = |pulse: Option<&Pulse>| Some(departed.excursions.get(pulse?.of)?.levels.start);
        let pulses = main.map_or(&[][..], |kind| self.without_gap(&kind.pulses));
        let whole = start_of(pulses.first()).zip(start_of(pulses.last())).map(|(first, last)| first..last);
        let window = whole.filter(|range| !range.is_empty()).unwrap_or(base.first..cut.levels.len());
        let inside = self.departed(base, cut, window.clone());
        let books = Bookkeeping { trace: &self.trace, levels: &cut.levels, base, window, restless: true };
        let booked = books.write(&inside.shared, &self.search(&inside.excursions, cut));
        let accuracy = Accuracy { noise: cut.noise, meter: rules.meter.as_ref(), step: self.trace.step() };
        self.average = Some(accuracy.of(booked.average, booked.samples));
        self.ledger = booked.ledger;
    }
}

/// Returns how far the rest moved, if that is more than a single drift.
fn drifted(on: &[Level], step: Ampere) -> Option<Ampere> {
    let mut long = on.iter().filter(|level| level.held >= LASTING);
    let first = long.next()?;
    let last = long.next_back()?;
    let moved = last.mean - first.mean;
    (moved.abs() > rest::drift(first.mean, step.base())).then(|| Ampere::new(moved))
}

#[cfg(test)]
mod tests;
