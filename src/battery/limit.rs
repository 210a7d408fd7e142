//! Which limit holds and where it is from, what the battery suggests beside it, and the alarm line of one circuit.
//! Order: the user's figure with its source, the map's, the default of the vehicle's class. Reserve minutes / 4 is
//! advice, a limit only if the user takes it.
//! Leaves to others: the figures (`circuit/limits`), the verdict (`balance/verdict`).

use crate::base::quantity::Ampere;
use crate::circuit::limits::Limits;
use crate::circuit::map::{Limit, Load, Map};

/// Whose limit it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rank {
    /// The user told it.
    Told,
    /// It stands on the map.
    Map,
    /// It is the default of the vehicle's class.
    Class,
}

impl Rank {
    /// Returns it in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Told => "as told",
            Self::Map => "from the map",
            Self::Class => "default of the class",
        }
    }
}

/// The limit that holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    /// The limit with its source.
    pub limit: Limit,
    /// Whose it is.
    pub rank: Rank,
}

/// Returns the limit that holds; `None` if nobody told one and none is published for the class.
pub fn choose(told: Option<&Limit>, map: &Map) -> Option<Chosen> {
    let chosen = |limit: Limit, rank| Chosen { limit, rank };
    told.map(|limit| chosen(limit.clone(), Rank::Told))
        .or_else(|| map.limit.clone().map(|limit| chosen(limit, Rank::Map)))
        .or_else(|| Limits::builtin().default_limit(map.class).map(|limit| chosen(limit, Rank::Class)))
}

/// Words in a load's name or kind that mark an immobiliser circuit.
const IMMOBILISER: [&str; 3] = ["immobil", "alarm", "theft"];

/// What counts as high on one circuit asleep: the line that some take, the line that all take, and the source.
///
/// # Source
/// `circuits/limits.yaml`: two makers' manuals.
pub fn alarm(loads: &[Load]) -> Option<(Ampere, Ampere, &'static str)> {
    let alarm = Limits::builtin().fuse_alarm()?;
    let named = |load: &Load| {
        let name = format!("{} {}", load.name, load.kind).to_lowercase();
        IMMOBILISER.iter().any(|word| name.contains(word))
    };
    let line =
        if loads.iter().any(named) { (alarm.immobiliser, alarm.immobiliser) } else { (alarm.from, alarm.to) };
    Some((line.0, line.1, alarm.source.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::builtin;

    #[test]
    fn the_users_figure_comes_before_the_maps_and_that_before_the_class() {
        let mut map = builtin::map("motorcycle").expect("built in");
        let told = Limit { current: Ampere::from_milli(3.0), source: "service manual".into() };
        assert_eq!(choose(Some(&told), &map).map(|chosen| chosen.rank), Some(Rank::Told));
        assert_eq!(choose(None, &map).map(|chosen| chosen.rank), Some(Rank::Map));
        map.limit = None;
        assert_eq!(choose(None, &map).map(|chosen| chosen.rank), Some(Rank::Class));
        let mut truck = builtin::map("tipper").expect("built in");
        truck.limit = None;
        assert_eq!(choose(None, &truck), None, "no published figure: the user is asked");
    }

    #[test]
    fn one_circuit_is_high_above_ten_to_twenty_and_an_immobiliser_above_thirty_five() {
        let map = builtin::map("hatch").expect("built in");
        let load = map.feeds.iter().flat_map(|feed| &feed.loads).next().expect("a load").clone();
        let plain = Load { name: "horn".into(), kind: "other".into(), ..load };
        let ma = |loads: &[Load]| alarm(loads).map(|(from, to, _)| (from.milli(), to.milli()));
        assert_eq!(ma(std::slice::from_ref(&plain)), Some((10.0, 20.0)));
        let guarded = Load { name: "Immobiliser".into(), ..plain.clone() };
        assert_eq!(ma(&[plain, guarded]), Some((35.0, 35.0)));
    }
}
