//! How likely each cause is before any reading, and how large its excess may be: shares by cause from the load
//! catalogue, spread over the loads of each kind that the map lists. All of it editorial and editable
//! (`circuits/loads.yaml`). Leaves to others: the readings (`posterior`).

use super::assumptions::{
    ADD_ON_UNLISTED, BATTERY_POST, BY_MODULE, CABLE_NODE, FLATTENS, LEFT_ALONE, LOAD_UNLISTED, NOT_NOW,
    NOTHING_WRONG, UNKNOWN_INPUT, UNLISTED_LN_SD, UNLISTED_MEDIAN,
};
use super::cause::{HeldBy, kind_of};
use super::night::NightEvidence;
use super::sign::Seen;
use crate::base::numeric::density::normal_below;
use crate::base::quantity::{Ampere, Unit};
use crate::circuit::hints::Hints;
use crate::circuit::id::{FeedId, InputId};
use crate::circuit::learnt::LearntShares;
use crate::circuit::loads::{Catalogue, NETWORK};
use crate::circuit::map::{Hazard, Map};
use crate::measure::observation::Panel;
use crate::measure::sources::{CurrentSource, PartKind};

/// No kind draws less too much, as a median, on a car. Editorial.
const LEAST_EXCESS: Ampere = Ampere::from_milli(5.0);
/// Size of the excess of something unlisted.
const UNLISTED_SIZE: Size = Size { median: UNLISTED_MEDIAN, ln_sd: UNLISTED_LN_SD };

/// How large an excess may be: log-normal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Size {
    /// Median.
    pub median: Ampere,
    /// Standard deviation of the natural logarithm.
    pub ln_sd: f64,
}

/// What is known before any reading.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Background {
    /// What the interview told, in the words of `circuit/hints`.
    pub told: Vec<&'static str>,
    /// The limit on the draw, where there is one.
    pub limit: Option<Ampere>,
    /// What was found without a figure.
    pub seen: Seen,
    /// What a meter log shows of a draw that comes and goes.
    pub night: NightEvidence,
    /// Shares of causes learnt from other hunts; none leaves the editorial ones.
    pub learnt: LearntShares,
}

/// Probabilities beforehand.
#[derive(Debug, Clone, PartialEq)]
pub struct Weights {
    /// That everything reads sound: nothing is wrong, or the fault is away at the moment.
    pub nothing: f64,
    /// How much of it is a fault that is away at the moment; no reading tells the two apart.
    pub not_now: f64,
    catalogue: &'static Catalogue,
    background: Background,
    /// For every kind in use: how many loads and unfused items of it the map has.
    counts: Vec<(String, usize)>,
    unlisted_nodes: f64,
    unlisted_share: f64,
    groups: usize,
}

impl Weights {
    /// Prepares the weights of a map from a catalogue and what is known before any reading.
    pub fn new(map: &Map, catalogue: &'static Catalogue, background: &Background) -> Self {
        let mut counts: Vec<(String, usize)> = Vec::new();
        let loads = map.loads().map(|(_, load)| &load.kind);
        for kind in loads.chain(map.unfused.iter().map(|item| &item.kind)) {
            match counts.iter_mut().find(|(known, _)| known == kind) {
                Some((_, count)) => *count += 1,
                None => counts.push((kind.clone(), 1)),
            }
        }
        let learnt = |cause: &str| background.learnt.factor(catalogue, cause);
        let of_kind = |kind: &str| catalogue.get(kind).map_or(1.0, |kind| learnt(&kind.cause));
        let listed: f64 = counts.iter().map(|(kind, _)| listed_share(catalogue, kind) * of_kind(kind)).sum();
        let groups = map.wake_groups.len();
        let network = if groups > 0 { cause_share(catalogue, NETWORK) * learnt(NETWORK) } else { 0.0 };
        let all: f64 = catalogue.causes().iter().map(|cause| cause.weight / 100.0 * learnt(&cause.id)).sum();
        let factor = |cause: &str| Hints::builtin().factor(cause, &background.told);
        let not_now = NOT_NOW * factor("not-now");
        let nothing = NOTHING_WRONG * factor("nothing") + not_now;
        Self {
            nothing,
            not_now: not_now / nothing,
            catalogue,
            background: background.clone(),
            counts,
            unlisted_nodes: map.feeds.ids().map(|feed| unlisted_at(feed, map)).sum::<f64>() + BATTERY_POST,
            unlisted_share: (all - listed - network).max(0.05) * factor("unlisted"),
            groups,
        }
    }

