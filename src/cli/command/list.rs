//! `list`: what is in a session log, a line an entry, struck ones marked.

use std::path::PathBuf;

use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log;
use crate::hunt::analysis::Analysis;
use crate::render::json::log::ListShape;
use crate::text::entry::listing;

const EXAMPLES: &str = "\
Examples:
  fusetrail list x.hunt.yaml";

/// Arguments of `list`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct List {
    /// Session log
    log: PathBuf,
}

impl List {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let (entries, case, notes) = log::read(&self.log)?;
        context.talk(&notes);
        let analysis = Analysis::of(&case);
        let observations = &analysis.observed.observations;
        if context.format == OutputFormat::Json {
            context.print_json(&ListShape::of(&entries, &case, observations))?;
        } else {
            context.print(&listing(&entries, &case, observations))?;
        }
        Ok(Exit::Done)
    }
}
