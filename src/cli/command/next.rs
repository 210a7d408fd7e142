//! `next`: which reading to take next and why, or why the search stops.
//! Leaves to others: the plan (`plan/next`), its words (`text/next`), its JSON (`render/json`).

use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};

use crate::base::styled::{Role, StyledText};
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::log;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::plan::proposal::Stop;
use crate::plan::refit::with_refit;
use crate::render::json::suspects::NextShape;
use crate::text::next;

const EXAMPLES: &str = "\
Examples:
  fusetrail next x.hunt.yaml
  fusetrail next x.hunt.yaml --format json";

/// Readings shown to people; JSON has all.
const SHOWN: usize = 5;

/// Arguments of `next`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct NextCommand {
    /// Session log
    log: PathBuf,
}

impl NextCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let (_, case, notes) = log::read(&self.log)?;
        context.talk(&notes);
        let analysis = Analysis::of(&case);
        match context.format {
            OutputFormat::Json => context.print_json(&NextShape::of(&analysis))?,
            OutputFormat::Text => context.print(&lines(&analysis, context.clock.now()))?,
        }
        Ok(Exit::Done)
    }
}

fn lines(analysis: &Analysis, now: DateTime<FixedOffset>) -> Vec<StyledText> {
    let mut lines = Vec::new();
    let plan = with_refit(analysis);
    let readings = &plan.readings;
    if plan.stop != Stop::Open || analysis.facts.night.is_woken {
        lines.push(show::stop(analysis));
        if !readings.is_empty() {
            let heading = next::further(&plan.stop);
            lines.push(StyledText::of(Role::Heading, heading));
        }
    }
    for (count, proposal) in readings.iter().take(SHOWN).enumerate() {
        lines.push(
            StyledText::plain(format!("{}. ", count + 1))
                .and(Role::Name, next::instruction(proposal, &analysis.panel, Some(now))),
        );
        lines.push(
            StyledText::of(Role::Hint, next::why(proposal, analysis.excess.as_ref(), &analysis.panel))
                .indented(3),
        );
    }
    if readings.len() > SHOWN {
        lines.push(StyledText::of(Role::Hint, next::more(readings.len() - SHOWN)));
    }
    lines
}

/// Returns the best reading in one line, or why the search stops.
pub fn best(analysis: &Analysis) -> StyledText {
    let plan = with_refit(analysis);
    match (&plan.stop, plan.readings.first()) {
        (Stop::Open, Some(first)) => next::proposal_line(first, analysis.excess.as_ref(), &analysis.panel),
        _ => show::stop(analysis),
    }
}