    /// Returns the probability beforehand of one part being the cause.
    pub fn part(&self, part: &CurrentSource, panel: &Panel) -> f64 {
        let share = match part.kind {
            PartKind::Unlisted => {
                let node = part.path.first().map_or(BATTERY_POST, |feed| unlisted_at(*feed, &panel.map));
                self.unlisted_share * node / self.unlisted_nodes
            }
            kind => kind_of(kind, panel).map_or(0.0, |name| {
                let count =
                    self.counts.iter().find(|(known, _)| known == name).map_or(1, |(_, count)| *count);
                // A kind that no cause tells of is still not impossible.
                listed_share(self.catalogue, name).max(0.002) * self.factor_on_kind(name) / count as f64
            }),
        };
        share * (1.0 - self.nothing)
    }

    /// Returns what was found without a figure.
    pub fn seen(&self) -> &Seen {
        &self.background.seen
    }

    fn factor_on_kind(&self, name: &str) -> f64 {
        self.catalogue.get(name).map_or(1.0, |kind| self.factor_on_cause(&kind.cause))
    }

    /// What the interview and other hunts say of a class of causes.
    fn factor_on_cause(&self, cause: &str) -> f64 {
        let told = Hints::builtin().factor(cause, &self.background.told);
        told * self.background.learnt.factor(self.catalogue, cause)
    }

    /// Returns what may hold a group awake, with the probability beforehand of each: its inputs, those of its modules
    /// that the readings tell apart, and everything else as one.
    pub fn held(&self, inputs: &[InputId], modules: usize, told_apart: &[PartKind]) -> Vec<(HeldBy, f64)> {
        let network = cause_share(self.catalogue, NETWORK) * self.factor_on_cause(NETWORK);
        let share = network * (1.0 - self.nothing) / self.groups.max(1) as f64;
        let by_input = if inputs.is_empty() { 0.0 } else { share * (1.0 - UNKNOWN_INPUT) };
        let one_input = by_input / inputs.len().max(1) as f64;
        let one_module = (share - by_input) * BY_MODULE / modules.max(1) as f64;
        let by_module = told_apart.iter().filter_map(|kind| match kind {
            PartKind::Load(load) => Some((HeldBy::Module(*load), one_module)),
            _ => None,
        });
        let rest = share - by_input - one_module * told_apart.len() as f64;
        let known = inputs.iter().map(|input| (HeldBy::Input(*input), one_input));
        known.chain([(HeldBy::Unlisted, rest)]).chain(by_module).collect()
    }

    /// Returns how likely somebody complains of a flat battery for this settled total, beside larger ones; 1 without a
    /// limit.
    pub fn flattens(&self, total: Ampere) -> f64 {
        let share = |limit: Ampere| (total / limit).max(f64::MIN_POSITIVE);
        self.background.limit.map_or(1.0, |limit| normal_below(share(limit).ln() / FLATTENS))
    }

    /// Returns how large the excess of a part may be: about the current that the map gives it awake.
    pub fn size(&self, kind: PartKind, panel: &Panel) -> Size {
        let Some(name) = kind_of(kind, panel) else { return UNLISTED_SIZE };
        let Some(found) = self.catalogue.get(name) else { return UNLISTED_SIZE };
        let awake = match kind {
            PartKind::Load(load) => panel.map.load(load).map(|load| load.awake),
            PartKind::Unfused(item) => panel.map.unfused.get(item).map(|item| item.awake),
            PartKind::Unlisted => None,
        };
        let usual = found.excess * found.at_volts(panel.map.system);
        // The map's own figure moves the catalogue's size; their geometric mean trusts neither alone.
        let median = match awake {
            Some(awake) if awake.base() > 0.0 => Ampere::new((awake.base() * usual.base()).sqrt()),
            _ => usual,
        };
        Size { median: median.max(panel.map.scaled(LEAST_EXCESS)), ln_sd: found.excess_log_sd }
    }
}

