//! Brings a practice vehicle to where a log left it, so that a hunt taken up again goes on as if never left.
//! Leaves to others: reading the log (`log`), and the times (`clock`).

use super::clock::whole_seconds;
use super::constants as k;
use super::state::{wait_after_input, wait_after_refit};
use super::vehicle::Vehicle;
use crate::base::quantity::Minute;
use crate::circuit::id::FeedId;
use crate::log::entry::LogEvent;
use crate::measure::Measurement;

impl Vehicle {
    /// Takes over one entry of the log, made so many minutes after the start; entries come in their order.
    /// A struck entry is taken over too: the work was done all the same. Names that the vehicle does not know are
    /// passed over. A reading taken after the repair says that the repair was made.
    pub fn replay(&mut self, body: &LogEvent, at: Minute) {
        match body {
            LogEvent::Reading(measured) => {
                self.state.repaired |= measured.after_repair;
                self.replay_reading(&measured.what, at);
            }
            LogEvent::Disturb { .. } => {
                self.be_at(at);
                self.disturb();
            }
            LogEvent::Watched(seen) => self.take_night(seen),
            LogEvent::Meter(profile) => self.take_meter(profile),
            _ => {}
        }
        self.be_at(at);
    }

    fn replay_reading(&mut self, what: &Measurement, at: Minute) {
        match what {
            Measurement::Pull { feed, .. } => {
                let Ok((index, _)) = self.feed(feed) else { return };
                self.stand_at(index);
                self.be_at(at - k::MINUTES_AFTER_PULL);
                let (world, state) = self.parts();
                state.take_out(world, index);
            }
            Measurement::Refit { feed, .. } => self.replay_refit(feed, at),
            Measurement::Unplug { feed, load, .. } => {
                if let Some(part) = self.inner_part(feed, load) {
                    self.be_at(at - k::MINUTES_AFTER_PULL);
                    self.parts().1.detached.insert(part);
                    return;
                }
                let Ok(index) = self.load(feed, load) else { return };
                self.be_at(at - k::MINUTES_AFTER_PULL);
                let (world, state) = self.parts();
                state.unplug(world, index);
            }
            Measurement::Input { input, .. } => {
                let (world, _) = self.parts();
                let wait = wait_after_input(world, input);
                self.be_at(at - wait);
                let (world, state) = self.parts();
                state.work(world, input);
            }
            Measurement::Drop { feed, .. }
            | Measurement::Step { feed, .. }
            | Measurement::Clamp { at: feed, .. } => {
                if let Ok((index, _)) = self.feed(feed) {
                    self.stand_at(index);
                }
            }
            _ => {}
        }
    }

    fn replay_refit(&mut self, feed: &str, at: Minute) {
        if let Some(part) = feed.split_once('/').and_then(|(item, part)| self.inner_part(item, part)) {
            self.be_at(at - k::MINUTES_REPLUG);
            self.parts().1.detached.remove(&part);
            return;
        }
        let load = self.split(feed).and_then(|(of, load)| self.load(&of, &load).ok());
        if let Some(load) = load {
            self.be_at(at - k::MINUTES_REPLUG);
            let (world, state) = self.parts();
            state.replug(world, load);
        } else if let Ok((index, _)) = self.feed(feed) {
            self.stand_at(index);
            let (world, _) = self.parts();
            let wait = wait_after_refit(world, index);
            self.be_at(at - wait);
            let (world, state) = self.parts();
            state.put_back(world, index);
        }
    }

    fn be_at(&mut self, at: Minute) {
        self.state.now = whole_seconds(at);
    }

