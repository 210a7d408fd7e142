//! `practice` without a score: one vehicle, what its customer tells, and its truth if that is asked for.
//! Leaves to others: the vehicle (`practice`), hunting on it (`hunt`).

use serde_json::{Value, json};

use super::hunt::{PRACTICE_MAP, shell_word};
use super::map_source;
use super::practice::Night;
use crate::cli::desk::{Desk, Format};
use crate::cli::fail::{Exit, Fail};
use crate::fault::Fault;
use crate::piece::{Line, Role};
use crate::practice::{self, Story, Told, Truth, Vehicle};

/// Shows the vehicle of a seed on a map.
///
/// # Errors
/// There is no such map, or it has faults.
pub fn show(desk: &Desk, name: &str, seed: u64, reveal: bool) -> Result<Exit, Fail> {
    let (map, warnings) = map_source::load(name)?;
    desk.talk(&map_source::warning_lines(&warnings));
    let vehicle = Vehicle::new(&map, seed);
    let truth = reveal.then(|| vehicle.truth());
    let hunt = match name {
        PRACTICE_MAP => format!("fusetrail hunt --practice {seed}"),
        other => format!("fusetrail hunt --practice {seed} --map {}", shell_word(other)),
    };
    if desk.format == Format::Json {
        desk.print_json(&json!({
            "seed": seed,
            "map": map.title,
            "complaint": vehicle.complaint(),
            "hunt": hunt,
            "truth": truth.as_ref().map(truth_json),
        }))?;
        return Ok(Exit::Done);
    }
    let mut lines = vec![
        Line::plain("Practice vehicle ")
            .and(Role::Value, seed.to_string())
            .and(Role::Plain, ": ")
            .and(Role::Name, &map.title),
        Line::plain("The customer: ").and(Role::Plain, vehicle.complaint()),
        Line::plain("Hunt on it: ").and(Role::Name, hunt),
    ];
    match &truth {
        Some(truth) => lines.extend(truth.tell()),
        None => lines.push(Line::of(Role::Hint, "What is wrong with it: --reveal.")),
    }
    desk.print(&lines)?;
    Ok(Exit::Done)
}

/// Prints a night of a vehicle as a meter log. The first line tells what it is, and that it is invented.
///
/// # Errors
/// There is no such map, it has faults, or no vehicle on it has a fault that fits the story.
pub fn night(desk: &Desk, name: &str, night: Night, seed: u64) -> Result<Exit, Fail> {
    let (map, warnings) = map_source::load(name)?;
    desk.talk(&map_source::warning_lines(&warnings));
    let (story, told) = match night {
        Night::Evening => (Story::Evening, "everything falls asleep"),
        Night::Pulse => (Story::Pulse, "a telematics unit checks in again and again"),
        Night::Held => (Story::Held, "an input holds a bus awake"),
        Night::Converter => (Story::Converter, "a converter supports the 12 V battery now and then"),
    };
    let Some(practice::Night { seed, samples }) = practice::night(&map, story, seed) else {
        return Err(Fault::new("no practice vehicle on this map can tell this story")
            .in_field("--map")
            .into());
    };
    let clock = practice::Clock::new(desk.clock.now());
    let mut text =
        format!("# Practice vehicle {seed} on the map {name}: {told}. Invented.\ntime,current (mA)\n");
    for (at, shown) in &samples {
        text += &format!("{},{:.0}\n", clock.at(*at).to_rfc3339(), shown.value.milli());
    }
    desk.print_raw(&text)?;
    Ok(Exit::Done)
}

fn truth_json(truth: &Truth) -> Value {
    let cause = |told: &Told| {
        json!({
            "branch": told.branch,
            "also_from": told.also,
            "load": told.load,
            "held_awake": told.held_loads,
            "excess_ma": told.excess.milli(),
            "hung": told.hung,
        })
    };
    json!({
        "causes": truth.causes.iter().map(cause).collect::<Vec<_>>(),
        "oddities": truth.oddities,
        "sound_total_ma": truth.sound_total.milli(),
    })
}
