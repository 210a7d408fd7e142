//! `check`: whether a log is whole, and whether it is still the one whose seal was noted elsewhere.
//! Leaves to others: finding that out (`log/contents`, `log/seal`).

use std::path::PathBuf;

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log::failed;
use crate::log::contents::Inspected;
use crate::log::entry::{Entry, LogEvent};
use crate::log::replay::fold;
use crate::log::seal;
use crate::log::store;
use crate::render::json::log::{CheckShape, NewerShape, StruckShape, UnreadableShape};
use crate::text::fault::argument;
use crate::text::whole;

const EXAMPLES: &str = "\
Examples:
  fusetrail check x.hunt.yaml
  fusetrail check x.hunt.yaml --seal be0efc06469605240a39ea3e48158a5a";

/// Arguments of `check`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Check {
    /// Session log
    log: PathBuf,
    /// Seal noted elsewhere, as on a work order: tells whether anything up to it was changed or taken off
    #[arg(long, value_name = "SEAL")]
    seal: Option<String>,
}

/// What a check finds.
struct Findings {
    inspected: Inspected,
    /// Numbers of the entries that were changed, or do not follow the one before.
    edited: Vec<usize>,
    /// Entries that cannot be read any more, and why.
    unreadable: Vec<(usize, Diagnostic)>,
    /// Why the entries do not add up to a case.
    faults: Vec<Diagnostic>,
    /// The entry whose seal was noted; `None` where no seal was given, or none of them has it.
    sealed: Option<usize>,
    /// True if nothing up to the noted seal was changed; `None` where no seal was given.
    agrees: Option<bool>,
}

impl Check {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing or is none, or the seal is not of its form.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let noted = self.seal.as_deref().map(read_seal).transpose().map_err(CliError::usage)?;
        let findings = Findings::of(store::inspect(&self.log).map_err(failed)?, noted.as_deref());
        match context.format {
            OutputFormat::Json => context.print_json(&findings.shape())?,
            OutputFormat::Text => context.print(&findings.lines(&self.log.to_string_lossy()))?,
        }
        Ok(if findings.is_whole() && findings.agrees != Some(false) { Exit::Done } else { Exit::No })
    }
}

/// Reads a seal as somebody noted it: blanks and hyphens between digits, and capitals, do not matter.
fn read_seal(text: &str) -> Result<String, Diagnostic> {
    let digits: String = text
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '"'))
        .map(|c| c.to_ascii_lowercase())
        .collect();
    match digits.chars().find(|c| !c.is_ascii_hexdigit()) {
        Some(odd) => Err(argument::odd_digit(odd, seal::DIGITS)),
        None if digits.len() != seal::DIGITS => Err(argument::seal_length(digits.len(), seal::DIGITS)),
        None => Ok(digits),
    }
}

impl Findings {
    fn of(inspected: Inspected, noted: Option<&str>) -> Self {
        let numbered = || (1..).zip(&inspected.entries);
        let edited: Vec<usize> =
            numbered().filter(|(_, found)| !found.fits).map(|(number, _)| number).collect();
        let unreadable: Vec<(usize, Diagnostic)> = numbered()
            .filter_map(|(number, found)| Some((number, found.entry.as_ref().err()?.clone())))
            .collect();
        let entries: Vec<Entry> =
            inspected.entries.iter().filter_map(|found| found.entry.clone().ok()).collect();
        let faults = match unreadable.is_empty().then(|| fold(&entries)) {
            Some(Err(faults)) => faults.0,
            _ => Vec::new(),
        };
        let sealed = noted.and_then(|noted| {
            numbered().find(|(_, found)| found.seal.as_deref() == Some(noted)).map(|(number, _)| number)
        });
        let agrees = noted.map(|_| sealed.is_some_and(|sealed| edited.iter().all(|edited| *edited > sealed)));
        Self { inspected, edited, unreadable, faults, sealed, agrees }
    }

    fn is_whole(&self) -> bool {
        let sound = self.edited.is_empty() && self.unreadable.is_empty() && self.faults.is_empty();
        sound && self.inspected.torn == 0
    }

    fn entries(&self) -> impl Iterator<Item = (usize, &Entry)> {
        (1..)
            .zip(&self.inspected.entries)
            .filter_map(|(number, found)| Some((number, found.entry.as_ref().ok()?)))
    }

    /// Returns each strike: its number, the entry that it strikes, and why.
    fn struck(&self) -> impl Iterator<Item = (usize, usize, &str)> {
        self.entries().filter_map(|(number, entry)| match &entry.body {
            LogEvent::Strike { target, why } => Some((number, *target, why.as_str())),
            _ => None,
        })
    }

    /// Returns the entries of kinds that a newer version wrote.
    fn newer(&self) -> impl Iterator<Item = (usize, &str)> {
        self.entries().filter_map(|(number, entry)| match &entry.body {
            LogEvent::Unknown { kind } => Some((number, kind.as_str())),
            _ => None,
        })
    }

    /// Returns the version that began the log.
    fn program(&self) -> Option<&str> {
        self.entries().find_map(|(_, entry)| match &entry.body {
            LogEvent::Open(opened) => Some(opened.program.as_str()),
            _ => None,
        })
    }

    fn last_seal(&self) -> Option<&str> {
        self.inspected.entries.last().and_then(|found| found.seal.as_deref())
    }

    fn shape(&self) -> CheckShape {
        let unreadable = self.unreadable.iter().map(|(number, why)| UnreadableShape::of(*number, why));
        CheckShape {
            whole: self.is_whole(),
            entries: self.inspected.entries.len(),
            last_seal: self.last_seal().map(str::to_owned),
            edited: self.edited.clone(),
            torn: self.inspected.torn > 0,
            torn_bytes: self.inspected.torn,
            unreadable: unreadable.collect(),
            problems: self.faults.iter().map(ToString::to_string).collect(),
            struck: self.struck().map(|(by, entry, why)| StruckShape::of(entry, by, why)).collect(),
            newer: self.newer().map(|(number, kind)| NewerShape::of(number, kind)).collect(),
            program: self.program().map(str::to_owned),
            agrees: self.agrees,
            sealed_entry: self.sealed,
        }
    }

    fn lines(&self, name: &str) -> Vec<StyledText> {
        let count = self.inspected.entries.len();
        let mut lines = vec![whole::head(name, self.is_whole(), count, self.program())];
        let changed = (!self.edited.is_empty()).then(|| whole::changed(&self.edited));
        let unreadable =
            self.unreadable.iter().map(|(number, why)| whole::unreadable(*number, &why.to_string()));
        let torn = Some(self.inspected.torn).filter(|torn| *torn > 0).map(whole::torn);
        let faults = self.faults.iter().map(ToString::to_string);
        let doubts = changed.into_iter().chain(unreadable).chain(faults).chain(torn);
        lines.extend(doubts.map(|doubt| StyledText::of(Role::Doubt, doubt).indented(2)));
        let struck = self.struck().map(|(by, entry, why)| whole::struck(entry, by, why));
        let newer = self.newer().map(|(number, kind)| whole::newer(number, kind));
        lines.extend(struck.chain(newer).map(StyledText::plain));
        lines.extend(self.last_seal().map(|seal| StyledText::plain("Last seal: ").and(Role::Value, seal)));
        lines.push(whole::seal(self.agrees, self.sealed, count));
        lines
    }
}
