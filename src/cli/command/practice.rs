//! `practice`: practice vehicles scored.
//! Leaves to others: the score (`score`).

use super::score::How;
use crate::cli::desk::Desk;
use crate::cli::fail::{Exit, Fail};

const EXAMPLES: &str = "\
Examples:
  fusetrail practice --score 300                 hunt 300 vehicles, and say how well
  fusetrail practice --score 100 --map van       all of them on one map
  fusetrail practice --score 50 --truth two --policy plan --misses";

/// Arguments of `practice`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Practice {
    /// Hunt N simulated vehicles without prompts and tell how often and how fast the cause was found
    #[arg(long, value_name = "N", required = true)]
    score: std::num::NonZeroUsize,
    /// Seed of the first vehicle
    #[arg(long, value_name = "SEED", default_value_t = 1)]
    seed: u64,
    #[command(flatten)]
    how: How,
}

impl Practice {
    /// Carries the command out.
    ///
    /// # Errors
    /// A map cannot be read, or an embedded table does not read.
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        self.how.run(desk, self.score.get(), self.seed)
    }
}
