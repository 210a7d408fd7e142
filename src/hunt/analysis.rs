//! Everything that the readings so far say: claims, account, suspects, plan, limit, verdict. Made anew from the case
//! each time, so that the same entries always give the same conclusions.
//! Leaves to others: each conclusion itself (`reading`, `account`, `suspects`), the questions (`stage`).

use crate::account::Account;
use crate::account::conflict::Conflict;
use crate::account::solve::account;
use crate::account::verdict::{Verdict, judge};
use crate::circuits::fuse_table::FuseTable;
use crate::circuits::limits::Limits;
use crate::circuits::loads::Catalogue;
use crate::circuits::map::Limit;
use crate::fault::Fault;
use crate::instrument::uncertainty::{Zero, current};
use crate::quantity::{Ampere, Celsius, Minute, Uncertain, Unit};
use crate::reading::What;
use crate::reading::claim::{Claim, Panel, Scope};
use crate::reading::observe::{Observed, observe};
use crate::session::case::Case;
use crate::suspects::candidate::Setting;
use crate::suspects::plan::{Plan, View, plan};
use crate::suspects::rank::{Ranking, rank};
use crate::suspects::{Inference, infer};

/// Temperature of a box when nobody measured it, with its standard uncertainty. Editorial.
const ROOM: (Celsius, Celsius) = (Celsius::new(20.0), Celsius::new(5.0));
/// Standard uncertainty of a temperature that somebody gave. Editorial.
const GIVEN: Celsius = Celsius::new(2.0);

/// What the readings say.
#[derive(Debug)]
pub struct Analysis {
    /// The vehicle.
    pub panel: Panel,
    /// Claims and events.
    pub observed: Observed,
    /// Where the total goes; `None` only if the readings have no covariance.
    pub account: Option<Account>,
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
    pub verdict: Option<Verdict>,
}

impl Analysis {
    /// Analyses a case.
    ///
    /// # Errors
    /// The embedded fuse table does not read: a fault of this build.
    pub fn of(case: &Case) -> Result<Self, Fault> {
        let table = FuseTable::builtin()?;
        let panel = Panel::new(case.map.clone());
        let observed = observe(&case.readings, &panel, &table);
        let account = account(&observed.claims, &panel);
        let inference = infer(&observed.claims, &panel, Catalogue::builtin());
        let total = newest_total(&observed.claims);
        let excess = total.as_ref().map(|total| excess_of(total, &panel));
        let limit = limit_of(case);
        let verdict = total.as_ref().zip(limit.as_ref()).map(|(total, limit)| judge(total, limit.current));
        let ranking = match &inference {
            Some(inference) => rank(inference, &observed.claims, &panel),
            None => Ranking { suspects: Vec::new(), groups: Vec::new(), nothing_wrong: 0.0 },
        };
        let doubtful = doubtful_entries(account.as_ref());
        let plan = match &inference {
            Some(inference) => plan(&View {
                setting: setting(case, &panel, &table, &observed),
                weighed: &inference.weighed,
                ground: &inference.ground,
                excess: excess.clone(),
                here: place_of_last(case, &panel),
                doubtful: &doubtful,
                ended: observed.ended().is_some(),
            }),
            None => Plan { stop: crate::suspects::plan::Stop::NothingLeft, readings: Vec::new() },
        };
        Ok(Self { panel, observed, account, inference, ranking, plan, total, excess, limit, verdict })
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

fn newest_total(claims: &[Claim]) -> Option<Uncertain<Ampere>> {
    claims.iter().rev().find(|claim| claim.scope == Scope::Total).map(|claim| claim.current.clone())
}

/// The total less what the map expects asleep; that expectation has its own spread.
fn excess_of(total: &Uncertain<Ampere>, panel: &Panel) -> Uncertain<Ampere> {
    let expected: Ampere = panel.parts.all().iter().map(|part| part.asleep).sum();
    let variance: f64 = panel.parts.all().iter().map(|part| part.asleep_sd.base().powi(2)).sum();
    total.minus(&Uncertain::new(expected, Ampere::new(variance.sqrt())))
}

/// The user's limit, else the map's, else the default of the vehicle's class.
pub fn limit_of(case: &Case) -> Option<Limit> {
    let class = || Limits::builtin().default_limit(case.map.class);
    case.limit.clone().or_else(|| case.map.limit.clone()).or_else(class)
}

fn doubtful_entries(account: Option<&Account>) -> Vec<usize> {
    account.map_or_else(Vec::new, |account| {
        account.conflicts.iter().filter_map(|conflict| conflict.entries.first().copied()).collect()
    })
}

fn setting<'a>(
    case: &'a Case,
    panel: &'a Panel,
    table: &'a FuseTable,
    observed: &'a Observed,
) -> Setting<'a> {
    let zero = case.zeros.last().map(|(stamp, offset)| Zero { entry: stamp.entry, offset: offset.value });
    let given = case.temperatures.last().map(|(_, _, celsius)| Uncertain::new(celsius.value, GIVEN));
    Setting {
        panel,
        table,
        meter: &case.opened.meter,
        clamp: &case.opened.clamp,
        zero,
        temperature: given.unwrap_or_else(|| Uncertain::new(ROOM.0, ROOM.1)),
        interrupted: observed.interrupted.clone(),
        claims: &observed.claims,
        sleep: sleep_after(case),
    }
}

/// Returns the minutes that the vehicle needs to sleep: the map's, else by the year that was told, else the default.
pub fn sleep_after(case: &Case) -> Minute {
    let year = case.answer("interview.year").and_then(|year| year.trim().parse::<u16>().ok());
    case.map.sleep_after.unwrap_or_else(|| Limits::builtin().sleep_after(year).0)
}

/// Returns the box of the last reading taken at a fuse.
fn place_of_last(case: &Case, panel: &Panel) -> Option<usize> {
    let feed = case.readings.iter().rev().find_map(|reading| match &reading.what {
        What::Drop { feed, .. }
        | What::Pull { feed, .. }
        | What::Step { feed, .. }
        | What::Refit { feed, .. } => Some(feed.as_str()),
        What::Clamp { at, .. } => Some(at.as_str()),
        _ => None,
    })?;
    let feed = panel.tree.find_feed(feed).ok()?;
    panel.map.feeds.get(feed)?.place
}

/// Returns what a reading of a current is worth when it stands alone, such as a total as found.
pub fn plain_current(shown: &crate::quantity::Typed<Ampere>, case: &Case) -> Uncertain<Ampere> {
    current(shown, &case.opened.clamp)
}
