//! Nights of practice vehicles as a meter log would have them: what there is to learn from a curve.
//! Leaves to others: writing them down (`cli`), and saying what they show (`trace`).

use super::constants as k;
use super::fault::FaultPlan;
use super::rng::SimRng;
use super::vehicle::Vehicle;
use crate::base::quantity::{Ampere, Minute, Typed, Unit};
use crate::circuit::map::Map;

/// A module wakes far more than it should: least and longest period. Editorial, as all of a night that costs too much.
const MODULE_PERIOD: (Minute, Minute) = (Minute::new(8.0), Minute::new(14.0));
/// How long it is up: least and longest.
const MODULE_LASTS: (Minute, Minute) = (Minute::new(1.0), Minute::new(2.0));
/// What it draws more then: least and most. Editorial: so that a night's average is over any usual limit.
const MODULE_MORE: (Ampere, Ampere) = (Ampere::from_milli(300.0), Ampere::from_milli(1200.0));
/// Something is on once for hours: when it begins, at the earliest and the latest. Editorial.
const EVENT_BEGINS: (Minute, Minute) = (Minute::new(90.0), Minute::new(200.0));
/// How long it is on: least and longest. Editorial.
const EVENT_LASTS: (Minute, Minute) = (Minute::new(100.0), Minute::new(220.0));
/// What it draws: least and most. Editorial: lamps, blowers, a network awake.
const EVENT_MORE: (Ampere, Ampere) = (Ampere::from_milli(150.0), Ampere::from_milli(450.0));
/// Something goes on and off: least and longest period. Editorial: heaters, pumps and thermostats.
const CYCLE_PERIOD: (Minute, Minute) = (Minute::new(7.0), Minute::new(14.0));
/// How long it is on in each: least and longest. Editorial: 30 to 60 % of the time.
const CYCLE_LASTS: (Minute, Minute) = (Minute::new(3.0), Minute::new(4.5));
/// It never rests: least and longest of each up and each down.
const RESTLESS: (Minute, Minute) = (Minute::new(0.6), Minute::new(8.0));

/// What happens in a night.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Story {
    /// Everything falls asleep.
    Evening,
    /// A telematics unit checks in again and again; nothing is wrong.
    Pulse,
    /// An input holds a bus awake.
    Held,
    /// A converter supports the 12 V battery now and then; nothing is wrong.
    Converter,
    /// A module wakes again and again, far more than it should; its fuse is logged beside the total.
    Module,
    /// Once something is on for hours.
    Event,
    /// Something goes on and off all night.
    Cycling,
    /// It goes up and down without a rhythm and never rests.
    Restless,
}

/// Vehicles that are looked through for one whose fault fits the story.
const VEHICLES: u64 = 1000;

impl Story {
    /// Returns how long the log is, and the time between two samples.
    fn times(self) -> (Minute, Minute) {
        let seconds = |seconds: f64| Minute::new(seconds / 60.0);
        match self {
            Self::Evening => (Minute::new(150.0), seconds(5.0)),
            Self::Pulse | Self::Held | Self::Module => (Minute::new(360.0), seconds(10.0)),
            Self::Event | Self::Cycling | Self::Restless => (Minute::new(480.0), seconds(15.0)),
            Self::Converter => (Minute::new(720.0), seconds(15.0)),
        }
    }

    /// Returns the vehicle of a seed, or the first one after it whose fault fits.
    fn vehicle(self, map: &Map, seed: u64) -> Option<Vehicle> {
        match self {
            Self::Held => (seed..seed.saturating_add(VEHICLES))
                .map(|seed| Vehicle::new(map, seed))
                .find(|vehicle| vehicle.truth().causes.iter().any(|cause| cause.held)),
            _ => Some(Vehicle::planned(map, seed, FaultPlan::Nothing)),
        }
    }
}

/// A departure from what the vehicle draws by itself.
struct NightDeparture {
    from: f64,
    to: f64,
    more: Ampere,
}

/// Draws the departures of a story; times in minutes. `load` is what a module of the map draws more when it is awake.
fn departures(story: Story, seed: u64, length: Minute, load: Ampere) -> Vec<NightDeparture> {
    let mut rng = SimRng::new(seed, "night");
    let drawn =
        |rng: &mut SimRng, (low, high): (Ampere, Ampere)| Ampere::new(rng.between(low.base(), high.base()));
    let series = |rng: &mut SimRng, period: (Minute, Minute), lasts: (Minute, Minute)| {
        (rng.between(period.0.base(), period.1.base()), rng.between(lasts.0.base(), lasts.1.base()))
    };
    let (period, lasts, more) = match story {
        Story::Evening | Story::Held => return Vec::new(),
        Story::Event => {
            let (at, lasts) = series(&mut rng, EVENT_BEGINS, EVENT_LASTS);
            return vec![NightDeparture { from: at, to: at + lasts, more: drawn(&mut rng, EVENT_MORE) }];
        }
        Story::Restless => return ups_and_downs(&mut rng, length),
        Story::Pulse => {
            let (period, lasts) = series(&mut rng, k::PULSE_PERIOD, k::PULSE_LASTS);
            (period, lasts, drawn(&mut rng, k::PULSE_MORE))
        }
        Story::Converter => {
            let (period, lasts) = series(&mut rng, k::SUPPORT_PERIOD, k::SUPPORT_LASTS);
            (period, lasts, drawn(&mut rng, k::SUPPORT_MORE))
        }
        Story::Module => {
            let (period, lasts) = series(&mut rng, MODULE_PERIOD, MODULE_LASTS);
            (period, lasts, load)
        }
        Story::Cycling => {
            let (period, lasts) = series(&mut rng, CYCLE_PERIOD, CYCLE_LASTS);
            (period, lasts, drawn(&mut rng, EVENT_MORE))
        }
    };
    let mut from = period * rng.between(0.2, 0.9);
    let mut all = Vec::new();
    while from < length.base() {
        let stretch = 1.0 + k::PULSE_JITTER * rng.normal_within(2.0);
        all.push(NightDeparture { from, to: from + lasts * stretch, more });
        from += period;
    }
    all
}

