//! `strike`: takes an entry out of what the log adds up to; the entry stays in the file.

use std::path::PathBuf;

use crate::base::diagnostic::Diagnostic;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::drive::Log;
use crate::cli::error::{CliError, Exit};
use crate::cli::log::LogFile;
use crate::log::entry::LogEvent;
use crate::render::json::log::StrikeShape;
use crate::text::fault::argument;
use crate::text::whole::just_struck;

const EXAMPLES: &str = "\
Examples:
  fusetrail strike x.hunt.yaml 7 --why \"probe slipped\"";

/// Arguments of `strike`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES)]
pub struct Strike {
    /// Session log
    log: PathBuf,
    /// Number of the entry, as shown when it was added
    entry: usize,
    /// Why; the record keeps the reason
    #[arg(long, value_name = "REASON")]
    why: String,
}

impl Strike {
    /// Carries the command out.
    ///
    /// # Errors
    /// No such entry, it cannot be struck, or the log cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let mut log = LogFile::open(&self.log)?;
        context.talk(log.notes());
        let case = log.case();
        let last = case.entries;
        if self.entry == 0 || self.entry > last {
            return Err(Diagnostic::new(format!("there is no entry {}", self.entry))
                .expected(format!("a number from 2 to {last}"))
                .into());
        }
        if self.entry == 1 {
            return Err(argument::first_entry().into());
        }
        if let Some((_, why)) = case.struck_by(self.entry) {
            return Err(Diagnostic::new(format!("entry {} is struck already: {why}", self.entry)).into());
        }
        if self.why.trim().is_empty() {
            return Err(CliError::usage(argument::no_reason()));
        }
        let body = LogEvent::Strike { target: self.entry, why: self.why.trim().to_owned() };
        log.append(context.clock.now(), &[body])?;
        let number = log.case().entries;
        let shown = match context.format {
            OutputFormat::Json => context.print_json(&StrikeShape::of(number, self.entry)),
            OutputFormat::Text => context.print(&[just_struck(self.entry, number)]),
        };
        context.after_keeping(&[number], shown)
    }
}
