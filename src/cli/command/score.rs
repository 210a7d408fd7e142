//! `practice --score`: many vehicles hunted without prompts. Arguments and the run.
//! Leaves to others: the hunts and the sums (`score`), how the result looks (`score_shown`).

use std::num::NonZeroUsize;
use std::path::PathBuf;

use super::{lessons, map_source, score_shown};
use crate::base::diagnostic::Diagnostic;
use crate::circuit::learnt::LearntShares;
use crate::circuit::loads::Catalogue;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::progress::Progress;
use crate::cli::signal;
use crate::infer::weight::exposure;
use crate::score::{MapKind, Policy, ScoreWorld, Scored, Shop, Task, TruthFilter, TruthKind, score};
use crate::sim::Hands;
use crate::text::fault::argument;

/// Maps that are scored by turns when none is named.
const MAPS: [&str; 4] = ["hatch", "van", "hybrid", "tipper"];

/// How to score.
#[derive(Debug, clap::Args)]
pub struct How {
    /// Way of hunting: plan, panel (fuse after fuse), halving (cables first), or all on the same vehicles
    #[arg(long, value_name = "NAME", default_value = "all", requires = "score")]
    policy: String,
    /// Only vehicles with this truth: one, load, unlisted, link, post, unfused, held, two, nothing
    #[arg(long, value_name = "KIND", default_value = "any", requires = "score")]
    truth: String,
    /// Which map the engine is given: diagram (all of it) or lid (what its fuse-box lids tell)
    #[arg(long, value_name = "KIND", default_value = "diagram", requires = "score")]
    map_kind: String,
    /// Hands that take the readings: plain, or messy (they slip, at rates that are stated)
    #[arg(long, value_name = "KIND", default_value = "plain", requires = "score")]
    hands: String,
    /// Vehicles fail as in a shop with these shares of causes; a file as lessons --weights writes it
    #[arg(long, value_name = "FILE", requires = "score")]
    habits: Option<PathBuf>,
    /// Hunt with the weights learnt by lessons --weights
    #[arg(long, value_name = "FILE", requires = "score")]
    weights: Option<PathBuf>,
    /// Write weights learnt from the vehicles that the first way of hunting named right
    #[arg(long, value_name = "FILE", requires = "score")]
    learn: Option<PathBuf>,
    /// List the vehicles on which the first way of hunting went wrong, with truth, finding and readings
    #[arg(long, requires = "score")]
    misses: bool,
}

impl How {
    /// Scores so many vehicles from a first seed on, on these maps by turns, or on some of the built-in ones.
    ///
    /// # Errors
    /// A map cannot be read, a name is not known, or an embedded table does not read.
    pub fn run(
        &self,
        context: &Context,
        vehicles: usize,
        first: u64,
        maps: &[String],
    ) -> Result<Exit, CliError> {
        let policies = policies(&self.policy).map_err(CliError::usage)?;
        let wanted = wanted(&self.truth).map_err(CliError::usage)?;
        let kind =
            MapKind::from_name(&self.map_kind).ok_or_else(|| CliError::usage(argument::no_map_kind()))?;
        let hands = Hands::from_name(&self.hands).ok_or_else(|| {
            CliError::usage(Diagnostic::new("no such hands").expected("plain or messy").in_field("--hands"))
        })?;
        let built_in = MAPS.map(str::to_owned);
        let names = if maps.is_empty() { &built_in[..] } else { maps };
        let worlds = names
            .iter()
            .map(|name| Ok(ScoreWorld::new(name, map_source::load(name)?.0, kind)?))
            .collect::<Result<Vec<ScoreWorld>, CliError>>()?;
        let threads = std::thread::available_parallelism().unwrap_or(NonZeroUsize::MIN);
        let shares = |path: &Option<PathBuf>| path.as_deref().map(lessons::shares).transpose();
        let shop = Shop {
            habits: shares(&self.habits)?.unwrap_or_default(),
            learnt: shares(&self.weights)?.unwrap_or_default(),
        };
        let policies = &policies[..];
        let task = Task { worlds: &worlds, first, vehicles, policies, wanted, hands, shop: &shop, threads };
        let _heeded = signal::heeded();
        let mut progress = Progress::new(context, "vehicles", vehicles);
        let scored = score(&task, || {
            progress.one_done();
            !signal::stopped()
        });
        progress.end();
        let scored = scored?;
        match context.format {
            OutputFormat::Text => score_shown::text(context, &scored, policies, self.misses)?,
            OutputFormat::Json => {
                context.print_json(&score_shown::shape(&scored, policies, [kind.name(), hands.name()]))?
            }
        }
        if let Some(file) = &self.learn {
            lessons::write(context, file, &learnt(&scored, &worlds), false)?;
        }
        Ok(if signal::stopped() { Exit::Interrupted } else { Exit::Done })
    }
}

/// Learns the shares of causes from hunts that came to the right end, as the logs of proven hunts would teach them.
fn learnt(scored: &[Scored], worlds: &[ScoreWorld]) -> LearntShares {
    let catalogue = Catalogue::builtin();
    let exposures: Vec<(&str, Vec<(String, f64)>)> =
        worlds.iter().map(|world| (world.name.as_str(), exposure(&world.panel, catalogue))).collect();
    let right = scored.iter().filter(|one| one.hunts.first().is_some_and(|(_, judged)| judged.first));
    let found = right.filter_map(|one| {
        let (_, exposure) = exposures.iter().find(|(name, _)| *name == one.map)?;
        Some((one.class.as_deref()?, &exposure[..]))
    });
    LearntShares::learn(catalogue, found)
}

fn policies(name: &str) -> Result<Vec<Policy>, Diagnostic> {
    if name == "all" {
        return Ok(Policy::ALL.to_vec());
    }
    let found = Policy::ALL.into_iter().find(|policy| policy.name() == name);
    found.map(|policy| vec![policy]).ok_or_else(argument::no_policy)
}

fn wanted(name: &str) -> Result<TruthFilter, Diagnostic> {
    let kinds = TruthKind::NAMES.map(|(_, name)| name).join(", ");
    TruthFilter::from_name(name).ok_or_else(|| argument::no_truth(&kinds))
}
