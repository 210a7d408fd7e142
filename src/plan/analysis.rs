//! Everything that a set of readings says: observations, account, suspects, plan, limit, verdict. Made anew from the readings
//! each time, so that the same readings always give the same conclusions.
//! Leaves to others: each conclusion itself (`measure`, `balance`, `rank`, `plan`), where the readings are from (`hunt`, `score`).

use std::sync::Arc;

use super::candidate::Setting;
use super::next::{Plan, PlanView, Stop, plan};
use crate::balance::Balance;
use crate::balance::conflict::Conflict;
use crate::balance::repeat::without_repeated;
use crate::balance::verdict::{DrawVerdict, judge};
use crate::base::quantity::{Ampere, Celsius, Minute, Uncertain, Unit};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::map::Limit;
use crate::infer::cured::cured;
use crate::infer::rank::{Ranking, rank};
use crate::infer::weight::Background;
use crate::infer::{Inference, infer};
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::Zero;
use crate::measure::event::Observed;
use crate::measure::observation::{Observation, Panel, Scope};
use crate::measure::observe::build_observations;
use crate::measure::{Measurement, Reading};

/// What an analysis rests on.
#[derive(Debug, Clone)]
pub struct Facts<'a> {
    /// The vehicle.
    pub panel: &'a Arc<Panel>,
    /// Fuse figures.
    pub table: &'a FuseTable,
    /// Readings in the order in which they were entered.
    pub readings: &'a [Reading],
    /// Meter across fuses.
    pub meter: &'a Profile,
    /// Clamp or ammeter.
    pub clamp: &'a Profile,
    /// Zero in force for the next reading.
    pub zero: Option<Zero>,
    /// Temperature taken for the next reading.
    pub temperature: Uncertain<Celsius>,
    /// Limit in force.
    pub limit: Option<Limit>,
    /// Time that a woken group needs to sleep again.
    pub sleep: Minute,
    /// What the interview told, in the words of `circuit/hints`.
    pub told: Vec<&'static str>,
}

/// What the readings say.
#[derive(Debug)]
pub struct Analysis {
    /// The vehicle.
    pub panel: Arc<Panel>,
    /// Observations and events.
    pub observed: Observed,
    /// Where the total goes; `None` only if the readings have no covariance.
    pub account: Option<Balance>,
    /// Causes as the readings weigh them.
    pub inference: Option<Inference>,
    /// Suspects.
    pub ranking: Ranking,
    /// What to read next.
    pub plan: Plan,
    /// The newest settled total.
    pub total: Option<Uncertain<Ampere>>,
    /// What the total is above what the map expects asleep.
    pub excess: Option<Uncertain<Ampere>>,
    /// The limit in force.
    pub limit: Option<Limit>,
    /// The verdict, if there is a total and a limit.
    pub verdict: Option<DrawVerdict>,
}

impl Analysis {
    /// Analyses readings.
    pub fn of_facts(facts: &Facts) -> Self {
        let panel = facts.panel;
        let mut observed = build_observations(facts.readings, panel, facts.table);
        let account = without_repeated(&mut observed, panel);
        let limit = facts.limit.clone();
        let background =
            Background { told: facts.told.clone(), limit: limit.as_ref().map(|limit| limit.current) };
        let inference = infer(&observed.observations, panel, &background);
        let total = newest_total(&observed.observations);
        let excess = total.as_ref().map(|total| excess_of(total, panel));
        let verdict = total.as_ref().zip(limit.as_ref()).map(|(total, limit)| judge(total, limit.current));
        let ranking = match &inference {
            Some(inference) => ranked(inference, &observed, panel, &background),
            None => Ranking {
                suspects: Vec::new(),
                groups: Vec::new(),
                pairs: Vec::new(),
                nothing_wrong: 0.0,
                not_present_now: 0.0,
                cured: None,
            },
        };
        let doubtful = doubtful_entries(account.as_ref(), facts.readings);
        let plan = match &inference {
            Some(inference) => plan(&PlanView {
                setting: setting(facts, &observed),
                inference,
                excess: excess.clone(),
                here: place_of_last(facts.readings, panel),
                doubtful: &doubtful,
                ended: observed.ended().is_some(),
            }),
            None => Plan { stop: Stop::NothingLeft, readings: Vec::new() },
        };
        Self {
            panel: Arc::clone(panel),
            observed,
            account,
            inference,
            ranking,
            plan,
            total,
            excess,
            limit,
            verdict,
        }
    }

