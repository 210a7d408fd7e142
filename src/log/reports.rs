//! Reads what a scan tool says of several inputs at once: none is open, or those that are, by their numbers.
//! Leaves to others: which inputs are asked about (`plan/reports`), every other line (`typed`).

use super::round::NONE;
use crate::base::diagnostic::Diagnostic;
use crate::measure::Measurement;

/// What is reported of an input that does not stand as it should.
const OPEN: &str = "open";

/// What is reported of an input at rest.
const SHUT: &str = "shut";

/// Reads the words of a line; `None` where it is no answer about the listed inputs.
pub(super) fn read(tokens: &[String], listed: &[String]) -> Option<Result<Vec<Measurement>, Diagnostic>> {
    let first = tokens.first().filter(|_| !listed.is_empty())?;
    let is_none = |word: &str| word.eq_ignore_ascii_case(NONE) || word.eq_ignore_ascii_case(SHUT);
    let number = |word: &str| word.trim_end_matches(',').parse::<usize>().ok();
    if !is_none(first) && number(first).is_none() {
        return None;
    }
    let known = |word: &String| {
        number(word).filter(|number| (1..=listed.len()).contains(number)).ok_or_else(|| {
            Diagnostic::new(format!("\"{word}\" is none of the numbers"))
                .expected(format!("none, or those that are open, such as 1 or 1 {}", listed.len()))
        })
    };
    let open: Result<Vec<usize>, Diagnostic> =
        if tokens.len() == 1 && is_none(first) { Ok(Vec::new()) } else { tokens.iter().map(known).collect() };
    Some(open.map(|open| {
        let says = |at: usize| if open.contains(&(at + 1)) { OPEN } else { SHUT };
        let report =
            |(at, of): (usize, &String)| Measurement::Report { of: of.clone(), says: says(at).to_owned() };
        listed.iter().enumerate().map(report).collect()
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a line enters, in short; `None` where it is no answer.
    fn typed(line: &str) -> Option<Result<Vec<String>, String>> {
        let tokens: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
        let listed = ["driver door latch", "tailgate latch", "bonnet switch"].map(str::to_owned);
        let short = |what: Measurement| match what {
            Measurement::Report { of, says } => format!("{of} {says}"),
            other => format!("{other:?}"),
        };
        let read = read(&tokens, &listed)?;
        Some(read.map(|all| all.into_iter().map(short).collect()).map_err(|fault| fault.to_string()))
    }

    #[test]
    fn none_and_numbers_are_understood_and_all_that_is_not_named_is_shut() {
        let said = |words: [&str; 3]| {
            let names = ["driver door latch", "tailgate latch", "bonnet switch"];
            Some(Ok(names.iter().zip(words).map(|(name, word)| format!("{name} {word}")).collect()))
        };
        assert_eq!(typed("none"), said(["shut"; 3]));
        assert_eq!(typed("shut"), said(["shut"; 3]));
        assert_eq!(typed("2"), said(["shut", "open", "shut"]));
        assert_eq!(typed("1, 3"), said(["open", "shut", "open"]));
    }

    #[test]
    fn a_number_of_nothing_is_refused_and_other_lines_are_left_to_others() {
        for line in ["4", "0", "1 x", "none 1"] {
            let fault = typed(line).expect("an answer").expect_err("refused");
            assert!(fault.contains("none, or those that are open"), "{line}: {fault}");
        }
        for other in ["open", "C5 2.6", "report bonnet=open", "total 482"] {
            assert_eq!(typed(other), None, "{other}");
        }
    }
}
