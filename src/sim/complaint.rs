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

    /// Returns the complaint in the customer's words.
    pub fn complaint(&self) -> String {
        let days = self.stands().base() / DAY;
        match days {
            few if few < 0.7 => "It is flat in the morning.".to_owned(),
            few if few < 1.5 => "It is flat after a day.".to_owned(),
            few if few < 11.0 => format!("It is flat after {few:.0} days."),
            more if more < 18.0 => "It is flat after two weeks.".to_owned(),
            more if more < 50.0 => format!("It is flat after {:.0} weeks.", more / 7.0),
            _ => "It goes flat now and then.".to_owned(),
        }
    }

    /// Returns what the customer answers to a question of the interview; `None` where nobody asks them.
    pub fn answers(&self, question: QuestionId) -> Option<String> {
        let mut rng = SimRng::new(self.seed, question.name());
        match question {
            QuestionId::InterviewComplaint => Some(self.complaint()),
            QuestionId::InterviewStand => Some(self.stands_in_words()),
            QuestionId::InterviewPattern => rng.chance(k::TELLS_ALWAYS).then(|| "always".to_owned()),
            QuestionId::InterviewRecent => Some(self.recent(&mut rng)),
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

    fn recent(&self, rng: &mut SimRng) -> String {
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
        let told = [
            (rng.chance(chance), "a device was added"),
            (rng.chance(k::TELLS_WORK), "it was at a workshop"),
            (rng.chance(k::TELLS_WATER), "the carpet was wet"),
        ];
        let words: Vec<&str> = told.iter().filter(|(is_told, _)| *is_told).map(|(_, words)| *words).collect();
        if words.is_empty() { "nothing".to_owned() } else { words.join(", ") }
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
    use super::super::sample::map;
    use super::*;

    #[test]
    fn a_device_that_was_added_is_told_more_often_where_it_is_the_cause() {
        let mut told = [(0, 0); 2];
        let van = crate::circuit::builtin::map("van").expect("built in");
        for seed in 0..400 {
            let vehicle = Vehicle::new(&van, seed);
            let is_cause = ["dongle", "tracker"].iter().any(|word| vehicle.is_cause_of(word));
            let says = vehicle.answers(QuestionId::InterviewRecent).expect("an answer").contains("added");
            let (count, all) = told[usize::from(is_cause)];
            told[usize::from(is_cause)] = (count + usize::from(says), all + 1);
            assert_eq!(
                vehicle.answers(QuestionId::InterviewRecent),
                vehicle.answers(QuestionId::InterviewRecent)
            );
            assert_eq!(vehicle.answers(QuestionId::BatteryType), None);
        }
        let share = |(count, all): (usize, usize)| count as f64 / all as f64;
        assert!(told[1].1 > 5 && share(told[1]) > share(told[0]) + 0.2, "{told:?}");
    }

    #[test]
    fn the_complaint_follows_the_true_draw() {
        for seed in 0..30 {
            let vehicle = Vehicle::new(&map(), seed);
            let hours = k::USABLE.base() / vehicle.true_total().base();
            let told = vehicle.complaint();
            assert_eq!(told.contains("morning"), hours < 0.7 * 24.0, "{seed}: {told} after {hours} h");
            assert_eq!(
                told.contains("days"),
                (36.0..264.0).contains(&hours),
                "{seed}: {told} after {hours} h"
            );
        }
    }
}
