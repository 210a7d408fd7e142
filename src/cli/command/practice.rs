//! `sim`: one practice vehicle as its customer tells of it, or many scored.
//! Leaves to others: the vehicle (`practice_shown`), the score (`score`).

use std::num::NonZeroUsize;

use super::hunt::{PRACTICE_MAP, drawn_seed};
use super::practice_shown;
use super::practice_shown::NightArgument;
use super::score::How;
use crate::cli::context::Context;
use crate::cli::error::{CliError, Exit};
use crate::text::fault::argument;

const EXAMPLES: &str = "\
Examples:
  fusetrail practice --seed 3                a vehicle, as its customer tells
  fusetrail practice --night pulse           a night of it, as a meter log
  fusetrail practice --score 300             how well 300 vehicles are hunted
  fusetrail practice --score 100 --map van   all of them on one map
  fusetrail practice --score 50 --truth two --policy plan --misses";

/// Seed of the first vehicle that is scored, if none is named.
const FIRST: u64 = 1;

/// Map of a night with a converter, if none is named.
const HYBRID_MAP: &str = "hybrid";

/// Arguments of `practice`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES)]
pub struct PracticeCommand {
    /// Vehicle, or the first one that is scored: the same SEED is the same vehicle; one is drawn if not given
    #[arg(long, value_name = "SEED")]
    seed: Option<u64>,
    /// Map of the vehicle, a built-in name or a file; several are scored by turns
    #[arg(long, value_name = "MAP")]
    map: Vec<String>,
    /// Tell what is really wrong with the vehicle
    #[arg(long, conflicts_with = "score")]
    reveal: bool,
    /// Print a night of a vehicle as a meter log, to learn on with settle; on map hatch, converter on hybrid
    #[arg(long, value_name = "STORY", conflicts_with_all = ["score", "reveal"])]
    night: Option<NightArgument>,
    /// Hunt N simulated vehicles without prompts and tell how often and how fast the cause was found
    #[arg(long, value_name = "N")]
    score: Option<NonZeroUsize>,
    #[command(flatten)]
    how: How,
}

impl PracticeCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// A map cannot be read, several are named for one vehicle, or an embedded table does not read.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        if let Some(vehicles) = self.score {
            return self.how.run(context, vehicles.get(), self.seed.unwrap_or(FIRST), &self.map);
        }
        let map = match self.map.as_slice() {
            [] if self.night == Some(NightArgument::Converter) => HYBRID_MAP,
            [] => PRACTICE_MAP,
            [one] => one.as_str(),
            _ => return Err(CliError::usage(argument::one_map())),
        };
        if let Some(story) = self.night {
            return practice_shown::night(context, map, story, self.seed.unwrap_or(FIRST));
        }
        practice_shown::show(context, map, self.seed.unwrap_or_else(|| drawn_seed(context)), self.reveal)
    }
}
