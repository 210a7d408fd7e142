//! `circuit`: lists, shows, checks and sketches circuit maps.
//! Leaves to others: what makes a map sound (`circuit/check`), panel lists (`circuit/sketch`).

use std::path::{Path, PathBuf};

use super::map_source;
use super::vehicle::VehicleArguments;
use crate::base::quantity::Unit;
use crate::base::styled::{Role, StyledText, clean, is_hidden};
use crate::circuit::builtin::MAPS;
use crate::circuit::check::{check, examine};
use crate::circuit::loads::Catalogue;
use crate::circuit::map::{Feed, Map, Unfused};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit, fault_lines};
use crate::cli::files;
use crate::cli::table::Table;
use crate::render::json::circuits::{MapListShape, MapShape, parent};
use crate::text::account::EITHER_WAY;

const EXAMPLES: &str = "\
Examples:
  fusetrail circuits list
  fusetrail circuits show hatch
  fusetrail circuits check van.yaml
  fusetrail circuits sketch lid.csv > van.yaml";

/// Arguments of `circuits`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Circuits {
    #[command(subcommand)]
    what: CircuitsCommand,
}

#[derive(Debug, clap::Subcommand)]
enum CircuitsCommand {
    /// List the built-in maps; all vehicles are invented
    List,
    /// Show a map: its fuses, what they feed, and what is connected without a fuse
    Show {
        /// Map: a built-in name, or a file
        map: String,
        /// Print the map's own text, to begin a map from
        #[arg(long)]
        yaml: bool,
    },
    /// Check a map: every fault at once, with line and field
    Check {
        /// Map: a built-in name, or a file
        map: String,
    },
    /// Make a map from a panel list or from lines of a fuse-box lid and print it
    Sketch {
        /// Rows of box, fuse, family, rating, what it feeds; or lines such as F12 mini 10 radio below a line cabin:
        list: PathBuf,
        /// Title of the map; without it the name of the file
        #[arg(long)]
        title: Option<String>,
        #[command(flatten)]
        vehicle: VehicleArguments,
    },
}

impl Circuits {
    /// Carries the command out.
    ///
    /// # Errors
    /// There is no such map or file, or the map to be shown has faults.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        match self.what {
            CircuitsCommand::List => list(context),
            CircuitsCommand::Show { map, yaml: true } => show_text(context, &map),
            CircuitsCommand::Show { map, yaml: false } => show(context, &map),
            CircuitsCommand::Check { map } => check_map(context, &map),
            CircuitsCommand::Sketch { list, title, vehicle } => {
                sketch(context, &list, title.as_deref(), &vehicle)
            }
        }
    }
}

fn list(context: &Context) -> Result<Exit, CliError> {
    let mut table = Table::new(&["name", "fuses", "supply", "what it is"]).right(&[1]);
    let mut maps = Vec::new();
    for builtin in MAPS {
        let (map, _) = check(builtin.name, builtin.text)?;
        let supply = format!("{} V", map.system.base());
        table.row([builtin.name.to_owned(), map.feeds.len().to_string(), supply, map.title.clone()]);
        maps.push((builtin.name, map));
    }
    match context.format {
        OutputFormat::Json => context.print_json(&MapListShape::of(maps))?,
        OutputFormat::Text => context.print_table(&table)?,
    }
    Ok(Exit::Done)
}

