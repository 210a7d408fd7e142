//! Shares of causes that a shop learnt from its own hunts, in percent by class of causes: what `lessons` writes and `hunt`
//! takes. Editorial shares count as so many hunts beforehand (a Dirichlet distribution), so that few hunts move them little.
//! Leaves to others: counting the hunts (`lessons`), what shares do to a ranking (`infer/weight`).

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::loads::Catalogue;
use crate::base::diagnostic::Diagnostic;
use crate::base::yaml;

/// Format name of the file.
pub const FORMAT: &str = "fusetrail-weights/1";

/// How many hunts the editorial shares count for. Editorial: after forty proven hunts a shop's own count as much.
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
    /// Learns from how often each class of causes was found.
    ///
    /// # Source
    /// The mean of a Dirichlet distribution after counts; common practice.
    pub fn learn(catalogue: &Catalogue, count: impl Fn(&str) -> usize) -> Self {
        let causes = catalogue.causes();
        let cases: usize = causes.iter().map(|cause| count(&cause.id)).sum();
        let all: f64 = causes.iter().map(|cause| cause.weight).sum();
        let share = |id: &str, weight: f64| {
            // Counts of hunts are far below 2^53.
            (WORTH * weight / all + count(id) as f64) / (WORTH + cases as f64) * 100.0
        };
        let shares = causes.iter().map(|cause| (cause.id.clone(), share(&cause.id, cause.weight)));
        Self { cases, shares: shares.collect() }
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
        let learnt = |lamps: usize| LearntShares::learn(catalogue, |id| if id == "lamp" { lamps } else { 0 });
        assert!((learnt(0).factor(catalogue, "lamp") - 1.0).abs() < 1e-9);
        let some = learnt(4).factor(catalogue, "lamp");
        assert!(some > 1.3 && some < 2.0, "{some}");
        let all = learnt(4000);
        assert!(all.shares.iter().any(|(id, share)| id == "lamp" && *share > 99.0));
        assert!((all.shares.iter().map(|(_, share)| share).sum::<f64>() - 100.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_written_reads_back_and_what_is_wrong_is_refused() {
        let catalogue = Catalogue::builtin();
        let learnt = LearntShares::learn(catalogue, |id| usize::from(id == "audio") * 7);
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
