//! How the cost of an analysis (claims, account, causes, plan) grows with the readings of a log and the feeds of a
//! map. Prints seconds against size, the exponent from each size to the next, and the most memory held so far.
//! `cargo bench --bench growth_readings`; words after `--` choose among the tables by their names.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    missing_docs,
    reason = "a benchmark measures time, prints, and may fail"
)]

use std::hint::black_box;
use std::time::Instant;

#[path = "growth_world.rs"]
mod world;

use fusetrail::balance::repeat::without_repeated;
use fusetrail::infer::infer;
use fusetrail::infer::weight::Background;
use fusetrail::measure::observe::build_observations;
use world::{Mood, World};

/// Seconds of claims, account, causes and the whole analysis.
fn seconds(world: &World) -> [f64; 4] {
    let begin = Instant::now();
    let mut observed = build_observations(&world.readings, &world.panel, world.table);
    let observations = begin.elapsed().as_secs_f64();
    let begin = Instant::now();
    black_box(without_repeated(&mut observed, &world.panel));
    let account = begin.elapsed().as_secs_f64();
    let begin = Instant::now();
    black_box(infer(&observed.observations, &world.panel, &Background::default()));
    let causes = begin.elapsed().as_secs_f64();
    let begin = Instant::now();
    black_box(world.analyse());
    [observations, account, causes, begin.elapsed().as_secs_f64()]
}

/// Most memory that this process held, in megabyte; nothing where the system doesn't tell.
fn most_memory() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM"));
    let kilobyte =
        line.and_then(|line| line.split_whitespace().nth(1)).and_then(|number| number.parse().ok());
    kilobyte.map_or(f64::NAN, |kilobyte: f64| kilobyte / 1024.0)
}

/// One table: a row for each size, fuses and readings.
fn table(name: &str, mood: Mood, sizes: &[(usize, usize)]) {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    if !wanted.is_empty() && !wanted.iter().any(|word| name.contains(word.as_str())) {
        return;
    }
    println!("\n{name}\nfeeds  readings   claims  account   causes    whole  exponent  most MB");
    let mut last: Option<(usize, f64)> = None;
    for (feeds, readings) in sizes {
        let world = World::new(*feeds, *readings, mood);
        let [observations, account, causes, whole] = seconds(&world);
        let size = feeds * readings.max(&1);
        let exponent = last
            .map(|(size_then, whole_then)| (whole / whole_then).ln() / (size as f64 / size_then as f64).ln());
        let exponent = exponent.map_or_else(String::new, |exponent| format!("{exponent:.1}"));
        println!(
            "{feeds:5} {readings:9} {observations:8.3} {account:8.3} {causes:8.3} {whole:8.3} {exponent:>9} {:8.0}",
            most_memory()
        );
        last = Some((size, whole));
    }
}

fn main() {
    let on = |feeds: usize, readings: &[usize]| -> Vec<(usize, usize)> {
        readings.iter().map(|readings| (feeds, *readings)).collect()
    };
    table("steady readings, 35 feeds", Mood::Steady, &on(35, &[100, 200, 400, 800, 1600, 3200]));
    table("contradicting readings, 35 feeds", Mood::Wild, &on(35, &[100, 200, 400, 800, 1600, 3200]));
    table("steady readings, 400 feeds", Mood::Steady, &on(400, &[500, 1000, 2000]));
    table("contradicting readings, 400 feeds", Mood::Wild, &on(400, &[500, 1000, 2000]));
    for readings in [0, 40, 120] {
        let sizes = [100, 200, 400, 700, 1000].map(|feeds| (feeds, readings));
        table(&format!("feeds, {readings} readings"), Mood::Steady, &sizes);
    }
}
