//! A small invented map for the tests of this module: links, fuses, a group, a twice-fed load, unfused items.
//! Leaves to others: maps for people (`circuit`).

use crate::base::quantity::{Ampere, Minute, Volt};
use crate::circuit::fuse::Family;
use crate::circuit::id::FeedId;
use crate::circuit::map::{
    Access, Feed, FuseBox, FuseSpec, Limit, Load, Map, Unfused, VehicleClass, WakeGroup,
};

/// Makes a load: kind, asleep and awake in milliampere, minutes to sleep.
pub(crate) fn load(name: &str, kind: &str, asleep: f64, awake: f64, sleep: f64) -> Load {
    Load {
        name: name.into(),
        kind: kind.into(),
        kind_guessed: false,
        asleep: Ampere::from_milli(asleep),
        awake: Ampere::from_milli(awake),
        sleeps_after: Minute::new(sleep),
        wake_group: None,
        also_from: Vec::new(),
    }
}

fn feed(id: &str, parent: Option<usize>, family: Family, rating: f64, loads: Vec<Load>) -> Feed {
    Feed {
        id: id.into(),
        parent: parent.map(FeedId::from),
        place: Some(usize::from(parent == Some(1)).into()),
        fuse: FuseSpec { family, rating: Ampere::new(rating), own_resistance: None },
        family_guessed: false,
        access: if family == Family::Bolt { Access::Clamp } else { Access::Points },
        hazard: None,
        loads,
    }
}

fn in_group(mut load: Load) -> Load {
    load.wake_group = Some(0.into());
    load
}

/// The map: L1 → F1…F3, L2 → F4…F7; F6 feeds the phone module, which F7 feeds too.
pub(crate) fn map() -> Map {
    let mut phone = in_group(load("phone module", "telematics", 3.0, 220.0, 25.0));
    phone.also_from = vec![8.into()];
    Map {
        title: "Invented small car".into(),
        system: Volt::new(12.0),
        class: VehicleClass::Car,
        year: None,
        told_batteries: None,
        boxes: ["battery-top", "cabin"]
            .map(|id| FuseBox { id: id.into(), place: id.into(), reach: Minute::new(1.5), supply: None })
            .into_iter()
            .collect(),
        wake_groups: [WakeGroup {
            id: "body-bus".into(),
            inputs: vec!["driver door latch".into(), "selector in Park".into()],
            assumed: false,
        }]
        .into_iter()
        .collect(),
        feeds: [
            feed("L1", None, Family::Bolt, 100.0, vec![]),
            feed("L2", None, Family::Bolt, 80.0, vec![]),
            feed("F1", Some(0), Family::Mini, 10.0, vec![load("engine control", "engine", 3.0, 500.0, 20.0)]),
            feed("F2", Some(0), Family::Mini, 15.0, vec![load("alarm siren", "alarm", 1.0, 120.0, 0.0)]),
            feed("F3", Some(0), Family::Blade, 30.0, vec![load("blower", "blower", 0.0, 6000.0, 0.0)]),
            feed(
                "F4",
                Some(1),
                Family::Mini,
                10.0,
                vec![
                    in_group(load("audio unit", "audio", 4.0, 600.0, 15.0)),
                    load("clock", "other", 1.0, 20.0, 0.0),
                ],
            ),
            feed(
                "F5",
                Some(1),
                Family::Mini,
                20.0,
                vec![in_group(load("body control", "body", 6.0, 700.0, 30.0))],
            ),
            feed("F6", Some(1), Family::Mini, 7.5, vec![phone]),
            feed("F7", Some(1), Family::LowMini, 10.0, vec![load("glovebox lamp", "lamp", 0.0, 400.0, 0.0)]),
        ]
        .into_iter()
        .collect(),
        unfused: [
            unfused("alternator", None, false),
            unfused("converter", None, true),
            unfused("trailer cable", Some(1), false),
        ]
        .into_iter()
        .collect(),
        sleep_after: Some(Minute::new(30.0)),
        limit: Some(Limit { current: Ampere::from_milli(50.0), source: "invented".into() }),
    }
}

fn unfused(name: &str, parent: Option<usize>, source: bool) -> Unfused {
    Unfused {
        name: name.into(),
        kind: "other".into(),
        parent: parent.map(FeedId::from),
        source,
        assumed: false,
        asleep: Ampere::from_milli(1.5),
        awake: Ampere::from_milli(3000.0),
    }
}
