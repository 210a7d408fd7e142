//! Fuses to read along a row before anything is typed: which, from how many millivolts each is high, how long it takes.
//! Leaves to others: which reading comes first (`next`), what is typed (`log/round`).

use std::collections::{HashMap, HashSet};

use super::candidate::{Candidate, Setting, can_be_read, candidates, drop_errors};
use super::next::shown_by;
use super::proposal::{Proposal, StepReason};
use super::view::PlanView;
use crate::base::quantity::{Ampere, Minute, Typed, Uncertain, Unit, Volt};
use crate::circuit::id::{BoxId, FeedId};
use crate::infer::assumptions::{
    DECIDED, FEWEST_IN_ROUND, HIGH_SHARE, HIGH_SHARE_OF_SECOND, MINUTES_DROP, MINUTES_IN_ROUND,
    MINUTES_ROUND_TYPED, WRONG_NAME,
};
use crate::infer::cause::{CauseClass, class};
use crate::measure::convert::drop_of_current;
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::Scope;
use crate::measure::observe::fuse_of;

/// Fuses to read along a row.
#[derive(Debug, Clone, PartialEq)]
pub struct Round {
    /// Box that they sit in.
    pub place: Option<BoxId>,
    /// Minutes of work, reaching the box included.
    pub minutes: Minute,
    /// The fuses in the order in which they sit.
    pub reads: Vec<RoundRead>,
}

/// One fuse of a round.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundRead {
    /// The fuse.
    pub at: String,
    /// What it should show asleep.
    pub asleep: Volt,
    /// From so much on it is high, as the meter shows it.
    pub high: Typed<Volt>,
}

/// Returns the round that begins where the plan goes on, if it is quicker than to read and type one fuse after the other until
/// one is high.
pub fn round(first: &Proposal, view: &PlanView) -> Option<Round> {
    let open = candidates(&view.setting, view.doubtful);
    let is_first = |one: &&Candidate| one.action == first.action && Some(&one.at) == first.at.as_ref();
    let begins = open.iter().find(is_first)?;
    if first.action != MeasurementKind::Drop
        || !matches!(first.reason, StepReason::Covers(_))
        || was_below(begins, view)
    {
        return None;
    }
    let excess = view.excess.as_ref().map_or(Ampere::ZERO, Uncertain::value);
    let sought = high_from(excess, view);
    let least = MINUTES_IN_ROUND.base() / WRONG_NAME.base();
    let worth = |one: &&Candidate| {
        one.action == MeasurementKind::Drop
            && one.place == begins.place
            && one.floor.value() < excess
            && !was_below(one, view)
    };
    let mut left: Vec<(&Candidate, Vec<(f64, bool)>)> =
        open.iter().filter(worth).map(|one| (one, shown_by(one, view).collect())).collect();
    let mut row: Vec<(f64, &Candidate)> = Vec::new();
    // Whatever a fuse would show as well as one before it is counted once.
    while let Some((at, chance)) = likeliest(&left) {
        let (next, shown) = left.swap_remove(at);
        if chance < least {
            break;
        }
        row.push((chance, next));
        for (_, others) in &mut left {
            others.iter_mut().zip(&shown).for_each(|(other, (_, known))| other.1 &= !known);
        }
    }
    let at = |one: &Candidate| view.setting.panel.tree.find_feed(&one.at).ok();
    let chances: Vec<(f64, Option<FeedId>)> = row.iter().map(|(chance, one)| (*chance, at(one))).collect();
    let count = best_count(&chances)?;
    row.truncate(count);
    if !row.iter().any(|(_, one)| one.at == begins.at) {
        row.pop();
        row.push((0.0, begins));
    }
    let mut feeds: Vec<FeedId> =
        row.iter().filter_map(|(_, one)| view.setting.panel.tree.find_feed(&one.at).ok()).collect();
    feeds.sort_unstable();
    let reads: Vec<RoundRead> =
        feeds.into_iter().filter_map(|feed| read(feed, sought, &view.setting)).collect();
    let way = first.minutes - begins.minutes;
    let minutes = way + MINUTES_IN_ROUND * reads.len() as f64 + MINUTES_ROUND_TYPED;
    Some(Round { place: begins.place, minutes, reads })
}

/// Returns true if this fuse was read along a row and was not high: if it is wanted again, it is read exactly.
fn was_below(candidate: &Candidate, view: &PlanView) -> bool {
    view.below.iter().any(|one| one.scope == candidate.outlook.scope)
}

/// From how much more than normal on a reading along a row is high: a share of what is sought; once a cause is found, what a
/// second must draw to matter is sought, if that is less.
fn high_from(sought: Ampere, view: &PlanView) -> Ampere {
    let first = sought * HIGH_SHARE;
    let second = view.inference.spare().filter(|_| is_found(view)).map(|spare| spare * HIGH_SHARE_OF_SECOND);
    second.map_or(first, |second| first.min(second))
}

