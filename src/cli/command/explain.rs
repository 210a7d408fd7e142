//! `explain`: a word of the trade or of this program, or a step, in a few short sentences.
//! Leaves to others: the words (`text/explain`).

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::{Role, StyledText, clean};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::render::json::explain::{ExplainListShape, ExplainShape};
use crate::text::explain::{Explanation, LISTED, all, find, near, unknown};

const EXAMPLES: &str = "\
Examples:
  fusetrail explain floor
  fusetrail explain surface charge
  fusetrail explain                  every word";

/// Arguments of `explain`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES)]
pub struct ExplainCommand {
    /// Word of the trade or of this program, or a step; without it all are listed
    word: Vec<String>,
}

impl ExplainCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// The word is not explained.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        if self.word.is_empty() {
            match context.format {
                OutputFormat::Json => context.print_json(&ExplainListShape::of())?,
                OutputFormat::Text => context.print(&[listed(&all())])?,
            }
            return Ok(Exit::Done);
        }
        let word = self.word.join(" ");
        let found = find(&word).ok_or_else(|| missing(&word))?;
        match context.format {
            OutputFormat::Json => context.print_json(&ExplainShape::of(&found))?,
            OutputFormat::Text => context.print(&[
                StyledText::of(Role::Heading, found.names.join(", ")),
                StyledText::plain(found.text).indented(2),
            ])?,
        }
        Ok(Exit::Done)
    }
}

fn listed(all: &[Explanation]) -> StyledText {
    let names: Vec<&str> = all.iter().filter_map(|one| one.names.first().copied()).collect();
    StyledText::plain(names.join(", "))
}

fn missing(word: &str) -> CliError {
    let fault = Diagnostic::new(unknown(&clean(word)));
    let near = near(word);
    CliError::from(match near.as_slice() {
        [] => fault.remedy(LISTED),
        near => fault.expected(near.join(", ")).remedy(LISTED),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::hunt::stage;
    use crate::log::question_id::QuestionId;
    use crate::log::typed::TypedEvent;
    use crate::measure::kind::MeasurementKind;

    #[test]
    fn every_stage_caution_and_reading_is_explained() {
        let stages = stage::ALL.iter().map(|stage| stage.name);
        let readings = MeasurementKind::ALL.iter().map(|kind| kind.row().word);
        let events = TypedEvent::ALL.iter().map(|(_, word)| *word);
        let cautions = QuestionId::NAMES
            .iter()
            .map(|(_, name)| *name)
            .filter(|name| name.starts_with("caution.") && *name != "caution.page");
        for word in stages.chain(readings).chain(events).chain(cautions) {
            assert!(find(word).is_some(), "{word}");
        }
    }

    #[test]
    fn every_word_of_the_glossary_is_explained() {
        let table = include_str!("../../../DEVELOPERS.md").split("## Glossary").nth(1).expect("a glossary");
        let table = table.split("\n## ").next().unwrap_or_default();
        let rows: Vec<&str> =
            table.lines().filter(|line| line.starts_with("| ") && !line.starts_with("| -")).skip(1).collect();
        assert!(rows.len() >= 8, "{rows:?}");
        // Words of the code only: no person ever sees them.
        let inner =
            ["observation", "balance", "null model", "hypothesis", "access", "hazard", "proposed", "slip"];
        for row in rows {
            let word = row.trim_start_matches("| ").split(['|', '(', ',']).next().unwrap_or_default().trim();
            assert!(inner.contains(&word) || find(word).is_some(), "{word}");
        }
    }
}
