//! The fuse table as written in `circuits/fuses.yaml`.
//! Leaves to others: what the rows mean (`fuse_table`).

use std::collections::BTreeMap;

use serde::Deserialize;

use super::fuse::Family;

#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FusesSchema {
    #[serde(rename = "format")]
    _format: FuseTableFormat,
    pub version: String,
    pub temperature: Temperature,
    pub spread: SpreadSchema,
    pub law: Law,
    pub sources: BTreeMap<String, String>,
    pub families: BTreeMap<Family, FamilyRow>,
}

/// The one format that this version reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
enum FuseTableFormat {
    #[default]
    #[serde(rename = "fusetrail-fuses/1")]
    One,
}

#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Temperature {
    pub per_kelvin: f64,
    pub source: String,
}

/// Relative standard uncertainties.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SpreadSchema {
    pub make: f64,
    pub fuse: f64,
    pub memory: f64,
    pub estimate: f64,
    pub own: f64,
}

#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Law {
    pub coefficient_mohm: f64,
    pub exponent: f64,
    pub source: String,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FamilyRow {
    pub form: String,
    pub look: String,
    pub legs_mohm: f64,
    pub estimate: Estimate,
    #[serde(default)]
    pub made_a: Vec<f64>,
    #[serde(default)]
    pub colours: Vec<Colour>,
    #[serde(default)]
    pub ratings: Vec<RatingRow>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Colour {
    pub rating_a: f64,
    pub name: String,
}

/// How a rating without a figure is filled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum Estimate {
    Law,
    None,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RatingRow {
    pub rating_a: f64,
    pub figures: Vec<FigureSchema>,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FigureSchema {
    pub r_mohm: f64,
    pub low_mohm: Option<f64>,
    pub high_mohm: Option<f64>,
    /// Kept for the record of the sheet; dividing it by the rating gives the hot resistance, 1.3 to 1.7 times
    /// the cold one, and is never used.
    #[serde(rename = "drop_at_rated_mv")]
    pub _drop_at_rated_mv: Option<f64>,
    pub basis: FigureBasis,
    pub source: String,
    pub role: FigureRole,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum FigureBasis {
    Read,
    SecondHand,
    Memory,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(super) enum FigureRole {
    Sheet,
    Band,
    SecondMaker,
    /// Listed for the reader, not used.
    Doubtful,
}
