//! One line of a fuse-box lid, as people print and type it: `F12 mini 10 radio, clock`, `F12 radio 10A`, `10A F12 radio`,
//! `F12;10;radio`. Leaves to others: adding it to a map (`lid`), whole lists (`sketch`), what names mean (`loads`).

use super::fuse::Family;
use super::keys::range;
use super::resolve::unusable;
use super::wording::did_you_mean;
use crate::base::caps::LOADS_OF_ONE;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Ampere, Unit};
use crate::base::styled::clean;

/// Adds what a lid line looks like.
pub(super) fn formed(fault: Diagnostic) -> Diagnostic {
    fault.expected("fuse, family, rating, what it feeds: F12 mini 10 radio, clock")
}

/// What stands on a lid where a fuse feeds nothing.
const NOTHING: [&str; 9] =
    ["spare", "unused", "not used", "empty", "free", "reserve", "reserved", "n.c.", "not connected"];

/// A line of a fuse-box lid, taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct LidLine {
    /// Id of the fuse.
    pub id: String,
    /// Family, if the line names one.
    pub family: Option<Family>,
    /// Rating.
    pub rating: Ampere,
    /// Feed above it, if the line names one with `from L1`.
    pub from: Option<String>,
    /// What it feeds, as named on the lid; names that stand there several times are numbered.
    pub loads: Vec<String>,
}

/// The words of a line by what they are.
#[derive(Default)]
struct Sorted {
    id: String,
    family: Option<Family>,
    rating: String,
    rest: String,
}

impl LidLine {
    /// Reads a line: id, family (may be left out), rating, `from` and the feed above it (may be left out), then what it
    /// feeds, separated by commas. The rating may also stand first, with its A, or last; cells may be separated by
    /// semicolons, bars, tabs or commas.
    ///
    /// # Errors
    /// Nothing typed, no rating, a rating that is not positive, a family that is not known, a name that cannot be used.
    pub fn read(line: &str) -> Result<LidLine, Diagnostic> {
        let line = line.trim();
        if line.is_empty() {
            return Err(formed(Diagnostic::new("nothing was typed")));
        }
        let sorted = match cells(line) {
            Some(cells) => by_cell(&cells),
            None => by_word(line)?,
        };
        let shown = clean(&line.chars().take(80).collect::<String>());
        if let Some(fault) = unusable(&sorted.id) {
            return Err(fault);
        }
        if sorted.rating.is_empty() {
            return Err(formed(Diagnostic::new(format!("\"{shown}\" has no rating"))));
        }
        let mut rest = sorted.rest.trim();
        let mut from = None;
        if let Some((first, others)) = rest.split_once(char::is_whitespace).or(Some((rest, "")))
            && first.eq_ignore_ascii_case("from")
        {
            let (above, others) = others.trim().split_once([' ', ',', ';']).unwrap_or((others.trim(), ""));
            if above.is_empty() {
                return Err(formed(Diagnostic::new(format!("\"{shown}\": from what?"))));
            }
            from = Some(above.to_owned());
            rest = others;
        }
        let loads = split_loads(rest);
        if loads.len() > LOADS_OF_ONE {
            let count = loads.len();
            let fault =
                Diagnostic::new(format!("the line names {count} loads, at most {LOADS_OF_ONE} are taken"));
            return Err(formed(fault));
        }
        let (rating, loads) = (read_rating(&sorted.rating)?, numbered(loads));
        Ok(LidLine { id: sorted.id, family: sorted.family, rating, from, loads })
    }
}

/// The cells of a line that is a row of a table: bars or tabs stand in it, or its first word goes on behind another
/// separator. `None` for plain words.
pub(super) fn cells(line: &str) -> Option<Vec<&str>> {
    let first = line.split(' ').next()?;
    let in_it = |c: &char| match c {
        '|' | '\t' => line.contains(*c),
        _ => first.trim_end_matches(*c).contains(*c),
    };
    let separator = ['|', '\t', ';', ','].into_iter().find(in_it)?;
    Some(line.split(separator).map(str::trim).filter(|cell| !cell.is_empty()).collect())
}

