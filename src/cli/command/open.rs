//! `open`: begins a session log without prompts.
//! Leaves to others: the log (`log`), maps (`map_source`), meters (`circuit/meters`).

use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};

use super::map_source;
use super::vehicle::VehicleArguments;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Celsius, Minute, Typed, Unit};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::map::Map;
use crate::circuit::meters;
use crate::cli::clock;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log::LogFile;
use crate::cli::minus::as_typed;
use crate::hunt::caution;
use crate::log::entry::Opened;
use crate::render::json::log::OpenShape;
use crate::text::ask::bench::go_on;
use crate::text::fault::argument;

const EXAMPLES: &str = "\
Examples:
  fusetrail open x.hunt.yaml --map hatch --meter hundredth-mv
  fusetrail open x.hunt.yaml --map van.yaml --temp cabin=18C";

/// Arguments of `open`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Open {
    /// Session log to begin
    log: PathBuf,
    /// Circuit map: a built-in name, or a file
    #[arg(long, value_name = "MAP")]
    map: String,
    #[command(flatten)]
    vehicle: VehicleArguments,
    #[command(flatten)]
    meters: Meters,
    /// Temperature of a box, or of all: 20C, 68F, cabin=18C; a bare number is °C
    #[arg(long = "temp", value_name = "[BOX=]T")]
    temperatures: Vec<String>,
    /// Limit for the settled draw, if not the map's; a bare number is mA
    #[arg(long, value_name = "CURRENT")]
    limit: Option<String>,
    /// Reserve capacity of the battery; a bare number is minutes
    #[arg(long, value_name = "MIN")]
    reserve: Option<String>,
    /// When it begins, if not now: a time with its offset, such as 2026-11-02T07:40:00+01:00
    #[arg(long, value_name = "TIME", value_parser = clock::read_time)]
    at: Option<DateTime<FixedOffset>>,
}

/// The meters in use.
#[derive(Debug, Clone, clap::Args)]
pub struct Meters {
    /// Millivolt meter: tenth-mv, hundredth-mv, or RESOLUTION,PERCENT,COUNTS such as 0.1mV,0.5,2
    #[arg(long, value_name = "NAME", default_value = "tenth-mv")]
    pub meter: String,
    /// Clamp or ammeter: clamp-1ma, clamp-10ma, or RESOLUTION,PERCENT,COUNTS such as 1mA,1.5,5
    #[arg(long, value_name = "NAME", default_value = "clamp-1ma")]
    pub clamp: String,
}

impl Meters {
    /// Returns the first entry of a log on a map with these meters.
    ///
    /// # Errors
    /// A meter is not known, or the map cannot be written.
    pub fn opened(&self, map: &Map, context: &Context) -> Result<Opened, Diagnostic> {
        Ok(Opened {
            program: env!("CARGO_PKG_VERSION").to_owned(),
            tables: FuseTable::builtin().version().to_owned(),
            map: map.to_yaml()?,
            meter: meters::find(context.config.meter(&self.meter), true)?,
            clamp: meters::find(context.config.meter(&self.clamp), false)?,
            temperatures: Vec::new(),
            limit: None,
            reserve: None,
            practice: None,
        })
    }
}

impl Open {
    /// Carries the command out.
    ///
    /// # Errors
    /// A value, a name or the map cannot be read, there is such a file, or it cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let (map, warnings) = self.vehicle.load(&self.map)?;
        let temperatures =
            self.temperatures.iter().map(|text| temperature(&map, text)).collect::<Result<Vec<_>, _>>()?;
        let opened = Opened {
            temperatures,
            limit: self.limit.as_deref().map(|text| positive::<Ampere>(text, "mA", "--limit")).transpose()?,
            reserve: self
                .reserve
                .as_deref()
                .map(|text| positive::<Minute>(text, "min", "--reserve"))
                .transpose()?,
            ..self.meters.opened(&map, context)?
        };
        let at = self.at.unwrap_or_else(|| context.clock.now());
        let begun = LogFile::create(&self.log, at, opened)?;
        context.talk(begun.notes());
        context.talk(&caution::shown_by_open(&map));
        let shown = match context.format {
            OutputFormat::Json => context.print_json(&OpenShape::of(&warnings)),
            OutputFormat::Text => {
                context.talk(&map_source::warning_lines(&warnings));
                let log = self.log.to_string_lossy();
                context.print(&[
                    StyledText::plain("Began ")
                        .and(Role::Name, &log)
                        .and(Role::Plain, " on the map ")
                        .and(Role::Name, &map.title),
                    StyledText::of(Role::Hint, go_on(&log)),
                ])
            }
        };
        context.after_keeping(&[1], shown)
    }
}

/// Reads `T` or `BOX=T`.
fn temperature(map: &Map, text: &str) -> Result<(Option<String>, Typed<Celsius>), Diagnostic> {
    let Some((place, value)) = text.split_once('=') else {
        return Ok((None, Celsius::read(&as_typed(text), "C").map_err(|fault| fault.in_field("--temp"))?));
    };
    if !map.boxes.iter().any(|known| known.id == place) {
        let ids: Vec<&str> = map.boxes.iter().map(|known| known.id.as_str()).collect();
        return Err(argument::no_box(place, &ids.join(", ")));
    }
    Ok((Some(place.to_owned()), Celsius::read(value, "C").map_err(|fault| fault.in_field("--temp"))?))
}

fn positive<U: Readable + Unit>(text: &str, bare: &str, option: &str) -> Result<Typed<U>, Diagnostic> {
    let value = U::read(&as_typed(text), bare).map_err(|fault| fault.in_field(option))?;
    if value.value.base() > 0.0 {
        return Ok(value);
    }
    Err(Diagnostic::new(format!("\"{}\" is not above zero", value.text))
        .expected(U::EXAMPLE)
        .in_field(option))
}
