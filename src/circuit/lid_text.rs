//! A whole text typed or pasted from fuse-box lids, a fuse a line, with a line for each box (`cabin:` or `box cabin`).
//! Leaves to others: single lines (`lid`), tables with a box in each row (`sketch`).

use super::check::check_written;
use super::lid_line::{LidLine, cells, family_of};
use super::map::Map;
use super::schema::{FORMAT, MapSchema};
use crate::base::caps::{ANSWER, TOLD, TYPED_FUSES};
use crate::base::diagnostic::{Diagnostic, Faults};

/// One line.
enum TextLine<'a> {
    /// What follows sits in this box.
    Box(String),
    /// A fuse, links, or a family.
    Typed(&'a str),
}

/// The lines that say something, with their numbers.
fn lines(text: &str) -> impl Iterator<Item = (usize, TextLine<'_>)> {
    text.lines().enumerate().filter_map(|(at, line)| {
        let line = line.trim_start_matches('\u{feff}').trim();
        (!line.is_empty() && !line.starts_with('#')).then(|| (at + 1, read(line)))
    })
}

fn read(line: &str) -> TextLine<'_> {
    match box_named(line) {
        Some(name) => TextLine::Box(name),
        None => TextLine::Typed(line),
    }
}

/// Returns the id of the box that a line names: `box cabin`, `engine bay:`.
pub(crate) fn box_named(line: &str) -> Option<String> {
    let line = line.trim();
    let after = line.split_once(char::is_whitespace).filter(|(first, _)| first.eq_ignore_ascii_case("box"));
    let name = after.map(|(_, name)| name).or_else(|| line.strip_suffix(':'))?.trim();
    (!name.is_empty()).then(|| name.split_whitespace().collect::<Vec<_>>().join("-"))
}

/// Returns true if every line reads as one of a lid, and one at least is a fuse. A fuse of a lid has a digit in its name,
/// and three cells at most: name, rating, what it feeds.
pub(super) fn is_lid(text: &str) -> bool {
    if text.lines().any(|line| line.len() > ANSWER) || lines(text).nth(TYPED_FUSES).is_some() {
        return false;
    }
    let is_other = |line: &str| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let first =
            words.first().is_some_and(|word| ["all", "links"].contains(&word.to_lowercase().as_str()));
        first || matches!(words.as_slice(), [word] if family_of(word).is_ok())
    };
    let mut fuses = 0;
    let mut reads = |line: &str| {
        let is_row = cells(line).is_some_and(|cells| cells.len() > 3);
        let read = LidLine::read(line).ok().filter(|_| !is_row);
        let is_fuse = read.is_some_and(|line| line.id.chars().any(|c| c.is_ascii_digit()));
        fuses += usize::from(is_fuse);
        is_fuse || is_other(line)
    };
    let all = lines(text).all(|(_, line)| match line {
        TextLine::Typed(line) => reads(line),
        TextLine::Box(_) => true,
    });
    all && fuses > 0
}

/// Makes a map from the text of a lid, with what was guessed.
///
/// # Errors
/// Every line that does not fit, with its number.
pub(super) fn read_lid(title: &str, text: &str) -> Result<(Map, Vec<Diagnostic>), Vec<Diagnostic>> {
    let empty =
        MapSchema { format: Some(FORMAT.to_owned()), title: Some(title.to_owned()), ..MapSchema::default() };
    let mut map = check_written(&empty).map_err(|faults| faults.0)?.0;
    let (mut notes, mut faults) = (Vec::new(), Vec::new());
    let mut place = None;
    for (number, line) in lines(text) {
        let typed = match line {
            TextLine::Box(name) => {
                place = Some(name);
                continue;
            }
            TextLine::Typed(typed) => typed,
        };
        let on_line = |fault: Diagnostic| fault.on_line(number);
        match map.add_feed(place.as_deref(), typed) {
            Ok(added) => notes.extend(added.guesses.into_iter().map(on_line)),
            Err(Faults(more)) => faults.extend(more.into_iter().map(on_line)),
        }
        if faults.len() >= TOLD {
            break;
        }
    }
    if faults.is_empty() { Ok((map, notes)) } else { Err(faults) }
}
