//! The fuse table: cold resistance by family and rating, with sources and spread. "No figure" is an answer that
//! says what to do. Leaves to others: millivolt to milliampere (`measure/convert`).

use serde::Deserialize;

use super::fuse::{Basis, Family, Remark, Resistance};
use super::fuse_schema::{Estimate, FamilyRow, FigureBasis, FigureRole, FigureSchema, FusesSchema};
use super::map::FuseSpec;
use super::tables;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Ampere, Ohm, Unit};
use crate::base::yaml;

/// The built-in table, embedded at build.
const TABLE: &str = include_str!("../../circuits/fuses.yaml");

/// Cold resistances by family and rating.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(transparent)]
pub struct FuseTable(FusesSchema);

impl FuseTable {
    tables::builtin!(pub FuseTable, FuseTable::read(TABLE));

    /// Reads a table.
    ///
    /// # Errors
    /// Not YAML, not of the form of `circuits/fuses.yaml`, or a resistance that is not above zero.
    pub fn read(text: &str) -> Result<Self, Diagnostic> {
        let table: Self = yaml::read(text)?;
        for (family, row) in &table.0.families {
            for rating in &row.ratings {
                let sound = |figure: &FigureSchema| figure.r_mohm.is_finite() && figure.r_mohm > 0.0;
                if !rating.figures.iter().all(sound)
                    || rating.rating_a.partial_cmp(&0.0) != Some(std::cmp::Ordering::Greater)
                {
                    return Err(Diagnostic::new("a rating or resistance is not above zero")
                        .in_field(format!("families.{}, {} A", family.name(), rating.rating_a)));
                }
            }
        }
        Ok(table)
    }

    /// Returns the version, which a log keeps beside its readings.
    pub fn version(&self) -> &str {
        &self.0.version
    }

    /// Returns the relative change of resistance per kelvin about 25 °C.
    pub fn per_kelvin(&self) -> f64 {
        self.0.temperature.per_kelvin
    }

    /// Returns where the temperature coefficient is from.
    pub fn temperature_source(&self) -> &str {
        &self.0.temperature.source
    }

    /// Returns the ratings that a family is made in, lowest first: those with a figure or a colour, and those that are
    /// listed as made. Empty where nothing is known.
    pub fn made_ratings(&self, family: Family) -> Vec<Ampere> {
        let Some(row) = self.0.families.get(&family) else { return Vec::new() };
        let mut all: Vec<f64> = row.ratings.iter().map(|rating| rating.rating_a).collect();
        all.extend(row.colours.iter().map(|colour| colour.rating_a));
        all.extend(&row.made_a);
        all.sort_by(f64::total_cmp);
        all.dedup_by(|a, b| same(*a, *b));
        all.into_iter().map(Ampere::new).collect()
    }

    /// Returns true if the family is known not to be made in this rating: digits or family were misread.
    pub fn is_not_made(&self, fuse: &FuseSpec) -> bool {
        let made = self.made_ratings(fuse.family);
        !made.is_empty() && !made.iter().any(|rating| same(rating.base(), fuse.rating.base()))
    }

    /// Returns what the family is and what it looks like, in words.
    pub fn describe(&self, family: Family) -> Option<(&str, &str)> {
        self.0.families.get(&family).map(|row| (row.form.as_str(), row.look.as_str()))
    }

    /// Returns the colour that the family's standard gives a rating. A check only: read the rating off the digits.
    pub fn colour(&self, family: Family, rating: Ampere) -> Option<&str> {
        let colours = &self.0.families.get(&family)?.colours;
        colours.iter().find(|colour| same(colour.rating_a, rating.base())).map(|colour| colour.name.as_str())
    }

    /// Returns the ratings that a colour stands for in a family.
    pub fn ratings_of_colour(&self, family: Family, colour: &str) -> Vec<Ampere> {
        let row = self.0.families.get(&family);
        let matching = row.into_iter().flat_map(|row| &row.colours);
        matching.filter(|c| c.name.eq_ignore_ascii_case(colour)).map(|c| Ampere::new(c.rating_a)).collect()
    }

