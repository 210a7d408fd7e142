//! The one place where the log meets the circuit map's text: reads the map of the first entry, adds a typed feed.
//! Leaves to others: what makes a map sound (`circuits`).

use crate::circuits::map::*;
use crate::fault::{Fault, Faults};
use crate::quantity::*;
use crate::yaml::*;

pub(super) fn read(text: &str) -> Result<Map, Faults> {
    let v: Value = crate::yaml::read(text)?;
    let mut map = Map {
        title: "x".into(),
        system: Volt::new(12.0),
        class: VehicleClass::Car,
        boxes: vec![],
        wake_groups: vec![],
        feeds: vec![],
        unfused: vec![],
        sleep_after: None,
        limit: None,
    };
    for (k, _) in v["boxes"].as_mapping().ok_or(Fault::new("boxes"))? {
        map.boxes.push(FuseBox {
            id: k.as_str().unwrap_or("").into(),
            place: "".into(),
            reach: Minute::new(1.5),
        });
    }
    for f in v["feeds"].as_sequence().ok_or(Fault::new("feeds"))? {
        let place = map.boxes.iter().position(|b| Some(b.id.as_str()) == f["box"].as_str());
        push(&mut map, f["id"].as_str().unwrap_or(""), place);
    }
    for f in v["unfused"].as_sequence().ok_or(Fault::new("feeds"))? {
        map.unfused.push(Unfused {
            name: f["name"].as_str().unwrap_or("").into(),
            kind: "".into(),
            parent: None,
            source: false,
            asleep: Ampere::ZERO,
            awake: Ampere::ZERO,
        });
    }
    Ok(map)
}
fn push(map: &mut Map, id: &str, place: Option<usize>) {
    map.feeds.push(Feed {
        id: id.into(),
        parent: None,
        place,
        fuse: FuseSpec {
            family: crate::circuits::fuse::Family::Mini,
            rating: Ampere::new(10.0),
            own_resistance: None,
        },
        probe: Probe::Points,
        guard: None,
        loads: vec![],
    });
}
pub(super) fn add_feed(map: &mut Map, place: Option<&str>, line: &str) -> Result<(), Faults> {
    let id = line.split(' ').next().unwrap_or("");
    if map.feeds.iter().any(|f| f.id == id) {
        return Err(Fault::new("doubled").into());
    }
    let place = map.boxes.iter().position(|b| Some(b.id.as_str()) == place);
    push(map, id, place);
    Ok(())
}
