//! What a meter log of the night says of what draws: why a fuse or network is suspect.
//! Leaves to others: the weighing (`infer/night`), the log itself (`text/settle`), what to do next (`text/next`).

use super::settle::ledger_line;
use crate::base::quantity::Minute;
use crate::infer::night::NightEvidence;
use crate::measure::night::LedgerLine;
use crate::measure::sighting::SightingPlace;

/// Says what was there at times: how often, how long, how much, and when.
pub(super) fn what(line: &LedgerLine, night: &NightEvidence) -> String {
    let when =
        |after: Minute| night.first.map_or_else(|| super::settle::span(after), |first| first.to_rfc3339());
    ledger_line(line, &when)
}

/// Returns why something is suspect of what a log shows; `is_its` tells the places that are its own.
pub fn why(night: &NightEvidence, is_its: impl Fn(SightingPlace) -> bool) -> Option<String> {
    let line = night.line.as_ref()?;
    let found = |word: &str| night.found.iter().any(|one| one.found == word && is_its(one.at));
    let mut said = format!("The draw comes and goes: {}.", what(line, night));
    for (word, tells) in [
        ("rises-so", " It rises so when it is awake."),
        ("carries", " Logged beside the total, it carried that."),
        ("carries-nothing", " Logged beside the total, it carried none of that."),
        ("rises-first", " It rose first."),
    ] {
        if found(word) {
            said += tells;
        }
    }
    if !["rises-so", "carries", "rises-first"].into_iter().any(found) {
        said += " Nothing in the log points to it.";
    }
    Some(said)
}