    /// Returns the cold resistance of a fuse: the user's own figure, else the sheet's, else the fitted law where
    /// the family is blade-like.
    ///
    /// # Errors
    /// The family has no figure and no estimate: the diagnostic says what to do instead.
    pub fn resistance(&self, fuse: &FuseSpec) -> Result<Resistance, Diagnostic> {
        let row = self.0.families.get(&fuse.family);
        let legs = Ohm::from_milli(row.map_or(0.0, |row| row.legs_mohm));
        if let Some(own) = fuse.own_resistance {
            return Ok(Resistance {
                r25: own,
                make: 0.0,
                fuse: self.0.spread.own,
                legs: Ohm::ZERO,
                basis: Basis::Own,
                remarks: vec![Remark::Own],
            });
        }
        let found = row.and_then(|row| row.ratings.iter().find(|r| same(r.rating_a, fuse.rating.base())));
        match (found, row) {
            (Some(found), _) => Ok(self.listed(&found.figures, legs)),
            (None, Some(FamilyRow { estimate: Estimate::Law, .. })) => Ok(self.estimated(fuse, legs)),
            _ => Err(no_figure(fuse)),
        }
    }

    /// Returns a resistance widened to what a fuse without a maker's name may have. A counterfeit may lie anywhere.
    #[must_use]
    pub fn of_unknown_make(&self, known: Resistance) -> Resistance {
        Resistance { make: known.make.max(self.0.spread.estimate), ..known }
    }

    /// The sheet's figure; a band's middle where there is no sheet. Other figures widen the make's spread: the
    /// largest departure is taken as the half-width of a rectangular distribution (JCGM 100:2008, 4.3.7).
    fn listed(&self, figures: &[FigureSchema], legs: Ohm) -> Resistance {
        let rank = |figure: &&FigureSchema| match figure.role {
            FigureRole::Sheet => 0,
            FigureRole::Band => 1,
            FigureRole::SecondMaker => 2,
            FigureRole::Doubtful => 3,
        };
        let typical = figures.iter().min_by_key(rank).map_or(0.0, |figure| figure.r_mohm);
        let basis = figures.iter().min_by_key(rank).map_or(FigureBasis::Memory, |figure| figure.basis);
        let used = figures.iter().filter(|figure| figure.role != FigureRole::Doubtful);
        let edges = used.flat_map(|f| [Some(f.r_mohm), f.low_mohm, f.high_mohm]).flatten();
        let farthest = edges.map(|edge| (edge / typical - 1.0).abs()).fold(0.0, f64::max);
        let floor = if basis == FigureBasis::Memory { self.0.spread.memory } else { self.0.spread.make };
        let source =
            |f: &FigureSchema| Remark::Source(self.0.sources.get(&f.source).unwrap_or(&f.source).clone());
        let mut remarks: Vec<Remark> = figures.iter().map(source).collect();
        remarks.dedup();
        if basis == FigureBasis::Memory {
            remarks.insert(0, Remark::Memory);
        }
        Resistance {
            r25: Ohm::from_milli(typical),
            make: floor.max(farthest / 3.0_f64.sqrt()),
            fuse: self.0.spread.fuse,
            legs,
            basis: Basis::DataSheet,
            remarks,
        }
    }

    fn estimated(&self, fuse: &FuseSpec, legs: Ohm) -> Resistance {
        let law = &self.0.law;
        Resistance {
            r25: Ohm::from_milli(law.coefficient_mohm * fuse.rating.base().powf(law.exponent)),
            make: self.0.spread.estimate,
            fuse: self.0.spread.fuse,
            legs,
            basis: Basis::Estimate,
            remarks: vec![Remark::Estimated { fuse: fuse.words(), law: law.source.clone() }],
        }
    }
}

/// Ratings are printed numbers; they are the same if they agree to a thousandth.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-3
}

