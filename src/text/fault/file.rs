//! Faults of files, streams and meters.

use std::io::{Error, ErrorKind};

use crate::base::diagnostic::Diagnostic;

/// What is asked where a meter cannot be reached.
pub const METER: &str = "is it on, plugged in, and named as --help has it?";

/// What a meter did that has to be asked and says nothing.
pub const LATE: &str = "it did not answer in time";

/// Bytes of a meter that never make a line.
pub fn endless(start: &str) -> String {
    format!("no end of a line after \"{start}…\"")
}

/// A stream that takes nothing more.
pub fn unwritten(error: &Error) -> Diagnostic {
    Diagnostic::new(format!("the output cannot be written: {error}"))
}

/// What the system says of a file, with what to do about it.
pub fn of(file: &str, doing: &str, error: &Error) -> Diagnostic {
    let remedy = match error.kind() {
        ErrorKind::NotFound => "check the name and the folder",
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "choose a folder that you may write to, or change its rights"
        }
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "make room on the disk or raise the limit (ulimit -f), then try again"
        }
        ErrorKind::IsADirectory => "name a file, not a folder",
        _ => "",
    };
    Diagnostic::new(format!("cannot be {doing}: {error}")).in_file(file).remedy(remedy)
}

/// A file larger than is taken.
pub fn too_large(file: &str, bytes: u64, most: usize) -> Diagnostic {
    Diagnostic::new(format!("has {bytes} bytes or more"))
        .in_file(file)
        .expected(format!("at most {most}"))
        .remedy("is this the right file?")
}

/// A file that is no text.
pub fn not_utf8(file: &str) -> Diagnostic {
    Diagnostic::new("is not UTF-8 text").in_file(file).remedy("save it as UTF-8 and try again")
}

/// A file that would be replaced.
pub fn is_there(file: &str) -> Diagnostic {
    Diagnostic::new("is there already").in_file(file).remedy("name another file, or give --replace")
}

/// A file for samples that holds something else.
pub fn foreign_sheet(file: &str) -> Diagnostic {
    Diagnostic::new("is there already, and is no log of watch with these meters")
        .in_file(file)
        .remedy("name another file")
}

/// A file for samples that another run writes.
pub fn held_sheet(file: &str) -> Diagnostic {
    Diagnostic::new("is being written by another watch")
        .in_file(file)
        .remedy("end that one first, or name another file")
}

/// A record that would take the place of its log.
pub fn log_itself(file: &str) -> Diagnostic {
    Diagnostic::new("this is the log itself").in_file(file).remedy("name another file")
}

/// A record in a form that nobody knows.
pub fn no_form(file: &str) -> Diagnostic {
    Diagnostic::new("no form of the record ends so")
        .in_file(file)
        .expected("a name that ends in .html, .txt, .csv or .yaml")
}

/// A log about another vehicle than the named one.
pub fn other_vehicle(file: &str, practice: Option<u64>) -> Diagnostic {
    let has = practice.map_or("a real vehicle".to_owned(), |seed| format!("practice vehicle {seed}"));
    Diagnostic::new(format!("this log is about {has}"))
        .in_file(file)
        .remedy("name another log, or leave --practice out")
}

/// A vehicle named to a log that has one.
pub fn has_vehicle(file: &str) -> Diagnostic {
    Diagnostic::new("this log carries its own map and vehicle")
        .in_file(file)
        .remedy("leave --map, --class, --volts, --batteries and --year out, or name another log")
}

/// A log of which nothing can be taken back.
pub fn nothing_left(file: &str) -> Diagnostic {
    Diagnostic::new("nothing is left in this log that could be taken back").in_file(file)
}

/// A meter log that is entered already.
pub fn entered(file: &str, entry: usize) -> Diagnostic {
    Diagnostic::new(format!("the log has this already, as entry {entry}"))
        .in_file(file)
        .remedy("strike that entry first if it is to be entered anew")
}

/// A meter log that ends too soon.
pub fn too_short(file: &str) -> Diagnostic {
    Diagnostic::new("the log is too short for an average")
        .in_file(file)
        .remedy(format!("look at it with: fusetrail settle {file}"))
}
