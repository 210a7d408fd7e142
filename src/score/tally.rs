//! Sums over scored vehicles: rates with their intervals, readings and minutes, by kind of truth and by map, and how
//! often what was said with so much probability was right. Leaves to others: single judgements (`judge`), the table (`cli`).

use super::judge::Judged;
use super::policy::{Ending, Hunted};
use super::scored::Scored;
use super::subject::TruthKind;
use crate::base::numeric::rate::{Rate, Spread};
use crate::base::quantity::Unit;

/// Edges of the calibration table.
const EDGES: [f64; 8] = [0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1.0];

/// Sums over some vehicles, hunted in one way. Minutes are of work after the first total, elapsed with waits.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// The first said is a true cause, or that nothing is wrong where nothing is.
    pub first: Rate,
    /// All causes named, and nobody else.
    pub all: Rate,
    /// Somebody named who is no cause, of the vehicles with nothing wrong.
    pub accused: Rate,
    /// Readings after the first total.
    pub readings: Spread,
    /// How often something was typed for them.
    pub prompts: Spread,
    /// Minutes of work.
    pub minutes: Spread,
    /// Minutes that went by.
    pub elapsed: Spread,
    /// How the hunts ended, the commonest first.
    pub endings: Vec<(Ending, usize)>,
    /// What was said, against how often it was right.
    pub calibration: Vec<Bin>,
}

/// Vehicles of which the first said had a probability in this range.
#[derive(Debug, Clone, PartialEq)]
pub struct Bin {
    /// From this probability on.
    pub from: f64,
    /// Up to this one; included only where it is 1.
    pub to: f64,
    /// What was said on average; 0 without a case.
    pub said: f64,
    /// How often it was right.
    pub right: Rate,
}

/// A part of the vehicles by which sums are split.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Group {
    /// All of them.
    All,
    /// One cause or a held group.
    One,
    /// Those with this kind of truth.
    Kind(TruthKind),
    /// Those on this map.
    Map(String),
    /// Those read with this meter.
    Meter(String),
}

impl Group {
    /// Returns the groups that have a vehicle: all, one cause, each kind, each map, each meter.
    pub fn present(scored: &[Scored]) -> Vec<Self> {
        let mut groups = vec![Self::All, Self::One];
        groups.extend(TruthKind::NAMES.map(|(kind, _)| Self::Kind(kind)));
        for one in scored {
            for group in [Self::Map(one.map.clone()), Self::Meter(one.meter.clone())] {
                if !groups.contains(&group) {
                    groups.push(group);
                }
            }
        }
        // Maps before meters, each in the order of their turns.
        groups.sort_by_key(|group| usize::from(matches!(group, Self::Meter(_))));
        groups.retain(|group| scored.iter().any(|one| group.has(one)));
        groups
    }

    /// Returns true if a vehicle belongs to it.
    pub fn has(&self, scored: &Scored) -> bool {
        match self {
            Self::All => true,
            Self::One => !matches!(scored.kind, TruthKind::Two | TruthKind::Nothing),
            Self::Kind(kind) => scored.kind == *kind,
            Self::Map(map) => scored.map == *map,
            Self::Meter(meter) => scored.meter == *meter,
        }
    }

    /// Returns its name.
    pub fn name(&self) -> &str {
        match self {
            Self::All => "all",
            Self::One => "one cause",
            Self::Kind(kind) => kind.name(),
            Self::Map(name) | Self::Meter(name) => name,
        }
    }
}

/// Returns the mean minutes of the two ends that any search lies between: the cause known, and every box swept.
pub fn bounds(scored: &[Scored], group: &Group) -> [f64; 2] {
    let here = || scored.iter().filter(|one| group.has(one)).map(|one| one.bounds);
    let mean = |minutes: f64| minutes / (here().count().max(1) as f64);
    [mean(here().map(|one| one.known.base()).sum()), mean(here().map(|one| one.sweep.base()).sum())]
}

