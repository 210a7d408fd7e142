//! Hunting by the plan: the analysis of every hunt, the reading that it puts first, until it stops. The technician
//! looks on whatever the verdict on the total, as one does when the battery was flat.
//! Leaves to others: the analysis (`plan/analysis`), taking the readings (`bench`).

use super::bench::ScoreBench;
use super::policy::{Ending, Hunted, Name, Said};
use crate::infer::assumptions::NARROWS_NOTHING;
use crate::infer::leader::{Leader, LeaderKind};
use crate::infer::rank::Ranking;
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::Panel;
use crate::plan::analysis::Analysis;
use crate::plan::proposal::{Proposal, Stop};
use crate::plan::reports::asked_together;

/// More readings than any map of this size has places for: the plan would go round in circles.
const MOST: usize = 400;

/// Hunts until the plan stops.
pub(super) fn hunt(mut bench: ScoreBench) -> Hunted {
    loop {
        let analysis = bench.analyse();
        let ending = match analysis.plan().stop {
            Stop::Open if bench.count() >= MOST => Some(Ending::Endless),
            Stop::Open => None,
            // A held group isn't found before the input is that holds it; what is left after its release may be a
            // second cause.
            Stop::Decided(_) if bench.count() < MOST && tries_an_input(&analysis) => None,
            Stop::Decided(_) => Some(Ending::Decided),
            Stop::NothingWrong(_) | Stop::AsMapped(_) | Stop::AtTimes(_) => Some(Ending::NothingWrong),
            Stop::Ended => Some(Ending::Ended),
            Stop::NotWorth(_) => Some(Ending::NotWorth),
            Stop::NothingLeft => Some(Ending::NothingLeft),
        };
        if let Some(ending) = ending {
            return bench.end(said(analysis.ranking(), &analysis.panel), ending);
        }
        let taken = match analysis.plan().readings.first() {
            Some(_) if analysis.round().is_some() => {
                analysis.round().is_some_and(|round| bench.take_round(round).is_ok())
            }
            Some(first) if asked_together(first, analysis.plan()).len() > 1 => {
                bench.take_reports(&asked_together(first, analysis.plan())).is_ok()
            }
            Some(first) => bench.take(first.action, first.at.as_deref().unwrap_or_default()).is_ok(),
            None => false,
        };
        if !taken {
            return bench.end(said(analysis.ranking(), &analysis.panel), Ending::Refused);
        }
    }
}

/// Returns true if working an input is what comes next, or asking the vehicle how it stands.
fn tries_an_input(analysis: &Analysis) -> bool {
    let is_at_input = |first: &Proposal| match first.action {
        MeasurementKind::Input => true,
        MeasurementKind::Report => first.at.as_deref().is_some_and(|at| !at.contains('/')),
        _ => false,
    };
    let input = |first: &Proposal| is_at_input(first) && first.bits > NARROWS_NOTHING;
    analysis.plan().readings.first().is_some_and(input)
}

/// Below this nothing is told: sums over all the others are not wanted.
const WORTH_TELLING: f64 = 0.001;

/// What is said of each cause: how likely it is one that matters, that first which explains most of the excess.
fn said(ranking: &Ranking, panel: &Panel) -> Vec<Said> {
    let sound = ranking.nothing_wrong + ranking.harmless + ranking.not_present_now;
    let is_gone = ranking.not_present_now > ranking.nothing_wrong + ranking.harmless;
    let name = |leader: Leader| match leader.kind {
        LeaderKind::Branch | LeaderKind::Unfused => Some((Name::Branch(leader.name), leader.probability)),
        LeaderKind::Group => Some((Name::Group(leader.name), leader.probability)),
        // Of the two that no reading tells apart, the likelier stands for both.
        LeaderKind::Nothing if !is_gone => Some((Name::Nothing, sound)),
        LeaderKind::NotPresent if is_gone => Some((Name::Gone, sound)),
        // Counted with the branch that it was on.
        LeaderKind::Nothing | LeaderKind::NotPresent | LeaderKind::Cured => None,
        // No vehicle of the score has such a fault.
        LeaderKind::Battery | LeaderKind::Charging | LeaderKind::Use => None,
    };
    let all = ranking.leaders(panel).into_iter().filter_map(name);
    all.filter(|(_, probability)| *probability >= WORTH_TELLING)
        .map(|(name, probability)| Said { name, probability })
        .collect()
}
