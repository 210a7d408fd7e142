//! Everything that the readings of a case say, and what the case adds to them: limit, sleep time, zero, temperature.
//! Leaves to others: the analysis itself (`plan/analysis`), the questions (`stage`).

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use super::causes::causes;
use super::gone::gone;
use super::limit::limit_of;
use super::night::night_of;
use super::supply;
use crate::base::quantity::{Ampere, Minute, Uncertain};
use crate::battery::charging::Finding;
use crate::circuit::fuse_table::FuseTable;
use crate::infer::assumptions::FAR_LESS;
use crate::infer::wake_clock::Series;
use crate::instrument::uncertainty::{Zero, current};
use crate::log::case::{Case, Dated, Said};
use crate::log::question_id::{QuestionId, QuestionKey};
use crate::measure::kind::MeasurementKind;
use crate::measure::observation::Panel;
use crate::measure::{Measurement, Reading, box_temperature};
use crate::plan::analysis::Facts;

pub use crate::plan::analysis::Analysis;

thread_local! {
    /// The newest analysis. A prompt asks for one several times over, and most answers change nothing of what it
    /// follows from; reckoned anew it would be the same.
    static NEWEST: RefCell<Option<Rc<Analysis>>> = const { RefCell::new(None) };
}

impl Analysis {
    /// Analyses a case.
    pub fn of(case: &Case) -> Rc<Self> {
        let newest = NEWEST.with_borrow(Option::clone);
        let panel = newest.as_ref().map(|newest| &newest.panel).filter(|panel| panel.map == case.map);
        let facts = Facts {
            panel: panel.map_or_else(|| Arc::new(Panel::new(case.map.clone())), Arc::clone),
            table: FuseTable::builtin(),
            readings: case.readings.clone(),
            meter: case.meter().clone(),
            clamp: case.clamp().clone(),
            ammeter: case.ammeter().clone(),
            zero: case.zeros.last().map(|zero| Zero { entry: zero.stamp.entry, offset: zero.what.value }),
            temperature: box_temperature(case.temperatures.last().map(|noted| noted.what.value.value)),
            limit: limit_of(case),
            sleep: sleep_after(case),
            told: told_of(case),
            series: case.watched.last().and_then(|seen| Series::of(&seen.what)),
            night: night_of(case, limit_of(case).map(|limit| limit.current)),
            supply: causes(case),
            learnt: case.learnt.clone(),
            passed_over: passed_over(case),
        };
        if let Some(newest) = newest.filter(|newest| newest.facts == facts) {
            return newest;
        }
        let analysis = Rc::new(Self::of_facts(facts));
        NEWEST.set(Some(Rc::clone(&analysis)));
        analysis
    }
}

/// The questions at which one proposed reading can be passed over.
pub(super) const PASSED_OVER: [QuestionId; 2] = [QuestionId::TrailReading, QuestionId::NarrowReading];

/// Returns the id under which a proposed reading is passed over at the question with this id.
pub fn passed_over_id(question: QuestionId, action: MeasurementKind, at: Option<&str>) -> QuestionKey {
    question.with(["", action.row().word].into_iter().chain(at).collect::<Vec<_>>().join(" "))
}

/// Returns the proposed readings that were passed over.
fn passed_over(case: &Case) -> Vec<(MeasurementKind, Option<String>)> {
    let one = |skip: &Dated<Said>| {
        let QuestionKey { head, tail } = &skip.what.question;
        let rest = tail.strip_prefix(' ').filter(|_| PASSED_OVER.contains(head))?;
        let (word, at) = rest.split_once(' ').map_or((rest, None), |(word, at)| (word, Some(at)));
        Some((MeasurementKind::of_word(word)?, at.map(str::to_owned)))
    };
    case.skips.iter().filter_map(one).collect()
}

/// Returns what the interview told and what a meter log showed, in the words of `circuit/hints`.
pub fn told_of(case: &Case) -> Vec<&'static str> {
    let mut told = case.told().hints();
    let newest = case.watched.last().map(|seen| &seen.what);
    match newest {
        Some(watched) if watched.is_settled() && watched.regular => told.push("pulse"),
        Some(watched) if !watched.is_settled() => told.push("restless"),
        _ => {}
    }
    if is_flat_sooner(case) {
        told.push("sooner");
    }
    if gone(case, limit_of(case).map(|limit| limit.current)).is_some() {
        told.push("gone");
    }
    if supply::charging(case).iter().any(|found| matches!(found, Finding::Ripple(_, Some(false)))) {
        told.push("ripple");
    }
    told
}

/// Returns true if the vehicle is told to be flat sooner than its settled draw can make it.
pub(super) fn is_flat_sooner(case: &Case) -> bool {
    let settled = |reading: &Reading| match &reading.what {
        Measurement::Total { current: shown, as_found: false }
            if !reading.provisional && !reading.after_repair =>
        {
            Some(current(shown, &reading.clamp).high())
        }
        _ => None,
    };
    let newest = case.readings.iter().rev().find_map(settled);
    let told = case.told().stand.and_then(|stood| supply::draw_told(case, stood));
    // A battery that was not full says little about the draw.
    case.told().was_full() && newest.zip(told).is_some_and(|(settled, (least, _))| settled * FAR_LESS < least)
}

/// Returns the minutes that the vehicle needs to sleep: the map's, else by the model year, else the default.
pub fn sleep_after(case: &Case) -> Minute {
    case.sleep_after()
}

/// Returns what a reading of a current is worth when it stands alone, such as a total as found.
pub fn plain_current(shown: &crate::base::quantity::Typed<Ampere>, case: &Case) -> Uncertain<Ampere> {
    current(shown, case.ammeter())
}
