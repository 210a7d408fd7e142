//! A fixed log on a small invented map, made through `open` and `add`, for the commands that read a log.

use crate::world::World;

/// An invented bench: two links, six fuses, one wake group, one unfused item, one restraint circuit.
pub const MAP: &str = "\
format: fusetrail-map/1
title: Bench vehicle (invented)
system_v: 12
sleep_after_min: 20
limit_ma: 50
limit_source: made up for the bench
boxes:
  bay: {where: beside the battery, reach_min: 1}
  cabin: {where: under the dash, reach_min: 2}
wake_groups:
  body: {inputs: [door latch, boot latch]}
feeds:
  - {id: L1, from: battery, box: bay, fuse: {family: bolt, rating_a: 80}, probe: clamp}
  - {id: F1, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: audio unit, kind: audio, wake_group: body}]}
  - {id: F2, from: L1, box: cabin, fuse: {family: mini, rating_a: 15}, loads: [{name: body computer, kind: body-control, wake_group: body}]}
  - {id: F3, from: L1, box: cabin, fuse: {family: mini, rating_a: 10}, loads: [{name: glovebox lamp, kind: lamp-box}]}
  - {id: F4, from: L1, box: cabin, fuse: {family: mini, rating_a: 5}, loads: [{name: airbag unit, kind: restraint}]}
  - {id: E1, from: battery, box: bay, fuse: {family: mini, rating_a: 20}, loads: [{name: engine control, kind: engine-control}]}
unfused:
  - {name: alternator, from: battery, kind: alternator}
";

/// Begins `x.hunt.yaml` on the bench, without readings.
pub fn opened() -> World {
    let world = World::new();
    world.write("bench.yaml", MAP);
    world
        .say("open x.hunt.yaml --map bench.yaml --temp 20C --reserve 100 --at 2026-11-02T07:40:00+01:00")
        .ends(0);
    world
}

/// The bench with readings that point to F1.
pub fn measured() -> World {
    let world = opened();
    for (minute, line) in
        ["zero 0.1mV", "total 320mA", "clamp L1 318mA", "drop F2=0.1mV F3=0.2mV F1=2.3mV"].iter().enumerate()
    {
        world.say(&format!("add x.hunt.yaml --at 2026-11-02T08:1{minute}:00+01:00 {line}")).ends(0);
    }
    world
}

/// The bench once the load was unplugged, with a struck entry, a note and a disturbance.
pub fn narrowed() -> World {
    let world = measured();
    let at = "--at 2026-11-02T08:20:00+01:00";
    world.say(&format!("add x.hunt.yaml {at} drop F4 9.9mV --why slipped")).ends(0);
    world
        .run(&[
            "strike",
            "x.hunt.yaml",
            "8",
            "--why",
            "Smith slipped",
            "--at-start",
            "2026-11-02T08:21:00+01:00",
        ])
        .ends(0);
    world.say(&format!("add x.hunt.yaml {at} disturb 'door of plate AB12'")).ends(0);
    world.say(&format!("add x.hunt.yaml {at} note 'ask Smith at Harbour Street'")).ends(0);
    world.say(&format!("add x.hunt.yaml {at} unplug 'F1/audio unit' 321mA 16mA")).ends(0);
    world
}