/// Sorts cells: the name first, rating and family wherever they stand, what is left is fed.
fn by_cell(cells: &[&str]) -> Sorted {
    let mut sorted = Sorted::default();
    let mut fed = Vec::new();
    for cell in cells {
        let is_rating = amperes(cell).is_some_and(|(_, unit)| unit || !sorted.id.is_empty());
        if is_rating && sorted.rating.is_empty() {
            sorted.rating = (*cell).to_owned();
        } else if sorted.id.is_empty() {
            sorted.id = cell.split_whitespace().collect::<Vec<_>>().join("-");
        } else if let (Ok(family), None) = (family_of(cell), sorted.family) {
            sorted.family = Some(family);
        } else {
            fed.push(*cell);
        }
    }
    sorted.rest = fed.join(", ");
    sorted
}

/// Sorts words: the rating stands behind the name, with or without a family between; or before the name, with its A; or
/// at the end.
fn by_word(line: &str) -> Result<Sorted, Diagnostic> {
    let is_mark = |word: &&str| word.chars().all(|c| matches!(c, '-' | '–' | '—' | ':' | '='));
    let mut words: Vec<&str> = line.split_whitespace().collect();
    let mut sorted = Sorted::default();
    if words.len() > 1 && words.first().is_some_and(|word| amperes(word).is_some_and(|(_, unit)| unit)) {
        sorted.rating = words.remove(0).to_owned();
        sorted.family = words.first().and_then(|word| family_of(word).ok()).inspect(|_| {
            words.remove(0);
        });
    }
    if !words.is_empty() {
        words.remove(0).trim_end_matches([':', '=']).clone_into(&mut sorted.id);
    }
    while words.first().is_some_and(is_mark) {
        words.remove(0);
    }
    if sorted.rating.is_empty() {
        behind_the_name(&mut words, &mut sorted)?;
    }
    sorted.rest = words.join(" ");
    Ok(sorted)
}

/// Takes family and rating from behind the name, or from the end.
fn behind_the_name(words: &mut Vec<&str>, sorted: &mut Sorted) -> Result<(), Diagnostic> {
    let number_at = |words: &[&str], at: usize| words.get(at).is_some_and(|word| begins_as_number(word));
    let at_end = |words: &mut Vec<&str>| {
        let unit = words.last().filter(|word| is_ampere(word)).map_or(0, |_| 1);
        let place = words.len().checked_sub(unit + 1)?;
        let (number, _) = words.get(place).and_then(|word| amperes(word))?;
        words.truncate(place);
        Some(format!("{number}A"))
    };
    if let Some(first) = words.first().filter(|_| !number_at(words, 0)) {
        match family_of(first) {
            Ok(family) => {
                sorted.family = Some(family);
                words.remove(0);
            }
            // Where a number stands behind it and the word is nearly a family, or no rating is at the end, one was meant.
            Err(fault) => {
                if is_nearly_a_family(first) && number_at(words, 1) {
                    return Err(fault);
                }
                match at_end(words) {
                    Some(rating) => sorted.rating = rating,
                    None if words.len() > 1 => return Err(fault),
                    None => return Ok(()),
                }
                sorted.family = words.last().and_then(|word| family_of(word).ok()).inspect(|_| {
                    words.pop();
                });
                return Ok(());
            }
        }
    }
    if words.is_empty() {
        return Ok(());
    }
    let number = words.remove(0);
    if words.first().is_some_and(|word| is_ampere(word)) {
        words.remove(0);
        sorted.rating = format!("{number}A");
    } else {
        number.clone_into(&mut sorted.rating);
    }
    Ok(())
}

