//! `infer`: who is to blame, as the readings of a log weigh it.
//! Leaves to others: the ranking (`infer`), its words (`text`), its JSON (`render/json`).

use std::path::PathBuf;

use super::next::best;
use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::instrument::profile::Profile;
use crate::render::json::suspects::SuspectsShape;
use crate::text::suspects as words;

const EXAMPLES: &str = "\
Examples:
  fusetrail suspects x.hunt.yaml
  fusetrail suspects x.hunt.yaml --format json";

/// Suspects shown to people; JSON has all.
const SHOWN: usize = 8;

/// Pairs shown to people.
const PAIRS: usize = 3;

/// Arguments of `suspects`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Suspects {
    /// Session log
    log: PathBuf,
}

impl Suspects {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let (_, case, notes) = log::read(&self.log)?;
        context.talk(&notes);
        let analysis = Analysis::of(&case);
        match context.format {
            OutputFormat::Json => context.print_json(&SuspectsShape::of(&analysis))?,
            OutputFormat::Text => context.print(&lines(&analysis, case.ammeter()))?,
        }
        Ok(Exit::Done)
    }
}

fn lines(analysis: &Analysis, clamp: &Profile) -> Vec<StyledText> {
    let mut lines: Vec<StyledText> = match (show::verdict(analysis, clamp), &analysis.total) {
        (Some(verdict), _) => vec![verdict],
        (None, Some(total)) => vec![words::no_limit(total)],
        (None, None) => vec![StyledText::of(Role::Doubt, words::NO_TOTAL)],
    };
    lines.extend(show::placing(analysis));
    lines.push(StyledText::of(Role::Heading, words::HEADING));
    lines.extend(show::why(analysis, SHOWN));
    lines.push(show::rest(analysis, SHOWN));
    lines.extend(show::pairs(analysis, PAIRS));
    lines.push(best(analysis));
    lines
}
