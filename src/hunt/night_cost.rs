//! What a logged night cost: its rest and its average against the limit, how long a battery stands so, and what each line of
//! its ledger may be. Leaves to others: finding the ledger (`trace`), what it says of each circuit (`night`).

use super::limit::limit_of;
use super::night::{average_of, read, repaired_at};
use super::supply;
use crate::balance::verdict::{DrawVerdict, judge_night};
use crate::base::quantity::{Ampere, Day, Uncertain};
use crate::log::case::Case;
use crate::log::trace_summary::TraceSummary;
use crate::trace::known::{Attribution, USUAL_LIMIT, attribute};

/// What a logged night cost.
#[derive(Debug, Clone, Default)]
pub struct NightCost {
    /// Rest and average against the limit; none without a limit or an average.
    pub verdict: Option<DrawVerdict>,
    /// Days that a full battery stands at the average.
    pub days: Option<Uncertain<Day>>,
    /// What each line of the ledger may be.
    pub attributed: Vec<Option<Attribution>>,
}

/// Returns what a night in the log cost.
pub fn night_cost(case: &Case, seen: &TraceSummary) -> NightCost {
    let limit = limit_of(case).map(|limit| limit.current);
    let level = seen.level.map(|shown| read(case, shown));
    let average = average_of(case, seen);
    let drawn = average.as_ref().filter(|average| average.value() > Ampere::ZERO);
    NightCost {
        verdict: limit
            .filter(|_| average.is_some())
            .map(|limit| judge_night(level.as_ref(), average.as_ref(), limit)),
        days: drawn
            .filter(|_| !supply::is_unreckoned(case))
            .and_then(|drawn| Some(supply::stock(case, true).ok()?.days(drawn))),
        attributed: attribute(&seen.whole_ledger(), Some(&case.map), limit.unwrap_or(USUAL_LIMIT)),
    }
}

/// Returns whether a night after the repair was quiet: rest and average within the limit. `None` without such a night, or
/// where it doesn't tell.
pub(super) fn was_quiet(case: &Case) -> Option<bool> {
    let repaired = repaired_at(case)?;
    let seen = case.watched.last().filter(|seen| seen.stamp.entry > repaired)?;
    match night_cost(case, &seen.what).verdict? {
        DrawVerdict::Within => Some(true),
        DrawVerdict::Over => Some(false),
        DrawVerdict::Undecided => None,
    }
}
