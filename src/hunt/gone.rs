//! A draw that was there as found and is not there once the vehicle was opened and fell asleep again: a finding of its own.
//! Leaves to others: the weights that follow (`circuit/hints`), the words (`text/ask/total`).

use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Uncertain};
use crate::infer::assumptions::FAR_LESS;
use crate::instrument::uncertainty::{DETECTION, current};
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::measure::{Measurement, Reading};

/// Returns the total as found and the settled one, if what drew then is clearly gone: far less now, and over the limit
/// then but not now, where there is one.
pub fn gone(case: &Case, limit: Option<Ampere>) -> Option<[Uncertain<Ampere>; 2]> {
    // What was taken off the sockets is not gone by itself.
    let found = without(case).or_else(|| case.total_as_found().and_then(total))?;
    let settled = case.settled_total().and_then(total)?;
    is_gone(&found, &settled, limit).then_some([found, settled])
}

/// Returns true if what drew as found is clearly gone from the settled total.
pub fn is_gone(found: &Uncertain<Ampere>, settled: &Uncertain<Ampere>, limit: Option<Ampere>) -> bool {
    let fell = settled.high() * FAR_LESS < found.low();
    let crossed = limit.is_none_or(|limit| found.low() > limit && settled.low() <= limit);
    fell && crossed
}

/// Returns what hung in the sockets drew, if the total as found fell clearly once it was taken off.
pub fn plugged(case: &Case) -> Option<Uncertain<Ampere>> {
    let drew = case.total_as_found().and_then(total)?.minus(&without(case)?);
    (drew.value() > drew.u() * DETECTION).then_some(drew)
}

fn total(reading: &Reading) -> Option<Uncertain<Ampere>> {
    match &reading.what {
        Measurement::Total { current: shown, .. } => Some(current(shown, &reading.clamp)),
        _ => None,
    }
}

/// The total as found with what was plugged in taken off, if it was read.
fn without(case: &Case) -> Option<Uncertain<Ampere>> {
    let typed = Ampere::read(case.answer(QuestionId::FoundWithout)?, "mA").ok()?;
    Some(current(&typed, case.ammeter()))
}
