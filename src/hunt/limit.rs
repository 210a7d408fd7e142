//! The limit that a case is held against. Leaves to others: which limits there are (`battery/limit`).

use crate::battery::limit::choose;
use crate::circuit::map::Limit;
use crate::log::case::Case;

/// Returns the limit that holds for a case; `None` if nobody told one and none is published for its class.
pub fn limit_of(case: &Case) -> Option<Limit> {
    choose(case.limit.as_ref(), &case.map).map(|chosen| chosen.limit)
}
