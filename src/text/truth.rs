//! What a practice vehicle's customer tells, and at the end what was really wrong with it.
//! Leaves to others: drawing it (`sim`), holding it against what was found (`score`).

use crate::base::quantity::show::bare;
use crate::base::quantity::{Minute, Unit};
use crate::base::styled::{Role, StyledText};
use crate::log::question_id::QuestionId;
use crate::sim::{Oddity, TrueCause, Truth, UNLISTED, Vehicle};

/// Returns what the customer answers to a question of the interview; `None` where nobody asks them.
pub fn answers(vehicle: &Vehicle, question: QuestionId) -> Option<String> {
    match question {
        QuestionId::InterviewComplaint => Some(complaint(vehicle.stands())),
        QuestionId::InterviewRecent => {
            let words = ["a device was added", "it was at a workshop", "the carpet was wet"];
            let told: Vec<&str> = vehicle
                .recently()
                .into_iter()
                .zip(words)
                .filter_map(|(so, word)| so.then_some(word))
                .collect();
            Some(if told.is_empty() { "nothing".to_owned() } else { told.join(", ") })
        }
        _ => vehicle.answers(question),
    }
}

/// Complains in the customer's words of a vehicle that is flat after so long.
pub fn complaint(stands: Minute) -> String {
    let days = stands.base() / 1440.0;
    match days {
        few if few < 0.7 => "It is flat in the morning.".to_owned(),
        few if few < 1.5 => "It is flat after a day.".to_owned(),
        few if few < 11.0 => format!("It is flat after {few:.0} days."),
        more if more < 18.0 => "It is flat after two weeks.".to_owned(),
        more if more < 50.0 => format!("It is flat after {:.0} weeks.", more / 7.0),
        _ => "It goes flat now and then.".to_owned(),
    }
}

/// Tells the truth.
pub fn tell(truth: &Truth) -> Vec<StyledText> {
    let mut lines = vec![StyledText::of(Role::Heading, "What was really wrong")];
    if truth.causes.is_empty() {
        lines.push(
            StyledText::plain("Nothing: this vehicle is sound. It draws ")
                .and(Role::Value, bare(truth.sound_total, 3)),
        );
    }
    lines.extend(truth.causes.iter().map(cause));
    if truth.causes.iter().any(|cause| cause.hung) {
        let text = "It is a hung module: taking its supply away cures it for the time being.";
        lines.push(StyledText::of(Role::Hint, text));
    }
    if let Some((load, current)) = &truth.gone {
        lines.push(
            StyledText::plain("As found, ")
                .and(Role::Name, load)
                .and(Role::Plain, " hung and drew ")
                .and(Role::Value, bare(*current, 3))
                .and(Role::Plain, "; a touch ended it"),
        );
    }
    lines.extend(truth.oddities.iter().map(|odd| StyledText::of(Role::Hint, oddity(odd))));
    lines
}

fn cause(cause: &TrueCause) -> StyledText {
    let excess = bare(cause.excess, 3);
    if cause.held {
        return StyledText::plain("The input ")
            .and(Role::Name, &cause.load)
            .and(Role::Plain, " kept the wake group ")
            .and(Role::Name, &cause.branch)
            .and(Role::Plain, " awake: ")
            .and(Role::Plain, cause.held_loads.join(", "))
            .and(Role::Plain, ", together ")
            .and(Role::Value, excess)
            .and(Role::Plain, " too much");
    }
    let line = match cause.branch.strip_suffix(":unlisted") {
        Some("battery") => StyledText::plain("Something unlisted at the battery post"),
        Some(feed) => StyledText::plain("Something unlisted behind ").and(Role::Name, feed),
        None if cause.load == cause.branch => StyledText::of(Role::Name, &cause.load),
        None if cause.load == UNLISTED => {
            StyledText::plain("An unlisted load on ").and(Role::Name, &cause.branch)
        }
        None => {
            StyledText::of(Role::Name, &cause.load).and(Role::Plain, " on ").and(Role::Name, &cause.branch)
        }
    };
    let line = line.and(Role::Plain, " drew ").and(Role::Value, excess).and(Role::Plain, " too much");
    if cause.also.is_empty() {
        line
    } else {
        line.and(Role::Plain, "; it is fed by ")
            .and(Role::Name, cause.also.join(", "))
            .and(Role::Plain, " too")
    }
}

/// Says what may have misled.
pub fn oddity(odd: &Oddity) -> String {
    match odd {
        Oddity::Lid { load, feed } => format!("The lid lists {load} on {feed}: it is wrong."),
        Oddity::Make(feed) => format!("The fuse {feed} is of an odd make: its drop misleads."),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::FaultPlan;
    use crate::sim::sample::map;

    fn text(truth: &Truth) -> String {
        tell(truth).iter().map(StyledText::text).collect::<Vec<String>>().join("\n")
    }

    #[test]
    fn the_truth_is_told_with_place_and_size() {
        for seed in 0..100 {
            let truth = Vehicle::new(&map(), seed).truth();
            let told = text(&truth);
            let cause = truth.causes.first().expect("a cause");
            let place = cause.branch.split(':').next().expect("a first part");
            let load = if cause.load == UNLISTED { "unlisted" } else { &cause.load };
            for word in [place, load, &bare(cause.excess, 3)] {
                assert!(told.contains(word), "{word} is not in: {told}");
            }
            assert!(cause.held_loads.iter().all(|load| told.contains(load)));
            assert_eq!(cause.held, truth.names() == ["body-bus"]);
        }
    }

    #[test]
    fn a_sound_vehicle_is_told_as_sound() {
        let truth = Vehicle::planned(&map(), 1, FaultPlan::Nothing).truth();
        assert!(text(&truth).contains("this vehicle is sound"));
        assert!(truth.names().is_empty());
    }

    #[test]
    fn the_complaint_follows_the_time_that_it_stands() {
        for (hours, word) in
            [(10.0, "morning"), (30.0, "a day"), (70.0, "3 days"), (400.0, "two weeks"), (9000.0, "now")]
        {
            let told = complaint(Minute::new(hours * 60.0));
            assert!(told.contains(word), "{told} after {hours} h");
        }
    }
}
