//! How fast meter logs are read and cut. `cargo bench --bench recording`.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used, missing_docs, reason = "a bench may fail")]

use std::hint::black_box;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use fusetrail::trace::options::Options;
use fusetrail::trace::segment::partition;
use fusetrail::trace::settle::{Rules, settle};
use fusetrail::trace::table::read;

const SAMPLES: u32 = 100_000;

/// A night at ten samples a second: noise of a few tenths of a milliampere, a pulse now and then.
fn log() -> String {
    let mut state = 1_u32;
    let row = |at: u32| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let noise = f64::from(state >> 16) / 65_536.0;
        let current = if at < 12_000 {
            400.0
        } else if at % 5_760 < 450 {
            210.0
        } else {
            25.0
        };
        let (second, tenth) = (at / 10, at % 10);
        format!(
            "2026-11-02T{:02}:{:02}:{:02}.{tenth}00,{:.3}\n",
            second / 3600,
            second / 60 % 60,
            second % 60,
            current + noise
        )
    };
    "time,current (mA)\n".to_owned() + &(0..SAMPLES).map(row).collect::<String>()
}

fn benches(criterion: &mut Criterion) {
    let text = log();
    let trace = read(text.as_bytes(), &Options::default()).expect("a log").trace;
    let values: Vec<f64> =
        trace.samples().map(|(_, current)| fusetrail::base::quantity::Unit::base(current)).collect();
    let mut group = criterion.benchmark_group("recording");
    group.throughput(Throughput::Elements(u64::from(SAMPLES)));
    group.bench_function("records of the csv crate", |bench| {
        bench.iter(|| {
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            let mut record = csv::ByteRecord::new();
            let mut cells = 0;
            while reader.read_byte_record(&mut record).expect("sound") {
                cells += record.len();
            }
            black_box(cells)
        });
    });
    group.bench_function("read", |bench| {
        bench.iter(|| read(black_box(text.as_bytes()), &Options::default()).expect("a log").trace.len());
    });
    group.bench_function("cut", |bench| {
        bench.iter(|| partition(black_box(&values).iter().map(|value| (*value, 1.0)), 1e-6).starts.len());
    });
    group.bench_function("settle", |bench| {
        bench.iter(|| settle(black_box(trace.clone()), &Rules::default()).wakes.len())
    });
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