/// Returns how likely each class of causes is on a map by the editorial shares, given that it is one of those that are listed
/// there: what hunts on this map let expect.
pub fn exposure(panel: &Panel, catalogue: &'static Catalogue) -> Vec<(String, f64)> {
    let weights = Weights::new(&panel.map, catalogue, &Background::default());
    let mut all: Vec<(String, f64)> = Vec::new();
    let mut add = |class: &str, likely: f64| match all.iter_mut().find(|(known, _)| known == class) {
        Some((_, sum)) => *sum += likely,
        None => all.push((class.to_owned(), likely)),
    };
    for part in panel.parts.iter() {
        let class = kind_of(part.kind, panel).and_then(|kind| catalogue.get(kind)).map(|kind| &kind.cause);
        if let Some(class) = class.filter(|class| !class.is_empty()) {
            add(class, weights.part(part, panel));
        }
    }
    if weights.groups > 0 {
        add(NETWORK, cause_share(catalogue, NETWORK) * (1.0 - weights.nothing));
    }
    let sum: f64 = all.iter().map(|(_, likely)| likely).sum();
    all.iter_mut().for_each(|(_, likely)| *likely /= sum.max(f64::MIN_POSITIVE));
    all
}

/// How likely something unlisted sits on a feed, beside others.
fn unlisted_at(feed: FeedId, map: &Map) -> f64 {
    let guard = map.feeds.get(feed).and_then(|found| found.hazard);
    match guard {
        Some(Hazard::Restraint | Hazard::Hv) => LEFT_ALONE,
        _ if map.feeds.iter().any(|below| below.parent == Some(feed)) => CABLE_NODE,
        _ => 1.0,
    }
}

fn cause_share(catalogue: &Catalogue, cause: &str) -> f64 {
    catalogue.causes().iter().find(|found| found.id == cause).map_or(0.0, |found| found.weight / 100.0)
}

/// Share of a kind that falls on listed loads; the rest of it is unlisted.
fn listed_share(catalogue: &Catalogue, kind: &str) -> f64 {
    let Some(found) = catalogue.get(kind) else { return 0.0 };
    let unlisted = if found.cause == "add-on" { ADD_ON_UNLISTED } else { LOAD_UNLISTED };
    found.weight / 100.0 * (1.0 - unlisted)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::builtin;

    fn weights(told: &[&'static str]) -> (Weights, Panel) {
        let panel = Panel::new(builtin::map("hatch").expect("built in"));
        let background = Background { told: told.to_vec(), ..Background::default() };
        (Weights::new(&panel.map, Catalogue::builtin(), &background), panel)
    }

    #[test]
    fn what_was_told_moves_the_weights_it_is_about_and_no_other() {
        let (plain, panel) = weights(&[]);
        let (told, _) = weights(&["add-on"]);
        let mut moved = 0;
        for part in &panel.parts {
            let ratio = told.part(part, &panel) / (1.0 - told.nothing) * (1.0 - plain.nothing)
                / plain.part(part, &panel);
            let cause = kind_of(part.kind, &panel)
                .and_then(|kind| Catalogue::builtin().get(kind))
                .map(|kind| &kind.cause);
            let expected = match cause.map(String::as_str) {
                Some("add-on") => 2.5,
                None => 1.8,
                _ => 1.0,
            };
            assert!((ratio - expected).abs() < 1e-9, "{:?}: {ratio}", part.kind);
            moved += usize::from(expected > 1.0);
        }
        assert!(moved > 0);
        assert!(told.nothing < plain.nothing);
    }

    #[test]
    fn a_draw_that_comes_and_goes_may_be_away() {
        assert!(weights(&["sometimes"]).0.not_now > 3.0 * weights(&[]).0.not_now);
    }
}