    fn stand_at(&mut self, feed: FeedId) {
        if let Some(place) = self.map.feeds.get(feed).and_then(|feed| feed.place) {
            self.state.at_box = Some(place);
        }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::super::fault::FaultPlan;
    use super::super::sample::map;
    use super::*;
    use crate::base::diagnostic::Diagnostic;
    use crate::log::entry::Measured;

    fn reading(what: Measurement) -> LogEvent {
        LogEvent::Reading(Box::new(Measured {
            what,
            meter: "tenth-mv".into(),
            zero: None,
            temperature: None,
            provisional: false,
            after_repair: false,
            why: None,
        }))
    }

    /// Does one piece of work and gives the entry that tells of it.
    fn work(vehicle: &mut Vehicle, kind: u8, at: usize) -> Result<LogEvent, Diagnostic> {
        let feed = ["F1", "F2", "F3", "F4", "F5", "F6", "F7", "L1"][at % 8].to_owned();
        let loads =
            [("F4", "audio unit"), ("F5", "body control"), ("F6", "phone module"), ("F1", "engine control")];
        let (of, load) = loads[at % 4];
        let inputs = ["driver door latch", "selector in Park"];
        let (of, load, input) = (of.to_owned(), load.to_owned(), inputs[at % 2].to_owned());
        Ok(match kind {
            0 => {
                vehicle.disturb();
                LogEvent::Disturb { what: "driver door".into() }
            }
            1 => reading(Measurement::Total { current: vehicle.total(), as_found: false }),
            2 => reading(Measurement::Drop { drop: vehicle.drop(&feed)?, feed }),
            3 | 4 => {
                let (before, after) = vehicle.pull(&feed)?;
                reading(Measurement::Pull { feed, before, after })
            }
            5 => reading(Measurement::Refit { total: vehicle.refit(&feed)?, feed }),
            6 => {
                let (before, after) = vehicle.unplug(&of, &load)?;
                reading(Measurement::Unplug { feed: of, load, before, after })
            }
            7 => {
                let feed = format!("{of}/{load}");
                reading(Measurement::Refit { total: vehicle.refit(&feed)?, feed })
            }
            8 => {
                let (before, after) = vehicle.input(&input)?;
                reading(Measurement::Input { input, before, after })
            }
            9 => reading(Measurement::Clamp { current: vehicle.clamp(&feed)?, at: feed }),
            10 => {
                let (before, after, current) = vehicle.step(&feed)?;
                reading(Measurement::Step { feed, before, after, current })
            }
            11 => LogEvent::Zero { offset: vehicle.zero() },
            _ => {
                vehicle.pass(Minute::new(at as f64 * 0.37));
                LogEvent::Note { text: "waited".into() }
            }
        })
    }

    proptest! {
        #[test]
        fn a_vehicle_taken_up_from_its_log_is_the_one_that_was_left(
            seed in 0_u64..200,
            steps in prop::collection::vec((0_u8..13, 0_usize..40), 1..30),
        ) {
            let mut left = Vehicle::planned(&map(), seed, FaultPlan::Mixed);
            let mut log = Vec::new();
            for (kind, at) in steps {
                let before = left.now();
                if let Ok(body) = work(&mut left, kind, at) {
                    log.push((body, left.now()));
                } else {
                    prop_assert_eq!(left.now(), before, "refused work takes no time");
                }
            }
            let mut resumed = Vehicle::planned(&map(), seed, FaultPlan::Mixed);
            for (body, at) in &log {
                resumed.replay(body, *at);
            }
            prop_assert_eq!(&resumed, &left);
            prop_assert_eq!(resumed.total(), left.total());
            prop_assert_eq!(resumed.drop("F1"), left.drop("F1"));
        }
    }

    #[test]
    fn a_load_plugged_in_again_stays_awake_as_long_as_it_would_have() {
        for seed in 0..20 {
            let mut left = Vehicle::new(&map(), seed);
            let unplugged = (work(&mut left, 6, 1).expect("an unplugging"), left.now());
            left.pass(Minute::new(3.0));
            let plugged = (work(&mut left, 7, 1).expect("plugged in again"), left.now());
            let log = [unplugged, plugged];
            let mut resumed = Vehicle::new(&map(), seed);
            log.iter().for_each(|(body, at)| resumed.replay(body, *at));
            assert_eq!(resumed, left);
        }
    }

    #[test]
    fn a_reading_after_the_repair_says_that_it_was_made() {
        let mut vehicle = Vehicle::new(&map(), 4);
        let LogEvent::Reading(mut measured) =
            reading(Measurement::Total { current: vehicle.total(), as_found: false })
        else {
            panic!("a reading");
        };
        measured.after_repair = true;
        vehicle.replay(&LogEvent::Reading(measured), Minute::new(90.0));
        assert!((vehicle.true_total() - vehicle.truth().sound_total).abs().milli() < 1e-9);
    }

    #[test]
    fn names_of_another_vehicle_are_passed_over() {
        let mut vehicle = Vehicle::new(&map(), 4);
        let total = vehicle.total();
        let pull = reading(Measurement::Pull { feed: "F77".into(), before: total.clone(), after: total });
        let before = vehicle.true_total();
        vehicle.replay(&pull, Minute::new(9.0));
        assert_eq!((vehicle.true_total(), vehicle.now()), (before, Minute::new(9.0)));
    }
}
