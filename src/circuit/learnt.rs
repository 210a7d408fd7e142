//! Shares of causes that a shop learnt from its own hunts, in percent by class of causes: what `lessons` writes and `hunt`
//! takes. What was found is held against what could have been found: a class that no vehicle has is not rare for never being
//! found, and one that every vehicle has many of is not frequent for being found often.
//!
//! Of class c, n were found where the editorial shares let e be expected on the maps of those very hunts (its exposure).
//! The class fails f times as often as the editorial share has it: n is Poisson about f·e, f beforehand Gamma with mean 1
//! and the weight of α·w hunts, w being the editorial share. Then f is (n + α·w) / (e + α·w) in the mean.
//!
//! Leaves to others: counting the hunts (`lessons`), what shares do to a ranking (`infer/weight`).

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::loads::Catalogue;
use crate::base::diagnostic::Diagnostic;
use crate::base::yaml;

/// Format name of the file.
pub const FORMAT: &str = "fusetrail-weights/1";

/// How many hunts the editorial shares count for, α. Editorial: after forty proven hunts a shop's own count as much.
const WORTH: f64 = 40.0;

/// Shares of causes, learnt from hunts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LearntShares {
    /// How many hunts with a proven cause they rest on.
    pub cases: usize,
    /// Class of causes and its share in percent, in the order of the catalogue.
    pub shares: Vec<(String, f64)>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WeightsFile {
    format: String,
    cases: usize,
    causes: BTreeMap<String, f64>,
}

