//! The one place where the log meets the circuit map's text: reads the map of the first entry, adds a typed feed.
//! Leaves to others: what makes a map sound (`circuits`).

use crate::circuits::map::*;
use crate::fault::{Fault, Faults};
use crate::quantity::*;

pub(super) fn read(text: &str) -> Result<Map, Faults> {
    Ok(crate::circuits::check::check("map", text)?.0)
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
