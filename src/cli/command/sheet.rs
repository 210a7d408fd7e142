//! `sheet`: a sheet to print, millivolts by current and rating, in as many blocks of columns as the width takes.
//! Leaves to others: the figures (`render/sheet`).

use std::path::PathBuf;

use super::convert::{looks, temperature};
use super::map_source;
use super::open::Meters;
use crate::base::quantity::Unit;
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::id::FeedId;
use crate::circuit::map::Map;
use crate::circuit::meters;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log;
use crate::cli::table::Table;
use crate::hunt::analysis::Analysis;
use crate::log::case::Case;
use crate::plan::round::RoundRead;
use crate::render::convert::family;
use crate::render::json::sheet::{BayShape, SheetShape};
use crate::render::sheet::{self, Column, Sheet as Figures, SheetRequest};
use crate::text::convert as words;
use crate::text::next::box_called;

const EXAMPLES: &str = "\
Examples:
  fusetrail sheet --family mini
  fusetrail sheet --family blade --meter hundredth-mv --zeroed --temp 5C
  fusetrail sheet --map hatch                 the whole bay, boxes to tick
  fusetrail sheet --map hatch x.hunt.yaml     what this hunt looks for";

/// Columns that the row heads take, and that one rating takes.
const HEAD: usize = 10;
const RATING: usize = 10;

/// Arguments of `sheet`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, after_help = looks(), arg_required_else_help = true)]
pub struct SheetCommand {
    /// Fuse family, told by its body: see the list below
    #[arg(long, value_name = "NAME", required_unless_present = "map")]
    family: Option<String>,
    /// Circuit map: a built-in one or a file. Prints its fuses by box, each with the millivolts from which it is high
    #[arg(long, value_name = "MAP", conflicts_with_all = ["family", "temp", "zeroed"])]
    map: Option<String>,
    /// Hunt on this map: high is what it looks for, with its meter and zero; without it, the limit
    #[arg(value_name = "LOG", requires = "map")]
    log: Option<PathBuf>,
    /// Meter: tenth-mv, hundredth-mv, or RESOLUTION,PERCENT,COUNTS such as 0.1mV,0.5,2
    #[arg(long, value_name = "NAME", default_value = "tenth-mv")]
    meter: String,
    /// Temperature of the fuse box, 25 °C if not told; a bare number is °C
    #[arg(long, value_name = "T")]
    temp: Option<String>,
    /// A zero is taken off the readings: lower floors
    #[arg(long)]
    zeroed: bool,
}

impl SheetCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// A value or a name that cannot be read. No resistance known is an honest "no": exit code 1 with its JSON whole.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        if let Some(map) = &self.map {
            return self.bay(map, context);
        }
        let named = self.family.as_deref().unwrap_or_default();
        let asked = SheetRequest {
            family: family(named).map_err(|fault| fault.in_field("--family"))?,
            meter: meters::find(&self.meter, true).map_err(|fault| fault.in_field("--meter"))?,
            temperature: temperature(self.temp.as_deref())?,
            zeroed: self.zeroed,
        };
        let made = sheet::sheet(asked.clone(), FuseTable::builtin());
        match (made, context.format) {
            (Ok(made), OutputFormat::Json) => context.print_json(&SheetShape::of(&asked, Ok(&made)))?,
            (Ok(made), OutputFormat::Text) => print(context, &made)?,
            (Err(fault), format) => {
                if format == OutputFormat::Json {
                    context.print_json(&SheetShape::of(&asked, Err(&fault)))?;
                }
                return Err(fault.into());
            }
        }
        Ok(Exit::Done)
    }

    /// The round of a whole bay.
    fn bay(&self, name: &str, context: &Context) -> Result<Exit, CliError> {
        let (map, warnings) = map_source::load(name)?;
        let case = match &self.log {
            Some(path) => log::read(path)?.1,
            None => {
                let meters = Meters { meter: self.meter.clone(), clamp: CLAMP.to_owned() };
                Case::begun(meters.opened(&map, context)?, context.clock.now(), map.clone())
            }
        };
        let analysis = Analysis::of(&case);
        let (sought, fuses) = analysis.bay();
        if context.format == OutputFormat::Json {
            context.print_json(&BayShape::of(&case.map, sought, &fuses))?;
            return Ok(Exit::Done);
        }
        context.talk(&map_source::warning_lines(&warnings));
        context.print(&[words::bay_head(&case.map.title, sought, analysis.excess.is_some())])?;
        for place in case.map.boxes.ids().map(Some).chain([None]) {
            let here = |fuse: &&(FeedId, Option<RoundRead>)| {
                case.map.feeds.get(fuse.0).is_some_and(|feed| feed.place == place)
            };
            let here: Vec<&(FeedId, Option<RoundRead>)> = fuses.iter().filter(here).collect();
            if !here.is_empty() {
                let named =
                    place.and_then(|place| case.map.boxes.get(place)).map(|found| box_called(&found.id));
                context.print(&[words::bay_box(named.as_deref())])?;
                context.print_raw(&ticked(&case.map, &here).render(context.width()))?;
            }
        }
        context.print(&[StyledText::of(Role::Hint, words::BAY_FOOT)])?;
        Ok(Exit::Done)
    }
}

