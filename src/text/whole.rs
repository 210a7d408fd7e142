//! Whether a log is whole, in words: seals, torn ends, entries that were changed or struck.
//! Leaves to others: finding out (`log/seal`, `log/store`).

use super::entry::numbered;
use crate::base::styled::{Role, StyledText};

/// Returns the head of a check: whether it is whole, how many entries it has, and which version began it.
pub fn head(log: &str, is_whole: bool, entries: usize, program: Option<&str>) -> StyledText {
    let begun = program.map_or(String::new(), |program| format!(", begun with fusetrail {program}"));
    let head = StyledText::of(Role::Name, log).and(Role::Plain, " is ");
    if is_whole {
        return head.and(Role::Good, "whole").and(Role::Plain, format!(": {entries} entries{begun}."));
    }
    head.and(Role::Doubt, "not whole").and(Role::Plain, format!(" ({entries} entries{begun}):"))
}

/// Says which entries were changed.
pub fn changed(entries: &[usize]) -> String {
    format!("changed after it was written: entry {}", numbered(entries))
}

/// Says that an entry can't be read.
pub fn unreadable(entry: usize, why: &str) -> String {
    format!("entry {entry} can't be read any more: {why}; put the line back as it was")
}

/// Says that the last entry was never finished.
pub fn torn(bytes: usize) -> String {
    format!(
        "{bytes} bytes at its end belong to an entry that was never finished; the next command that writes sets them aside"
    )
}

/// Says who struck an entry.
pub fn struck(entry: usize, by: usize, why: &str) -> String {
    format!("Entry {entry} is struck, by entry {by}: {why}.")
}

/// Says that an entry was struck just now.
pub fn just_struck(entry: usize, by: usize) -> StyledText {
    StyledText::plain(format!("Entry {entry} is struck, by entry {by}"))
        .and(Role::Hint, "; it stays in the file.")
}

/// Says that a newer version wrote an entry.
pub fn newer(entry: usize, kind: &str) -> String {
    format!("Entry {entry} is of a kind that a newer version wrote ({kind}); it is kept as it stands.")
}

/// Says what a seal that was noted tells: `None` if none was given; `Err` if no entry has it.
pub fn seal(agrees: Option<bool>, sealed: Option<usize>, entries: usize) -> StyledText {
    let (role, text) = match (agrees, sealed) {
        (Some(true), Some(sealed)) if sealed == entries => (
            Role::Good,
            "The seal agrees: nothing was changed, added or taken off since it was noted.".to_owned(),
        ),
        (Some(true), Some(sealed)) => (
            Role::Good,
            format!(
                "The seal agrees, at entry {sealed}: nothing up to there was changed. Added since: {}.",
                entries - sealed
            ),
        ),
        (Some(_), Some(sealed)) => {
            (Role::Doubt, format!("The seal stands at entry {sealed}, but entries up to it were changed."))
        }
        (Some(_), None) => (
            Role::Doubt,
            "The seal does not agree: no entry has it. Entries were taken off the end, or the log was written anew. Ask for the log as it was handed over.".to_owned(),
        ),
        (None, _) => (
            Role::Hint,
            "Note the last seal on the work order: check --seal shows later whether anything was changed or taken off.".to_owned(),
        ),
    };
    StyledText::of(role, text)
}

/// Returns the seal below a record that was printed.
pub fn last_seal(seal: &str) -> StyledText {
    StyledText::of(Role::Hint, "Last seal ")
        .and(Role::Value, seal)
        .and(Role::Hint, ": note it on the work order; check --seal tells later whether the log was changed.")
}

/// Asks before a record takes the place of a file.
pub fn replace(name: &str) -> String {
    format!("{name} is there already. Replace it?")
}

fn note(log: &str) -> StyledText {
    StyledText::of(Role::Doubt, "note: ").and(Role::Name, log)
}

/// Notes that the end of a log was torn, and where its bytes went.
pub fn note_torn(log: &str, bytes: usize, aside: Option<&str>) -> StyledText {
    let line = note(log)
        .and(Role::Plain, format!(": {bytes} bytes of an entry that was never finished stood at the end"));
    match aside {
        Some(aside) => line
            .and(Role::Plain, "; they were set aside in ")
            .and(Role::Name, aside)
            .and(Role::Plain, ". Every entry before them is whole."),
        None => line.and(Role::Plain, "; they are left out."),
    }
}

/// Notes that entries were changed.
pub fn note_changed(log: &str, entries: &[usize]) -> StyledText {
    let told = format!(": changed after it was written, by its seal: entry {}", numbered(entries));
    note(log).and(Role::Plain, told)
}

/// Notes that a log that was just made might not outlive a power cut.
pub fn note_not_durable(log: &str, why: &str) -> StyledText {
    let told = format!(
        ": the log is there, but its folder could not be put on disk ({why}); a power cut now could take it"
    );
    note(log).and(Role::Plain, told)
}

/// Says that entries are in the log although their answer could not be shown.
pub fn not_shown(entries: &[usize]) -> StyledText {
    let told = match entries {
        [] => "The log is as it was; its answer could not be shown.".to_owned(),
        [one] => format!("Entry {one} is in the log; only the answer to it could not be shown."),
        [first, .., last] => {
            format!("Entries {first} to {last} are in the log; only the answer to them could not be shown.")
        }
    };
    StyledText::of(Role::Doubt, told)
}
