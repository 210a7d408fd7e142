//! `sim` without a score: one vehicle, what its customer tells, and its truth if that is asked for.
//! Leaves to others: the vehicle (`sim`), hunting on it (`hunt`).

use super::hunt::PRACTICE_MAP;
use super::map_source;
use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::render::json::practice::VehicleShape;
use crate::sim::{self, Story, Vehicle};
use crate::text::fault::argument;
use crate::text::score as words;

/// Shows the vehicle of a seed on a map.
///
/// # Errors
/// There is no such map, or it has faults.
pub fn show(context: &Context, name: &str, seed: u64, reveal: bool) -> Result<Exit, CliError> {
    let (map, warnings) = map_source::load(name)?;
    context.talk(&map_source::warning_lines(&warnings));
    let vehicle = Vehicle::new(&map, seed).as_found();
    let truth = reveal.then(|| vehicle.truth());
    let hunt = match name {
        PRACTICE_MAP => format!("fusetrail hunt --practice {seed}"),
        other => format!("fusetrail hunt --practice {seed} --map {}", shell_words::quote(other)),
    };
    if context.format == OutputFormat::Json {
        context.print_json(&VehicleShape::of(seed, &map, &vehicle, &hunt, truth.as_ref()))?;
        return Ok(Exit::Done);
    }
    let mut lines = vec![
        StyledText::plain("Practice vehicle ")
            .and(Role::Value, seed.to_string())
            .and(Role::Plain, ": ")
            .and(Role::Name, &map.title),
        StyledText::plain("The customer: ").and(Role::Plain, vehicle.complaint()),
        StyledText::plain("Hunt on it: ").and(Role::Name, hunt),
    ];
    match &truth {
        Some(truth) => lines.extend(truth.tell()),
        None => lines.push(StyledText::of(Role::Hint, words::REVEAL)),
    }
    context.print(&lines)?;
    Ok(Exit::Done)
}

/// Prints a night of a vehicle as a meter log. The first line tells what it is, and that it is invented.
///
/// # Errors
/// There is no such map, it has faults, or no vehicle on it has a fault that fits the story.
pub fn night(context: &Context, name: &str, night: NightArgument, seed: u64) -> Result<Exit, CliError> {
    let (map, warnings) = map_source::load(name)?;
    context.talk(&map_source::warning_lines(&warnings));
    let (story, told) = match night {
        NightArgument::Evening => (Story::Evening, words::EVENING),
        NightArgument::Pulse => (Story::Pulse, words::PULSE),
        NightArgument::Held => (Story::Held, words::HELD),
        NightArgument::Converter => (Story::Converter, words::CONVERTER),
        NightArgument::Module => (Story::Module, words::MODULE),
        NightArgument::Event => (Story::Event, words::EVENT),
        NightArgument::Cycling => (Story::Cycling, words::CYCLING),
        NightArgument::Restless => (Story::Restless, words::RESTLESS),
    };
    let Some(sim::Night { seed, samples, beside }) = sim::night(&map, story, seed) else {
        return Err(argument::no_story().into());
    };
    let clock = sim::SimClock::new(context.clock.now());
    let mut text = words::night(seed, name, told, beside.as_ref().map(|(feed, _)| feed.as_str()));
    for (row, (at, shown)) in samples.iter().enumerate() {
        text += &format!("{},{:.0}", clock.at(*at).to_rfc3339(), shown.value.milli());
        let other = beside.as_ref().and_then(|(_, all)| all.get(row));
        text += &other.map(|other| format!(",{:.0}", other.value.milli())).unwrap_or_default();
        text.push('\n');
    }
    context.print_raw(&text)?;
    Ok(Exit::Done)
}

/// What happens in a night.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum NightArgument {
    /// Everything falls asleep
    Evening,
    /// A telematics unit checks in again and again
    Pulse,
    /// An input, such as a latch, holds a bus awake
    #[value(alias = "latch")]
    Held,
    /// A converter supports the 12 V battery now and then
    Converter,
    /// A module wakes far too often; its fuse is logged beside the total
    Module,
    /// Once something is on for hours
    Event,
    /// Something goes on and off all night
    Cycling,
    /// It goes up and down without a rhythm and never rests
    Restless,
}
