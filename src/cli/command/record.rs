//! `record`: what is handed over, as one YAML document. Leaves to others: what stands in it (`render/record`).

use std::path::{Path, PathBuf};

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText};
use crate::base::yaml;
use crate::cli::ask::confirm;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::{files, log};
use crate::render::json::log::RecordWrittenShape;
use crate::render::record::{RecordSource, record};
use crate::render::redact::Redaction;
use crate::text::record::LEFT_OUT;
use crate::text::whole;

const EXAMPLES: &str = "\
Examples:
  fusetrail record x.hunt.yaml
  fusetrail record x.hunt.yaml --to x.yaml --redact";

/// Endings of the files that are written.
const ENDINGS: [&str; 2] = ["yaml", "yml"];

/// Arguments of `record`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Record {
    /// Session log
    log: PathBuf,
    /// Write it to FILE, which ends in .yaml; without it the record is printed
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Replace FILE if there is one
    #[arg(long, requires = "to")]
    replace: bool,
    /// Leave out what may name persons and places: vehicle, complaint, notes, reasons, free answers
    #[arg(long)]
    redact: bool,
}

impl Record {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged; FILE ends otherwise, is there already, or cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        if let Some(to) = &self.to {
            check_ending(to)?;
        }
        let (contents, case, notes) = log::read_sealed(&self.log)?;
        context.talk(&notes);
        let record = record(&RecordSource {
            entries: &contents.entries,
            case: &case,
            seal: &contents.seal,
            edited: &contents.edited,
            torn: contents.torn.as_ref().map(|torn| torn.bytes),
            redaction: Redaction(self.redact),
        })?;
        if self.redact {
            context.talk(&[StyledText::of(Role::Hint, "Left out: ").and(Role::Plain, LEFT_OUT.join("; "))]);
        }
        match (&self.to, context.format) {
            (Some(to), _) => {
                self.write(context, to, &yaml::write(&record)?)?;
                let seal = &contents.seal;
                match context.format {
                    OutputFormat::Json => {
                        context.print_json(&RecordWrittenShape::of(&to.to_string_lossy(), seal))?
                    }
                    OutputFormat::Text => context.print(&[StyledText::plain("Record written to ")
                        .and(Role::Name, to.to_string_lossy())
                        .and(Role::Hint, format!(", seal {seal}"))])?,
                }
            }
            (None, OutputFormat::Json) => context.print_json(&record)?,
            (None, OutputFormat::Text) => {
                context.print_raw(&yaml::write(&record)?)?;
                context.talk(&[whole::last_seal(&contents.seal)]);
            }
        }
        Ok(Exit::Done)
    }

    /// Writes the file; one that is there is replaced only if that is wanted. The log itself is never replaced.
    fn write(&self, context: &Context, to: &Path, text: &str) -> Result<(), CliError> {
        let name = to.to_string_lossy();
        if is_same(to, &self.log) {
            return Err(Diagnostic::new("this is the log itself")
                .in_file(&name)
                .remedy("name another file")
                .into());
        }
        let may_replace = || self.replace || confirm::agrees(context, &whole::replace(&name));
        if to.exists() && !may_replace() {
            return Err(Diagnostic::new("is there already")
                .in_file(&name)
                .remedy("name another file, or give --replace")
                .into());
        }
        Ok(files::write(to, text)?)
    }
}

fn is_same(one: &Path, other: &Path) -> bool {
    matches!((one.canonicalize(), other.canonicalize()), (Ok(one), Ok(other)) if one == other)
}

fn check_ending(to: &Path) -> Result<(), CliError> {
    let ending = to.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    if ENDINGS.contains(&ending.as_str()) {
        return Ok(());
    }
    Err(CliError::usage(
        Diagnostic::new("the record is written as YAML only")
            .in_file(&to.to_string_lossy())
            .expected("a name that ends in .yaml")
            .remedy("--to NAME.yaml; other forms can be made from --format json"),
    ))
}
