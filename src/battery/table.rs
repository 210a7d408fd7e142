//! The battery table: every figure with its unit and where it is from.
//! Leaves to others: the keys of the file (`schema`), what the figures mean (`charge`, `capacity`, `stand`, `judge`).

use std::sync::OnceLock;

use super::chemistry::Chemistry;
use super::schema::{Chemical, Flat, Percent, Written};
use crate::base::diagnostic::{Diagnostic, Faults};
use crate::base::quantity::{Ampere, AmpereHour, Celsius, Share, Uncertain, Unit, Volt};
use crate::base::yaml;
use crate::circuit::loads::KindBasis;
use crate::circuit::map::VehicleClass;
use crate::circuit::tables;

/// Points of a curve, straight between them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Curve(Vec<(f64, f64)>);

impl Curve {
    fn new(mut points: Vec<(f64, f64)>) -> Self {
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self(points)
    }

    /// Returns the value and slope at a place; beyond its ends the end's value, with the slope of the last piece.
    pub(super) fn at(&self, x: f64) -> Option<(f64, f64)> {
        let mut pieces = self.0.iter().zip(self.0.iter().skip(1));
        let piece = pieces.clone().find(|(_, b)| x <= b.0).or_else(|| pieces.next_back())?;
        let ((x0, y0), (x1, y1)) = piece;
        let slope = (y1 - y0) / (x1 - x0);
        Some((y0 + slope * (x.clamp(*x0, *x1) - x0), slope))
    }

    /// Returns the least and the largest place that it has a figure for.
    pub(super) fn ends(&self) -> Option<(f64, f64)> {
        Some((self.0.first()?.0, self.0.last()?.0))
    }
}

/// Figures of one type of battery.
#[derive(Debug, Clone)]
pub struct Figures {
    /// The type.
    pub chemistry: Chemistry,
    /// Share of charge by open-circuit volts at 27 °C; no points where volts say nothing.
    pub(super) charge: Curve,
    /// Where volts say next to nothing.
    pub(super) flat: Option<Flat>,
    /// Standard uncertainty of the table for a battery of unknown make.
    pub spread: Volt,
    /// Share of the capacity lost in a month at 20 °C.
    pub self_discharge: Uncertain<Share>,
    /// Lowest state of charge to be reckoned with where warmth is no question.
    pub lowest: Uncertain<Share>,
}

/// The whole table.
#[derive(Debug, Clone)]
pub struct BatteryTable {
    figures: Vec<Figures>,
    /// As written, for the figures that need no other form.
    pub(super) written: Written,
    /// Volts that a full battery stands lower than at 27 °C, by °C.
    pub(super) cold: Curve,
    /// Least volts of the load test, by °C.
    pub(super) load_test: Curve,
    /// What a full battery gives against 27 °C, by °C.
    pub(super) gives: Curve,
    /// What an engine asks for against 27 °C, by °C.
    pub(super) asks: Curve,
    /// Freezing point in °C by specific gravity.
    pub(super) freezing: Curve,
    /// Ampere that a battery takes for each Ah of capacity, by share of charge, warm.
    pub(super) acceptance: Curve,
    /// Share of that, by °C.
    pub(super) warmth: Curve,
    /// Lowest and highest volts of a plain regulator, by °C.
    pub(super) plain: (Curve, Curve),
}