/// Splits what a fuse feeds into loads, at commas and semicolons; what says that it feeds nothing is left out.
pub(super) fn split_loads(text: &str) -> Vec<String> {
    let is_one = |load: &&str| {
        let is_nothing = NOTHING.iter().any(|nothing| load.eq_ignore_ascii_case(nothing));
        load.chars().any(char::is_alphanumeric) && !is_nothing
    };
    text.split([',', ';']).map(str::trim).filter(is_one).map(str::to_owned).collect()
}

/// Numbers names that stand there several times: lamp, lamp are `lamp 1`, `lamp 2`.
pub(super) fn numbered(names: Vec<String>) -> Vec<String> {
    let mut taken: Vec<String> = Vec::with_capacity(names.len());
    for name in &names {
        let alike = !name.is_empty() && names.iter().filter(|other| *other == name).count() > 1;
        let free = |number: &usize| {
            let wanted = format!("{name} {number}");
            !names.contains(&wanted) && !taken.contains(&wanted)
        };
        let number = alike.then(|| (1..).find(free)).flatten();
        taken.push(number.map_or_else(|| name.clone(), |number| format!("{name} {number}")));
    }
    taken
}

/// Reads a family as people name it and as it is printed. ATO, ATC (blade), ATM, APM (mini) and APX (maxi) are used as
/// names of the sizes throughout the trade (from memory).
pub(super) fn family_of(word: &str) -> Result<Family, Diagnostic> {
    let folded = word.to_lowercase().replace(['_', ' '], "-");
    let plain = match folded.as_str() {
        "regular" | "standard" | "normal" | "ato" | "atc" | "ato/atc" => "blade",
        "atm" | "apm" => "mini",
        "apx" => "maxi",
        "lowmini" | "low-profile" | "low-profile-mini" | "mini-low" => "low-mini",
        "micro-2" => "micro2",
        "micro-3" => "micro3",
        "link" | "fusible-link" => "wire",
        other => other,
    };
    Family::from_name(plain).ok_or_else(|| {
        let names = || Family::ALL.into_iter().map(Family::name);
        let all = format!("one of {}", names().collect::<Vec<_>>().join(", "));
        let fault = Diagnostic::new(format!("the fuse family \"{}\" is not known", clean(word)));
        fault.expected(all).remedy(did_you_mean(word, names(), ""))
    })
}

fn is_nearly_a_family(word: &str) -> bool {
    !did_you_mean(word, Family::ALL.into_iter().map(Family::name), "").is_empty()
}

/// Reads a rating; a bare number is ampere.
pub(super) fn read_rating(text: &str) -> Result<Ampere, Diagnostic> {
    let (least, most) = range("rating_a").unwrap_or((0.0, f64::INFINITY));
    let due = format!("amperes, {least} to {most}, such as 10");
    let plain = amperes(text).map_or(text, |(number, _)| number);
    let typed =
        Ampere::read(plain, "A").map_err(|fault| Diagnostic::new(fault.what).expected(due.clone()))?;
    if (least..=most).contains(&typed.value.base()) {
        Ok(typed.value)
    } else {
        Err(Diagnostic::new(format!("the rating is {}", clean(text))).expected(due))
    }
}

/// The number of a rating as printed, `10`, `7,5A`, `10 amp`, and whether its unit is there.
fn amperes(word: &str) -> Option<(&str, bool)> {
    let number = word.trim_end_matches(|c: char| c.is_ascii_alphabetic()).trim_end();
    let unit = word.get(number.len()..)?.trim();
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    let is_number = number.starts_with(|c: char| c.is_ascii_digit()) && number.chars().all(digits);
    (is_number && (unit.is_empty() || is_ampere(unit))).then_some((number, !unit.is_empty()))
}

fn begins_as_number(word: &str) -> bool {
    let digits = word.trim_start_matches(['+', '-', '.', ',']);
    digits.starts_with(|c: char| c.is_ascii_digit())
}

