//! What a trace says about sleep: settled or not, since when, at what level, with what steps and wake-ups.
//! Leaves to others: levels (`level`), the base (`rest`), departures (`wake`), cycles
//! (`cycle`), steps (`step`), averages (`average`), words (`text`).

use super::average::{self, Accuracy};
use super::cycle::Cycles;
use super::level::{Level, Levels, levels};
use super::rest::{self, FLAT, RestBase};
use super::samples::Trace;
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
    /// The last lasting step, counted from the first sample; none unless settled.
    pub after: Option<Minute>,
    /// Level that it rests at, wake-ups left out; none unless settled.
    pub level: Option<Uncertain<Ampere>>,
    /// Average from then to the end, wake-ups in; none unless settled.
    pub average: Option<Uncertain<Ampere>>,
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
    let cycles = Cycles::find(&settling.trace, &cut.levels);
    match (rest::find(&cut.levels, step, usual), cycles) {
        (Some(base), Some(cycles)) if cycles.go_on_after(&base) => settling.cycle(cycles, &cut),
        (Some(base), _) => settling.rest(&base, &cut, rules),
        (None, Some(cycles)) if settling.trace.span().base() * 60.0 + usual >= FLAT => {
            settling.cycle(cycles, &cut)
        }
        (None, _) => settling.unrest(&cut),
    }
    settling
}

fn turned(mut cut: Levels) -> Levels {
    for level in &mut cut.levels {
        level.mean = -level.mean;
    }
    cut
}

impl Settling {
    /// Returns true if the answer is yes.
    pub fn is_settled(&self) -> bool {
        self.verdict == SettleVerdict::Settled
    }

    /// Fills in what a rest says.
    fn rest(&mut self, base: &RestBase, cut: &Levels, rules: &Rules) {
        let (before, resting) = cut.levels.split_at_checked(base.first).unwrap_or_default();
        let on: Vec<Level> =
            resting.iter().zip(&base.on).filter(|(_, on)| **on).map(|(level, _)| *level).collect();
        let accuracy = Accuracy { noise: cut.noise, meter: rules.meter.as_ref(), step: self.trace.step() };
        let level = average::of_levels(&on, &accuracy);
        let current = level.value();
        let (wakes, dips) = wake::departures(&self.trace, resting, &base.on, current);
        self.steps = steps(before, Some((resting, current)), self.trace.step(), self.trace.usual_seconds());
        self.supports =
            dips.iter().filter(|dip| dip.peak.base() < -rest::drift(0.0, self.trace.step().base())).count();
        self.period = wake::period(&wakes, current, self.trace.usual());
        self.away = base.away / base.held.max(f64::MIN_POSITIVE);
        self.drift = drifted(&on, self.trace.step());
        (self.wakes, self.dips) = (wakes, dips);
        if rules.sleep_after.is_some_and(|due| self.trace.span() + self.trace.usual() < due) {
            self.verdict = SettleVerdict::TooEarly;
            return;
        }
        self.verdict = SettleVerdict::Settled;
        self.after = resting.first().map(Level::from);
        self.level = Some(level);
        self.average = Some(average::of_levels(resting, &accuracy));
    }

    /// Says why there is no rest and no cycling.
    fn unrest(&mut self, cut: &Levels) {
        self.steps = steps(&cut.levels, None, self.trace.step(), self.trace.usual_seconds());
        let short = self.trace.span().base() * 60.0 + self.trace.usual_seconds() < FLAT;
        self.verdict = if short { SettleVerdict::TooShort } else { SettleVerdict::StillChanging };
    }