impl BatteryTable {
    /// Returns the table that is built in.
    ///
    /// # Errors
    /// It does not read: a fault of this build, which a test excludes.
    pub fn builtin() -> Result<&'static Self, Diagnostic> {
        static BUILTIN: OnceLock<Result<BatteryTable, Diagnostic>> = OnceLock::new();
        let read = || {
            BatteryTable::read(tables::BATTERY).map_err(|faults| {
                faults
                    .0
                    .into_iter()
                    .next()
                    .unwrap_or_else(|| Diagnostic::new("the battery table does not read"))
            })
        };
        BUILTIN.get_or_init(read).as_ref().map_err(Clone::clone)
    }

    /// Reads a table.
    ///
    /// # Errors
    /// Not YAML of the expected form, an unknown format or type, a type missing, a curve of fewer than two points or
    /// a number that is not finite.
    pub fn read(text: &str) -> Result<Self, Faults> {
        let written: Written = yaml::read(text)?;
        let mut faults = Vec::new();
        if written.format != "fusetrail-battery/1" {
            let fault = Diagnostic::new(format!("the format is {}", written.format));
            faults.push(fault.expected("fusetrail-battery/1"));
        }
        let mut figures = Vec::new();
        for row in &written.chemistries {
            match figures_of(row) {
                Ok(found) => figures.push(found),
                Err(fault) => faults.push(fault),
            }
        }
        for (chemistry, name) in Chemistry::NAMES {
            if !figures.iter().any(|row| row.chemistry == chemistry) {
                faults.push(Diagnostic::new(format!("the type {name} is missing")));
            }
        }
        let table = Self { figures, ..curves(written) };
        let all = [
            &table.cold,
            &table.load_test,
            &table.gives,
            &table.asks,
            &table.freezing,
            &table.acceptance,
            &table.warmth,
        ];
        let bands = [&table.plain.0, &table.plain.1];
        for curve in all.into_iter().chain(bands) {
            let finite = curve.0.iter().all(|(x, y)| x.is_finite() && y.is_finite());
            if curve.0.len() < 2 || !finite {
                faults.push(Diagnostic::new("a curve needs two points of finite numbers"));
            }
        }
        if faults.is_empty() { Ok(table) } else { Err(Faults(faults)) }
    }

    /// Returns the figures of a type of battery.
    ///
    /// # Errors
    /// The table has no such type, which reading it excludes.
    pub fn of(&self, chemistry: Chemistry) -> Result<&Figures, Diagnostic> {
        let found = self.figures.iter().find(|row| row.chemistry == chemistry);
        found.ok_or_else(|| Diagnostic::new(format!("no figures for {}", chemistry.name())))
    }

    /// Returns the usual capacity of a class of vehicle, where no rating is known.
    pub fn assumed(&self, class: VehicleClass) -> Uncertain<AmpereHour> {
        let capacity = &self.written.capacity;
        let usual = capacity.assumed_ah.get(class.name()).copied().unwrap_or(60.0);
        Uncertain::new(AmpereHour::new(usual), AmpereHour::new(usual * capacity.assumed_u_percent / 100.0))
    }

    /// Returns how likely a finding on battery or charging side is what flattens it; none for one that the table lacks.
    pub(super) fn cause(&self, name: &str) -> f64 {
        self.written.causes.get(name).copied().unwrap_or_default() / 100.0
    }

    /// Returns every standard of cranking ratings: name, seconds, least volts at −18 °C.
    pub fn standards(&self) -> impl Iterator<Item = (&str, f64, Volt)> {
        let rows = self.written.cranking_standards.iter();
        rows.map(|row| (row.name.as_str(), row.seconds, Volt::new(row.volts)))
    }

    /// Returns where every figure is from: what it is, its basis, its source.
    pub fn sources(&self) -> Vec<(String, KindBasis, String)> {
        let mut all = Vec::new();
        let mut add = |what: &str, basis: KindBasis, source: &str| {
            all.push((what.to_owned(), basis, source.to_owned()))
        };
        let written = &self.written;
        for row in &written.chemistries {
            add(&format!("volts of {}", row.name), row.basis, &row.source);
            add(
                &format!("self-discharge of {}", row.name),
                row.self_discharge.basis,
                &row.self_discharge.source,
            );
            add(&format!("lowest charge of {}", row.name), row.lowest.basis, &row.lowest.source);
        }
        add("volts in the cold", written.cold.basis, &written.cold.source);
        add("load test", written.load_test.basis, &written.load_test.source);
        for row in &written.cranking_standards {
            add(&format!("cranking by {}", row.name), row.basis, &row.source);
        }
        add("share of cranking rating", written.cranking_share.basis, &written.cranking_share.source);
        add("cranking power by temperature", written.cranking_power.basis, &written.cranking_power.source);
        add("a warm engine's demand", KindBasis::E, &written.cranking_power.warm_share_source);
        add("freezing points", written.freezing.basis, &written.freezing.source);
        add("post to case", written.post_leak.basis, &written.post_leak.source);
        for (what, basis, source) in [
            ("a shorted cell", written.shorted_cell.basis, &written.shorted_cell.source),
            ("measured capacity", written.measured_capacity.basis, &written.measured_capacity.source),
            ("frost asked for", written.frost_asked_celsius.basis, &written.frost_asked_celsius.source),
            ("current to spare", written.energy.surplus.basis, &written.energy.surplus.source),
            ("charge of a start", written.energy.start.basis, &written.energy.start.source),
            ("charge acceptance", written.energy.acceptance.basis, &written.energy.acceptance.source),
        ] {
            add(what, basis, source);
        }
        let capacity = &written.capacity;
        add("capacity as printed", KindBasis::E, &capacity.rated_source);
        add("capacity from reserve", KindBasis::M, &capacity.reserve_source);
        add("capacity from cranking", KindBasis::M, &capacity.cranking_source);
        add("capacity unknown", KindBasis::E, &capacity.assumed_source);
        let charging = &written.charging;
        add("plain regulator", charging.plain.basis, &charging.plain.source);
        add("smart charging", charging.smart.basis, &charging.smart.source);
        add("ripple", charging.ripple.basis, &charging.ripple.source);
        add("cable drop", charging.cable_drop.basis, &charging.cable_drop.source);
        add("key-off leakage", charging.key_off_leak.basis, &charging.key_off_leak.source);
        add("rise when made ready", charging.ready_rise.basis, &charging.ready_rise.source);
        add("converter input", charging.converter_input.basis, &charging.converter_input.source);
        add("converter", charging.converter.basis, &charging.converter.source);
        add("two batteries", charging.pair.basis, &charging.pair.source);
        add("equaliser", charging.equaliser.basis, &charging.equaliser.source);
        all
    }

    /// Returns where the figures of the energy balance are from: current to spare, a start, what a battery takes.
    pub fn energy_sources(&self) -> [&str; 3] {
        let energy = &self.written.energy;
        [&energy.surplus.source, &energy.start.source, &energy.acceptance.source]
    }

    /// Returns what a converter usually takes at its high-voltage input, as the maker's procedure tells it.
    pub fn converter_input(&self) -> (Ampere, Ampere, &str) {
        let input = &self.written.charging.converter_input;
        (Ampere::new(input.low_a), Ampere::new(input.high_a), &input.source)
    }
}

