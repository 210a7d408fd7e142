//! What the interview and a meter log change: factors on how likely a class of causes is, by what was told. Editorial throughout,
//! editable in `circuits/hints.yaml`. Leaves to others: what was told (`log/interview`), the weights (`infer`).

use serde::Deserialize;

use super::tables;
use crate::base::diagnostic::{Diagnostic, Faults};

/// One factor.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Hint {
    /// What was told: `add-on`, `work`, `water`, `plugged-in`, `sometimes`, `one-place`, `old` (a model year before
    /// vehicles slept by network), `sooner` (flat sooner than the settled draw can make it), `gone` (a draw as found that is
    /// not there once settled), `not-full` (jump-started and hardly driven since, or short trips), `warning-lamp`, `unlocked`
    /// (parked unlocked, or with a key near it), `ajar` (a door or lid not quite shut), `since-add-on`, `since-work` (the
    /// trouble began with what was added or worked on), `long-ago` (that was long before), or what a meter log showed:
    /// `pulse` (wakes in a rhythm), `restless` (never at rest).
    pub told: String,
    /// Class of causes, or `unlisted`, `nothing` or `not-now`.
    pub cause: String,
    /// Factor on its weight.
    pub factor: f64,
}

/// All factors.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hints(Vec<Hint>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HintsSchema {
    format: String,
    hints: Vec<Hint>,
}

/// What may be told.
pub const TOLD: [&str; 19] = [
    "add-on",
    "work",
    "water",
    "plugged-in",
    "sometimes",
    "one-place",
    "old",
    "sooner",
    "gone",
    "not-full",
    "warning-lamp",
    "unlocked",
    "ajar",
    "since-add-on",
    "since-work",
    "long-ago",
    "ripple",
    "pulse",
    "restless",
];

impl Hints {
    tables::builtin!(pub Hints, Hints::read(tables::HINTS));

    /// Reads factors.
    ///
    /// # Errors
    /// Not YAML of the expected form, an unknown format or thing told, or a factor that is not positive and finite.
    pub fn read(text: &str) -> Result<Hints, Faults> {
        let odd = |hint: &Hint| {
            let unknown =
                Diagnostic::new(format!("nobody asks for \"{}\"", hint.told)).expected(TOLD.join(", "));
            let factor =
                Diagnostic::new(format!("the factor is {}", hint.factor)).expected("a number above 0");
            let is_known = TOLD.contains(&hint.told.as_str());
            let is_factor = hint.factor.is_finite() && hint.factor > 0.0;
            [(!is_known).then_some(unknown), (!is_factor).then_some(factor)].into_iter().flatten()
        };
        let written: HintsSchema = tables::read(text, "fusetrail-hints/1", |found: &HintsSchema| {
            (found.format.clone(), found.hints.iter().flat_map(odd).collect())
        })?;
        Ok(Hints(written.hints))
    }

    /// Returns the factor on a class of causes when all this was told.
    pub fn factor(&self, cause: &str, told: &[&str]) -> f64 {
        let counts = |hint: &&Hint| hint.cause == cause && told.contains(&hint.told.as_str());
        self.0.iter().filter(counts).map(|hint| hint.factor).product()
    }
}

#[cfg(test)]
mod tests {
    use super::super::loads::Catalogue;
    use super::*;

    #[test]
    fn every_built_in_factor_is_on_a_cause_that_there_is() {
        assert!(!Hints::builtin().0.is_empty());
        for hint in &Hints::builtin().0 {
            let special = ["unlisted", "nothing", "not-now"].contains(&hint.cause.as_str());
            assert!(special || Catalogue::builtin().cause(&hint.cause).is_some(), "{hint:?}");
        }
    }

    #[test]
    fn what_was_not_told_changes_nothing() {
        assert!((Hints::builtin().factor("add-on", &[]) - 1.0).abs() < 1e-12);
        assert!(Hints::builtin().factor("add-on", &["add-on"]) > 1.0);
    }

    #[test]
    fn broken_factors_are_refused_one_by_one() {
        let text = "format: x\nhints:\n  - {told: moon, cause: lamp, factor: 0}\n";
        assert_eq!(Hints::read(text).expect_err("three faults").0.len(), 3);
    }
}