/// Returns true if a cause is decided already.
fn is_found(view: &PlanView) -> bool {
    let mut found: HashMap<CauseClass, f64> = HashMap::new();
    for one in view.inference.explanations() {
        let classes: HashSet<CauseClass> =
            view.inference.mattering(&one).map(|index| class(view.inference.cause(index))).collect();
        classes.into_iter().for_each(|class| *found.entry(class).or_default() += one.probability);
    }
    found.remove(&CauseClass::Nothing);
    found.values().any(|probability| *probability >= DECIDED)
}

/// Returns every fuse of the map in the order of its box, those that are read along a row with what they should show; `None`
/// for one that is clamped, or left alone.
pub fn bay(setting: &Setting, sought: Ampere) -> Vec<(FeedId, Option<RoundRead>)> {
    let map = &setting.panel.map;
    let of = |feed| {
        (
            feed,
            Some(feed)
                .filter(|_| can_be_read(feed, setting))
                .and_then(|feed| read(feed, sought * HIGH_SHARE, setting)),
        )
    };
    let boxes = map.boxes.ids().map(Some).chain([None]);
    let here =
        |place| map.feeds.iter_ids().filter(move |(_, feed)| feed.place == place).map(|(feed, _)| feed);
    boxes.flat_map(here).map(of).collect()
}

/// Returns the fuse that is likeliest to show something, with that probability.
fn likeliest(open: &[(&Candidate, Vec<(f64, bool)>)]) -> Option<(usize, f64)> {
    let chance = |shown: &[(f64, bool)]| shown.iter().filter(|one| one.1).map(|one| one.0).sum::<f64>();
    let all = open.iter().enumerate().map(|(at, (_, shown))| (at, chance(shown)));
    all.max_by(|a, b| a.1.total_cmp(&b.1))
}

/// How many of the fuses, likeliest first, take no longer as a round than typed one by one, as expected: as many as that, for the
/// less is typed. Either way the first that is high ends it; a round is read in the order in which its fuses sit. `None` if there
/// are none.
fn best_count<T: Ord + Copy>(chances: &[(f64, T)]) -> Option<usize> {
    let worth = |count: &usize| {
        let likeliest = chances.get(..*count).unwrap_or_default();
        let mut along = likeliest.to_vec();
        along.sort_by_key(|(_, at)| *at);
        let together = MINUTES_IN_ROUND.base() * until_high(&along) + MINUTES_ROUND_TYPED.base();
        together <= MINUTES_DROP.base() * until_high(likeliest)
    };
    (FEWEST_IN_ROUND..=chances.len()).rev().find(worth)
}

/// How many are read, as expected, until one is high.
fn until_high<T>(chances: &[(f64, T)]) -> f64 {
    let mut left = 1.0_f64;
    let read = |(chance, _): &(f64, T)| {
        let now = left;
        left = (left - chance).max(0.0);
        now
    };
    chances.iter().map(read).sum()
}

/// What a fuse shows asleep, and from where it is high: so much more than normal, at the least what this meter
/// can tell; rounded up to its last digit.
fn read(feed: FeedId, more: Ampere, setting: &Setting) -> Option<RoundRead> {
    let fuse = fuse_of(feed, &setting.panel.map, setting.table).ok()?;
    let normal = Ampere::new(setting.panel.normal(Scope::Through(feed), &setting.interrupted));
    let drop = |current| drop_of_current(current, &fuse, setting.temperature.value(), setting.table);
    let at = setting.panel.map.feed_name(feed).to_owned();
    let floor = drop_errors(&fuse, setting).1.value();
    let offset = setting.zero.map_or(Volt::ZERO, |zero| zero.offset);
    let digit = setting.meter.resolution;
    let high = drop(normal + floor.max(more)) + offset;
    let high = Volt::new((high.base() / digit - 1e-9).ceil() * digit);
    let places = (-(digit * 1e3).log10()).ceil().clamp(0.0, 6.0) as usize;
    let text = format!("{:.places$} mV", high.milli());
    Some(RoundRead { at, asleep: drop(normal), high: Typed::measured(high, digit, text) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(chances: &[f64]) -> Option<usize> {
        let seated: Vec<(f64, usize)> =
            chances.iter().enumerate().map(|(at, chance)| (*chance, at)).collect();
        best_count(&seated)
    }

    #[test]
    fn many_unlikely_fuses_are_read_along_and_one_likely_one_alone() {
        assert_eq!(count(&[0.05; 10]), Some(10));
        assert_eq!(count(&[0.1; 9]), Some(9));
        assert_eq!(count(&[0.9, 0.02, 0.02, 0.02]), None);
        assert_eq!(count(&[0.1, 0.1]), None);
    }
}
