//! `undo`: takes back what the last command or the last answer entered, whole; the entries stay in the file, struck.

use std::path::PathBuf;

use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::drive::Log;
use crate::cli::error::{CliError, Exit};
use crate::cli::log::LogFile;
use crate::log::entry::UNDO;
use crate::render::json::log::UndoShape;
use crate::text::entry::said;
use crate::text::fault::file::nothing_left;

const EXAMPLES: &str = "\
Examples:
  fusetrail undo x.hunt.yaml     take back the last command or answer";

/// Arguments of `undo`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Undo {
    /// Session log
    log: PathBuf,
}

impl Undo {
    /// Carries the command out.
    ///
    /// # Errors
    /// Nothing is left to take back, or the log cannot be read or written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let mut log = LogFile::open(&self.log)?;
        context.talk(log.notes());
        let Some(taken) = log.case().steps.last().cloned() else {
            return Err(nothing_left(&self.log.to_string_lossy()).into());
        };
        let strikes = log.case().taking_back(UNDO);
        let texts: Vec<StyledText> = (taken.iter())
            .filter_map(|number| Some((number, log.entries().get(number.checked_sub(1)?)?)))
            .map(|(number, entry)| {
                StyledText::plain(format!("Taken back: entry {number}, ")).and(Role::Value, said(&entry.body))
            })
            .collect();
        let first = log.case().entries + 1;
        log.append(context.clock.now(), &strikes)?;
        let added: Vec<usize> = (first..=log.case().entries).collect();
        let shown = match context.format {
            OutputFormat::Json => context.print_json(&UndoShape::of(log.case().entries, taken)),
            OutputFormat::Text => context.print(&texts),
        };
        context.after_keeping(&added, shown)
    }
}
