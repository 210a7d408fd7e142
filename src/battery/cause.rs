//! What flattens a battery beside a circuit: the battery itself, the charging side, how the vehicle is used. Each with
//! what it rests on and how likely it is beforehand (`circuits/battery.yaml`, causes: editorial).
//! Leaves to others: which of them the answers tell of (`hunt/causes`), the words (`text/supply`), the circuits (`infer`).

use super::charging::Finding;
use super::energy::EnergyBalance;
use super::judge::Judgement;
use super::reason::BatteryReason;
use super::table::BatteryTable;
use crate::base::quantity::Volt;

/// Which part of the supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SupplyKind {
    /// The battery.
    Battery,
    /// What charges it.
    Charging,
    /// How the vehicle is used.
    Use,
}

/// What is wrong on the charging side, as far as it was located.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChargingPlace {
    /// It overcharges, or gives too little with a belt and cables that are right.
    Regulator,
    /// The converter of an electrified vehicle.
    Converter,
    /// Between the converter's 12 V stud and the battery: cable, link or earth.
    OutputCable,
    /// The cable from the charging post to battery plus.
    PlusCable,
    /// Case or engine to battery minus.
    EarthStrap,
    /// The belt slips.
    Belt,
    /// Not located yet.
    Unknown,
}

/// What a cause rests on.
#[derive(Debug, Clone, PartialEq)]
pub enum SupplyGround {
    /// A reason of the battery's verdict.
    Battery(BatteryReason),
    /// Volts while charging, where that was located, and the drop or the volts that located it.
    Charging(Finding, ChargingPlace, Option<Volt>),
    /// The balance of a day.
    Use(Box<EnergyBalance>),
}

/// A cause.
#[derive(Debug, Clone, PartialEq)]
pub struct SupplyCause {
    /// What it rests on.
    pub ground: SupplyGround,
    /// Probability that it flattens the battery.
    pub probability: f64,
    /// True if it was seen to since.
    pub mended: bool,
}

impl SupplyCause {
    /// Returns the part of the supply.
    pub fn kind(&self) -> SupplyKind {
        match self.ground {
            SupplyGround::Battery(_) => SupplyKind::Battery,
            SupplyGround::Charging(..) => SupplyKind::Charging,
            SupplyGround::Use(_) => SupplyKind::Use,
        }
    }

    /// Returns its name in text and JSON.
    pub fn name(&self) -> &'static str {
        match &self.ground {
            SupplyGround::Battery(reason) => battery_name(reason),
            SupplyGround::Charging(_, place, _) => match place {
                ChargingPlace::Regulator => "regulator",
                ChargingPlace::Converter => "converter",
                ChargingPlace::OutputCable => "converter's cable",
                ChargingPlace::PlusCable => "plus cable",
                ChargingPlace::EarthStrap => "earth strap",
                ChargingPlace::Belt => "belt",
                ChargingPlace::Unknown => "not charging",
            },
            SupplyGround::Use(_) => "short trips",
        }
    }
}

fn battery_name(reason: &BatteryReason) -> &'static str {
    match reason {
        BatteryReason::Unsafe => "frozen or damaged",
        BatteryReason::MayBeFrozen { .. } => "may be frozen",
        BatteryReason::ShortedCell { .. } => "shorted cell",
        BatteryReason::Cranking(..) | BatteryReason::Capacity { .. } => "worn out",
        BatteryReason::Unequal(_) => "pair apart",
        _ => "failed test",
    }
}

