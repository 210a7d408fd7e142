//! The JSON shapes of `infer`, `next` and `balance`. Field names are a contract; every key is always there.
//! A key holds `null` where there is nothing to say yet: no total, no limit, no floor, no verdict.
//! Leaves to others: the shape of one quantity (`base/quantity/show`), the words in `why` (`text`).

use serde_json::{Value, json};

use crate::balance::{Balance, FeedLine};
use crate::base::quantity::show::{Q, Shown, q};
use crate::base::quantity::{Ampere, Uncertain, Unit};
use crate::infer::cured::Cured;
use crate::infer::rank::{Excess, HeldGroup, Ranking, Suspect, SuspectPair};
use crate::plan::analysis::Analysis;
use crate::plan::next::{Proposal, Stop};
use crate::text;

/// What a load is called that no map lists.
const UNLISTED: &str = "unlisted load";

/// Returns a quantity, or null where there is none.
pub fn q_or_null<U: Shown>(quantity: Option<&Uncertain<U>>) -> Value {
    quantity.map_or(Value::Null, |quantity| json!(q(quantity)))
}

/// Rounds a probability to four decimals: further ones carry nothing.
pub fn probability(p: f64) -> f64 {
    (p * 1e4).round() / 1e4
}

/// Returns what `suspects` prints.
pub fn suspects(analysis: &Analysis) -> Value {
    let ranking = analysis.ranking();
    json!({
        "total": q_or_null(analysis.total.as_ref()),
        "limit": analysis.limit.as_ref().map(|limit| {
            json!({"ma": limit.current.milli(), "source": limit.source})
        }),
        "verdict": analysis.verdict.map(|verdict| verdict.word()),
        "excess": q_or_null(analysis.excess.as_ref()),
        "unplaced": q_or_null(analysis.account.as_ref().and_then(|account| account.unplaced.as_ref())),
        "suspects": ranking.suspects.iter().map(|one| suspect(one, analysis)).collect::<Vec<_>>(),
        "pairs": pairs(analysis),
        "wake_groups": ranking.groups.iter().map(|one| group(one, analysis)).collect::<Vec<_>>(),
        "nothing_wrong": probability(ranking.nothing_wrong),
        "not_present_now": probability(ranking.not_present_now),
        "cured_by_pull": cured(ranking),
    })
}

/// Returns the pull that may have cured the fault, or null.
pub(super) fn cured(ranking: &Ranking) -> Value {
    let one = |cured: &Cured| json!({"feed": cured.feed, "probability": probability(cured.probability)});
    ranking.cured.as_ref().map_or(Value::Null, one)
}

/// Returns the pairs of branches (or a group and a branch) that are to blame together.
pub(super) fn pairs(analysis: &Analysis) -> Vec<Value> {
    let one =
        |pair: &SuspectPair| json!({"branches": pair.branches, "probability": probability(pair.probability)});
    analysis.ranking().pairs.iter().map(one).collect()
}

/// Returns an excess in the shape of every quantity.
fn excess(excess: &Excess) -> Q {
    let Excess { value, u, low, high } = *excess;
    let symmetrical = q(&Uncertain::new(value, u));
    Q { low: q(&Uncertain::exact(low)).value, high: q(&Uncertain::exact(high)).value, ..symmetrical }
}

/// Returns one suspect.
pub(super) fn suspect(suspect: &Suspect, analysis: &Analysis) -> Value {
    let loads: Vec<&str> =
        suspect.loads.iter().map(|(name, _)| name.as_deref().unwrap_or(UNLISTED)).collect();
    json!({
        "branch": suspect.id,
        "probability": probability(suspect.probability),
        "excess": excess(&suspect.excess),
        "loads": loads,
        "why": text::suspects::why(suspect, analysis.excess.as_ref(), &analysis.panel),
    })
}

/// Returns one wake group.
pub(super) fn group(group: &HeldGroup, analysis: &Analysis) -> Value {
    json!({
        "group": group.id,
        "probability": probability(group.probability),
        "why": text::suspects::why_group(group, &analysis.panel),
    })
}

/// Returns what `next` prints. `done` is true once a branch or group is decided, or nothing left can tell;
/// readings that narrow further may be listed all the same.
pub fn next(analysis: &Analysis) -> Value {
    let (who, leads) = analysis.leader();
    let readings = &analysis.plan().readings;
    json!({
        "done": analysis.plan().stop != Stop::Open,
        "why": text::next::stop(&analysis.plan().stop, analysis.excess.as_ref(), (&who, leads)),
        "readings": readings.iter().map(|one| reading(one, analysis)).collect::<Vec<_>>(),
    })
}

fn reading(proposal: &Proposal, analysis: &Analysis) -> Value {
    json!({
        "action": proposal.action.row().word,
        "at": proposal.at,
        "minutes": (proposal.minutes.base() * 10.0).round() / 10.0,
        "bits": (proposal.bits * 1e3).round() / 1e3,
        "floor": q_or_null(proposal.floor.as_ref()),
        "why": text::next::why(proposal, analysis.excess.as_ref()),
    })
}

/// Returns what `account` prints. `feeds` has every feed of the map, read or not; `unfused` has what is connected
/// without a feed of its own, in the same shape.
pub fn account(analysis: &Analysis) -> Value {
    let account = analysis.account.as_ref();
    let lines = |pick: fn(&Balance) -> &[FeedLine]| -> Vec<Value> {
        account.map(pick).unwrap_or_default().iter().map(feed).collect()
    };
    let conflicts = analysis.conflicts().iter().map(|conflict| {
        json!({
            "entries": conflict.entries,
            "why": text::account::conflict(conflict, &analysis.panel),
        })
    });
    json!({
        "total": q_or_null(account.and_then(|account| account.total.as_ref())),
        "placed": q_or_null(account.map(|account| &account.placed)),
        "unplaced": q_or_null(account.and_then(|account| account.unplaced.as_ref())),
        "feeds": lines(|account| &account.feeds),
        "conflicts": conflicts.collect::<Vec<_>>(),
        "unfused": lines(|account| &account.unfused),
    })
}

fn feed(line: &FeedLine) -> Value {
    let floor = line.floor.map(Uncertain::<Ampere>::exact);
    json!({
        "id": line.id,
        "current": q(&line.current),
        "own": q(&line.own),
        "measured": line.measured,
        "floor": q_or_null(floor.as_ref()),
    })
}
