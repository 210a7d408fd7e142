//! Words in names: splits a name as people write it, finds known phrases in it, and the nearest spelling of a name.
//! Leaves to others: what the phrases mean (`loads`) and which names there are (`tree`, `check`).

use crate::base::caps::LOAD_NAME;

/// A known phrase.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Phrase {
    /// Its words, folded.
    pub words: Vec<String>,
    /// What it stands for, by index.
    pub target: usize,
}

impl Phrase {
    /// Folds a phrase.
    pub fn new(text: &str, target: usize) -> Self {
        Self { words: words_of(text), target }
    }
}

/// A phrase found in a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Hit {
    /// Index of its first word in the name.
    pub start: usize,
    /// Index behind its last word.
    pub end: usize,
    /// Letters in it.
    pub letters: usize,
    /// What it stands for.
    pub target: usize,
}

/// Splits a name into folded words: lower case, without punctuation, a plural s taken off words of four letters and
/// more, single letters in a row joined: `Int. LAMPS` and `int lamp` are one, and so are `B.C.M.` and `BCM`.
pub(super) fn words_of(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut joining = false;
    for word in text.to_lowercase().split(|c: char| !(c.is_alphanumeric() || c == '+')) {
        let single = word.chars().count() == 1 && word.chars().all(char::is_alphabetic);
        match (words.last_mut(), word.strip_suffix('s')) {
            _ if word.is_empty() => continue,
            (Some(last), _) if single && joining => last.push_str(word),
            (_, Some(stem)) if stem.chars().count() >= 3 => words.push(stem.to_owned()),
            _ => words.push(word.to_owned()),
        }
        joining = single;
    }
    words
}

/// Finds the phrases in a name, leaving out those that are only part of a longer one: `brake` in `brake lamp`.
pub(super) fn phrases_in(phrases: &[Phrase], words: &[String]) -> Vec<Hit> {
    let mut hits: Vec<Hit> = Vec::new();
    for phrase in phrases.iter().filter(|phrase| !phrase.words.is_empty()) {
        for (start, window) in words.windows(phrase.words.len()).enumerate() {
            if window == phrase.words.as_slice() {
                let letters = phrase.words.iter().map(|word| word.chars().count()).sum();
                hits.push(Hit { start, end: start + window.len(), letters, target: phrase.target });
            }
        }
    }
    let inside = |one: &Hit, other: &Hit| {
        other.start <= one.start && one.end <= other.end && (other.end - other.start) > (one.end - one.start)
    };
    let all = hits.clone();
    hits.retain(|hit| !all.iter().any(|other| inside(hit, other)));
    hits
}

/// Most names offered beside a name that is not known.
const OFFERED: usize = 3;

/// Longest name that is compared, in bytes.
const LONGEST_COMPARED: usize = 2 * LOAD_NAME;

/// Returns the known names that are spelled most like a wanted one, nearest first; empty if none is near.
pub(super) fn nearest<'n>(wanted: &str, known: impl Iterator<Item = &'n str>) -> Vec<&'n str> {
    // Nothing known is that long, and the comparison takes a time that grows with both lengths.
    if wanted.len() > LONGEST_COMPARED {
        return Vec::new();
    }
    let folded = wanted.to_lowercase();
    let furthest = (folded.chars().count() / 3).max(1);
    let mut near: Vec<(usize, &str)> = known
        .map(|name| {
            let name_folded = name.to_lowercase();
            let part = name_folded.contains(&folded) && folded.chars().count() >= 3;
            let distance = strsim::osa_distance(&folded, &name_folded);
            (if part { distance.min(furthest) } else { distance }, name)
        })
        .filter(|(distance, _)| *distance <= furthest)
        .collect();
    near.sort();
    near.dedup();
    near.into_iter().take(OFFERED).map(|(_, name)| name).collect()
}

/// Returns `did you mean A, B?` for the names spelled most like a wanted one, or `otherwise` if none is near.
pub(super) fn did_you_mean<'n>(
    wanted: &str,
    known: impl Iterator<Item = &'n str>,
    otherwise: impl Into<String>,
) -> String {
    let near = nearest(wanted, known);
    if near.is_empty() { otherwise.into() } else { format!("did you mean {}?", near.join(", ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_split_whatever_its_punctuation() {
        assert_eq!(words_of("Int. LAMPS/A-C (rear)"), ["int", "lamp", "ac", "rear"]);
        assert_eq!(words_of("B.C.M."), words_of("bcm"));
        assert_eq!(words_of("ABS"), ["abs"]);
        assert!(words_of(" -/ ").is_empty());
    }

    #[test]
    fn a_phrase_inside_a_longer_one_does_not_count() {
        let phrases = [Phrase::new("brake", 0), Phrase::new("brake lamps", 1)];
        let hits = phrases_in(&phrases, &words_of("BRAKE LAMP, brake"));
        assert_eq!(hits.iter().map(|hit| hit.target).collect::<Vec<_>>(), [0, 1]);
    }

    #[test]
    fn near_spellings_are_offered_and_far_ones_are_not() {
        let known = ["F12", "F2", "F31", "alternator"];
        assert_eq!(nearest("F21", known.into_iter()), ["F12", "F2", "F31"]);
        assert_eq!(nearest("alternater", known.into_iter()), ["alternator"]);
        assert!(nearest("wiper", known.into_iter()).is_empty());
    }
}
