//! `record`: the document that is handed over.
//! Leaves to others: what stands in it (`report/record`), its YAML (`yaml`).

use std::path::PathBuf;

use crate::cli::desk::{Desk, Format};
use crate::cli::fail::{Exit, Fail};
use crate::cli::{files, log};
use crate::fault::Fault;
use crate::hunt::analysis::Analysis;
use crate::piece::{Line, Role};
use crate::report::record::{Source, record};
use crate::session::store;
use crate::yaml;

const EXAMPLES: &str = "\
Examples:
  fusetrail record x.hunt.yaml
  fusetrail record x.hunt.yaml --to x.record.yaml --redact";

/// Arguments of `record`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Record {
    /// Session log
    log: PathBuf,
    /// Write it to FILE.yaml instead of printing it
    #[arg(long, value_name = "FILE")]
    to: Option<PathBuf>,
    /// Leave out vehicle, places and everybody's own words
    #[arg(long)]
    redact: bool,
}

impl Record {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged; the file exists already, has another ending than .yaml or .yml, or
    /// cannot be written.
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        if let Some(to) = &self.to {
            check_name(to)?;
        }
        let (entries, case, notes) = log::read(&self.log)?;
        desk.talk(&notes);
        let seal = store::read_only(&self.log).map(|contents| contents.seal).unwrap_or_default();
        let analysis = Analysis::of(&case)?;
        let document = record(&Source {
            entries: &entries,
            case: &case,
            analysis: &analysis,
            seal: &seal,
            redact: self.redact,
        });
        let Some(to) = &self.to else {
            match desk.format {
                Format::Json => desk.print_json(&document)?,
                Format::Text => desk.print_raw(&yaml::write(&document)?)?,
            }
            return Ok(Exit::Done);
        };
        files::write(to, &yaml::write(&document)?)?;
        desk.talk(&[Line::plain("Record written to ").and(Role::Name, to.to_string_lossy())]);
        Ok(Exit::Done)
    }
}

fn check_name(to: &std::path::Path) -> Result<(), Fail> {
    let ending = to.extension().and_then(|ending| ending.to_str()).unwrap_or("");
    if !["yaml", "yml"].contains(&ending) {
        let fault = Fault::new(format!("{} does not end in .yaml", to.display()));
        return Err(Fail::usage(
            fault.expected("a name such as x.record.yaml").remedy("other forms of the record come later"),
        ));
    }
    if to.exists() {
        let fault = Fault::new(format!("{} exists already", to.display()));
        return Err(Fail::usage(fault.remedy("name another file, or move it away first")));
    }
    Ok(())
}
