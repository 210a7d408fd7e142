//! When something was fitted or mended, held against when the trouble began, as far as an answer in words tells.
//! Leaves to others: what was fitted or mended (`interview`), what that weighs (`circuits/hints.yaml`).

/// When it was, against the trouble.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Onset {
    /// That was not told.
    #[default]
    Unknown,
    /// The trouble began with it.
    Since,
    /// Long before the trouble.
    LongAgo,
}

/// Words behind `since` or `after` that are looked at.
const NEAR: usize = 5;
/// Words before `since` that speak of the trouble; `flat after 3 days` is a time.
const TROUBLE: [&str; 8] = ["flat", "ever", "dead", "trouble", "began", "begun", "started", "happens"];

impl Onset {
    /// Reads it from the words of an answer, in lower case; `is_it` tells a word of what was fitted or mended.
    pub fn of(words: &[String], is_it: impl Fn(&str) -> bool) -> Self {
        let begins = |at: usize| {
            let before = at.checked_sub(1).and_then(|at| words.get(at));
            let behind = words.iter().skip(at + 1).take(NEAR);
            words.get(at).is_some_and(|word| word == "since")
                && before.is_some_and(|word| TROUBLE.contains(&word.as_str()))
                || behind.into_iter().any(|word| is_it(word))
        };
        let says = |word: &str| ["since", "after"].contains(&word);
        let long = |at: usize| {
            let unit = at.checked_sub(1).and_then(|at| words.get(at)).map_or("", String::as_str);
            unit.starts_with("year") || unit == "long"
        };
        let mut all = words.iter().enumerate();
        if all.clone().any(|(at, word)| says(word) && begins(at)) {
            Self::Since
        } else if all.any(|(at, word)| word == "ago" && long(at)) {
            Self::LongAgo
        } else {
            Self::Unknown
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn onset(answer: &str) -> Onset {
        let words: Vec<String> = answer
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_lowercase)
            .collect();
        Onset::of(&words, |word| word.starts_with("radio") || word.starts_with("paint"))
    }

    #[test]
    fn what_began_with_it_is_told_from_what_is_old() {
        for told in [
            "flat since the new radio",
            "since a radio was fitted",
            "bonnet painted, flat since",
            "after the paint work",
        ] {
            assert_eq!(onset(told), Onset::Since, "{told}");
        }
        for told in ["radio fitted two years ago", "radio, long ago"] {
            assert_eq!(onset(told), Onset::LongAgo, "{told}");
        }
        for told in [
            "radio",
            "radio fitted last week",
            "jump start, driven 20 min since",
            "flat after 3 days",
            "3 days ago",
        ] {
            assert_eq!(onset(told), Onset::Unknown, "{told}");
        }
    }
}
