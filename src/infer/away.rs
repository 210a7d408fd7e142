//! A draw that comes and goes: a meter log shows that it takes too much, and it is away while somebody reads. Then what is
//! read now tells nothing of it, and the causes are weighed by what the log shows of each.
//! Leaves to others: what the log shows (`night`), how much each finding says (`circuit/signs`).

use super::assumptions::LOG_MISLEADS;
use super::cause::Cause;
use super::hypothesis::Hypothesis;
use super::posterior::ScoredHypothesis;
use super::sign::Seen;
use super::weight::Background;
use crate::base::numeric::density::ln_sum_exp;
use crate::measure::observation::Panel;

/// Shares what comes and goes among the causes: their probabilities given that one of them is away now. Returns nothing
/// unless the log shows that it takes too much.
pub(super) fn shared<'a>(
    hypotheses: impl Iterator<Item = &'a Hypothesis>,
    background: &Background,
    panel: &Panel,
) -> Vec<f64> {
    let Background { night, seen, .. } = background;
    if !night.is_woken {
        return Vec::new();
    }
    // A log of an ammeter asks for no power that a hand could feel.
    let (times_out, series) = (seen.times_out.clone(), seen.series);
    let sightings = night.found.clone();
    let seen = Seen { sightings, times_out, series, watts: f64::INFINITY, ..Seen::default() };
    let ln = |one: &Hypothesis| match one.cause {
        Cause::Nothing => f64::NEG_INFINITY,
        cause => one.prior.ln() + seen.about(cause, panel).iter().map(|(_, ln)| ln).sum::<f64>(),
    };
    let all: Vec<f64> = hypotheses.map(ln).collect();
    let sum = ln_sum_exp(all.iter().copied());
    all.into_iter().map(|ln| (ln - sum).exp()).collect()
}

/// Returns the probability that the fault is away now, and what all other explanations are multiplied with, given the
/// probability that everything reads sound and the share of it that is a fault that is away.
pub(super) fn weighed_with_log(sound: f64, not_now: f64) -> (f64, f64) {
    let away = sound * not_now;
    let all = away + LOG_MISLEADS * (1.0 - away);
    (away / all, LOG_MISLEADS / all)
}

/// Returns the probability that everything reads sound.
pub(super) fn sound(weighed: &[ScoredHypothesis]) -> f64 {
    weighed.iter().filter(|one| one.hypothesis.cause == Cause::Nothing).map(|one| one.probability).sum()
}
