//! A round in words: which fuses, from how many millivolts each is high, and what it meant.
//! Leaves to others: which fuses (`plan/round`), reading what is typed (`log/round`).

use super::next::box_called;
use crate::base::quantity::Ampere;
use crate::base::quantity::show::bare;
use crate::base::styled::{Role, StyledText};
use crate::measure::observation::{Observation, Panel, Scope};
use crate::plan::round::Round;

/// Names the fuses of a round, each with the millivolts from which it is high.
pub fn head(round: &Round, panel: &Panel) -> Vec<StyledText> {
    let place = place(round, panel);
    let first = StyledText::plain(format!(
        "Next: {} fuses along {place}, {} at most. High from, in mV:",
        round.reads.len(),
        bare(round.minutes, 2)
    ));
    let mut row = StyledText::new();
    for (index, read) in round.reads.iter().enumerate() {
        row = row.and(Role::Plain, if index > 0 { " · " } else { "" });
        let high = read.high.text.trim_end_matches(" mV");
        row = row.and(Role::Value, format!("{} {high}", read.at));
    }
    vec![first, row.indented(2)]
}

/// Asks for what the round showed.
pub fn prompt(round: &Round, panel: &Panel) -> String {
    format!("Round {}: none, or the first high one", place(round, panel))
}

/// Says what may be typed.
pub fn help(round: &Round) -> String {
    let feed = round.reads.first().map_or("", |read| read.at.as_str());
    format!(
        "Read along the row up to the first that is high, then type: none · the high ones with their millivolts, {feed} 0.9 · or all {} in order. What sits behind the last one typed counts as not read. done ends the search.",
        round.reads.len()
    )
}

/// Says what those that were not high carry at the most.
pub fn below(observations: &[&Observation], panel: &Panel) -> Option<StyledText> {
    let most = |one: &&Observation| one.current.value();
    let least = observations.iter().map(most).reduce(Ampere::min)?;
    let largest = observations.iter().map(most).reduce(Ampere::max)?;
    let name = |one: &&Observation| match one.scope {
        Scope::Through(feed) => Some(panel.map.feed_name(feed)),
        _ => None,
    };
    let text = match observations {
        [one] => format!("{}: under {}.", name(one).unwrap_or_default(), bare(largest, 2)),
        _ if least == largest => format!("{} not high: under {} each.", observations.len(), bare(largest, 2)),
        _ => {
            format!("{} not high: under {} to {} each.", observations.len(), bare(least, 2), bare(largest, 2))
        }
    };
    Some(StyledText::plain(text))
}

fn place(round: &Round, panel: &Panel) -> String {
    let found = round.place.and_then(|place| panel.map.boxes.get(place));
    found.map_or_else(|| "the fuses".to_owned(), |place| box_called(&place.id))
}