fn show(context: &Context, name: &str) -> Result<Exit, CliError> {
    let (map, warnings) = map_source::read(name)?;
    if context.format == OutputFormat::Json {
        context.print_json(&MapShape::of(&map))?;
        return Ok(Exit::Done);
    }
    let mut head = vec![StyledText::of(Role::Heading, &map.title)];
    for place in &map.boxes {
        head.push(
            StyledText::of(Role::Name, &place.id).and(Role::Plain, format!(": {}", place.place)).indented(2),
        );
    }
    head.push(StyledText::new());
    context.print(&head)?;
    let mut table = Table::new(&["id", "box", "fuse", "from", "care", "feeds"]);
    for feed in &map.feeds {
        table.row(row(&map, feed));
    }
    for item in &map.unfused {
        let from = parent(&map, item.parent);
        table.row([
            item.name.clone(),
            String::new(),
            "no fuse".to_owned(),
            from,
            String::new(),
            source(item).to_owned(),
        ]);
    }
    context.print_table(&table)?;
    for group in &map.wake_groups {
        let inputs = group.inputs.join(", ");
        context.print(&[StyledText::plain("Wake group ")
            .and(Role::Name, &group.id)
            .and(Role::Plain, format!(": {inputs}"))])?;
    }
    context.talk(&map_source::warning_lines(&warnings));
    Ok(Exit::Done)
}

/// Prints the text of a sound map as it stands. One that holds hidden characters, which only quoted texts and comments
/// can, is written anew, where they are escaped.
fn show_text(context: &Context, name: &str) -> Result<Exit, CliError> {
    let found = map_source::find(name)?;
    let (map, _) = check(&clean(&found.name), &found.text)?;
    let hidden = |c: char| is_hidden(c) && c != '\n';
    let text = found.text.replace("\r\n", "\n");
    match text.trim_start_matches('\u{feff}').contains(hidden) {
        true => context.print_raw(&map.to_yaml()?)?,
        false => context.print_raw(text.trim_start_matches('\u{feff}'))?,
    }
    Ok(Exit::Done)
}

fn row(map: &Map, feed: &Feed) -> [String; 6] {
    let place = map.box_of(feed).map(|place| place.id.clone());
    let loads: Vec<&str> = feed.loads.iter().map(|load| load.name.as_str()).collect();
    [
        feed.id.clone(),
        place.unwrap_or_default(),
        format!("{} {} A", feed.fuse.family.name(), feed.fuse.rating.base()),
        parent(map, feed.parent),
        feed.hazard.map_or("", |hazard| hazard.name()).to_owned(),
        loads.join(", "),
    ]
}

fn source(item: &Unfused) -> &'static str {
    if item.source { EITHER_WAY } else { "" }
}

fn check_map(context: &Context, name: &str) -> Result<Exit, CliError> {
    let found = map_source::find(name)?;
    let checked = examine(&found.name, &found.text, Catalogue::builtin());
    let sound = checked.problems.is_empty();
    match context.format {
        OutputFormat::Json => context.print_json(&checked.report())?,
        OutputFormat::Text => {
            context.print(&checked.problems.iter().flat_map(fault_lines).collect::<Vec<_>>())?;
            context.print(&map_source::warning_lines(&checked.warnings))?;
            let (problems, warnings) = (checked.problems.len(), checked.warnings.len());
            let (role, verdict) = if sound { (Role::Good, "sound") } else { (Role::Doubt, "not usable") };
            let counts = format!(": faults {problems}, warnings {warnings}");
            context.print(&[StyledText::of(Role::Name, &found.name)
                .and(Role::Plain, " is ")
                .and(role, verdict)
                .and(Role::Plain, counts)])?;
        }
    }
    Ok(if sound { Exit::Done } else { Exit::No })
}

fn sketch(
    context: &Context,
    list: &Path,
    title: Option<&str>,
    vehicle: &VehicleArguments,
) -> Result<Exit, CliError> {
    let text = files::read(list)?;
    let name = list.file_stem().unwrap_or_default().to_string_lossy();
    let (map, mut remarks) =
        crate::circuit::sketch::sketch(&list.to_string_lossy(), &text, title.unwrap_or(&name))?;
    let (map, assumed) = vehicle.put_into(&map)?;
    remarks.extend(assumed);
    context.talk(&map_source::warning_lines(&remarks));
    match context.format {
        OutputFormat::Json => context.print_json(&MapShape::of(&map))?,
        OutputFormat::Text => context.print_raw(&map.to_yaml()?)?,
    }
    Ok(Exit::Done)
}
