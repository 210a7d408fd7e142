//! What the customer tells of a practice vehicle: how long it stands before it is flat, from its true draw and a
//! battery of the usual size, as roughly as people tell it; what was added, worked on, wet or left plugged in. Leaves to others: the fault behind it (`fault`).

use super::constants as k;
use super::fault::SimCause;
use super::rng::SimRng;
use super::vehicle::Vehicle;
use crate::base::quantity::{Minute, Unit};
use crate::circuit::map::VehicleClass;
use crate::log::question_id::QuestionId;

/// A day, in minutes.
const DAY: f64 = 1440.0;

impl Vehicle {
    /// Returns how long it stands before it is flat.
    pub fn stands(&self) -> Minute {
        let usable = match self.map.class {
            VehicleClass::Motorcycle => k::USABLE_MOTORCYCLE,
            VehicleClass::Truck => k::USABLE_TRUCK,
            _ => k::USABLE,
        };
        let hours = usable.base() / self.true_total().base().max(k::LEAST_DRAW.base());
        Minute::new(hours * 60.0)
    }

    /// Returns what the customer answers to a question of the interview; `None` where nobody asks them.
    pub fn answers(&self, question: QuestionId) -> Option<String> {
        let mut rng = SimRng::new(self.seed, question.name());
        match question {
            QuestionId::InterviewStand => Some(self.stands_in_words()),
            QuestionId::InterviewPattern => rng.chance(k::TELLS_ALWAYS).then(|| "always".to_owned()),
            QuestionId::InterviewPlugged => {
                let device = |cause: &SimCause| matches!(cause, SimCause::Feed { device: true, .. });
                let plugged = ["socket", "dongle"].iter().any(|word| self.is_cause_of(word))
                    || self.causes.iter().any(device);
                let chance = if plugged { k::TELLS_PLUGGED } else { k::TELLS_PLUGGED_ANYWAY };
                Some(if rng.chance(chance) { "something in its socket" } else { "nothing" }.to_owned())
            }
            _ => None,
        }
    }

    /// As people tell it: hours below a day, else whole days.
    fn stands_in_words(&self) -> String {
        let days = self.stands().base() / DAY;
        if days < 1.0 { format!("{:.0} h", (days * 24.0).max(1.0)) } else { format!("{days:.0} days") }
    }

    /// Returns whether they tell of a device that was added, of work in a workshop, and of water.
    pub fn recently(&self) -> [bool; 3] {
        let mut rng = SimRng::new(self.seed, QuestionId::InterviewRecent.name());
        let unlisted = |cause: &SimCause| {
            matches!(cause, SimCause::Feed { device: false, .. } | SimCause::Battery { .. })
        };
        let chance = if ["dongle", "tracker"].iter().any(|word| self.is_cause_of(word)) {
            k::TELLS_ADD_ON
        } else if self.causes.iter().any(unlisted) {
            k::TELLS_UNLISTED
        } else {
            k::TELLS_ADD_ON_ANYWAY
        };
        [rng.chance(chance), rng.chance(k::TELLS_WORK), rng.chance(k::TELLS_WATER)]
    }

    /// Returns true if a load of the kind that goes by this word is a cause.
    fn is_cause_of(&self, word: &str) -> bool {
        self.causes.iter().any(|cause| match cause {
            SimCause::Load { load, .. } => {
                self.wiring.loads.get(*load).is_some_and(|load| load.kind.words.contains(&word))
            }
            _ => false,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_device_that_was_added_is_told_more_often_where_it_is_the_cause() {
        let mut told = [(0, 0); 2];
        let van = crate::circuit::builtin::map("van").expect("built in");
        for seed in 0..400 {
            let vehicle = Vehicle::new(&van, seed);
            let is_cause = ["dongle", "tracker"].iter().any(|word| vehicle.is_cause_of(word));
            let says = vehicle.recently()[0];
            let (count, all) = told[usize::from(is_cause)];
            told[usize::from(is_cause)] = (count + usize::from(says), all + 1);
            assert_eq!(vehicle.recently(), vehicle.recently());
            assert_eq!(vehicle.answers(QuestionId::BatteryType), None);
        }
        let share = |(count, all): (usize, usize)| count as f64 / all as f64;
        assert!(told[1].1 > 5 && share(told[1]) > share(told[0]) + 0.2, "{told:?}");
    }
}
