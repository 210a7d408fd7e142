//! What would decide a draw that is undecided against its limit: a better range, another method, or more time.
//! Leaves to others: the rule (`balance/verdict`).

use crate::balance::assumptions::ONE_SIDED_95;
use crate::balance::verdict::DrawVerdict;
use crate::base::quantity::show::{bare, spoken};
use crate::base::quantity::{Ampere, Typed, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::circuit::map::Limit;
use crate::instrument::profile::{Profile, Way};
use crate::instrument::uncertainty::current;

/// A meter ten times finer of the same make: what a better range brings.
const FINER: f64 = 10.0;
/// Where the draw is this close to the limit, no meter of a workshop decides: as a share of the limit. Editorial.
const TOO_CLOSE: f64 = 0.02;

/// Says what a settled draw is against its limit; where it is undecided, what would decide it.
pub fn judged(
    total: &Uncertain<Ampere>,
    limit: &Limit,
    verdict: DrawVerdict,
    decides: impl FnOnce() -> String,
) -> StyledText {
    let (role, tail) = match verdict {
        DrawVerdict::Over => (Role::Doubt, "over.".to_owned()),
        DrawVerdict::Within => (Role::Good, "within.".to_owned()),
        DrawVerdict::Undecided => (Role::Doubt, format!("undecided. What decides: {}.", decides())),
    };
    // Where it is from, without what is told behind it in brackets.
    let source = limit.source.split(" (").next().unwrap_or_default();
    StyledText::plain("Settled draw ")
        .and(Role::Value, spoken(total))
        .and(Role::Plain, format!(", limit {} ({}): ", bare(limit.current, 2), source))
        .and(role, tail)
}

/// Says that a draw is within its limit at rest, and over it on average with what wakes it.
pub fn woken(rest: &Uncertain<Ampere>, average: &Uncertain<Ampere>, limit: &Limit) -> StyledText {
    let source = limit.source.split(" (").next().unwrap_or_default();
    StyledText::plain("At rest ")
        .and(Role::Value, spoken(rest))
        .and(Role::Plain, ", on average ")
        .and(Role::Value, spoken(average))
        .and(Role::Plain, format!(", limit {} ({}): ", bare(limit.current, 2), source))
        .and(Role::Doubt, "over on average.")
}

/// Returns what would decide, in one sentence without its full stop.
pub fn what(draw: &Uncertain<Ampere>, limit: Ampere, clamp: &Profile) -> String {
    let apart = (draw.value() - limit).abs();
    if apart < limit * TOO_CLOSE {
        return format!(
            "it lies at the limit itself. Read it again later, or log it overnight ({} either way now)",
            bare(draw.u() * ONE_SIDED_95, 2)
        );
    }
    let finer = Profile { resolution: clamp.resolution / FINER, ..clamp.clone() };
    let shown = Typed::measured(draw.value(), finer.resolution, "");
    let decides = current(&shown, &finer).u() * ONE_SIDED_95 <= apart;
    let now = bare(draw.u() * ONE_SIDED_95, 2);
    let need = bare(apart, 2);
    match (clamp.way, decides) {
        (Way::Clamp, _) if clamp.resolution > limit.base() / FINER => format!(
            "this clamp is too coarse for {}. An ammeter in the negative cable, bridged until in place, shows it ({now} either way now, {need} needed)",
            bare(limit, 3)
        ),
        (_, true) => {
            format!("a range with one more digit ({now} either way now, {need} needed)")
        }
        _ => format!(
            "an ammeter in the negative cable, or a longer wait ({now} either way now, {need} needed)"
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::meters;

    fn said(draw: f64, limit: f64) -> String {
        let clamp = meters::find("clamp-1ma", false).expect("built in");
        let typed = Typed::measured(Ampere::from_milli(draw), 0.001, "");
        what(&current(&typed, &clamp), Ampere::from_milli(limit), &clamp)
    }

    #[test]
    fn a_better_range_decides_where_it_would() {
        assert!(said(47.0, 50.0).contains("one more digit"), "{}", said(47.0, 50.0));
        assert!(said(2.0, 1.5).contains("ammeter in the negative cable"), "{}", said(2.0, 1.5));
        assert!(said(50.2, 50.0).contains("overnight"), "{}", said(50.2, 50.0));
    }
}
