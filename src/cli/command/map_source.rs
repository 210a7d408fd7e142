//! A map given by name: one that is built in, or a file.
//! Leaves to others: reading its text (`circuit/check`).

use std::path::Path;

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText, clean};
use crate::circuit::builtin::MAPS;
use crate::circuit::check::check;
use crate::circuit::map::Map;
use crate::cli::error::CliError;
use crate::cli::files;
use crate::text::fault::argument;

/// The text of a map and the name to speak of it.
#[derive(Debug, Clone)]
pub struct MapText {
    /// Name of the built-in map, or path of the file.
    pub name: String,
    /// The text.
    pub text: String,
}

/// Finds a map: a built-in one by its name, else a file.
///
/// # Errors
/// There is neither, or the file cannot be read.
pub fn find(name: &str) -> Result<MapText, Diagnostic> {
    if let Some(map) = MAPS.iter().find(|map| map.name == name) {
        return Ok(MapText { name: map.name.to_owned(), text: map.text.to_owned() });
    }
    let names: Vec<&str> = MAPS.iter().map(|map| map.name).collect();
    let text =
        files::read(Path::new(name)).map_err(|fault| fault.expected(argument::maps(&names.join(", "))))?;
    Ok(MapText { name: name.to_owned(), text })
}

/// Finds a map and checks it; returns it as it is written, with what is doubtful about it.
///
/// # Errors
/// There is none of that name, or it has diagnostics: all of them at once.
pub fn read(name: &str) -> Result<(Map, Vec<Diagnostic>), CliError> {
    let found = find(name)?;
    Ok(check(&clean(&found.name), &found.text)?)
}

/// Finds a map and puts into it what every vehicle of its class has, where it says nothing; returns it with what is
/// doubtful, guessed or assumed.
///
/// # Errors
/// As [`read`].
pub fn load(name: &str) -> Result<(Map, Vec<Diagnostic>), CliError> {
    let (map, mut remarks) = read(name)?;
    let (map, assumed) = map.completed()?;
    remarks.extend(assumed);
    Ok((map, remarks))
}

/// Returns doubtful things as lines for people.
pub fn warning_lines(warnings: &[Diagnostic]) -> Vec<StyledText> {
    let line =
        |fault: &Diagnostic| StyledText::of(Role::Doubt, "warning: ").and(Role::Plain, fault.to_string());
    warnings.iter().map(line).collect()
}
