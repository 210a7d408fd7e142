//! `suspects`: who is to blame, as the readings of a log weigh it.
//! Leaves to others: the ranking (`suspects`), its words (`words`), its JSON (`report/json`).

use std::path::PathBuf;

use super::next::best;
use crate::cli::desk::{Desk, Format};
use crate::cli::fail::{Exit, Fail};
use crate::cli::log;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::instrument::profile::Profile;
use crate::piece::{Line, Role};
use crate::report::json;

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
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        let (_, case, notes) = log::read(&self.log)?;
        desk.talk(&notes);
        let analysis = Analysis::of(&case)?;
        match desk.format {
            Format::Json => desk.print_json(&json::suspects(&analysis))?,
            Format::Text => desk.print(&lines(&analysis, &case.opened.clamp))?,
        }
        Ok(Exit::Done)
    }
}

fn lines(analysis: &Analysis, clamp: &Profile) -> Vec<Line> {
    let mut lines: Vec<Line> = match (show::verdict(analysis, clamp), &analysis.total) {
        (Some(verdict), _) => vec![verdict],
        (None, Some(_)) => vec![no_limit(analysis)],
        (None, None) => vec![Line::of(
            Role::Doubt,
            "No settled total yet: what follows is what is usual, not what was measured.",
        )],
    };
    lines.extend(show::placing(analysis));
    lines.push(Line::of(Role::Heading, "Suspects, likeliest first"));
    lines.extend(show::leading(analysis, SHOWN));
    lines.push(show::rest(analysis, SHOWN));
    lines.extend(show::pairs(analysis, PAIRS));
    lines.push(best(analysis));
    lines
}

fn no_limit(analysis: &Analysis) -> Line {
    let total = analysis.total.as_ref().map(crate::quantity::show::with_interval).unwrap_or_default();
    Line::plain("Settled draw ").and(Role::Value, total).and(
        Role::Doubt,
        "; no limit is known for this kind of vehicle, so there is no verdict: give one with open --limit",
    )
}
