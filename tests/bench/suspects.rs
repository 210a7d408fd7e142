//! How long the answers take: everything that a set of readings says, on vehicles of growing size, and one conversion.
//! Goals: 150 fuses with 60 readings under 100 ms (release, median).
#![allow(
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    missing_docs,
    reason = "a benchmark may fail, and has no readers of docs"
)]

use std::fmt::Write;
use std::hint::black_box;
use std::sync::Arc;

use chrono::DateTime;
use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use fusetrail::balance::summed::account;
use fusetrail::base::quantity::{Ampere, Celsius, Minute, Typed, Uncertain, Volt};
use fusetrail::circuit::check::check;
use fusetrail::circuit::fuse::Family;
use fusetrail::circuit::fuse_table::FuseTable;
use fusetrail::circuit::map::FuseSpec;
use fusetrail::circuit::meters;
use fusetrail::infer::infer;
use fusetrail::infer::weight::Background;
use fusetrail::instrument::profile::Profile;
use fusetrail::measure::convert::{Fuse, current_of_drop};
use fusetrail::measure::observation::Panel;
use fusetrail::measure::observe::build_observations;
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

/// A vehicle with this many fuses (invented): four links, a wake group, one load or two on most fuses.
fn map(fuses: usize) -> String {
    let mut text = String::from(
        "format: fusetrail-map/1\ntitle: drawn for a benchmark (invented)\nsystem_v: 12\n\
         boxes: {bay: {where: engine bay}, cabin: {where: cabin}, boot: {where: boot}}\n\
         wake_groups: {body-bus: {inputs: [door latch, bonnet switch, selector in Park]}}\nfeeds:\n",
    );
    for link in 0..4 {
        writeln!(text, "  - {{id: L{link}, from: battery, box: bay, fuse: {{family: maxi, rating_a: 50}}}}")
            .expect("a text");
    }
    for fuse in 0..fuses - 4 {
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
            fuse % 4,
            loads.join(", ")
        )
        .expect("a text");
    }
    text.push_str("unfused: [{name: alternator, from: battery, kind: alternator}]\n");
    text
}

struct Bench {
    panel: Arc<Panel>,
    table: &'static FuseTable,
    readings: Vec<Reading>,
    meter: Profile,
    clamp: Profile,
}

impl Bench {
    /// A total of 480 mA, then drops of one or two counts with one fuse that carries most of it, read last.
    fn new(fuses: usize, readings: usize) -> Self {
        let (map, _) = check("benchmark", &map(fuses)).unwrap_or_else(|faults| panic!("{faults:?}"));
        let meter = meters::find("tenth-mv", true).expect("a meter");
        let clamp = meters::find("clamp-1ma", false).expect("a clamp");
        let mut bench = Self {
            panel: Arc::new(Panel::new(map)),
            table: FuseTable::builtin(),
            readings: Vec::new(),
            meter,
            clamp,
        };
        let total = Typed::measured(Ampere::from_milli(480.0), 1e-3, "");
        bench.take(Measurement::Total { current: total, as_found: false });
        for fuse in 0..readings - 1 {
            let millivolt = if fuse + 2 == readings { 2.9 } else { 0.1 * (fuse % 2) as f64 };
            let drop = Typed::measured(Volt::from_milli(millivolt), 1e-4, "");
            bench.take(Measurement::Drop { feed: format!("F{fuse}"), drop });
        }
        bench
    }

    fn take(&mut self, what: Measurement) {
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

    fn analyse(&self) -> Analysis {
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

fn warmth() -> Uncertain<Celsius> {
    Uncertain::new(Celsius::new(20.0), Celsius::new(5.0))
}

fn suspects(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("suspects");
    group.sample_size(10);
    for (fuses, readings) in [(150, 60), (150, 10), (400, 120)] {
        let bench = Bench::new(fuses, readings);
        assert!(bench.analyse().inference().is_some(), "nothing was weighed");
        let name = BenchmarkId::new(format!("whole, {fuses} fuses"), format!("{readings} readings"));
        group.bench_function(name, |bencher| bencher.iter(|| black_box(bench.analyse())));
    }
    // How the causes alone, all pairs among them, grow with the panel and with the readings.
    for (fuses, readings) in [(50, 40), (100, 40), (200, 40), (400, 40), (800, 40), (400, 120), (800, 120)] {
        let bench = Bench::new(fuses, readings);
        let observations = build_observations(&bench.readings, &bench.panel, bench.table).observations;
        let infer = || infer(&observations, &bench.panel, &Background::default());
        assert!(infer().is_some_and(|found| !found.pairs.is_empty()), "nothing was weighed");
        let name = BenchmarkId::new(format!("causes alone, {fuses} fuses"), format!("{readings} readings"));
        group.bench_function(name, |bencher| bencher.iter(|| black_box(infer())));
    }
    let bench = Bench::new(150, 60);
    let observations = build_observations(&bench.readings, &bench.panel, bench.table).observations;
    group.bench_function("account alone, 150 fuses, 60 readings", |bencher| {
        bencher.iter(|| black_box(account(&observations, &bench.panel)));
    });
    group.finish();
}

fn convert(criterion: &mut Criterion) {
    let table = FuseTable::builtin();
    let meter = meters::find("tenth-mv", true).expect("a meter");
    let (family, rating) = (Family::Mini, Ampere::new(10.0));
    let resistance =
        table.resistance(&FuseSpec { family, rating, own_resistance: None }).expect("has a figure");
    let fuse = Fuse { family, rating, resistance, place: "cabin".into() };
    let drop = Typed::measured(Volt::from_milli(3.0), 1e-4, "");
    criterion.bench_function("convert", |bencher| {
        bencher.iter(|| current_of_drop(black_box(&drop), &meter, None, &fuse, &warmth(), table));
    });
}

criterion_group!(benches, suspects, convert);
criterion_main!(benches);