fn no_figure(fuse: &FuseSpec) -> Diagnostic {
    let fault = Diagnostic::new(format!("no resistance is known for {}", fuse.words()))
        .expected("a family with figures (blade, mini, micro, maxi), or a resistance of your own");
    match fuse.family {
        Family::Wire => fault.remedy(
            "clamp it, or give its resistance: 229 mm of copper 20/18/16/14/12/10 AWG is \
             7.6/4.8/3.0/1.9/1.2/0.75 mΩ at 20 °C (standard wire table, from memory), crimps extra",
        ),
        _ => fault.remedy(
            "clamp the cable, give the resistance measured on this one, or switch on a known load and add a step",
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spec(family: Family, rating: f64) -> FuseSpec {
        FuseSpec { family, rating: Ampere::new(rating), own_resistance: None }
    }

    fn table() -> &'static FuseTable {
        FuseTable::builtin()
    }

    #[test]
    fn the_table_that_is_built_in_reads() {
        assert_eq!(FuseTable::read(TABLE).as_ref(), Ok(table()));
    }

    #[test]
    fn the_sheet_beats_band_and_second_maker_which_only_widen() {
        let mini = table().resistance(&spec(Family::Mini, 20.0)).expect("has a figure");
        assert!((mini.r25.milli() - 3.21).abs() < 1e-12);
        let blade = table().resistance(&spec(Family::Blade, 10.0)).expect("has a figure");
        assert!((blade.r25.milli() - 7.7).abs() < 1e-12);
        // Band 6.8 to 7.3 against 7.7: 0.9/7.7/√3.
        assert!((blade.make - 0.9 / 7.7 / 3.0_f64.sqrt()).abs() < 1e-9);
        let only_band = table().resistance(&spec(Family::Blade, 35.0)).expect("has a band");
        assert!((only_band.r25.milli() - 1.55).abs() < 1e-12);
    }

    /// The law is said to fit all 23 sheet points of mini, blade and maxi within 6.8 %: least squares of
    /// log resistance on log rating, done again here.
    #[test]
    fn the_law_fits_the_sheet_points_as_it_says() {
        let table = table();
        let points: Vec<(f64, f64)> = [Family::Blade, Family::Mini, Family::Maxi]
            .into_iter()
            .filter_map(|family| table.0.families.get(&family))
            .flat_map(|row| &row.ratings)
            .flat_map(|rating| rating.figures.iter().map(move |figure| (rating.rating_a, figure)))
            .filter(|(_, f)| f.role == FigureRole::Sheet && f.basis != FigureBasis::Memory)
            .map(|(rating, figure)| (rating, figure.r_mohm))
            .collect();
        assert_eq!(points.len(), 23);
        let law = |rating: f64| table.0.law.coefficient_mohm * rating.powf(table.0.law.exponent);
        let worst = points.iter().map(|(rating, r)| (r / law(*rating) - 1.0).abs()).fold(0.0, f64::max);
        assert!(worst < 0.0685, "{worst}");
    }

    #[test]
    fn gaps_are_estimated_only_where_the_family_is_blade_like() {
        let micro = table().resistance(&spec(Family::Micro2, 10.0)).expect("an estimate");
        assert_eq!(micro.basis, Basis::Estimate);
        let relative = micro.make.hypot(micro.fuse);
        assert!((0.28..0.31).contains(&(relative * 1.96)), "{relative}");
        for family in [Family::Cartridge, Family::Bolt, Family::Glass, Family::Torpedo, Family::Wire] {
            let fault = table().resistance(&spec(family, 30.0)).expect_err("no figure");
            assert!(fault.remedy.contains("clamp"), "{fault}");
        }
    }

    #[test]
    fn what_is_not_made_is_known_and_what_nobody_lists_is_not_doubted() {
        let ratings =
            |family| table().made_ratings(family).iter().map(|one| one.base()).collect::<Vec<f64>>();
        assert_eq!(ratings(Family::Micro3), [5.0, 7.5, 10.0, 15.0]);
        assert_eq!(ratings(Family::Maxi), [20.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0]);
        let not_made =
            [(Family::Mini, 40.0), (Family::Micro2, 2.0), (Family::Micro3, 20.0), (Family::Blade, 12.0)];
        for (family, rating) in not_made {
            assert!(table().is_not_made(&spec(family, rating)), "{family:?} {rating}");
        }
        for (family, rating) in [(Family::Mini, 7.5), (Family::Bolt, 137.0), (Family::Cartridge, 33.0)] {
            assert!(!table().is_not_made(&spec(family, rating)), "{family:?} {rating}");
        }
    }

    #[test]
    fn every_figure_names_a_source_that_is_listed() {
        let table = table();
        for row in table.0.families.values() {
            for figure in row.ratings.iter().flat_map(|rating| &rating.figures) {
                assert!(table.0.sources.contains_key(&figure.source), "{}", figure.source);
            }
        }
        assert_eq!(table.colour(Family::Mini, Ampere::new(10.0)), Some("red"));
    }
}
