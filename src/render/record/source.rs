//! What a record is made from.

use crate::log::case::Case;
use crate::log::entry::Entry;
use crate::render::redact::Redaction;

/// What a record is made from.
#[derive(Debug, Clone, Copy)]
pub struct RecordSource<'a> {
    /// Entries of the log, struck ones included.
    pub entries: &'a [Entry],
    /// What they add up to.
    pub case: &'a Case,
    /// Seal of the last entry.
    pub seal: &'a str,
    /// Numbers of entries changed after they were written.
    pub edited: &'a [usize],
    /// Bytes of an entry that was never finished, at the end of the log.
    pub torn: Option<usize>,
    /// Whether free texts are left out.
    pub redaction: Redaction,
}
