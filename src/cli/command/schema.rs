//! `schema`: the JSON Schema of what a command prints, of the record, the log, maps and answers.
//! Leaves to others: the schemas (`render/schema`).

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::table::Table;
use crate::render::schema::{SCHEMAS, SchemaListShape, schema};
use crate::text;

const EXAMPLES: &str = "\
Examples:
  fusetrail schema                   the names
  fusetrail schema suspects          of what suspects --format json prints
  fusetrail schema map > map.json    of a circuit map, for an editor";

/// Arguments of `schema`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES)]
pub struct SchemaCommand {
    /// Command, words joined by a hyphen, or record, log, map, answers; without it the names are listed
    name: Option<String>,
}

impl SchemaCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// There is no schema of that name.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        match (self.name, context.format) {
            (Some(name), format) => {
                let found = schema(&name).ok_or_else(|| unknown(&name))?;
                match format {
                    OutputFormat::Json => context.print_json(&found)?,
                    OutputFormat::Text => context.print_raw(&format!("{:#}\n", found.as_value()))?,
                }
            }
            (None, OutputFormat::Json) => context.print_json(&SchemaListShape::of())?,
            (None, OutputFormat::Text) => {
                let mut table = Table::new(&["name", "of what"]);
                SCHEMAS.iter().for_each(|(name, _)| table.row([*name, text::record::schema(name)]));
                context.print_table(&table)?;
            }
        }
        Ok(Exit::Done)
    }
}

fn unknown(name: &str) -> CliError {
    let names: Vec<&str> = SCHEMAS.iter().map(|(name, ..)| *name).collect();
    let fault = Diagnostic::new(format!("there is no schema \"{}\"", clean(name)));
    CliError::usage(fault.expected(names.join(", ")))
}
