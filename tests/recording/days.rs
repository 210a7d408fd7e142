//! Real days of appliances, where they are at hand: the folder is told by FUSETRAIL_TRACES, without it the check is
//! passed over. The data set (Reinhardt et al., 2012, Open Database License) is not part of this project.
//! Watts stand for milliampere.

use std::io::BufReader;
use std::path::PathBuf;

use flate2::read::MultiGzDecoder;
use fusetrail::base::quantity::{Ampere, Minute, Unit as _};
use fusetrail::trace::cell::CellUnit;
use fusetrail::trace::channel::{Channel, channels};
use fusetrail::trace::level::levels;
use fusetrail::trace::options::Options;
use fusetrail::trace::samples::Trace;
use fusetrail::trace::settle::{Rules, SettleVerdict, Settling, settle};
use fusetrail::trace::table::read;

/// Cycles and their middle period in seconds as counted with a crude threshold, which leaves out anything below it.
struct Counted {
    file: &'static str,
    cycles: usize,
    period: f64,
    threshold: f64,
}

const COUNTED: [Counted; 3] = [
    Counted {
        file: "waterfountain-dev_998C63_2011.09.01.csv.gz",
        cycles: 105,
        period: 562.0,
        threshold: 60.0,
    },
    Counted { file: "freezer-dev_D36601_2012.01.22.csv.gz", cycles: 31, period: 3320.0, threshold: 50.0 },
    Counted {
        file: "refrigerator-dev_B7BE29_2011.09.05.csv.gz",
        cycles: 9,
        period: 10_120.0,
        threshold: 30.0,
    },
];

fn folder() -> Option<PathBuf> {
    std::env::var_os("FUSETRAIL_TRACES").map(PathBuf::from)
}

fn day(folder: &std::path::Path, file: &str) -> Trace {
    let file = std::fs::File::open(folder.join(file)).expect("a day");
    let options = Options { unit: Some(CellUnit::Current(1e-3)), ..Options::default() };
    read(BufReader::new(MultiGzDecoder::new(file)), &options).unwrap_or_else(|fault| panic!("{fault}")).trace
}

fn settled(trace: Trace) -> Settling {
    settle(trace, &Rules::default())
}

#[track_caller]
fn within(found: f64, wanted: f64, share: f64, what: &str) {
    println!("{what}: {found:.1}, counted {wanted:.1}");
    assert!((found - wanted).abs() <= share * wanted, "{what}: {found}, counted {wanted}");
}

#[test]
fn cycles_and_periods_of_real_days_are_those_counted() {
    let Some(folder) = folder() else { return };
    for counted in &COUNTED {
        let found = settled(day(&folder, counted.file));
        let cycles = found.wakes.iter().filter(|wake| wake.peak.milli() > counted.threshold).count();
        within(cycles as f64, counted.cycles as f64, 0.03, counted.file);
        let period = found.period.expect("a period").time.base() * 60.0;
        within(period, counted.period, 0.03, counted.file);
    }
    let charger = settled(day(&folder, "charger-smartphone-dev_D337C9_2012.01.21.csv.gz"));
    assert!(charger.is_settled() && charger.steps.is_empty() && charger.wakes.is_empty(), "no step");
    let fridge = settled(day(&folder, COUNTED[2].file));
    assert!(
        matches!(fridge.verdict, SettleVerdict::Cycling | SettleVerdict::Restless),
        "on for 61 % of the time"
    );
    within(fridge.away, 0.61, 0.03, "share that the refrigerator is on");
}

/// Samples of several days put on one clock, by half seconds: so are doubled stamps spread.
fn sum(days: &[Trace]) -> Trace {
    let each: Vec<Vec<f64>> = days
        .iter()
        .map(|day| {
            let samples: Vec<(f64, f64)> = day.samples().map(|(t, i)| (t.base() * 60.0, i.base())).collect();
            let mut at = 0;
            (0..172_000)
                .map(|half| {
                    while at + 1 < samples.len() && samples[at + 1].0 <= f64::from(half) / 2.0 {
                        at += 1;
                    }
                    samples[at].1
                })
                .collect()
        })
        .collect();
    let samples = (0..172_000).map(|half| {
        let total: f64 = each.iter().map(|day| day[half]).sum();
        (Minute::new(half as f64 / 120.0), Ampere::new(total))
    });
    Trace::new(samples.collect::<Vec<_>>(), Ampere::from_milli(1.0))
}