fn curves(written: Written) -> BatteryTable {
    let celsius = |fahrenheit: f64| (fahrenheit - 32.0) * 5.0 / 9.0;
    let warm = written.cold.rows.iter().map(|row| row.volts).fold(f64::MIN, f64::max);
    let power = &written.cranking_power.rows;
    let plain = &written.charging.plain.rows;
    let accepts = &written.energy.acceptance;
    BatteryTable {
        figures: Vec::new(),
        cold: Curve::new(
            written.cold.rows.iter().map(|row| (celsius(row.fahrenheit), warm - row.volts)).collect(),
        ),
        load_test: Curve::new(written.load_test.rows.iter().map(|row| (row.celsius, row.volts)).collect()),
        gives: Curve::new(power.iter().map(|row| (row.celsius, row.gives_percent / 100.0)).collect()),
        asks: Curve::new(power.iter().map(|row| (row.celsius, row.asks_percent / 100.0)).collect()),
        freezing: Curve::new(written.freezing.rows.iter().map(|row| (row.gravity, row.celsius)).collect()),
        acceptance: Curve::new(accepts.rows.iter().map(|row| (row.percent / 100.0, row.a_per_ah)).collect()),
        warmth: Curve::new(
            accepts.warmth.iter().map(|row| (row.celsius, row.share_percent / 100.0)).collect(),
        ),
        plain: (
            Curve::new(plain.iter().map(|row| (row.celsius, row.low)).collect()),
            Curve::new(plain.iter().map(|row| (row.celsius, row.high)).collect()),
        ),
        written,
    }
}

fn share(percent: &Percent) -> Uncertain<Share> {
    Uncertain::new(Share::new(percent.percent / 100.0), Share::new(percent.u / 100.0))
}

fn figures_of(row: &Chemical) -> Result<Figures, Diagnostic> {
    let chemistry = Chemistry::from_name(&row.name)
        .ok_or_else(|| Diagnostic::new(format!("the type {} is not known", row.name)))?;
    let finite = row.rows.iter().all(|(volts, percent)| volts.is_finite() && percent.is_finite());
    if !finite || (row.rows.len() < 2) != row.flat.is_some() {
        return Err(Diagnostic::new(format!("{} needs two rows or more, or a flat stretch", row.name)));
    }
    Ok(Figures {
        chemistry,
        charge: Curve::new(row.rows.iter().map(|(volts, percent)| (*volts, percent / 100.0)).collect()),
        flat: row.flat.clone(),
        spread: Volt::new(row.spread_v),
        self_discharge: share(&row.self_discharge),
        lowest: share(&row.lowest),
    })
}

/// Returns a temperature as the plain number that the curves take.
pub(super) fn celsius(temperature: Celsius) -> f64 {
    temperature.base()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_table_reads_and_has_every_type() {
        let table = BatteryTable::read(tables::BATTERY).unwrap_or_else(|faults| panic!("{faults}"));
        for (chemistry, _) in Chemistry::NAMES {
            assert!(table.of(chemistry).is_ok(), "{chemistry:?}");
        }
        for (class, name) in VehicleClass::NAMES {
            assert!(table.written.capacity.assumed_ah.contains_key(name), "{name}");
            assert!(table.assumed(class).value() > AmpereHour::ZERO);
        }
    }

    #[test]
    fn a_broken_table_is_refused_with_all_its_faults() {
        let text = tables::BATTERY.replace("name: gel", "name: jelly").replace("battery/1", "battery/9");
        let faults = BatteryTable::read(&text).expect_err("must be refused");
        assert_eq!(faults.0.len(), 3, "{faults}");
    }

    #[test]
    fn a_curve_is_straight_between_its_points_and_level_beyond() {
        let curve = Curve::new(vec![(10.0, 1.0), (0.0, 0.0), (20.0, 5.0)]);
        let at = |x: f64| curve.at(x).expect("points").0;
        assert_eq!([at(-5.0), at(5.0), at(15.0), at(30.0)], [0.0, 0.5, 3.0, 5.0]);
        assert_eq!(Curve::default().at(1.0), None);
    }
}