/// Returns what speaks of the battery itself, likeliest first. One that is low, dirty or loose is none: charged, cleaned
/// or tightened it may be sound.
pub fn of_battery(table: &BatteryTable, found: &Judgement) -> Vec<SupplyCause> {
    let is_low = found.reasons.iter().any(|one| matches!(one, BatteryReason::ChargeLow(_)));
    let percent = |reason: &BatteryReason| -> Option<&'static str> {
        Some(match reason {
            BatteryReason::Unsafe => "unsafe",
            BatteryReason::MayBeFrozen { .. } => "may-be-frozen",
            BatteryReason::ShortedCell { charged: Some(true), .. } => "shorted-cell",
            BatteryReason::ShortedCell { .. } => "cell-or-flat",
            BatteryReason::TestedBad if is_low => "failed-test-uncharged",
            BatteryReason::Cranking(share, _) if reason.is_fault() => {
                if super::judge::is_weak(table, *share) { "weak" } else { "worn-out" }
            }
            BatteryReason::Capacity { .. } if reason.is_fault() => "worn-out",
            BatteryReason::Unequal(_) => "pair-apart",
            _ if reason.is_fault() => "failed-test",
            _ => return None,
        })
    };
    let cause = |reason: &BatteryReason| {
        let probability = table.cause(percent(reason)?);
        let ground = SupplyGround::Battery(reason.clone());
        Some(SupplyCause { ground, probability, mended: false })
    };
    sorted(found.reasons.iter().filter_map(cause).collect())
}

/// Returns causes, likeliest first.
pub fn sorted(mut causes: Vec<SupplyCause>) -> Vec<SupplyCause> {
    causes.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    causes
}

/// What tells where a charging side fails.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ChargingTraces {
    /// True if there is a converter and no alternator.
    pub converter: bool,
    /// False if the vehicle was not really ready: then nothing is judged.
    pub ready: Option<bool>,
    /// The larger drop of the two cables.
    pub cables: Option<Volt>,
    /// Drop of the earth side.
    pub earth: Option<Volt>,
    /// True if the belt slips, false if it holds.
    pub slips: Option<bool>,
    /// Volts at the charging post against its case, for the whole system.
    pub stud: Option<Volt>,
    /// Volts of the whole system at the posts while charging.
    pub posts: Option<Volt>,
}

/// Returns the charging side as a cause, if what was read shows that it fails to charge; where, as far as that can be told.
pub fn of_charging(
    table: &BatteryTable,
    findings: &[Finding],
    traces: &ChargingTraces,
) -> Option<SupplyCause> {
    let failing = findings.iter().find(|one| one.fails())?;
    let too_much = Volt::new(table.written.charging.cable_drop.volts);
    let is_lost = |drop: Option<Volt>| drop.filter(|drop| *drop > too_much);
    let over_cables = traces.stud.zip(traces.posts).map(|(stud, posts)| stud - posts);
    let (place, seen, percent) = match failing {
        Finding::DoesNotRise(_) if traces.ready == Some(false) => return None,
        Finding::DoesNotRise(_) if is_lost(over_cables).is_some() => {
            (ChargingPlace::OutputCable, over_cables, "located")
        }
        Finding::DoesNotRise(_) => (ChargingPlace::Converter, None, "converter"),
        Finding::High { .. } if traces.converter => (ChargingPlace::Converter, None, "converter"),
        Finding::High { .. } => (ChargingPlace::Regulator, None, "overcharges"),
        _ => match (is_lost(traces.cables).or_else(|| is_lost(over_cables)), is_lost(traces.earth)) {
            (_, Some(earth)) => (ChargingPlace::EarthStrap, Some(earth), "located"),
            (Some(drop), None) if traces.earth.is_some() => (ChargingPlace::PlusCable, Some(drop), "located"),
            (Some(drop), None) => (ChargingPlace::Unknown, Some(drop), "not-charging"),
            _ if traces.slips == Some(true) => (ChargingPlace::Belt, traces.stud, "located"),
            _ if traces.slips == Some(false) && traces.cables.is_some() => {
                (ChargingPlace::Regulator, traces.stud, "regulator")
            }
            _ => (ChargingPlace::Unknown, None, "not-charging"),
        },
    };
    let ground = SupplyGround::Charging(*failing, place, seen);
    Some(SupplyCause { ground, probability: table.cause(percent), mended: false })
}

/// Returns how a vehicle is used as a cause, if it rather loses than gains.
pub fn of_use(found: EnergyBalance) -> Option<SupplyCause> {
    let probability = found.loses();
    let ground = || SupplyGround::Use(Box::new(found));
    (probability >= 0.5).then(|| SupplyCause { ground: ground(), probability, mended: false })
}
