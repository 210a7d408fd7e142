//! `next`: which reading to take next and why, or why the search stops.
//! Leaves to others: the plan (`suspects/plan`), its words (`words/next`), its JSON (`report/json`).

use std::path::PathBuf;

use crate::cli::desk::{Desk, Format};
use crate::cli::fail::{Exit, Fail};
use crate::cli::log;
use crate::hunt::analysis::Analysis;
use crate::hunt::show;
use crate::piece::{Line, Role};
use crate::report::json;
use crate::suspects::plan::Stop;
use crate::words::next;

const EXAMPLES: &str = "\
Examples:
  fusetrail next x.hunt.yaml
  fusetrail next x.hunt.yaml --format json";

/// Readings shown to people; JSON has all.
const SHOWN: usize = 5;

/// Arguments of `next`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Next {
    /// Session log
    log: PathBuf,
}

impl Next {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log is missing, not a log, or damaged.
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        let (_, case, notes) = log::read(&self.log)?;
        desk.talk(&notes);
        let analysis = Analysis::of(&case)?;
        match desk.format {
            Format::Json => desk.print_json(&json::next(&analysis))?,
            Format::Text => desk.print(&lines(&analysis))?,
        }
        Ok(Exit::Done)
    }
}

fn lines(analysis: &Analysis) -> Vec<Line> {
    let mut lines = Vec::new();
    let readings = &analysis.plan.readings;
    if analysis.plan.stop != Stop::Open {
        lines.push(show::stop(analysis));
        if !readings.is_empty() {
            let heading = match analysis.plan.stop {
                Stop::NotWorth(_) => "What could be read all the same",
                _ => "To find the part itself",
            };
            lines.push(Line::of(Role::Heading, heading));
        }
    }
    for (count, proposal) in readings.iter().take(SHOWN).enumerate() {
        lines.push(
            Line::plain(format!("{}. ", count + 1))
                .and(Role::Name, next::instruction(proposal, &analysis.panel)),
        );
        lines.push(Line::of(Role::Hint, next::why(proposal, analysis.excess.as_ref())).indented(3));
    }
    if readings.len() > SHOWN {
        let more = readings.len() - SHOWN;
        lines.push(Line::of(Role::Hint, format!("{more} more, of less use (--format json).")));
    }
    lines
}

/// Returns the best reading in one line, or why the search stops.
pub fn best(analysis: &Analysis) -> Line {
    match (&analysis.plan.stop, analysis.plan.readings.first()) {
        (Stop::Open, Some(first)) => next::proposal_line(first, analysis.excess.as_ref(), &analysis.panel),
        _ => show::stop(analysis),
    }
}