/// Ups and downs of any length, one after the other.
fn ups_and_downs(rng: &mut SimRng, length: Minute) -> Vec<NightDeparture> {
    let mut all = Vec::new();
    let mut from = 0.0;
    while from < length.base() {
        let part = |rng: &mut SimRng| rng.between(RESTLESS.0.base(), RESTLESS.1.base());
        let (up, down) = (part(rng), part(rng));
        let more = Ampere::new(rng.between(EVENT_MORE.0.base(), EVENT_MORE.1.base()));
        all.push(NightDeparture { from, to: from + up, more });
        from += up + down;
    }
    all
}

/// A module of the map whose draw awake a night shows: its feed, and what it draws more then.
pub(super) fn module(map: &Map, seed: u64) -> Option<(String, Ampere)> {
    let fits: Vec<(String, Ampere)> = map
        .loads()
        .map(|(id, load)| (map.feed_name(id.feed).to_owned(), load.awake - load.asleep))
        .filter(|(_, more)| (MODULE_MORE.0..=MODULE_MORE.1).contains(more))
        .collect();
    let at = SimRng::new(seed, "module of the night").index(fits.len())?;
    fits.get(at).cloned()
}

/// A night, as a meter log has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Night {
    /// Seed of the vehicle.
    pub seed: u64,
    /// Samples: the time since the vehicle was left, and what a clamp with a finest digit of 1 mA shows.
    pub samples: Vec<(Minute, Typed<Ampere>)>,
    /// A feed that was logged beside the total, with what a second clamp showed at each sample.
    pub beside: Option<(String, Vec<Typed<Ampere>>)>,
}

/// Plays a night on the vehicle of a seed. The same seed is the same night. Nothing if no vehicle on this map has a
/// fault that fits the story.
pub fn night(map: &Map, story: Story, seed: u64) -> Option<Night> {
    let mut vehicle = story.vehicle(map, seed)?;
    let (length, step) = story.times();
    let (feed, load) = match story {
        Story::Module => module(map, vehicle.seed).map(|(feed, load)| (Some(feed), load))?,
        _ => (None, Ampere::ZERO),
    };
    let departures = departures(story, vehicle.seed, length, load);
    vehicle.disturb();
    let (mut samples, mut shown) = (Vec::new(), Vec::new());
    while vehicle.now() <= length {
        let at = vehicle.now();
        let inside = |one: &&NightDeparture| (one.from..one.to).contains(&at.base());
        let more: Ampere = departures.iter().filter(inside).map(|one| one.more).sum();
        samples.push((at, vehicle.kit.show_total(vehicle.true_total() + more, at)));
        if let Some(feed) = &feed {
            let through = vehicle.true_current(feed).unwrap_or(Ampere::ZERO);
            shown.push(vehicle.kit.show_clamp(through + more, at, feed));
        }
        vehicle.pass(step);
    }
    Some(Night { seed: vehicle.seed, samples, beside: feed.map(|feed| (feed, shown)) })
}

#[cfg(test)]
mod tests {
    use super::super::sample::map;
    use super::*;

    #[test]
    fn every_story_is_told_and_the_same_seed_tells_the_same() {
        let stories = [
            Story::Evening,
            Story::Pulse,
            Story::Held,
            Story::Converter,
            Story::Module,
            Story::Event,
            Story::Cycling,
            Story::Restless,
        ];
        for story in stories {
            let told = night(&map(), story, 1).expect("a night");
            assert_eq!(night(&map(), story, told.seed).as_ref(), Some(&told));
            let samples = told.samples;
            let at = |share: f64| samples[((samples.len() - 1) as f64 * share) as usize].1.value.milli();
            assert!(at(0.0) > 1000.0, "{story:?}: awake at first");
            let late: Vec<f64> =
                samples[samples.len() / 2..].iter().map(|(_, one)| one.value.milli()).collect();
            let (low, high) = (
                late.iter().copied().fold(f64::INFINITY, f64::min),
                late.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            );
            match story {
                Story::Evening => assert!(high < 60.0, "{high}"),
                Story::Pulse => assert!(high > low + 80.0 && low < 60.0, "{low} {high}"),
                Story::Held => assert!(low > 100.0, "{low}"),
                Story::Converter => assert!(low < -1000.0, "{low}"),
                Story::Module | Story::Event | Story::Cycling | Story::Restless => {
                    assert!(low < 60.0 && high > low + 100.0, "{story:?}: {low} {high}");
                }
            }
        }
    }
}