/// Sums up the hunts of one policy (by its place in the task) over the vehicles of a group.
pub fn tally(scored: &[Scored], policy: usize, group: &Group) -> Tally {
    let hunts: Vec<(&Scored, &Hunted, &Judged)> = scored
        .iter()
        .filter(|one| group.has(one))
        .filter_map(|one| one.hunts.get(policy).map(|(hunted, judged)| (one, hunted, judged)))
        .collect();
    let sound = hunts.iter().filter(|(one, _, _)| one.kind == TruthKind::Nothing);
    Tally {
        first: Rate::of(hunts.iter().map(|(_, _, judged)| judged.first)),
        all: Rate::of(hunts.iter().map(|(_, _, judged)| judged.all)),
        accused: Rate::of(sound.map(|(_, _, judged)| judged.accused)),
        // Numbers of readings are far below 2^53.
        readings: Spread::of(hunts.iter().map(|(_, hunted, _)| hunted.readings as f64)),
        prompts: Spread::of(hunts.iter().map(|(_, hunted, _)| hunted.prompts as f64)),
        minutes: Spread::of(hunts.iter().map(|(_, hunted, _)| hunted.hands_on.base())),
        elapsed: Spread::of(hunts.iter().map(|(_, hunted, _)| hunted.elapsed.base())),
        endings: endings(hunts.iter().map(|(_, hunted, _)| hunted.ending)),
        calibration: calibration(hunts.iter().map(|(_, _, judged)| (judged.said, judged.first))),
    }
}

/// Returns the mean minutes of one policy as a share of those of another on the same vehicles; `None` without any.
pub fn ratio(minutes: &Tally, others: &Tally) -> Option<f64> {
    (others.minutes.mean > 0.0).then(|| minutes.minutes.mean / others.minutes.mean)
}

fn endings(all: impl Iterator<Item = Ending>) -> Vec<(Ending, usize)> {
    let mut counts: Vec<(Ending, usize)> = Vec::new();
    for ending in all {
        match counts.iter_mut().find(|(known, _)| *known == ending) {
            Some((_, count)) => *count += 1,
            None => counts.push((ending, 1)),
        }
    }
    counts.sort_by_key(|(ending, count)| (std::cmp::Reverse(*count), ending.name()));
    counts
}

fn calibration(said: impl Iterator<Item = (f64, bool)>) -> Vec<Bin> {
    let said: Vec<(f64, bool)> = said.collect();
    let bins = EDGES.iter().zip(EDGES.iter().skip(1));
    bins.map(|(from, to)| {
        let inside = |p: f64| (p >= *from || *from == 0.0) && (p < *to || *to >= 1.0);
        let here: Vec<(f64, bool)> = said.iter().copied().filter(|(p, _)| inside(*p)).collect();
        let mean = here.iter().map(|(p, _)| p).sum::<f64>() / here.len().max(1) as f64;
        Bin { from: *from, to: *to, said: mean, right: Rate::of(here.iter().map(|(_, right)| *right)) }
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_probability_falls_into_one_bin() {
        let said = [0.0, 0.3, 0.5, 0.6, 0.949_999, 0.95, 1.0, 1.0 + 1e-12].map(|p| (p, p > 0.9));
        let bins = calibration(said.into_iter());
        let cases: Vec<usize> = bins.iter().map(|bin| bin.right.of).collect();
        assert_eq!(cases, [2, 1, 1, 0, 0, 1, 3]);
        assert_eq!(bins[6].right.hits, 3);
        assert!((bins[0].said - 0.15).abs() < 1e-12);
    }

    #[test]
    fn endings_are_counted_the_commonest_first() {
        let all = [Ending::Ended, Ending::Decided, Ending::Decided];
        assert_eq!(endings(all.into_iter()), [(Ending::Decided, 2), (Ending::Ended, 1)]);
    }
}