    /// Returns the likeliest culprit by name with its probability: a branch id, or `group NAME`.
    pub fn leader(&self) -> (String, f64) {
        let branch = self.ranking.suspects.first().map(|suspect| (suspect.id.clone(), suspect.probability));
        let group =
            self.ranking.groups.first().map(|group| (format!("group {}", group.id), group.probability));
        let nothing = ("nothing wrong".to_owned(), self.ranking.nothing_wrong);
        branch
            .into_iter()
            .chain(group)
            .chain([nothing])
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap_or_default()
    }

    /// Returns the contradictions among the readings.
    pub fn conflicts(&self) -> &[Conflict] {
        self.account.as_ref().map_or(&[], |account| &account.conflicts)
    }
}

/// Ranks the causes. If a pull seems to have cured the fault, it may as well have ended by itself: then the fall at
/// that pull tells nothing.
fn ranked(inference: &Inference, observed: &Observed, panel: &Panel, background: &Background) -> Ranking {
    let ranking = rank(inference, &observed.observations, panel);
    let Some((found, without)) = cured(observed, panel, background) else { return ranking };
    let other = rank(&without, &observed.observations, panel);
    Ranking { cured: Some(found.clone()), ..ranking.or_else(found.probability, &other) }
}

fn newest_total(observations: &[Observation]) -> Option<Uncertain<Ampere>> {
    observations
        .iter()
        .rev()
        .find(|observation| observation.scope == Scope::Total)
        .map(|observation| observation.current.clone())
}

/// The total less what the map expects asleep; that expectation has its own spread.
fn excess_of(total: &Uncertain<Ampere>, panel: &Panel) -> Uncertain<Ampere> {
    let variance: f64 = panel.parts.all().iter().map(|part| part.asleep_sd.base().powi(2)).sum();
    total.minus(&Uncertain::new(panel.asleep(), Ampere::new(variance.sqrt())))
}

/// A total takes the place of the one before; one that was read again and is still in doubt is no slip.
fn doubtful_entries(account: Option<&Balance>, readings: &[Reading]) -> Vec<usize> {
    let totals: Vec<usize> = readings
        .iter()
        .filter(|reading| matches!(reading.what, Measurement::Total { as_found: false, .. }))
        .map(|reading| reading.entry)
        .collect();
    let conflicts = account.map_or(&[][..], |account| &account.conflicts);
    let named = conflicts.iter().filter_map(|conflict| conflict.entries.first().copied());
    named.filter(|entry| totals.len() < 2 || !totals.contains(entry)).collect()
}

fn setting<'a>(facts: &Facts<'a>, observed: &'a Observed) -> Setting<'a> {
    Setting {
        panel: facts.panel,
        table: facts.table,
        meter: facts.meter,
        clamp: facts.clamp,
        zero: facts.zero,
        temperature: facts.temperature.clone(),
        interrupted: observed.interrupted.clone(),
        observations: &observed.observations,
        calibrated: &observed.calibrated,
        sleep: facts.sleep,
    }
}

/// Returns the box of the last reading taken at a fuse.
fn place_of_last(readings: &[Reading], panel: &Panel) -> Option<usize> {
    let feed = readings.iter().rev().find_map(|reading| match &reading.what {
        Measurement::Drop { feed, .. }
        | Measurement::Pull { feed, .. }
        | Measurement::Step { feed, .. }
        | Measurement::Refit { feed, .. } => Some(feed.as_str()),
        Measurement::Clamp { at, .. } => Some(at.as_str()),
        _ => None,
    })?;
    let feed = panel.tree.find_feed(feed).ok()?;
    panel.map.feeds.get(feed)?.place
}
