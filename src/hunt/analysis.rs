//! Everything that the readings of a case say, and what the case adds to them: limit, sleep time, zero, temperature.
//! Leaves to others: the analysis itself (`plan/analysis`), the questions (`stage`).

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Celsius, Minute, Uncertain};
use crate::battery::limit::choose;
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::limits::Limits;
use crate::circuit::map::{Limit, Map};
use crate::hunt::supply;
use crate::instrument::profile::Profile;
use crate::instrument::uncertainty::{Zero, current};
use crate::log::case::Case;
use crate::measure::observation::Panel;
use crate::measure::{Measurement, Reading, box_temperature};
use crate::plan::analysis::Facts;

pub use crate::plan::analysis::Analysis;

/// All that an analysis follows from.
#[derive(Debug, Clone, PartialEq)]
struct Inputs {
    map: Map,
    readings: Vec<Reading>,
    meter: Profile,
    clamp: Profile,
    zero: Option<Zero>,
    temperature: Uncertain<Celsius>,
    limit: Option<Limit>,
    sleep: Minute,
    told: Vec<&'static str>,
}

thread_local! {
    /// The newest analysis. A prompt asks for one several times over, and most answers change nothing of what it
    /// follows from; reckoned anew it would be the same.
    static NEWEST: RefCell<Option<(Inputs, Rc<Analysis>)>> = const { RefCell::new(None) };
}

impl Analysis {
    /// Analyses a case.
    ///
    /// # Errors
    /// The embedded fuse table does not read: a fault of this build.
    pub fn of(case: &Case) -> Result<Rc<Self>, Diagnostic> {
        let zero = case.zeros.last();
        let inputs = Inputs {
            map: case.map.clone(),
            readings: case.readings.clone(),
            meter: case.opened.meter.clone(),
            clamp: case.opened.clamp.clone(),
            zero: zero.map(|zero| Zero { entry: zero.stamp.entry, offset: zero.what.value }),
            temperature: box_temperature(case.temperatures.last().map(|noted| noted.what.value.value)),
            limit: limit_of(case),
            sleep: sleep_after(case),
            told: told_of(case),
        };
        let newest = NEWEST.with_borrow(|newest| {
            newest.as_ref().filter(|(known, _)| *known == inputs).map(|(_, analysis)| Rc::clone(analysis))
        });
        if let Some(newest) = newest {
            return Ok(newest);
        }
        let analysis = Rc::new(Self::of_facts(&Facts {
            panel: &Arc::new(Panel::new(inputs.map.clone())),
            table: &FuseTable::builtin()?,
            readings: &inputs.readings,
            meter: &inputs.meter,
            clamp: &inputs.clamp,
            zero: inputs.zero,
            temperature: inputs.temperature.clone(),
            limit: inputs.limit.clone(),
            sleep: inputs.sleep,
            told: inputs.told.clone(),
        }));
        NEWEST.set(Some((inputs, Rc::clone(&analysis))));
        Ok(analysis)
    }
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
    told
}

/// A settled draw so many times smaller than the least that the time to flat tells of is not what flattens it.
/// Editorial: people tell times roughly.
const FAR_LESS: f64 = 2.0;

/// Returns true if the vehicle is told to be flat sooner than its settled draw can make it.
fn is_flat_sooner(case: &Case) -> bool {
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
    newest.zip(told).is_some_and(|(settled, (least, _))| settled * FAR_LESS < least)
}

/// Returns the limit that holds for a case; `None` if nobody told one and none is published for its class.
pub fn limit_of(case: &Case) -> Option<Limit> {
    choose(case.limit.as_ref(), &case.map).map(|chosen| chosen.limit)
}

/// Returns the minutes that the vehicle needs to sleep: the map's, else by the year that was told, else the default.
pub fn sleep_after(case: &Case) -> Minute {
    let year = case.answer("interview.year").and_then(|year| year.trim().parse::<u16>().ok());
    case.map.sleep_after.unwrap_or_else(|| Limits::builtin().sleep_after(year).0)
}

/// Returns what a reading of a current is worth when it stands alone, such as a total as found.
pub fn plain_current(shown: &crate::base::quantity::Typed<Ampere>, case: &Case) -> Uncertain<Ampere> {
    current(shown, &case.opened.clamp)
}
