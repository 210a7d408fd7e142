//! The built-in meter profiles, from `circuits/meters.yaml`.
//! Leaves to others: what a profile does to a reading (`instrument`).

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::clean;
use crate::base::yaml;
use crate::instrument::profile::{Profile, Way};

const TABLE: &str = include_str!("../../circuits/meters.yaml");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MetersSchema {
    #[serde(rename = "format")]
    _format: MetersFormat,
    meters: BTreeMap<String, MeterSchema>,
}

#[derive(Deserialize)]
enum MetersFormat {
    #[serde(rename = "fusetrail-meters/1")]
    One,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MeterSchema {
    way: WaySchema,
    resolution_mv: Option<f64>,
    resolution_ma: Option<f64>,
    percent: f64,
    counts: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum WaySchema {
    Volts,
    Clamp,
    Series,
}

/// Returns the built-in meters, sorted by name.
///
/// # Errors
/// The embedded text does not read: a fault of this build, found by its tests.
pub fn builtin() -> Result<Vec<Profile>, Diagnostic> {
    let written: MetersSchema = yaml::read(TABLE).map_err(|fault| fault.in_file("circuits/meters.yaml"))?;
    let profile = |(name, row): (String, MeterSchema)| {
        let (way, resolution) = match row.way {
            WaySchema::Volts => (Way::Volts, row.resolution_mv),
            WaySchema::Clamp => (Way::Clamp, row.resolution_ma),
            WaySchema::Series => (Way::Series, row.resolution_ma),
        };
        let resolution = resolution.ok_or_else(|| {
            Diagnostic::new("no resolution")
                .in_field(format!("meters.{name}"))
                .in_file("circuits/meters.yaml")
        })?;
        Ok(Profile { name, way, resolution: resolution / 1000.0, percent: row.percent, counts: row.counts })
    };
    written.meters.into_iter().map(profile).collect()
}

/// Finds a meter: a built-in name, or figures of the user's own written `RESOLUTION,PERCENT,COUNTS` with the
/// resolution as a value with its unit (`0.1mV,0.5,2` or `10mA,2,3`).
///
/// # Errors
/// Neither a known name nor three such figures; the diagnostic lists the known names for this way of measuring.
pub fn find(text: &str, volts: bool) -> Result<Profile, Diagnostic> {
    let known = builtin()?;
    let fits = |profile: &&Profile| (profile.way == Way::Volts) == volts;
    if let Some(found) = known.iter().find(|profile| profile.name.eq_ignore_ascii_case(text.trim())) {
        return match fits(&found) {
            true => Ok(found.clone()),
            false => Err(Diagnostic::new(format!(
                "{text} does not measure {}",
                if volts { "millivolts" } else { "current" }
            ))
            .expected(names(&known, volts))),
        };
    }
    if let Some(profile) = own(text, volts) {
        return match (FINEST..=COARSEST).contains(&profile.resolution)
            && profile.counts <= COUNTS
            && profile.percent <= PERCENT
        {
            true => Ok(profile),
            false => Err(Diagnostic::new(format!("no meter is like {}", clean(text)))
                .expected("a resolution of 1 nV to 1 V, or 1 nA to 1 A, at most 100 % and 1000 counts")),
        };
    }
    Err(Diagnostic::new(format!("the meter {} is not known", clean(text))).expected(format!(
        "{}, or resolution, percent and counts from its data sheet, such as {}",
        names(&known, volts),
        if volts { "0.1mV,0.5,2" } else { "1mA,1.5,5" }
    )))
}

/// Finest resolution of a meter, in volt or ampere: editorial, as are the next three.
const FINEST: f64 = 1e-9;

/// Coarsest resolution, in volt or ampere.
const COARSEST: f64 = 1.0;

/// Most percent of a reading that a meter may be off.
const PERCENT: f64 = 100.0;

/// Most counts that a meter may be off.
const COUNTS: f64 = 1000.0;

fn names(known: &[Profile], volts: bool) -> String {
    let fitting = known.iter().filter(|profile| (profile.way == Way::Volts) == volts);
    fitting.map(|profile| profile.name.as_str()).collect::<Vec<_>>().join(", ")
}

fn own(text: &str, volts: bool) -> Option<Profile> {
    use crate::base::quantity::parse::Readable;
    use crate::base::quantity::{Ampere, Unit, Volt};
    let mut parts = text.split(',').map(str::trim);
    let (first, percent, counts) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    let resolution = match volts {
        true => Volt::read(first, "mV").ok()?.value.base(),
        false => Ampere::read(first, "mA").ok()?.value.base(),
    };
    let figure = |text: &str| text.trim_end_matches('%').trim().parse::<f64>().ok().filter(|v| *v >= 0.0);
    let (percent, counts) = (figure(percent)?, figure(counts)?);
    let way = if volts { Way::Volts } else { Way::Clamp };
    (resolution > 0.0).then(|| Profile { name: text.to_owned(), way, resolution, percent, counts })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_in_and_own_meters_are_found() {
        assert_eq!(builtin().expect("reads").len(), 6);
        let own = find("0.01mV,0.05,10", true).expect("figures of one's own");
        assert!((own.resolution - 1e-5).abs() < 1e-15 && own.counts == 10.0);
        assert!(find("tenth-mv", false).is_err(), "a voltmeter is no clamp");
        for text in ["1V,1e308,2", "1V,2,1e308", "5V,1,2", "1e300V,1,2"] {
            assert!(find(text, true).is_err(), "{text}");
        }
        assert!(find("nonsense", true).expect_err("unknown").expected.contains("tenth-mv"));
    }
}