/// In the sum, a device's cycles are the rises of the level by about what the device takes by itself.
#[test]
fn in_a_sum_of_devices_each_ones_cycles_are_found_again() {
    let Some(folder) = folder() else { return };
    let days: Vec<Trace> = COUNTED.iter().map(|counted| day(&folder, counted.file)).collect();
    let rises = |trace: &Trace, threshold: f64| -> Vec<f64> {
        let cut = levels(trace).levels;
        let pairs = cut.iter().zip(cut.iter().skip(1));
        pairs
            .filter(|(a, b)| (b.current() - a.current()).milli() > threshold * 0.5)
            .map(|(_, b)| b.from().base() * 60.0)
            .collect()
    };
    let total = rises(&sum(&days), 30.0);
    for (counted, day) in COUNTED.iter().zip(&days) {
        let alone: Vec<f64> = settled(day.clone())
            .wakes
            .iter()
            .filter(|wake| wake.peak.milli() > counted.threshold)
            .map(|wake| wake.start.base() * 60.0)
            .filter(|start| *start < 86_000.0)
            .collect();
        let again =
            alone.iter().filter(|start| total.iter().any(|rise| (rise - **start).abs() <= 15.0)).count();
        within(again as f64, alone.len() as f64, 0.03, counted.file);
    }
}

/// Charge that a day takes above what it draws while it is off, by the crude threshold.
fn above(day: &Trace, threshold: f64) -> f64 {
    let samples: Vec<(f64, f64)> = day.samples().map(|(at, i)| (at.base() * 60.0, i.milli())).collect();
    let mut off: Vec<f64> = samples.iter().map(|(_, ma)| *ma).filter(|ma| *ma <= threshold).collect();
    off.sort_unstable_by(f64::total_cmp);
    let off = off.get(off.len() / 2).copied().unwrap_or(0.0);
    let pairs = samples.windows(2).filter(|pair| pair[0].1 > threshold && pair[1].0 < 86_000.0);
    pairs.map(|pair| (pair[0].1 - off) * (pair[1].0 - pair[0].0)).sum()
}

/// Each device beside the sum: its part of what departs from the rest is what it takes by itself.
#[test]
fn beside_a_sum_of_devices_each_one_carries_what_it_takes() {
    let Some(folder) = folder() else { return };
    let days: Vec<Trace> = COUNTED.iter().map(|counted| day(&folder, counted.file)).collect();
    for chosen in [&[0, 1][..], &[0, 2], &[1, 2], &[0, 1, 2]] {
        let parts: Vec<Trace> = chosen.iter().map(|at: &usize| days[*at].clone()).collect();
        let truth: Vec<f64> = chosen.iter().map(|at| above(&days[*at], COUNTED[*at].threshold)).collect();
        let whole: f64 = truth.iter().sum();
        let found = settled(sum(&parts));
        let channel = |(at, trace): (&usize, &Trace)| Channel {
            name: COUNTED[*at].file.to_owned(),
            trace: trace.clone(),
            begins: Minute::ZERO,
            begins_u: Minute::ZERO,
            gain_u: 0.0,
            meter: None,
        };
        let told = channels(&found, &chosen.iter().zip(&parts).map(channel).collect::<Vec<_>>());
        let right: f64 = told.iter().zip(&truth).map(|(one, own)| one.share.share.min(own / whole)).sum();
        for (one, own) in told.iter().zip(&truth) {
            println!("{chosen:?} {:.3} of {:.3}: {:?}", one.share.share, own / whole, one.share);
        }
        assert!(right >= 0.97, "{chosen:?}: {right}");
    }
}
