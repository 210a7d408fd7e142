//! How each input grows: time against size, and the exponent between the sizes. `cargo bench --bench growth`; what it
//! printed stands in `tests/bench/README.md`.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::print_stdout,
    missing_docs,
    reason = "a bench may fail, and prints"
)]

use std::hint::black_box;
use std::time::Instant;

use fusetrail::circuit::check::examine;
use fusetrail::circuit::loads::Catalogue;
use fusetrail::circuit::map::Map;
use fusetrail::circuit::sketch::sketch;
use fusetrail::circuit::tree::Tree;
use fusetrail::cli::ask::answers::Answers;
use fusetrail::cli::clock::Clock;
use fusetrail::cli::context::{Context, OutputFormat};
use fusetrail::cli::paint::Color;
use fusetrail::trace::options::Options;
use fusetrail::trace::table::read;

const HEAD: &str = "format: fusetrail-map/1\ntitle: t\n";

fn feed(id: usize, more: &str) -> String {
    format!("- {{id: F{id}, from: battery, fuse: {{family: mini, rating_a: 10}}{more}}}\n")
}

fn feeds(count: usize, more: &str) -> String {
    format!("{HEAD}feeds:\n{}", (0..count).map(|id| feed(id, more)).collect::<String>())
}

fn check(text: &str) -> Option<Map> {
    examine("x.yaml", text, Catalogue::builtin()).map
}

/// Returns the least time of five runs, in seconds.
fn least(work: impl Fn()) -> f64 {
    let once = |_| {
        let begun = Instant::now();
        work();
        begun.elapsed().as_secs_f64()
    };
    (0..5).map(once).fold(f64::INFINITY, f64::min)
}

/// Prints the times of some sizes, with the exponent from the second to the last: the first is mostly fixed cost.
fn growth(what: &str, sizes: [usize; 4], text: impl Fn(usize) -> String, work: impl Fn(&str)) {
    let times = sizes.map(|size| {
        let text = text(size);
        least(|| work(black_box(&text)))
    });
    let [_, from, _, to] = times;
    let [_, small, _, large] = sizes.map(|size| size as f64);
    let shown = sizes.iter().zip(times).map(|(size, time)| format!("{size}: {:.2} ms", time * 1e3));
    println!(
        "{what:<28} {:<70} {:.2}",
        shown.collect::<Vec<_>>().join(", "),
        (to / from).ln() / (large / small).ln()
    );
}

fn main() {
    println!("input, sizes with times, exponent");
    growth(
        "feeds of a map",
        [125, 250, 500, 1000],
        |n| feeds(n, ""),
        |text| drop(check(text).expect("sound")),
    );
    growth(
        "feeds, map and tree",
        [125, 250, 500, 1000],
        |n| feeds(n, ""),
        |text| {
            drop(Tree::new(&check(text).expect("sound")));
        },
    );
    let some = |n: usize| feeds(n, ", loads: [{name: radio, kind: audio}, {name: clock, kind: other}, x]");
    growth("loads, three on each feed", [125, 250, 500, 1000], some, |text| {
        drop(check(text).expect("sound"))
    });
    let keys =
        |n: usize| format!("{HEAD}feeds: []\n{}", (0..n).map(|i| format!("k{i}: 1\n")).collect::<String>());
    growth("unknown keys", [8000, 16_000, 32_000, 64_000], keys, |text| assert!(check(text).is_none()));
    let again = |n: usize| format!("{HEAD}feeds: []\n{}", "k: 1\n".repeat(n));
    growth("doubled keys", [16_000, 32_000, 64_000, 128_000], again, |text| assert!(check(text).is_none()));
    let deep = |n: usize| "{a: ".repeat(n);
    growth("braces, refused", [16_000, 32_000, 64_000, 128_000], deep, |text| assert!(check(text).is_none()));
    let rows = |n: usize| (0..n).map(|i| format!("cabin,F{i},mini,10,radio\n")).collect();
    growth("rows of a panel list", [125, 250, 500, 1000], rows, |text| {
        drop(sketch("x.csv", text, "").expect("sound"));
    });
    let ids = |n: usize| (0..n).map(|i| format!("q{i}*: x\n")).collect();
    growth("ids of an answers file", [125, 250, 500, 1000], ids, |text| {
        let context = Context::new(OutputFormat::Text, Color::Never, Clock::Wall);
        drop(Answers::read(context, "x", text).expect("sound"));
    });
    let samples = |n: usize| (0..n).map(|i| format!("{i},{}.{}\n", 25 + i % 2, i % 7)).collect::<String>();
    growth(
        "rows of a meter log",
        [50_000, 100_000, 200_000, 400_000],
        |n| "s,mA\n".to_owned() + &samples(n),
        |text| {
            drop(read(text.as_bytes(), &Options::default()).expect("sound"));
        },
    );
}
