//! The JSON shapes of `suspects`, `next` and `account`.
//! Leaves to others: the conclusions (`infer`, `plan`, `balance`), the words in `why` (`text`).

use super::{probability, round};
use crate::balance::conflict::Conflict;
use crate::balance::{Balance, FeedLine};
use crate::base::quantity::show::{Q, q};
use crate::base::quantity::{Ampere, Uncertain, Unit};
use crate::circuit::map::Limit;
use crate::infer::cured::Cured;
use crate::infer::leader::Leader;
use crate::infer::pairs_ranked::SuspectPair;
use crate::infer::rank::{Excess, HeldGroup, Suspect};
use crate::plan::analysis::Analysis;
use crate::plan::proposal::{Proposal, Stop};
use crate::plan::refit::with_refit;
use crate::plan::round::{Round, RoundRead};
use crate::text;

/// What a load is called that no map lists.
pub(crate) const UNLISTED: &str = "unlisted load";

shape! {
    /// What `suspects` prints.
    SuspectsShape(analysis: &Analysis) [let ranking = analysis.ranking();] {
        /// Settled total.
        total: Option<Q> = analysis.total.as_ref().map(q),
        limit: Option<LimitShape> = analysis.limit.as_ref().map(LimitShape::of),
        /// What the total is against the limit.
        verdict: Option<&'static str> = analysis.verdict.map(|verdict| verdict.word()),
        /// What the total is above normal.
        excess: Option<Q> = analysis.excess.as_ref().map(q),
        /// What no reading places.
        unplaced: Option<Q> = analysis.account.as_ref().and_then(|account| account.unplaced.as_ref()).map(q),
        /// What explains most of the excess.
        leader: LeaderShape = LeaderShape::of(&analysis.leader()),
        /// Further causes that matter against the limit.
        also: Vec<LeaderShape> = analysis.also().iter().map(LeaderShape::of).collect(),
        /// Those first that explain most of the excess.
        suspects: Vec<SuspectShape> = ranking.suspects.iter().map(|one| SuspectShape::of(one, analysis)).collect(),
        pairs: Vec<PairShape> = ranking.pairs.iter().map(PairShape::of).collect(),
        wake_groups: Vec<GroupShape> = ranking.groups.iter().map(|one| GroupShape::of(one, analysis)).collect(),
        /// Probability that nothing is wrong.
        nothing_wrong: f64 = probability(ranking.nothing_wrong),
        /// Probability that the fault is not there now.
        not_present_now: f64 = probability(ranking.not_present_now),
        cured_by_pull: Option<CuredShape> = ranking.cured.as_ref().map(CuredShape::of),
    }

    /// What leads, or matters besides.
    LeaderShape(leader: &Leader) {
        /// What kind of thing: branch, group, unfused, nothing, not-present, cured, battery, charging, use.
        kind: &'static str = leader.kind.word(),
        name: Option<String> = Some(leader.name.clone()).filter(|name| !name.is_empty()),
        /// Probability that it is a cause that matters.
        probability: f64 = probability(leader.probability),
    }

    /// A limit in milliampere, and where it is from.
    LimitShape(limit: &Limit) {
        ma: f64 = limit.current.milli(),
        source: String = limit.source.clone(),
    }

    /// A pull that may have cured the fault.
    CuredShape(cured: &Cured) {
        feed: String = cured.feed.clone(),
        probability: f64 = probability(cured.probability),
    }

    /// Two branches (or a group and a branch) that are to blame together.
    PairShape(pair: &SuspectPair) {
        branches: [String; 2] = pair.branches.clone(),
        probability: f64 = probability(pair.probability),
    }

    /// One suspect.
    SuspectShape(suspect: &Suspect, analysis: &Analysis) {
        /// A feed, an unfused item, or what no map lists at the battery or below a feed.
        branch: String = suspect.id.clone(),
        probability: f64 = probability(suspect.probability),
        /// Part of the excess that it is expected to explain, 0 to 1.
        share: f64 = probability(suspect.standing.share),
        /// What it draws above normal, if it is to blame.
        excess: Q = excess(&suspect.excess),
        /// Likeliest first.
        loads: Vec<String> = suspect.loads.iter().map(|(name, _)| name.as_deref().unwrap_or(UNLISTED).to_owned()).collect(),
        why: String = text::suspects::why(suspect, analysis.excess.as_ref(), &analysis.facts.night, &analysis.panel),
    }

    /// A wake group that may be held awake.
    GroupShape(group: &HeldGroup, analysis: &Analysis) {
        group: String = group.id.clone(),
        probability: f64 = probability(group.probability),
        /// Part of the excess that it is expected to explain, 0 to 1.
        share: f64 = probability(group.standing.share),
        why: String = text::suspects::why_group(group, &analysis.facts.night, &analysis.panel),
    }

    /// What `next` prints.
    NextShape(analysis: &Analysis) [let (plan, supply) = (with_refit(analysis), analysis.leading_supply());] {
        /// True once a branch or group is decided, or nothing left can tell; readings that narrow further may be listed
        /// all the same.
        done: bool = plan.stop != Stop::Open || supply.is_some(),
        why: String = match supply {
            Some(cause) => text::supply::why(cause),
            None => crate::hunt::show::stop_words(analysis, &plan.stop),
        },
        /// Best first.
        readings: Vec<ProposalShape> = plan.readings.iter().map(|one| ProposalShape::of(one, analysis)).collect(),
        /// Fuses to read along a row before anything is typed; null where one reading comes next.
        round: Option<RoundShape> = analysis.round().filter(|_| supply.is_none()).map(|found| RoundShape::of(found, analysis)),
    }

    /// Fuses to read along a row, in the order in which they sit.
    RoundShape(found: &Round, analysis: &Analysis) {
        /// Box; null if the map has none for them.
        #[serde(rename = "box")]
        place: Option<String> = found.place.and_then(|place| analysis.panel.map.boxes.get(place)).map(|place| place.id.clone()),
        minutes: f64 = round(found.minutes.base(), 1),
        reads: Vec<RoundReadShape> = found.reads.iter().map(RoundReadShape::of).collect(),
    }

    /// One fuse of a round.
    RoundReadShape(read: &RoundRead) {
        at: String = read.at.clone(),
        /// What it should show asleep, in millivolts.
        asleep_mv: f64 = round(read.asleep.milli(), 3),
        /// From so much on it is high.
        high_mv: f64 = round(read.high.value.milli(), 3),
    }

    /// One reading to take.
    ProposalShape(proposal: &Proposal, analysis: &Analysis) {
        action: &'static str = proposal.action.row().word,
        /// Where; null at the battery.
        at: Option<String> = proposal.at.clone(),
        minutes: f64 = round(proposal.minutes.base(), 1),
        /// Information that it is expected to bring.
        bits: f64 = round(proposal.bits, 3),
        /// Smallest current that it can show.
        floor: Option<Q> = proposal.floor.as_ref().map(q),
        why: String = text::next::why(proposal, analysis.excess.as_ref(), &analysis.panel),
    }

    /// What `account` prints.
    AccountShape(analysis: &Analysis) [
        let account = analysis.account.as_ref();
        let lines = |pick: fn(&Balance) -> &[FeedLine]| -> Vec<FeedShape> {
            account.map(pick).unwrap_or_default().iter().map(FeedShape::of).collect()
        };
    ] {
        total: Option<Q> = account.and_then(|account| account.total.as_ref()).map(q),
        placed: Option<Q> = account.map(|account| q(&account.placed)),
        unplaced: Option<Q> = account.and_then(|account| account.unplaced.as_ref()).map(q),
        /// Every feed of the map, read or not.
        feeds: Vec<FeedShape> = lines(|account| &account.feeds),
        conflicts: Vec<ConflictShape> = analysis.conflicts().iter().map(|one| ConflictShape::of(one, analysis)).collect(),
        /// What is connected without a feed of its own.
        unfused: Vec<FeedShape> = lines(|account| &account.unfused),
    }

    /// One feed of the account.
    FeedShape(line: &FeedLine) {
        id: String = line.id.clone(),
        /// What flows through it.
        current: Q = q(&line.current),
        /// What it carries itself, without the feeds below it.
        own: Q = q(&line.own),
        measured: bool = line.measured,
        /// Smallest current that its reading can show.
        floor: Option<Q> = line.floor.map(|floor| q(&Uncertain::exact(floor))),
    }

    /// Entries that contradict each other.
    ConflictShape(conflict: &Conflict, analysis: &Analysis) {
        entries: Vec<usize> = conflict.entries.clone(),
        why: String = text::account::conflict(conflict, &analysis.panel),
    }
}

/// Returns an excess in the shape of every quantity.
pub(crate) fn excess(excess: &Excess) -> Q {
    let end = |end: Ampere| q(&Uncertain::exact(end)).value;
    Q { low: end(excess.low), high: end(excess.high), ..q(&Uncertain::new(excess.value, excess.u)) }
}
