//! `record`: what is handed over, in the form that its file's name asks for. Leaves to others: what stands in it
//! (`render/record`), what is left out (`render/hide`, `render/redact`).

use std::path::{Path, PathBuf};

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText};
use crate::base::yaml;
use crate::cli::ask::confirm;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::paint::paint;
use crate::cli::{files, log};
use crate::render::hide::hidden;
use crate::render::json::log::RecordWrittenShape;
use crate::render::record::page::{html, plain};
use crate::render::record::{RecordSource, csv, page, record};
use crate::render::redact::Redaction;
use crate::text::fault::file as fault;
use crate::text::record::LEFT_OUT;
use crate::text::whole;

const EXAMPLES: &str = "\
Examples:
  fusetrail record x.hunt.yaml --to x.html       a page to print or send
  fusetrail record x.hunt.yaml --format text     the same on the screen
  fusetrail record x.hunt.yaml --to x.csv        the readings as a table
  fusetrail record x.hunt.yaml --to x.yaml --redact";

/// Columns of a page in a text file.
const COLUMNS: usize = 80;

/// Forms of the record, by the ending of the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum RecordForm {
    Yaml,
    Html,
    Csv,
    Text,
}

/// Endings of the files that are written.
const ENDINGS: [(&str, RecordForm); 6] = [
    ("yaml", RecordForm::Yaml),
    ("yml", RecordForm::Yaml),
    ("html", RecordForm::Html),
    ("htm", RecordForm::Html),
    ("csv", RecordForm::Csv),
    ("txt", RecordForm::Text),
];

/// Arguments of `record`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Record {
    /// Session log
    log: PathBuf,
    /// Write it to FILE: .html or .txt for people, .csv for the readings, .yaml for all of it; without it the record is
    /// printed as YAML, with --format text as a page
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Replace FILE if there is one
    #[arg(long, requires = "to")]
    replace: bool,
    /// Leave out what may name persons and places: vehicle, complaint, notes, reasons, free answers, names on the map
    #[arg(long)]
    redact: bool,
}

impl Record {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged; FILE ends otherwise, is there already, or cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let form = match &self.to {
            Some(to) => form_of(to)?,
            None if context.is_text_told => RecordForm::Text,
            None => RecordForm::Yaml,
        };
        let (contents, case, notes) = log::read_sealed(&self.log)?;
        context.talk(&notes);
        let (case, entries) =
            if self.redact { hidden(&case, &contents.entries) } else { (case, contents.entries.clone()) };
        let source = RecordSource {
            entries: &entries,
            case: &case,
            seal: &contents.seal,
            edited: &contents.edited,
            torn: contents.torn.as_ref().map(|torn| torn.bytes),
            redaction: Redaction(self.redact),
        };
        if self.redact {
            context.talk(&[StyledText::of(Role::Hint, "Left out: ").and(Role::Plain, LEFT_OUT.join("; "))]);
        }
        let seal = &contents.seal;
        match (&self.to, context.format) {
            (Some(to), _) => {
                self.write(context, to, &written(form, &source, &context.config.letterhead)?)?;
                match context.format {
                    OutputFormat::Json => {
                        context.print_json(&RecordWrittenShape::of(&to.to_string_lossy(), seal))?
                    }
                    OutputFormat::Text => context.print(&[StyledText::plain("Record written to ")
                        .and(Role::Name, to.to_string_lossy())
                        .and(Role::Hint, format!(", seal {seal}"))])?,
                }
            }
            (None, OutputFormat::Json) => context.print_json(&record(&source)?)?,
            (None, OutputFormat::Text) if form == RecordForm::Text => {
                context.print(&plain::lines(&page(&source, &context.config.letterhead)))?;
            }
            (None, OutputFormat::Text) => {
                context.print_raw(&written(form, &source, &context.config.letterhead)?)?;
                context.talk(&[whole::last_seal(seal)]);
            }
        }
        Ok(Exit::Done)
    }

    /// Writes the file; one that is there is replaced only if that is wanted. The log itself is never replaced.
    fn write(&self, context: &Context, to: &Path, text: &str) -> Result<(), CliError> {
        let name = to.to_string_lossy();
        if is_same(to, &self.log) {
            return Err(fault::log_itself(&name).into());
        }
        let may_replace = || self.replace || confirm::agrees(context, &whole::replace(&name));
        if to.exists() && !may_replace() {
            return Err(fault::is_there(&name).into());
        }
        Ok(files::write(to, text)?)
    }
}

/// Returns the record in a form.
fn written(form: RecordForm, source: &RecordSource, letterhead: &[String]) -> Result<String, Diagnostic> {
    Ok(match form {
        RecordForm::Yaml => yaml::write(&record(source)?)?,
        RecordForm::Html => html::write(&page(source, letterhead)),
        RecordForm::Csv => csv(source)?,
        RecordForm::Text => paint(&plain::lines(&page(source, letterhead)), COLUMNS, false),
    })
}

fn is_same(one: &Path, other: &Path) -> bool {
    matches!((one.canonicalize(), other.canonicalize()), (Ok(one), Ok(other)) if one == other)
}

fn form_of(to: &Path) -> Result<RecordForm, CliError> {
    let ending = to.extension().unwrap_or_default().to_string_lossy().to_lowercase();
    let form = ENDINGS.iter().find(|(known, _)| *known == ending).map(|(_, form)| *form);
    form.ok_or_else(|| CliError::usage(fault::no_form(&to.to_string_lossy())))
}