impl LearntShares {
    /// Learns from hunts: of each the class of causes that was found, and how likely each class was on its map by the editorial
    /// shares, given that one of them is the cause.
    ///
    /// # Source
    /// Gamma and Poisson are conjugate: A. Gelman and others, Bayesian Data Analysis, 3rd ed. (2013), 2.6, where exposures
    /// of unequal size are treated so.
    pub fn learn<'a>(
        catalogue: &Catalogue,
        hunts: impl Iterator<Item = (&'a str, &'a [(String, f64)])>,
    ) -> Self {
        let causes = catalogue.causes();
        let all: f64 = causes.iter().map(|cause| cause.weight).sum();
        let mut seen: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
        let mut cases = 0;
        for (found, exposure) in hunts {
            cases += 1;
            seen.entry(found).or_default().0 += 1.0;
            for (class, likely) in exposure {
                seen.entry(class).or_default().1 += likely;
            }
        }
        let weighed = |id: &str, weight: f64| {
            let (found, expected) = seen.get(id).copied().unwrap_or_default();
            let before = WORTH * weight / all;
            weight * if before > 0.0 { (found + before) / (expected + before) } else { 1.0 }
        };
        let weights = causes.iter().map(|cause| (cause.id.clone(), weighed(&cause.id, cause.weight)));
        let weights: Vec<(String, f64)> = weights.collect();
        let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
        Self { cases, shares: weights.into_iter().map(|(id, weight)| (id, weight / sum * 100.0)).collect() }
    }

    /// Returns by how much a class of causes is likelier than the editorial share has it; 1 where nothing was learnt.
    pub fn factor(&self, catalogue: &Catalogue, cause: &str) -> f64 {
        let learnt = self.shares.iter().find(|(id, _)| id == cause).map(|(_, share)| *share);
        let editorial = catalogue.cause(cause).map(|cause| cause.weight).filter(|weight| *weight > 0.0);
        learnt.zip(editorial).map_or(1.0, |(learnt, editorial)| learnt / editorial)
    }

    /// Reads a weights file.
    ///
    /// # Errors
    /// Not YAML of the form, another format, an unknown class of causes, or shares that are not positive.
    pub fn read(text: &str, catalogue: &Catalogue) -> Result<Self, Diagnostic> {
        let file: WeightsFile = yaml::read(text)?;
        if file.format != FORMAT {
            return Err(Diagnostic::new(format!("the format is {}", file.format)).expected(FORMAT));
        }
        Self { cases: file.cases, shares: file.causes.into_iter().collect() }.checked(catalogue)
    }

    /// Reads the text of a log's entry: `add-on 25.3, lamp 10`.
    ///
    /// # Errors
    /// As for [`LearntShares::read`].
    pub fn of_text(cases: usize, text: &str, catalogue: &Catalogue) -> Result<Self, Diagnostic> {
        let one = |part: &str| {
            let (id, share) = part.trim().split_once(' ')?;
            Some((id.to_owned(), share.trim().parse().ok()?))
        };
        let shares: Option<Vec<(String, f64)>> = text.split(',').map(one).collect();
        let shares = shares.ok_or_else(|| Diagnostic::new("are no shares").in_field("shares"))?;
        Self { cases, shares }.checked(catalogue)
    }

    /// Returns the text of a log's entry.
    pub fn text(&self) -> String {
        self.shares.iter().map(|(id, share)| format!("{id} {share:.3}")).collect::<Vec<_>>().join(", ")
    }

    /// Returns the text of a weights file.
    ///
    /// # Errors
    /// It has no YAML form, which does not happen with finite numbers.
    pub fn file(&self) -> Result<String, Diagnostic> {
        let rounded = |share: f64| (share * 1e3).round() / 1e3;
        let causes = self.shares.iter().map(|(id, share)| (id.clone(), rounded(*share))).collect();
        yaml::write(&WeightsFile { format: FORMAT.to_owned(), cases: self.cases, causes })
    }

    fn checked(self, catalogue: &Catalogue) -> Result<Self, Diagnostic> {
        for (id, share) in &self.shares {
            if catalogue.cause(id).is_none() {
                let known: Vec<&str> = catalogue.causes().iter().map(|cause| cause.id.as_str()).collect();
                return Err(
                    Diagnostic::new(format!("\"{id}\" is no class of causes")).expected(known.join(", "))
                );
            }
            if !(share.is_finite() && *share > 0.0) {
                return Err(Diagnostic::new(format!("{id} has a share of {share}")).expected("above 0"));
            }
        }
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_hunts_move_little_and_many_move_all() {
        let catalogue = Catalogue::builtin();
        let even = [("lamp".to_owned(), 0.2), ("audio".to_owned(), 0.8)];
        let learnt = |lamps: usize, audios: usize| {
            let found = std::iter::repeat_n("lamp", lamps).chain(std::iter::repeat_n("audio", audios));
            LearntShares::learn(catalogue, found.map(|class| (class, &even[..])))
        };
        let of = |learnt: &LearntShares, class: &str| learnt.factor(catalogue, class);
        assert!((of(&learnt(0, 0), "lamp") - 1.0).abs() < 1e-9);
        // As often as their maps let expect: nothing is learnt, though one was found four times as often as the other.
        let expected = learnt(200, 800);
        assert!((of(&expected, "lamp") / of(&expected, "relay") - 1.0).abs() < 1e-9);
        assert!((of(&expected, "audio") / of(&expected, "relay") - 1.0).abs() < 1e-9);
        let some = learnt(4, 0);
        let some = of(&some, "lamp") / of(&some, "relay");
        assert!(some > 1.3 && some < 2.0, "{some}");
        // Five times as often as expected, in the long run.
        let many = learnt(40_000, 0);
        let many = of(&many, "lamp") / of(&many, "relay");
        assert!((many - 5.0).abs() < 0.05, "{many}");
        assert!((learnt(7, 3).shares.iter().map(|(_, share)| share).sum::<f64>() - 100.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_written_reads_back_and_what_is_wrong_is_refused() {
        let catalogue = Catalogue::builtin();
        let learnt = LearntShares::learn(catalogue, std::iter::repeat_n(("audio", &[][..]), 7));
        let read = LearntShares::read(&learnt.file().expect("written"), catalogue).expect("read");
        assert_eq!(read.cases, 7);
        assert!((read.factor(catalogue, "audio") - learnt.factor(catalogue, "audio")).abs() < 1e-3);
        let text = LearntShares::of_text(7, &learnt.text(), catalogue).expect("read");
        assert_eq!(text.shares.len(), learnt.shares.len());
        for wrong in [
            "format: other/1\ncases: 1\ncauses: {audio: 1}\n",
            "format: fusetrail-weights/1\ncases: 1\ncauses: {ghosts: 1}\n",
            "format: fusetrail-weights/1\ncases: 1\ncauses: {audio: -1}\n",
            "format: fusetrail-weights/1\ncases: 1\ncauses: {audio: .nan}\n",
        ] {
            assert!(LearntShares::read(wrong, catalogue).is_err(), "{wrong}");
        }
    }
}
