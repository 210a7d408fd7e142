//! The JSON shapes of `practice --score`. The command fills them, since scores stand on this floor.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Map, Value};

use crate::base::numeric::rate::{Rate, Spread};

/// What `practice --score` prints.
#[derive(Debug, Serialize, JsonSchema)]
pub struct ScoreShape {
    /// How many vehicles were scored.
    pub vehicles: usize,
    /// Seeds of the first and the last.
    pub seeds: Option<[u64; 2]>,
    /// Which map the engine was given: `diagram` or `lid`.
    pub map_kind: &'static str,
    /// The hands that took the readings: `plain` or `messy`.
    pub hands: &'static str,
    /// One a way of hunting.
    pub policies: Vec<PolicyShape>,
}

/// One way of hunting.
#[derive(Debug, Serialize, JsonSchema)]
pub struct PolicyShape {
    /// Its name.
    pub policy: &'static str,
    /// The sums: all vehicles, then by kind of truth, map and meter.
    pub groups: Vec<SumShape>,
    /// Vehicles on which it went wrong.
    pub misses: Vec<MissShape>,
}

/// The sums of one group.
#[derive(Debug, Serialize, JsonSchema)]
pub struct SumShape {
    /// The first named is a true cause.
    pub right_first: Rate,
    /// All true causes are named.
    pub all_right: Rate,
    /// A part that is no cause is accused.
    pub falsely_accused: Rate,
    /// Readings taken after the first total.
    pub readings: Spread,
    /// How often something was typed for them: once for a whole round.
    pub prompts: Spread,
    /// Minutes of work after it.
    pub minutes: Spread,
    /// Minutes gone by after it.
    pub elapsed_min: Spread,
    /// How often each ending came.
    #[schemars(with = "BTreeMap<String, usize>")]
    pub endings: Map<String, Value>,
    /// What was said, and how often it was right.
    pub calibration: Vec<BinShape>,
    /// Its minutes of work as a share of those of each way of hunting; null without any.
    #[schemars(with = "BTreeMap<String, Option<f64>>")]
    pub work_of: Map<String, Value>,
    /// Name of the group.
    pub group: String,
    /// What any search lies between.
    pub bounds_min: BoundsShape,
}

/// Vehicles on which so much was said of the first.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BinShape {
    /// Least probability.
    pub from: f64,
    /// Most.
    pub to: f64,
    /// Average.
    pub said: f64,
    /// How often it was right.
    pub right: Rate,
}

/// Mean minutes of work.
#[derive(Debug, Serialize, JsonSchema)]
pub struct BoundsShape {
    /// Of somebody who knows the truth and reads each cause once.
    pub known: f64,
    /// Of reading every fuse.
    pub sweep: f64,
}

/// A vehicle on which it went wrong.
#[derive(Debug, Serialize, JsonSchema)]
#[allow(missing_docs, reason = "the keys say it")]
pub struct MissShape {
    pub seed: u64,
    pub map: String,
    pub meter: String,
    pub clamp: String,
    /// Kind of truth.
    pub kind: &'static str,
    pub truth: String,
    /// What went wrong.
    pub wrong: &'static str,
    /// Likeliest first.
    pub said: Vec<SaidShape>,
    pub ending: &'static str,
    /// Minutes of work.
    pub minutes: f64,
    pub readings: Vec<String>,
}

/// What was said of one.
#[derive(Debug, Serialize, JsonSchema)]
#[allow(missing_docs, reason = "the keys say it")]
pub struct SaidShape {
    pub name: String,
    pub probability: f64,
}
