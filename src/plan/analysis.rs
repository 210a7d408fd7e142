//! Everything that a set of readings says: observations, account, suspects, plan, limit, verdict. Made anew from the readings
//! each time, so that the same readings always give the same conclusions.
//! Leaves to others: each conclusion itself (`measure`, `balance`, `rank`, `plan`), where the readings are from (`hunt`, `score`).

use std::cell::OnceCell;
use std::sync::Arc;

use super::below::weigh_below;
use super::candidate::Setting;
use super::next::plan;
use super::proposal::{Plan, Stop};
use super::round::{Round, RoundRead, bay, round};
use super::view::PlanView;
use crate::balance::Balance;
use crate::balance::conflict::Conflict;
use crate::balance::repeat::without_repeated;
use crate::balance::verdict::{DrawVerdict, judge, judge_night};
use crate::base::quantity::{Ampere, Celsius, Minute, Uncertain, Unit};
use crate::battery::cause::SupplyCause;
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::id::{BoxId, FeedId};
use crate::circuit::learnt::LearntShares;
use crate::circuit::map::Limit;
use crate::infer::cured::cured;
use crate::infer::leader::{ALSO, Leader};
use crate::infer::night::NightEvidence;
use crate::infer::rank::{Ranking, rank};
use crate::infer::sign::Seen;
use crate::infer::wake_clock::Series;
use crate::infer::weight::Background;
use crate::infer::{Inference, infer};
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::Zero;
use crate::measure::event::Observed;
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::{Observation, Panel, Scope};
use crate::measure::observe::build_observations;
use crate::measure::{Measurement, Reading};

/// What an analysis rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Facts {
    /// The vehicle.
    pub panel: Arc<Panel>,
    /// Fuse figures.
    pub table: &'static FuseTable,
    /// Readings in the order in which they were entered.
    pub readings: Vec<Reading>,
    /// Meter across fuses.
    pub meter: Profile,
    /// Clamp around cables.
    pub clamp: Profile,
    /// Clamp or ammeter that totals are read with.
    pub ammeter: Profile,
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
    /// A series of wake-ups that a meter log showed.
    pub series: Option<Series>,
    /// What a meter log shows of a draw that comes and goes.
    pub night: NightEvidence,
    /// Causes beside a circuit that the answers tell of, likeliest first.
    pub supply: Vec<SupplyCause>,
    /// Shares of causes learnt from other hunts.
    pub learnt: LearntShares,
    /// Proposed readings that somebody passed over, each by action and place: they are not proposed again.
    pub passed_over: Vec<(MeasurementKind, Option<String>)>,
}

/// What the readings say. Observations and account are made at once; causes and plan when they are first asked for, and
/// then kept.
#[derive(Debug)]
pub struct Analysis {
    /// What it rests on.
    pub facts: Facts,
    /// The vehicle.
    pub panel: Arc<Panel>,
    /// Observations and events.
    pub observed: Observed,
    /// Where the total goes; `None` only if the readings have no covariance.
    pub account: Option<Balance>,
    /// The newest settled total.
    pub total: Option<Uncertain<Ampere>>,
    /// What the total is above what the map expects asleep.
    pub excess: Option<Uncertain<Ampere>>,
    /// The limit in force.
    pub limit: Option<Limit>,
    /// The verdict on the total and on the average of a meter log, if there is one of them and a limit.
    pub verdict: Option<DrawVerdict>,
    inference: OnceCell<Option<Inference>>,
    ranking: OnceCell<Ranking>,
    plan: OnceCell<Plan>,
    round: OnceCell<Option<Round>>,
}

impl Analysis {
    /// Analyses readings.
    pub fn of_facts(facts: Facts) -> Self {
        let panel = Arc::clone(&facts.panel);
        let mut observed = build_observations(&facts.readings, &panel, facts.table);
        let account = without_repeated(&mut observed, &panel);
        let limit = facts.limit.clone();
        let total = newest_total(&observed.observations);
        let excess = total.as_ref().map(|total| excess_of(total, &panel));
        let average = facts.night.average.as_ref();
        let judged = |limit: &Limit| match (&total, average) {
            (total, Some(average)) => Some(judge_night(total.as_ref(), Some(average), limit.current)),
            (Some(total), None) => Some(judge(total, limit.current)),
            (None, None) => None,
        };
        let verdict = limit.as_ref().and_then(judged);
        Self {
            facts,
            panel,
            observed,
            account,
            total,
            excess,
            limit,
            verdict,
            inference: OnceCell::new(),
            ranking: OnceCell::new(),
            plan: OnceCell::new(),
            round: OnceCell::new(),
        }
    }

    fn background(&self) -> Background {
        let limit = self.limit.as_ref().map(|limit| limit.current);
        let excess = self.excess.as_ref().map_or(Ampere::ZERO, Uncertain::value);
        let watts = excess.base() * self.panel.map.system.base();
        let (sightings, tried) = (self.observed.sightings.clone(), self.observed.tried.clone());
        let times_out = self.observed.times_out.clone();
        let seen = Seen { sightings, tried, times_out, series: self.facts.series, watts };
        let (night, learnt) = (self.facts.night.clone(), self.facts.learnt.clone());
        Background { told: self.facts.told.clone(), limit, seen, night, learnt }
    }

    /// Returns the causes as the readings weigh them; `None` only if the readings have no covariance.
    pub fn inference(&self) -> Option<&Inference> {
        let made = || {
            let mut made = infer(&self.observed.observations, &self.panel, &self.background())?;
            weigh_below(&mut made, &self.observed, &self.panel);
            Some(made)
        };
        self.inference.get_or_init(made).as_ref()
    }

