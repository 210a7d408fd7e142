//! A log on disk together with what it adds up to.
//! Leaves to others: the file (`log/store`), the sum (`log/replay`), the loop (`drive`).

use std::path::Path;

use chrono::{DateTime, FixedOffset};

use super::drive::Log;
use super::error::CliError;
use super::signal;
use crate::base::diagnostic::Diagnostic;
use crate::base::styled::StyledText;
use crate::circuit::map::Map;
use crate::hunt::analysis::Analysis;
use crate::log::case::Case;
use crate::log::entry::{Entry, LogEvent, Opened};
use crate::log::replay::{Replay, fold};
use crate::log::store::{self, Contents, Store, StoreError};
use crate::text::entry::{listing, taken_back};
use crate::text::whole;

/// A log opened for writing, and its case.
#[derive(Debug)]
pub struct LogFile {
    store: Store,
    replay: Replay,
    notes: Vec<StyledText>,
}

impl LogFile {
    /// Begins a log.
    ///
    /// # Errors
    /// There is such a file, or it cannot be written.
    pub fn create(path: &Path, at: DateTime<FixedOffset>, opened: Opened) -> Result<Self, CliError> {
        let first = Entry::new(at, LogEvent::Open(Box::new(opened)));
        let replay = Replay::new(vec![first.clone()])?;
        let _whole = signal::heeded();
        let store = Store::create(path, &first).map_err(failed)?;
        let notes = store.not_durable().map(|why| not_durable(path, why)).into_iter().collect();
        Ok(Self { store, replay, notes })
    }

    /// Opens a log to go on with.
    ///
    /// # Errors
    /// It is missing, not a log, held by another run, or cannot be written.
    pub fn open(path: &Path) -> Result<Self, CliError> {
        let (store, contents) = Store::open(path).map_err(failed)?;
        let notes = notes(path, &contents);
        Ok(Self { store, replay: Replay::new(contents.entries)?, notes })
    }

    /// Returns the entries, struck ones included.
    pub fn entries(&self) -> &[Entry] {
        self.replay.entries()
    }

    /// Returns the map as the log was begun with it, without the fuses typed since.
    pub fn first_map(&self) -> &Map {
        self.replay.first_map()
    }

    /// Returns what was found wrong with the file when it was opened or created.
    pub fn notes(&self) -> &[StyledText] {
        &self.notes
    }
}

impl Log for LogFile {
    fn case(&self) -> &Case {
        self.replay.case()
    }

    fn listing(&self) -> Vec<StyledText> {
        let analysis = Analysis::of(self.case());
        listing(self.entries(), self.case(), &analysis.observed.observations)
    }

    fn taken_back(&self) -> StyledText {
        let last = self.case().steps.last().into_iter().flatten();
        let entries: Vec<&Entry> =
            last.filter_map(|number| self.entries().get(number.checked_sub(1)?)).collect();
        taken_back(&entries)
    }

    fn append(&mut self, at: DateTime<FixedOffset>, bodies: &[LogEvent]) -> Result<(), CliError> {
        let new = Entry::step(at, bodies.to_vec(), self.case().entries + 1);
        // Whatever does not add up must not be written: the log could not be opened again.
        let case = self.replay.with(&new)?;
        let _whole = signal::heeded();
        self.store.append(&new).map_err(failed)?;
        self.replay.grow(new, case);
        Ok(())
    }
}

/// Reads a log without touching it, with its seal and what of it was edited or torn.
///
/// # Errors
/// As for [`read`].
pub fn read_sealed(path: &Path) -> Result<(Contents, Case, Vec<StyledText>), CliError> {
    let contents = store::read_only(path).map_err(failed)?;
    let case = fold(&contents.entries)?;
    let notes = notes(path, &contents);
    Ok((contents, case, notes))
}

/// Reads a log without touching it: its entries, their sum, and what was found wrong with the file.
///
/// # Errors
/// It is missing, not a log, or of a newer format.
pub fn read(path: &Path) -> Result<(Vec<Entry>, Case, Vec<StyledText>), CliError> {
    let (contents, case, notes) = read_sealed(path)?;
    Ok((contents.entries, case, notes))
}

/// Says that a log just created is there, but might not outlive a power cut.
fn not_durable(path: &Path, why: &str) -> StyledText {
    whole::note_not_durable(&path.to_string_lossy(), why)
}

/// Turns a failure of the store into exit code and words.
pub(super) fn failed(error: StoreError) -> CliError {
    let fault = Diagnostic::new(error.to_string());
    if matches!(error, StoreError::Held { .. }) { CliError::held(fault) } else { fault.into() }
}

fn notes(path: &Path, contents: &Contents) -> Vec<StyledText> {
    let name = path.to_string_lossy();
    let mut lines = Vec::new();
    if let Some(torn) = &contents.torn {
        let aside = torn.aside.as_ref().map(|aside| aside.to_string_lossy());
        lines.push(whole::note_torn(&name, torn.bytes, aside.as_deref()));
    }
    if !contents.edited.is_empty() {
        lines.push(whole::note_changed(&name, &contents.edited));
    }
    lines
}
