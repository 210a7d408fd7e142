//! Reads what is typed after a round: none is high, those that are, or all in the order in which they were read. Whoever meets a
//! high one may stop there: what sits behind the last that was typed counts as not read.
//! Leaves to others: which fuses a round has (`plan/round`), every other line (`typed`).

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::parse::Readable;
use crate::base::quantity::{Typed, Volt};
use crate::measure::Measurement;
use crate::measure::grammar::begins_value;

/// What is typed where no fuse of the round is high.
pub const NONE: &str = "none";

/// Reads the words of a line; `None` where it is no answer to the round.
pub(super) fn read(
    tokens: &[String],
    round: &[(String, Typed<Volt>)],
) -> Option<Result<Vec<Measurement>, Diagnostic>> {
    let first = tokens.first().filter(|_| !round.is_empty())?;
    let is_named = |token: &str| round.iter().any(|(feed, _)| feed.eq_ignore_ascii_case(token));
    let joined = with_units(tokens);
    let typed = match (tokens.len(), is_named(first), begins_value(first)) {
        (1, ..) if first.eq_ignore_ascii_case(NONE) => Ok(Vec::new()),
        (_, true, _) => named(&joined, round),
        (_, false, true) => in_order(&joined, round),
        _ => return None,
    };
    let entry = |(feed, limit): &(String, Typed<Volt>), typed: &[(String, Typed<Volt>)]| {
        let high = typed.iter().find(|(known, _)| known.eq_ignore_ascii_case(feed));
        match high {
            Some((_, drop)) => Measurement::Drop { feed: feed.clone(), drop: drop.clone() },
            None => Measurement::Below { feed: feed.clone(), drop: limit.clone() },
        }
    };
    Some(typed.map(|typed| {
        let is_last = |(feed, _): &(String, Typed<Volt>)| {
            typed.iter().any(|(known, _)| known.eq_ignore_ascii_case(feed))
        };
        let read = round.iter().rposition(is_last).map_or(round.len(), |last| last + 1);
        round.iter().take(read).map(|one| entry(one, &typed)).collect()
    }))
}

/// Puts a unit that stands by itself to its number.
fn with_units(tokens: &[String]) -> Vec<String> {
    let mut joined: Vec<String> = Vec::new();
    for token in tokens {
        match joined.last_mut() {
            Some(last) if begins_value(last) && is_unit(token) => last.push_str(token),
            _ => joined.push(token.clone()),
        }
    }
    joined
}

fn is_unit(token: &str) -> bool {
    ["mv", "v", "uv", "\u{b5}v"].contains(&token.to_lowercase().as_str())
}

/// The high ones: each by its name with its value.
fn named(
    tokens: &[String],
    round: &[(String, Typed<Volt>)],
) -> Result<Vec<(String, Typed<Volt>)>, Diagnostic> {
    let read = |pair: &[String]| match pair {
        [feed, value] if round.iter().any(|(known, _)| known.eq_ignore_ascii_case(feed)) => {
            Ok((feed.clone(), Volt::read(value, "mV")?))
        }
        [feed, _] => Err(lacking(Diagnostic::new(format!("{feed} is not in this round")), round)),
        _ => Err(lacking(Diagnostic::new("a value is missing behind the last fuse"), round)),
    };
    tokens.chunks(2).map(read).collect()
}

/// All of them in order, or those up to where it was stopped.
fn in_order(
    tokens: &[String],
    round: &[(String, Typed<Volt>)],
) -> Result<Vec<(String, Typed<Volt>)>, Diagnostic> {
    if tokens.len() < 2 || tokens.len() > round.len() {
        let fault = Diagnostic::new(format!("{} values for {} fuses", tokens.len(), round.len()));
        return Err(lacking(fault, round));
    }
    let read =
        |((feed, _), value): (&(String, Typed<Volt>), &String)| Ok((feed.clone(), Volt::read(value, "mV")?));
    round.iter().zip(tokens).map(read).collect()
}

/// Says with a fault what an answer to a round looks like.
fn lacking(fault: Diagnostic, round: &[(String, Typed<Volt>)]) -> Diagnostic {
    let feed = round.first().map_or("", |(feed, _)| feed.as_str());
    fault.expected(format!("none; the high ones, such as {feed} 0.9; or all {} in order", round.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round() -> Vec<(String, Typed<Volt>)> {
        let one = |feed: &str, from: &str| (feed.to_owned(), Volt::read(from, "mV").expect("a value"));
        vec![one("C1", "0.3 mV"), one("C2", "0.4 mV"), one("C5", "0.4 mV")]
    }

    /// What a line enters, in short; `None` where it is no answer to the round.
    fn typed(line: &str) -> Option<Result<Vec<String>, String>> {
        let tokens: Vec<String> = line.split_whitespace().map(str::to_owned).collect();
        let short = |what: Measurement| match what {
            Measurement::Drop { feed, drop } => format!("{feed} {}", drop.text),
            Measurement::Below { feed, drop } => format!("{feed} < {}", drop.text),
            other => format!("{other:?}"),
        };
        let read = read(&tokens, &round())?;
        Some(read.map(|all| all.into_iter().map(short).collect()).map_err(|fault| fault.to_string()))
    }

    #[test]
    fn none_the_high_ones_and_all_in_order_are_understood() {
        let none = vec!["C1 < 0.3 mV".to_owned(), "C2 < 0.4 mV".into(), "C5 < 0.4 mV".into()];
        assert_eq!(typed("none"), Some(Ok(none)));
        let high = vec!["C1 < 0.3 mV".to_owned(), "C2 < 0.4 mV".into(), "C5 0.9mV".into()];
        assert_eq!(typed("c5 0.9 mV"), Some(Ok(high)));
        let all = vec!["C1 0.0".to_owned(), "C2 0.1mV".into(), "C5 0.9".into()];
        assert_eq!(typed("0.0 0.1 mV 0.9"), Some(Ok(all)));
        // Behind the last that was typed nothing was read.
        assert_eq!(typed("C1 0.4"), Some(Ok(vec!["C1 0.4".to_owned()])));
        assert_eq!(typed("0.0 0.9"), Some(Ok(vec!["C1 0.0".to_owned(), "C2 0.9".into()])));
    }

    #[test]
    fn what_does_not_fit_the_round_is_refused_with_what_does() {
        for line in ["0.4", "0.1 0.2 0.3 0.4", "C1", "C1 0.4 C9 0.1"] {
            let fault = typed(line).expect("an answer to the round").expect_err("refused");
            assert!(fault.contains("all 3 in order"), "{line}: {fault}");
        }
        for other in ["clamp L1 350mA", "total 482", "L1 3.0", "note wet carpet"] {
            assert_eq!(typed(other), None, "{other}");
        }
    }
}
