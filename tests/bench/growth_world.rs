//! Invented vehicles with any number of feeds and readings of every kind, the same each time.
#![allow(
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    missing_docs,
    dead_code,
    reason = "benchmarks and tests share it, and may fail"
)]

use std::fmt::Write;
use std::sync::Arc;

use chrono::DateTime;
use fusetrail::base::quantity::{Ampere, Celsius, Minute, Typed, Uncertain, Volt};
use fusetrail::circuit::check::check;
use fusetrail::circuit::fuse_table::FuseTable;
use fusetrail::circuit::meters;
use fusetrail::instrument::profile::Profile;
use fusetrail::measure::observation::Panel;
use fusetrail::measure::{Measurement, Reading};
use fusetrail::plan::analysis::{Analysis, Facts};

const KINDS: [&str; 9] = [
    "audio",
    "body-control",
    "telematics",
    "lamp-interior",
    "blower",
    "cluster",
    "climate",
    "other",
    "tracker",
];
const RATINGS: [f64; 6] = [5.0, 7.5, 10.0, 15.0, 20.0, 30.0];
/// Links at the battery.
const LINKS: usize = 4;

/// What the readings are like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mood {
    /// They repeat each other within a count or two.
    Steady,
    /// One in two contradicts the others.
    Wild,
}

/// A vehicle with its readings.
pub struct World {
    pub panel: Arc<Panel>,
    pub table: &'static FuseTable,
    pub readings: Vec<Reading>,
    pub meter: Profile,
    pub clamp: Profile,
    dice: u64,
}

impl World {
    /// A total of 480 mA, then readings of all kinds over the fuses in turn; one fuse carries most of it.
    pub fn new(feeds: usize, readings: usize, mood: Mood) -> Self {
        Self::drawn(feeds, readings, mood, 7)
    }

    /// The same with other dice.
    pub fn drawn(feeds: usize, readings: usize, mood: Mood, dice: u64) -> Self {
        let (map, _) = check("growth", &map(feeds)).unwrap_or_else(|faults| panic!("{faults:?}"));
        let mut world = Self {
            panel: Arc::new(Panel::new(map)),
            table: FuseTable::builtin(),
            readings: Vec::new(),
            meter: meters::find("tenth-mv", true).expect("a meter"),
            clamp: meters::find("clamp-1ma", false).expect("a clamp"),
            dice,
        };
        if readings > 0 {
            world.take(Measurement::Total { current: milli(480.0), as_found: false });
        }
        while world.readings.len() < readings {
            world.next(feeds - LINKS, mood);
        }
        world
    }

    /// Uniform from zero to one (Knuth's multiplier).
    fn draw(&mut self) -> f64 {
        self.dice = self.dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.dice >> 40) as f64 / (1_u64 << 24) as f64
    }

    fn next(&mut self, fuses: usize, mood: Mood) {
        let number = self.readings.len();
        let fuse = number % fuses;
        let wild = mood == Mood::Wild && self.draw() < 0.5;
        let size = match (wild, fuse) {
            (true, _) => 3.0 * self.draw(),
            (false, 3) => 2.9,
            _ => 0.1 * f64::from(u8::from(self.draw() < 0.5)),
        };
        let carries = if fuse == 3 { 400.0 } else { 5.0 };
        match number % 23 {
            0 => {
                let current = milli(480.0 + (2.0 * self.draw()).round());
                self.take(Measurement::Total { current, as_found: false });
            }
            5 | 11 => {
                let current = milli(if wild { 300.0 * self.draw() } else { carries }.round());
                self.take(Measurement::Clamp { at: format!("F{fuse}"), current });
            }
            17 => {
                let (before, after) = (milli(480.0), milli(480.0 - carries));
                self.take(Measurement::Pull { feed: format!("F{fuse}"), before, after });
                self.take(Measurement::Refit { feed: format!("F{fuse}"), total: milli(480.0) });
            }
            20 => {
                let current = milli((120.0 + 10.0 * self.draw()).round());
                self.take(Measurement::Clamp { at: format!("L{}", fuse % LINKS), current });
            }
            _ => {
                let drop = Typed::measured(Volt::from_milli((size * 10.0).round() / 10.0), 1e-4, "");
                self.take(Measurement::Drop { feed: format!("F{fuse}"), drop });
            }
        }
    }

    pub fn take(&mut self, what: Measurement) {
        self.readings.push(Reading {
            entry: self.readings.len() + 2,
            at: DateTime::parse_from_rfc3339("2026-11-02T07:40:00+01:00").expect("a time"),
            what,
            meter: self.meter.clone(),
            clamp: self.clamp.clone(),
            zero: None,
            temperature: warmth(),
            provisional: false,
            after_repair: false,
        });
    }

    pub fn analyse(&self) -> Analysis {
        let analysis = Analysis::of_facts(Facts {
            panel: Arc::clone(&self.panel),
            table: self.table,
            readings: self.readings.clone(),
            meter: self.meter.clone(),
            clamp: self.clamp.clone(),
            ammeter: self.clamp.clone(),
            zero: None,
            temperature: warmth(),
            limit: None,
            sleep: Minute::new(30.0),
            told: Vec::new(),
            series: None,
            night: Default::default(),
            supply: Vec::new(),
            learnt: Default::default(),
            passed_over: Vec::new(),
        });
        // Nothing is reckoned before it is asked for.
        analysis.plan();
        analysis
    }
}

fn milli(milliampere: f64) -> Typed<Ampere> {
    Typed::measured(Ampere::from_milli(milliampere), 1e-3, "")
}

fn warmth() -> Uncertain<Celsius> {
    Uncertain::new(Celsius::new(20.0), Celsius::new(5.0))
}

/// Four links, a wake group, one load or two on most fuses.
fn map(feeds: usize) -> String {
    let mut text = String::from(
        "format: fusetrail-map/1\ntitle: drawn to grow (invented)\nsystem_v: 12\n\
         boxes: {bay: {where: engine bay}, cabin: {where: cabin}, boot: {where: boot}}\n\
         wake_groups: {body-bus: {inputs: [door latch, bonnet switch, selector in Park]}}\nfeeds:\n",
    );
    for link in 0..LINKS {
        writeln!(text, "  - {{id: L{link}, from: battery, box: bay, fuse: {{family: maxi, rating_a: 50}}}}")
            .expect("a text");
    }
    for fuse in 0..feeds - LINKS {
        let place = ["bay", "cabin", "boot"][fuse % 3];
        let rating = RATINGS[fuse % RATINGS.len()];
        let load = |number: usize| {
            let kind = KINDS[(fuse + number * 4) % KINDS.len()];
            let group = if fuse % 4 == 0 { ", wake_group: body-bus" } else { "" };
            format!("{{name: {kind} {fuse}.{number}, kind: {kind}, asleep_ma: {}{group}}}", fuse % 5)
        };
        let loads: Vec<String> = (0..fuse % 3).map(load).collect();
        writeln!(
            text,
            "  - {{id: F{fuse}, from: L{}, box: {place}, fuse: {{family: mini, rating_a: {rating}}}, loads: [{}]}}",
            fuse % LINKS,
            loads.join(", ")
        )
        .expect("a text");
    }
    text.push_str("unfused: [{name: alternator, from: battery, kind: alternator}]\n");
    text
}
