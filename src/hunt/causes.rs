//! What the answers tell of causes beside a circuit: battery, charging side, use. What was found before something was seen
//! to stays a finding, marked as mended.
//! Leaves to others: what each means (`battery/cause`), whether it or a circuit leads (`plan/analysis`), the words (`text`).

use super::supply::{self, answer, value};
use crate::base::quantity::{Ampere, Uncertain, Volt};
use crate::base::styled::StyledText;
use crate::battery::cause::{
    ChargingTraces, SupplyCause, SupplyKind, of_battery, of_charging, of_use, sorted,
};
use crate::battery::energy::{EnergyBalance, Road, Trips, balance};
use crate::battery::reason::BatteryVerdict;
use crate::battery::table::BatteryTable;
use crate::instrument::uncertainty::current;
use crate::log::case::{Case, Dated, Said};
use crate::log::question_id::QuestionId;
use crate::measure::Measurement;
use crate::text;
use crate::text::ask::prove as words;

/// Returns every cause beside a circuit that the answers tell of, likeliest first; one that was seen to is kept.
pub fn causes(case: &Case) -> Vec<SupplyCause> {
    let mut all = now(case);
    for entry in seen_to(case) {
        let then = now(&before(case, entry)).into_iter().map(|one| SupplyCause { mended: true, ..one });
        for one in then {
            if !all.iter().any(|known| known.name() == one.name()) {
                all.push(one);
            }
        }
    }
    sorted(all)
}

/// Returns true if battery or charging side was seen to after the settled total was read: then it is read again.
pub fn is_total_due(case: &Case) -> bool {
    let last = seen_to(case).into_iter().max();
    last.zip(case.settled_total()).is_some_and(|(seen_to, total)| seen_to > total.entry)
}

/// Returns what is still missing before the repair of a battery or charging side counts as proven.
pub fn lacks(case: &Case, kind: SupplyKind) -> Option<&'static str> {
    let charges = || match answer(case, QuestionId::ChargingKnown) {
        Some("good") => true,
        Some("measure") => supply::charging(case).iter().any(|one| one.good() == Some(true)),
        _ => false,
    };
    match kind {
        SupplyKind::Battery => {
            let fit = supply::judgement(case).is_ok_and(|found| found.verdict == BatteryVerdict::Fit);
            (!fit).then_some(words::BATTERY_NOT_TESTED)
        }
        SupplyKind::Charging => (!charges()).then_some(words::CHARGING_NOT_MEASURED),
        SupplyKind::Use => None,
    }
}

/// What the answers in force tell.
fn now(case: &Case) -> Vec<SupplyCause> {
    let Ok(table) = BatteryTable::builtin() else { return Vec::new() };
    let judged = supply::judgement(case).map(|found| of_battery(table, &found)).unwrap_or_default();
    let charging = of_charging(table, &supply::charging(case), &traces(case));
    let used = energy(case).and_then(of_use);
    sorted(judged.into_iter().take(1).chain(charging).chain(used).collect())
}

/// The entries at which battery or charging side was told to have been seen to.
fn seen_to(case: &Case) -> Vec<usize> {
    let is_it = |said: &&Dated<Said>| {
        let again = [Some(QuestionId::BatteryAgain), Some(QuestionId::ChargingAgain)];
        again.contains(&said.what.question.plain()) && supply::is_seen_to(&said.what.text)
    };
    case.answers.iter().filter(is_it).map(|said| said.stamp.entry).collect()
}

/// The case as it stood before an entry, as far as battery and charging side go.
fn before(case: &Case, entry: usize) -> Case {
    let mut then = case.clone();
    then.answers.retain(|said| said.stamp.entry < entry);
    then.skips.retain(|said| said.stamp.entry < entry);
    then.volts.retain(|volts| volts.stamp.entry < entry);
    then
}

fn traces(case: &Case) -> ChargingTraces {
    ChargingTraces {
        converter: supply::has_converter(case),
        cables: value(case, QuestionId::ChargingCables, "V"),
        earth: value(case, QuestionId::ChargingEarth, "V"),
        ready: match answer(case, QuestionId::ChargingReady) {
            Some("no") => Some(false),
            _ => None,
        },
        stud: value::<Volt>(case, QuestionId::ChargingPost, "V")
            .or_else(|| value(case, QuestionId::ChargingStud, "V")),
        posts: value(case, QuestionId::ChargingVolts, "V"),
        slips: match answer(case, QuestionId::ChargingBelt) {
            Some("slips") => Some(true),
            Some("holds") => Some(false),
            _ => None,
        },
    }
}

/// Returns the energy balance of a day, where how the vehicle is used was told and what it draws is known.
pub fn energy(case: &Case) -> Option<EnergyBalance> {
    let trips = Trips::read(case.answer(QuestionId::UseTrips)?).ok()?;
    let road = match case.answer(QuestionId::UseRoad)? {
        "town" => Road::Town,
        "fast" => Road::Fast,
        _ => Road::Mixed,
    };
    Some(balance(BatteryTable::builtin().ok()?, &supply::stock(case, true).ok()?, &drawn(case)?, trips, road))
}

/// Returns where the balance of a day is from, a line each.
pub fn day(case: &Case) -> Vec<StyledText> {
    let Some((found, table)) = energy(case).zip(BatteryTable::builtin().ok()) else { return Vec::new() };
    let [spare, start, takes] = table.energy_sources();
    text::supply::balance(&found, spare, start, takes)
}

/// The newest settled total, before a repair or after it.
fn drawn(case: &Case) -> Option<Uncertain<Ampere>> {
    match &case.total_after_repair().or_else(|| case.settled_total())?.what {
        Measurement::Total { current: shown, .. } => Some(current(shown, case.ammeter())),
        _ => None,
    }
}