fn is_ampere(word: &str) -> bool {
    ["a", "amp", "amps"].iter().any(|unit| word.eq_ignore_ascii_case(unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(text: &str) -> LidLine {
        LidLine::read(text).unwrap_or_else(|fault| panic!("{text}: {fault}"))
    }

    #[test]
    fn what_people_type_from_a_lid_is_understood() {
        let full = line("F12 mini 10 radio, clock");
        let due = ("F12", Some(Family::Mini), Ampere::new(10.0));
        assert_eq!((full.id.as_str(), full.family, full.rating), due);
        assert_eq!(full.loads, ["radio", "clock"]);
        assert_eq!(line("  F12   10   radio").family, None);
        assert_eq!(line("F12 10A radio").loads, ["radio"]);
        assert_eq!(line("F12 10 A radio").loads, ["radio"]);
        assert_eq!(line("F12 mini 10 A/C clutch").loads, ["A/C clutch"]);
        assert_eq!(line("12 7,5 int lamps; boot lamp").rating, Ampere::new(7.5));
        assert_eq!(line("F3 low-profile 5").loads, Vec::<String>::new());
        let below = line("F12 mini 10 from L1 radio");
        assert_eq!((below.from.as_deref(), below.loads.len()), (Some("L1"), 1));
        assert_eq!(line("L1 link 80").family, Some(Family::Wire));
    }

    #[test]
    fn what_is_printed_on_lids_is_understood() {
        let all = [
            "F12 10 radio",
            "F12 radio 10A",
            "F12 radio 10 A",
            "F12 radio 10",
            "10A F12 radio",
            "F12: 10A radio",
            "F12 - radio 10 amps",
            "F12\t10A\tradio",
            "F12,10,radio",
            "F12;radio;10A",
            "F12 | 10A | radio",
        ];
        for text in all {
            let read = line(text);
            let due = ("F12", Ampere::new(10.0), vec!["radio".to_owned()]);
            assert_eq!((read.id.as_str(), read.rating, read.loads), due, "{text}");
        }
        for (text, family) in [("ATO", Family::Blade), ("atc", Family::Blade), ("ATM", Family::Mini)] {
            for written in
                [format!("1 {text} 10A radio"), format!("10A {text} 1 radio"), format!("1 radio {text} 10")]
            {
                let read = line(&written);
                assert_eq!((read.id.as_str(), read.family), ("1", Some(family)), "{written}");
            }
        }
        assert_eq!((line("1 10A radio").id.as_str(), line("1 10A radio").loads.len()), ("1", 1));
        assert!(line("F9 spare 10A").loads.is_empty() && line("F9 10 not used").loads.is_empty());
        assert_eq!(line("F9 10 lamp, lamp, horn").loads, ["lamp 1", "lamp 2", "horn"]);
        assert_eq!(line("F9 10 lamp, lamp, lamp 1").loads, ["lamp 2", "lamp 3", "lamp 1"]);
    }

    #[test]
    fn a_line_that_cannot_be_meant_is_refused_with_a_right_form() {
        let cases = [
            ("", "nothing was typed"),
            ("F12", "has no rating"),
            ("F12 mini", "has no rating"),
            ("F12 minni 10 radio", "did you mean mini"),
            ("F12 minni 10", "did you mean mini"),
            ("F12 mini -5 radio", "0.1 to 2000"),
            ("F12 mini 0 radio", "0.1 to 2000"),
            ("F12 mini 10uA radio", "0.1 to 2000"),
            ("F12 mini 9000 radio", "0.1 to 2000"),
            ("F12 mini 10mV radio", "is a voltage"),
            ("F12 mini 1e999 radio", "finite"),
            ("F/12 mini 10 radio", "short name"),
            ("battery mini 10 radio", "battery itself"),
            ("F12 mini 10 from", "from what"),
        ];
        for (text, due) in cases {
            let said = LidLine::read(text).expect_err(text).to_string();
            assert!(said.contains(due), "{text:?}: {said}");
        }
    }
}