    /// Fills in what cycling says.
    fn cycle(&mut self, cycles: Cycles, cut: &Levels) {
        let before = cut.levels.get(..cycles.first).unwrap_or_default();
        self.steps = steps(before, None, self.trace.step(), self.trace.usual_seconds());
        self.verdict = if cycles.period.regular { SettleVerdict::Cycling } else { SettleVerdict::Restless };
        self.period = Some(cycles.period);
        self.away = cycles.away;
        self.wakes = cycles.wakes;
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
mod tests {
    use super::*;
    use rand::SeedableRng;
    use rand_chacha::ChaCha8Rng;
    use rand_distr::{Distribution, StandardNormal};

    /// A trace at one sample a second of a current in milliampere, with white noise of 0.3 mA, written to 0.1 mA.
    fn trace(seconds: u32, current: impl Fn(f64) -> f64) -> Trace {
        let mut dice = ChaCha8Rng::seed_from_u64(7);
        let samples = (0..seconds).map(|second| {
            let noise: f64 = StandardNormal.sample(&mut dice);
            let shown = ((current(f64::from(second)) + 0.3 * noise) * 10.0).round() / 10.0;
            (Minute::new(f64::from(second) / 60.0), Ampere::from_milli(shown))
        });
        Trace::new(samples.collect::<Vec<_>>(), Ampere::from_milli(0.1))
    }

    fn read(seconds: u32, current: impl Fn(f64) -> f64) -> Settling {
        settle(trace(seconds, current), &Rules::default())
    }

    /// Awake, asleep after 16 min in two steps, woken for 45 s each 576 s.
    fn night(second: f64) -> f64 {
        match second {
            s if s < 120.0 => 600.0,
            s if s < 960.0 => 310.0,
            s if (s - 1200.0).rem_euclid(576.0) < 45.0 && s > 1100.0 => 210.0,
            _ => 25.0,
        }
    }

    #[test]
    fn a_night_with_a_pulse_is_settled_with_steps_wakes_and_their_period() {
        let found = read(14_400, night);
        assert_eq!(found.verdict, SettleVerdict::Settled);
        assert_eq!(found.after.map(|after| (after.base() * 60.0).round()), Some(960.0));
        let steps: Vec<(f64, f64, f64)> = found
            .steps
            .iter()
            .map(|s| ((s.at.base() * 60.0).round(), s.from.milli().round(), s.to.milli().round()))
            .collect();
        assert_eq!(steps, [(120.0, 600.0, 310.0), (960.0, 310.0, 25.0)]);
        let level = found.level.expect("a level");
        assert!((level.value().milli() - 25.0).abs() < 0.1, "{}", level.value().milli());
        assert_eq!(found.wakes.len(), 23);
        assert!(found.wakes.iter().all(|wake| (wake.length.base() * 60.0 - 45.0).abs() < 1.5));
        let period = found.period.expect("a period");
        assert!(period.regular && (period.time.base() - 9.6).abs() < 0.02, "{period:?}");
        // 23 pulses of 185 mA and 45 s within 13440 s.
        let average = found.average.expect("an average").value().milli();
        assert!((average - (25.0 + 185.0 * 45.0 * 23.0 / 13_440.0)).abs() < 0.3, "{average}");
    }

    #[test]
    fn a_current_logged_the_other_way_is_turned_and_support_is_seen() {
        let found = read(14_400, |s| -night(s));
        assert!(found.reversed && found.is_settled() && found.wakes.len() == 23);
        let supported = |s: f64| if (7_000.0..7_600.0).contains(&s) { -9_000.0 } else { night(s) };
        let found = read(14_400, supported);
        assert!(!found.reversed && found.is_settled());
        assert_eq!(found.supports, 1);
    }

    #[test]
    fn cycling_restless_short_and_changing_are_answers_of_their_own() {
        let cycling = read(14_400, |s| if s % 600.0 < 240.0 { 300.0 } else { 25.0 });
        assert_eq!(cycling.verdict, SettleVerdict::Cycling);
        assert!((cycling.period.expect("a period").time.base() - 10.0).abs() < 0.05);
        assert_eq!(cycling.wakes.len(), 23, "the one at the very beginning is left out");
        let restless = read(14_400, |s| if (s / 97.0).sin() + (s / 61.0).sin() > 0.4 { 300.0 } else { 25.0 });
        assert!(
            matches!(restless.verdict, SettleVerdict::Restless | SettleVerdict::Cycling),
            "{:?}",
            restless.verdict
        );
        let slow = read(36_000, |s| if s % 7_000.0 < 4_000.0 { 80.0 } else { 1.0 });
        assert_eq!(slow.verdict, SettleVerdict::Cycling, "each state lasts more than ten minutes");
        assert_eq!(read(300, |_| 25.0).verdict, SettleVerdict::TooShort);
        assert_eq!(
            read(3_600, |s| if s < 3_300.0 { 300.0 } else { 25.0 }).verdict,
            SettleVerdict::StillChanging
        );
        let early = Rules { sleep_after: Some(Minute::new(60.0)), ..Rules::default() };
        assert_eq!(settle(trace(1_800, |_| 25.0), &early).verdict, SettleVerdict::TooEarly);
    }

    #[test]
    fn a_slow_drift_is_no_step() {
        let found = read(14_400, |s| 25.0 + 9.0 * s / 14_400.0);
        assert!(found.is_settled() && found.steps.is_empty(), "{:?} {:?}", found.verdict, found.steps);
        let moved = found.drift.expect("a drift").milli();
        assert!((6.0..9.5).contains(&moved), "{moved}");
    }

    #[test]
    fn nothing_is_made_of_nothing() {
        assert_eq!(settle(Trace::default(), &Rules::default()).verdict, SettleVerdict::TooShort);
        assert_eq!(read(1, |_| 25.0).verdict, SettleVerdict::TooShort);
    }
}
