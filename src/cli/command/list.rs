//! `list`: what is in a session log, a line an entry, struck ones marked.

use std::path::PathBuf;

use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log;
use crate::hunt::analysis::Analysis;
use crate::render::json::log::{ListShape, ListedEntryShape};
use crate::text::entry;

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
        let analysis = Analysis::of(&case)?;
        let numbered = entries.iter().enumerate().map(|(index, entry)| {
            let number = index + 1;
            let said = entry::said(&entry.body) + &entry::came_to(&analysis.observed.observations, number);
            (number, entry, said, case.struck_by(number).is_some())
        });
        if context.format == OutputFormat::Json {
            let rows = numbered
                .map(|(number, entry, text, struck)| ListedEntryShape::of(number, entry, text, struck));
            context.print_json(&ListShape::of(rows.collect()))?;
            return Ok(Exit::Done);
        }
        let line = |(number, entry, text, struck): (usize, &crate::log::entry::Entry, String, bool)| {
            let role = if struck { Role::Hint } else { Role::Plain };
            StyledText::of(Role::Hint, format!("{number:>3}  {}  ", entry.at.format("%d %b %H:%M")))
                .and(role, text)
                .and(Role::Doubt, if struck { "  (struck)" } else { "" })
        };
        context.print(&numbered.map(line).collect::<Vec<_>>())?;
        Ok(Exit::Done)
    }
}