    /// Returns the suspects.
    pub fn ranking(&self) -> &Ranking {
        self.ranking.get_or_init(|| {
            self.inference().map_or_else(Ranking::default, |inference| {
                ranked(inference, &self.observed, &self.panel, &self.background())
            })
        })
    }

    /// Returns what to read next.
    pub fn plan(&self) -> &Plan {
        self.plan.get_or_init(|| {
            let Some(inference) = self.inference() else {
                return Plan { stop: Stop::NothingLeft, readings: Vec::new() };
            };
            self.viewed(inference, plan)
        })
    }

    /// Returns the fuses to read along a row before anything is typed, if the plan goes on with one of them and that is
    /// quicker than one after the other.
    pub fn round(&self) -> Option<&Round> {
        let made = || {
            let first = self.plan().readings.first().filter(|_| self.plan().stop == Stop::Open)?;
            self.viewed(self.inference()?, |view| round(first, view))
        };
        self.round.get_or_init(made).as_ref()
    }

    /// Returns every fuse of the map as it is read along its row, and what a high one would have to carry: what is sought, or
    /// the limit where no total is known.
    pub fn bay(&self) -> (Ampere, Vec<(FeedId, Option<RoundRead>)>) {
        let excess = self.excess.as_ref().map(Uncertain::value).filter(|excess| *excess > Ampere::ZERO);
        let limit = self.limit.as_ref().map(|limit| limit.current);
        let sought = excess.or(limit).unwrap_or_default();
        (sought, bay(&setting(&self.facts, &self.observed), sought))
    }

    /// Looks at everything that planning looks at.
    fn viewed<T>(&self, inference: &Inference, with: impl FnOnce(&PlanView) -> T) -> T {
        with(&PlanView {
            setting: setting(&self.facts, &self.observed),
            inference,
            excess: self.excess.clone(),
            here: place_of_last(&self.facts.readings, &self.panel),
            doubtful: &doubtful_entries(self.account.as_ref(), &self.facts.readings),
            below: &self.observed.below,
            seen: &self.background().seen,
            inside: self.observed.inside().collect(),
            ended: self.observed.ended().is_some(),
        })
    }

    /// Returns what explains most of the excess, with the probability that it is a cause that matters: a circuit where the
    /// draw is over its limit, else battery, charging side or use, where one of them was found.
    pub fn leader(&self) -> Leader {
        self.leading_supply().map_or_else(|| self.leading_circuit(), Leader::from)
    }

    /// Returns what matters beside the leader.
    pub fn also(&self) -> Vec<Leader> {
        let first = self.leader();
        let is_cause = |one: &Leader| one.kind.is_draw() && one.probability >= ALSO;
        let circuit = Some(self.leading_circuit()).filter(is_cause);
        let supply = self.facts.supply.iter().filter(|one| one.probability >= ALSO).map(Leader::from);
        let circuits =
            circuit.filter(|_| self.total.is_some()).into_iter().chain(self.ranking().also(&self.panel));
        supply.chain(circuits).filter(|one| *one != first).collect()
    }

    fn leading_circuit(&self) -> Leader {
        self.ranking().leaders(&self.panel).into_iter().next().unwrap_or(Leader::NOTHING)
    }

    /// Returns battery, charging side or use, if one of them leads: it is likelier than not, and no draw over the limit
    /// asks for a circuit first.
    pub fn leading_supply(&self) -> Option<&SupplyCause> {
        let first = self.facts.supply.first().filter(|one| one.probability >= ALSO)?;
        let is_drawn = || match self.verdict {
            None => self.total.is_some() && !self.is_nothing(),
            Some(DrawVerdict::Within) => false,
            Some(DrawVerdict::Over) => true,
            Some(DrawVerdict::Undecided) => !self.is_nothing(),
        };
        Some(first).filter(|_| !is_drawn())
    }

    fn is_nothing(&self) -> bool {
        let circuit = self.leading_circuit();
        circuit.kind.is_nothing() || circuit.probability < ALSO
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
    let variance: f64 = panel.parts.iter().map(|part| part.asleep_sd.base().powi(2)).sum();
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

fn setting<'a>(facts: &'a Facts, observed: &'a Observed) -> Setting<'a> {
    Setting {
        panel: &facts.panel,
        table: facts.table,
        meter: &facts.meter,
        clamp: &facts.clamp,
        ammeter: &facts.ammeter,
        zero: facts.zero,
        temperature: facts.temperature.clone(),
        interrupted: observed.interrupted.clone(),
        observations: &observed.observations,
        tried: &observed.tried,
        calibrated: &observed.calibrated,
        sleep: facts.sleep,
        passed_over: &facts.passed_over,
    }
}

/// Returns the box of the last reading taken at a fuse.
fn place_of_last(readings: &[Reading], panel: &Panel) -> Option<BoxId> {
    let feed = readings.iter().rev().find_map(|reading| match &reading.what {
        Measurement::Drop { feed, .. }
        | Measurement::Below { feed, .. }
        | Measurement::Pull { feed, .. }
        | Measurement::Step { feed, .. }
        | Measurement::Refit { feed, .. } => Some(feed.as_str()),
        Measurement::Clamp { at, .. } => Some(at.as_str()),
        _ => None,
    })?;
    let feed = panel.tree.find_feed(feed).ok()?;
    panel.map.feeds.get(feed)?.place
}
