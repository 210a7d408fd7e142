//! What a look finds or a vehicle reports, and how much it says: how likely each finding is where the cause sits, and where nothing is wrong.
//! Editorial throughout, editable in `circuits/signs.yaml`. Leaves to others: what was found where (`measure`), the weights
//! of causes (`infer`).

use serde::Deserialize;

use super::tables;
use crate::base::diagnostic::{Diagnostic, Faults};

/// Stands for every class of cause that has no row of its own.
const ANY: &str = "any";

/// Stands for the inputs of networks.
pub const INPUT: &str = "input";

/// The sense of how often a module reported that it woke the others.
pub const WAKINGS: &str = "wakings";

/// The sense of whether a rise in a meter log is as high as what is at a place draws awake.
pub const RISES: &str = "rises";

/// A finding, on loads of one class of causes.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// The word that is typed.
    pub found: String,
    /// What it was found with: of two findings of one sense at one place the newer counts.
    pub sense: String,
    cause: String,
    /// Probability that it is found where something draws too much.
    pub draws: f64,
    /// Probability that it is found where nothing does.
    pub sound: f64,
    /// Least power that can be told so, in watt.
    #[serde(default, rename = "from_w")]
    pub from_watts: f64,
    /// True for what a look goes for.
    #[serde(default)]
    first: bool,
    /// How to go about it.
    #[serde(default)]
    pub how: String,
    /// Of a count: its means where nothing is wrong, and where that is what wakes the rest. `draws` and `sound` are then the
    /// shares of those that count as often as the latter.
    #[serde(default)]
    counts: Option<(f64, f64)>,
}

impl Sign {
    /// Returns true for what an input of a network reports.
    pub fn is_of_input(&self) -> bool {
        self.cause == INPUT
    }

    /// Returns the logarithm of the likelihood ratio of a finding of this sign: where the cause sits, over where nothing
    /// does. A count is one of two geometric distributions, so that no count whatever says more than the shares do.
    pub fn ln_ratio(&self, found: &str) -> f64 {
        let count = found.split_once('=').and_then(|(_, count)| count.parse::<u32>().ok());
        let (Some((usual, many)), Some(count)) = (self.counts, count) else {
            return (self.draws / self.sound).ln();
        };
        let ln = |mean: f64| f64::from(count) * (mean / (1.0 + mean)).ln() - mean.ln_1p();
        // The larger is taken out, lest both vanish.
        let most = ln(usual).max(ln(many));
        let mixed = |share: f64| share * (ln(many) - most).exp() + (1.0 - share) * (ln(usual) - most).exp();
        (mixed(self.draws) / mixed(self.sound)).ln()
    }
}

/// All findings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Signs(Vec<Sign>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SignsSchema {
    format: String,
    signs: Vec<Sign>,
}

impl Signs {
    tables::builtin!(pub Signs, Signs::read(tables::SIGNS));

    /// Reads a table.
    ///
    /// # Errors
    /// Not YAML of the expected form, an unknown format, or a probability that is not between 0 and 1.
    pub fn read(text: &str) -> Result<Signs, Faults> {
        let is_share = |share: f64| share > 0.0 && share < 1.0;
        let odd = |sign: &Sign| {
            let fault = Diagnostic::new(format!(
                "\"{}\" is found with {} and {}",
                sign.found, sign.draws, sign.sound
            ));
            let counts = sign.counts.is_none_or(|(usual, many)| usual > 0.0 && many > usual);
            let sound = is_share(sign.draws) && is_share(sign.sound) && counts;
            (!sound)
                .then(|| fault.expected("shares between 0 and 1, counts above 0 and the second the larger"))
        };
        let written: SignsSchema = tables::read(text, "fusetrail-signs/1", |found: &SignsSchema| {
            (found.format.clone(), found.signs.iter().filter_map(odd).collect())
        })?;
        Ok(Signs(written.signs))
    }

    /// Returns what a finding says of loads of a class of causes; `None` for a word that the table has not.
    pub fn of(&self, found: &str, cause: &str) -> Option<&Sign> {
        let word = word(found);
        self.best(cause, |sign| sign.found == word)
    }

    /// Returns what to look for first at loads of a class of causes.
    pub fn first(&self, cause: &str) -> Option<&Sign> {
        self.best(cause, |sign| sign.first)
    }

    /// Returns what a word is found with; the word itself if the table has it not.
    pub fn sense<'a>(&'a self, found: &'a str) -> &'a str {
        let word = word(found);
        self.0.iter().find(|sign| sign.found == word).map_or(found, |sign| &sign.sense)
    }

    /// Returns the words of one sense, each once.
    pub fn words(&self, sense: &str) -> Vec<&str> {
        let mut words: Vec<&str> = Vec::new();
        for sign in self.0.iter().filter(|sign| sign.sense == sense) {
            if !words.contains(&sign.found.as_str()) {
                words.push(&sign.found);
            }
        }
        words
    }

    fn best(&self, cause: &str, wanted: impl Fn(&Sign) -> bool) -> Option<&Sign> {
        let of = |class: &str| self.0.iter().find(|sign| sign.cause == class && wanted(sign));
        of(cause).or_else(|| of(ANY))
    }
}

/// Returns a finding without its count.
fn word(found: &str) -> &str {
    found.split_once('=').map_or(found, |(word, _)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lit_lamp_is_nearly_proof_and_a_dark_one_is_weak() {
        let ratio = |found, cause| Signs::builtin().of(found, cause).map(|sign| sign.draws / sign.sound);
        assert!(ratio("lit", "lamp") > Some(100.0));
        assert!(ratio("dark", "lamp") > Some(0.05) && ratio("dark", "module") > Some(0.5));
    }

    #[test]
    fn how_often_a_module_woke_the_others_counts_against_what_is_usual() {
        let ln = |count: u32| {
            let found = format!("woke={count}");
            Signs::builtin().of(&found, "module").expect("a sign").ln_ratio(&found)
        };
        assert!(ln(0) < 0.0 && ln(1) < 0.0 && ln(8) > 0.0 && ln(20) > ln(8));
        // By hand: usually 1.5 or 12 on average, 0.7 against 0.03 of many; never: (0.7/13 + 0.3/2.5) / (0.03/13 + 0.97/2.5).
        assert!((ln(0).exp() - 0.445_32).abs() < 1e-4, "{}", ln(0).exp());
        // However many, it is no proof.
        assert!((ln(4_000_000_000).exp() - 0.7 / 0.03).abs() < 1e-9, "{}", ln(4_000_000_000).exp());
    }

    #[test]
    fn an_input_reported_open_says_much_and_one_reported_shut_less() {
        let ratio = |found: &str| Signs::builtin().of(found, INPUT).map(|sign| sign.ln_ratio(found).exp());
        assert!(ratio("open") > Some(20.0) && ratio("shut") < Some(0.2) && ratio("shut") > Some(0.05));
    }

    #[test]
    fn a_share_outside_its_range_is_refused() {
        let odd = tables::SIGNS.replacen("draws: 0.9", "draws: 1.5", 1);
        assert!(Signs::read(&odd).is_err());
        let other = tables::SIGNS.replacen("fusetrail-signs/1", "fusetrail-signs/9", 1);
        assert!(Signs::read(&other).is_err());
    }
}