/// A clamp is named only to begin a case: no reading of it is printed.
const CLAMP: &str = "clamp-1ma";

/// The fuses of a box, each with a box to tick.
fn ticked(map: &Map, here: &[&(FeedId, Option<RoundRead>)]) -> Table {
    let mut table = Table::new(&words::BAY_COLUMNS).right(&[4, 5]);
    for (feed, read) in here {
        let Some(found) = map.feeds.get(*feed) else { continue };
        let (asleep, high) = match read {
            Some(read) => {
                (format!("{:.2}", read.asleep.milli()), read.high.text.trim_end_matches(" mV").to_owned())
            }
            None => (String::new(), words::bay_else(found).to_owned()),
        };
        let loads: Vec<&str> = found.loads.iter().map(|load| load.name.as_str()).collect();
        table.row(["[ ]", &found.id, &found.fuse.words(), &loads.join(", "), &asleep, &high]);
    }
    table
}

fn print(context: &Context, made: &Figures) -> Result<(), CliError> {
    let asked = &made.asked;
    let zero = if asked.zeroed { "zero taken off" } else { "no zero taken" };
    context.print(&[StyledText::of(
        Role::Heading,
        format!("Millivolts across a {} fuse", asked.family.name()),
    )
    .and(
        Role::Plain,
        format!(" at {} °C, with {} ({zero})", asked.temperature.value().base(), asked.meter.name),
    )])?;
    let room = context.width().saturating_sub(HEAD) / RATING;
    for columns in made.columns.chunks(room.max(1)) {
        context.print(&[StyledText::new()])?;
        context.print_raw(&block(made, columns).grid(context.width()))?;
    }
    context.print(&foot(made))
}

fn block(made: &Figures, columns: &[Column]) -> Table {
    let ratings: Vec<String> = columns.iter().map(|column| format!("{} A", column.rating.base())).collect();
    let heads: Vec<&str> = std::iter::once("mA").chain(ratings.iter().map(String::as_str)).collect();
    let mut table = Table::new(&heads).right(&(0..heads.len()).collect::<Vec<_>>());
    for (row, current) in made.currents.iter().enumerate() {
        let cell = |column: &Column| {
            let drop = column.cells.get(row).copied().flatten();
            drop.map(|drop| made.millivolts(drop)).unwrap_or_default()
        };
        table.row(std::iter::once(format!("{:.0}", current.milli())).chain(columns.iter().map(cell)));
    }
    let mut line = |name: &str, value: &dyn Fn(&Column) -> String| {
        table.row(std::iter::once(name.to_owned()).chain(columns.iter().map(value)));
    };
    line("floor", &|column| format!("{:.0} mA", column.floor.milli().ceil()));
    line("±", &|column| format!("{:.0} %", column.interval * 100.0));
    line("basis", &|column| column.basis().to_owned());
    table
}

fn foot(made: &Figures) -> Vec<StyledText> {
    let mut lines =
        vec![StyledText::new(), StyledText::plain(words::BLANK), StyledText::plain(words::PLUS_MINUS)];
    let has = |basis: &str| made.columns.iter().any(|column| column.basis() == basis);
    if has("estimate") {
        lines.push(StyledText::plain(words::ESTIMATE));
    }
    if has("memory") {
        lines.push(StyledText::plain(words::MEMORY));
    }
    lines.extend(made.sources().iter().map(|text| StyledText::of(Role::Hint, format!("Source: {text}"))));
    lines
}
