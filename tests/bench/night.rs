//! Long nights: how reading and settling grow from ten thousand samples to ten million, against iterating the same
//! file's records with the csv crate. `cargo bench --bench night`; with a file of 64-bit numbers and a penalty it
//! times the cut alone, as `tests/bench/peers.py` does beside other programs.
#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::print_stdout,
    missing_docs,
    reason = "a bench may fail, and prints"
)]

use std::fs::File;
use std::io::{BufReader, BufWriter, Write};
use std::path::Path;
use std::time::Instant;

use fusetrail::trace::options::Options;
use fusetrail::trace::segment::partition;
use fusetrail::trace::settle::{Rules, settle};
use fusetrail::trace::table::read;

const BUFFER: usize = 256 * 1024;

/// Writes so many samples at ten a second: noise, a pulse now and then, three steps to sleep.
fn write(path: &Path, samples: u32) {
    let mut out = BufWriter::with_capacity(BUFFER, File::create(path).expect("a file"));
    out.write_all(b"time,mA\n").expect("written");
    let mut state = 1_u32;
    for at in 0..samples {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        let noise = f64::from(state >> 16) / 65_536.0;
        let current = match at {
            at if at < samples / 100 => 600.0,
            at if at < samples / 50 => 310.0,
            at if at % 5_760 < 450 => 210.0,
            _ => 25.0,
        };
        let (second, tenth) = (at / 10, at % 10);
        let (day, clock) = (second / 86_400, second % 86_400);
        let (hour, minute, second) = (clock / 3600, clock / 60 % 60, clock % 60);
        writeln!(
            out,
            "2026-11-{:02} {hour:02}:{minute:02}:{second:02}.{tenth},{:.2}",
            day + 1,
            current + noise
        )
        .expect("written");
    }
    out.flush().expect("written");
}

/// Returns the least time of some runs, in seconds.
fn least(runs: u32, mut work: impl FnMut()) -> f64 {
    let once = |_| {
        let begun = Instant::now();
        work();
        begun.elapsed().as_secs_f64()
    };
    (0..runs).map(once).fold(f64::INFINITY, f64::min)
}

fn open(path: &Path) -> BufReader<File> {
    BufReader::with_capacity(BUFFER, File::open(path).expect("a file"))
}

fn peak_megabytes() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kilobytes| kilobytes / 1024.0)
}

fn growth() {
    let folder = tempfile::tempdir().expect("a folder");
    println!("samples   text MB  records s   read s   ratio  settle s  peak MB so far");
    for (samples, runs) in [(10_000, 20), (100_000, 10), (1_000_000, 4), (10_000_000, 3)] {
        let path = folder.path().join("night.csv");
        write(&path, samples);
        let records = least(runs, || {
            let mut reader = csv::ReaderBuilder::new().buffer_capacity(BUFFER).from_reader(open(&path));
            let mut record = csv::ByteRecord::new();
            let mut count = 0_u32;
            while reader.read_byte_record(&mut record).expect("sound") {
                count += 1;
            }
            assert_eq!(count, samples);
        });
        let mut trace = None;
        let reading = least(runs, || {
            trace = None;
            trace = Some(read(open(&path), &Options::default()).expect("a log").trace);
        });
        let mut trace = trace.expect("read");
        assert_eq!(trace.len(), samples as usize);
        // Settling takes the trace; where it is large it is settled once, so that no copy of it counts as memory.
        let settling = if samples < 10_000_000 {
            let copies = vec![trace.clone(); runs as usize];
            let mut copies = copies.into_iter();
            least(runs, || drop(settle(copies.next().expect("a copy"), &Rules::default())))
        } else {
            let trace = std::mem::take(&mut trace);
            let begun = Instant::now();
            let found = settle(trace, &Rules::default());
            assert!(found.is_settled());
            begun.elapsed().as_secs_f64()
        };
        let megabytes = std::fs::metadata(&path).expect("a file").len() as f64 / 1e6;
        let peak = peak_megabytes().map_or_else(|| "?".to_owned(), |peak| format!("{peak:.0}"));
        println!(
            "{samples:<9} {megabytes:>7.1} {records:>10.4} {reading:>8.4} {:>7.2} {settling:>9.4}  {peak}",
            reading / records
        );
    }
}

/// Times the cut of the numbers in a file; prints the least of five times in seconds, and the number of levels.
fn cut(file: &str, penalty: &str) {
    let bytes = std::fs::read(file).expect("a file");
    let values: Vec<f64> = bytes.as_chunks::<8>().0.iter().map(|chunk| f64::from_le_bytes(*chunk)).collect();
    let penalty = penalty.parse().expect("a penalty");
    let mut levels = 0;
    let seconds =
        least(5, || levels = partition(values.iter().map(|value| (*value, 1.0)), penalty).starts.len());
    println!("{seconds:.6} {levels}");
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with("--")).collect();
    match words.as_slice() {
        [file, penalty] => cut(file, penalty),
        _ => growth(),
    }
}
