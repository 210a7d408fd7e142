//! Words and steps, each explained in a few short sentences: of the trade, of this program, and what the hands do.
//! Leaves to others: printing them (`cli/command/explain`).

mod own;
mod steps;
mod trade;

use super::ask::caution;
use crate::log::question_id::QuestionId;
use crate::log::typed::Proposed;

/// A word or step with its other names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Explanation {
    /// What it is called; the first is its own name.
    pub names: &'static [&'static str],
    /// What it is, and what to do with it.
    pub text: &'static str,
}

/// Makes a list of explanations.
macro_rules! explained {
    ($($($name:literal)|+ => $text:literal;)*) => {
        pub(super) const ALL: &[super::Explanation] =
            &[$(super::Explanation { names: &[$($name),+], text: $text }),*];
    };
}
use explained;

/// Returns everything that is explained, in the order of the alphabet by its own name.
pub fn all() -> Vec<Explanation> {
    let mut all: Vec<Explanation> = [trade::ALL, own::ALL, steps::ALL].concat();
    all.extend(cautions());
    all.sort_by_key(|one| one.names.first().map(|name| name.to_lowercase()));
    all
}

/// Returns what the hands do at a reading, what a good one shows, and what to beware of.
pub fn hands(proposed: &Proposed) -> &'static str {
    let word = if proposed.running { RUNNING } else { proposed.kind.row().word };
    find(word).map_or("", |found| found.text)
}

/// The volts of a battery that is being charged.
const RUNNING: &str = "charging volts";

/// Every caution, by the id under which the record keeps it.
fn cautions() -> impl Iterator<Item = Explanation> {
    QuestionId::NAMES.iter().filter_map(|(id, name)| {
        let text = caution::text(*id);
        (!text.is_empty()).then(|| Explanation { names: std::slice::from_ref(name), text })
    })
}

/// Finds a word, whatever its case, hyphens and plural.
pub fn find(word: &str) -> Option<Explanation> {
    let plain = |text: &str| text.to_lowercase().replace(['-', '_'], " ").trim().to_owned();
    let wanted = plain(word);
    let singular = wanted.strip_suffix('s').map(str::to_owned);
    let fits = |one: &Explanation, wanted: &str| one.names.iter().any(|name| plain(name) == wanted);
    let all = all();
    let found = all.iter().find(|one| fits(one, &wanted));
    found
        .or_else(|| all.iter().find(|one| singular.as_ref().is_some_and(|wanted| fits(one, wanted))))
        .copied()
}

/// Returns the own names of what comes near a word that is not explained.
pub fn near(word: &str) -> Vec<&'static str> {
    let word = word.to_lowercase();
    let begins = |name: &&str| word.get(..3).is_some_and(|head| name.to_lowercase().starts_with(head));
    let all = all();
    all.iter()
        .filter(|one| one.names.iter().any(&begins))
        .filter_map(|one| one.names.first().copied())
        .collect()
}

/// Says that a word is not explained.
pub fn unknown(word: &str) -> String {
    format!("\"{word}\" is not explained")
}

/// What to do about that.
pub const LISTED: &str = "see them all: fusetrail explain";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::kind::MeasurementKind;

    #[test]
    fn a_word_is_found_whatever_its_case_and_plural() {
        for word in ["Floor", "fuse link", "fuse-links", "Key-Off Draw", "caution.pull", "wake-ups", "AGM"] {
            assert!(find(word).is_some(), "{word}");
        }
        assert!(find("zeppelin").is_none() && near("flo").contains(&"floor"));
    }

    #[test]
    fn every_reading_says_what_good_looks_like_and_what_to_beware_of() {
        let running = Proposed { running: true, ..Proposed::at(MeasurementKind::Volts, "") };
        let all = MeasurementKind::ALL.iter().map(|kind| Proposed::at(*kind, "")).chain([running]);
        for reading in all {
            let text = hands(&reading);
            assert!(text.contains("Good: ") && text.contains("Beware: "), "{reading:?}: {text}");
        }
    }

    #[test]
    fn no_name_is_explained_twice_and_every_text_is_short() {
        let all = all();
        assert!(all.len() >= 80, "{}", all.len());
        let mut names: Vec<&str> = all.iter().flat_map(|one| one.names).copied().collect();
        let count = names.len();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), count);
        for one in &all {
            let long =
                one.text.split(['.', '?', ':']).find(|sentence| sentence.split_whitespace().count() > 25);
            assert_eq!(long, None, "{}", one.names[0]);
            assert!(one.text.len() > 40 && one.text.len() < 620, "{}", one.names[0]);
        }
    }
}
