//! An invented van, its meters, and one entry of every kind.

use std::path::PathBuf;

use chrono::{DateTime, Duration, FixedOffset};
use fusetrail::base::quantity::parse::Readable;
use fusetrail::base::quantity::{Ampere, AmpereHour, Celsius, Minute, Typed, Volt};
use fusetrail::instrument::profile::{Profile, Way};
use fusetrail::log::entry::{Entry, LogEvent, Measured, Opened};
use fusetrail::log::question_id::{QuestionId, QuestionKey};
use fusetrail::log::store::Store;
use fusetrail::log::trace_summary::{Departure, TraceSummary};
use fusetrail::measure::Measurement;
use fusetrail::measure::night::{ChannelShare, CurvePart, Ledger, LedgerKind, LedgerLine};

pub const MAP: &str = "\
format: fusetrail-map/1
title: Delivery van, invented
boxes:
  battery-top: {where: on the battery, reach_min: 1.0}
  cabin: {where: driver's end of the dash}
wake_groups:
  body-bus: {inputs: [driver door latch, selector in Park]}
feeds:
  - {id: L1, from: battery, box: battery-top, fuse: {family: maxi, rating_a: 50}, probe: clamp}
  - id: F12
    from: L1
    box: cabin
    fuse: {family: mini, rating_a: 10}
    loads:
      - {name: audio unit, kind: audio, asleep_ma: 4, awake_ma: 600, sleeps_after_min: 15, wake_group: body-bus}
  - {id: F13, from: L1, box: cabin, fuse: {family: mini, rating_a: 7.5}, loads: [{name: no, kind: lamp-interior}]}
unfused:
  - {name: alternator, from: battery, kind: alternator}
sleep_after_min: 30
";

pub fn minute(minute: i64) -> DateTime<FixedOffset> {
    let start = DateTime::parse_from_rfc3339("2026-11-25T07:10:00+01:00").expect("a time");
    start + Duration::minutes(minute)
}

pub fn volts(text: &str) -> Typed<Volt> {
    Volt::read(text, "mV").expect("volts")
}

pub fn amps(text: &str) -> Typed<Ampere> {
    Ampere::read(text, "mA").expect("amperes")
}

pub fn celsius(text: &str) -> Typed<Celsius> {
    Celsius::read(text, "C").expect("a temperature")
}

pub fn opened() -> Opened {
    let meter = |name: &str, way, resolution, percent, counts| Profile {
        name: name.to_owned(),
        way,
        resolution,
        percent,
        counts,
    };
    Opened {
        program: "0.1.0".into(),
        tables: "2026-11".into(),
        map: fusetrail::log::schema::tidy_map(MAP).expect("a map"),
        meter: meter("tenth-mv", Way::Volts, 1e-4, 0.5, 2.0),
        clamp: meter("clamp-1ma", Way::Clamp, 1e-3, 1.5, 5.0),
        temperatures: vec![(None, celsius("12C")), (Some("cabin".into()), celsius("68F"))],
        limit: Some(amps("50mA")),
        reserve: None,
        practice: Some(u64::MAX),
    }
}

pub fn at(minute_: i64, body: LogEvent) -> Entry {
    Entry::new(minute(minute_), body)
}

pub fn first() -> Entry {
    at(0, LogEvent::Open(Box::new(opened())))
}

pub fn note(text: &str) -> LogEvent {
    LogEvent::Note { text: text.to_owned() }
}

pub fn strike(target: usize) -> LogEvent {
    LogEvent::Strike { target, why: "typed in error".to_owned() }
}

pub fn reading(what: Measurement) -> LogEvent {
    let meter = match what {
        Measurement::Drop { .. } | Measurement::Step { .. } => "tenth-mv",
        _ => "clamp-1ma",
    };
    LogEvent::Reading(Box::new(Measured {
        what,
        meter: meter.to_owned(),
        zero: None,
        temperature: None,
        provisional: false,
        after_repair: false,
        why: None,
    }))
}

pub fn drop_of(feed: &str, drop: &str) -> LogEvent {
    reading(Measurement::Drop { feed: feed.to_owned(), drop: volts(drop) })
}

pub fn total(current: &str) -> LogEvent {
    reading(Measurement::Total { current: amps(current), as_found: false })
}

/// One body of every kind except `open` and `strike`, readings with every flag and context among them.
pub fn every_kind() -> Vec<LogEvent> {
    let feed = || "F12".to_owned();
    let with_context = LogEvent::Reading(Box::new(Measured {
        what: Measurement::Drop { feed: feed(), drop: volts("-0,41 mV") },
        meter: "tenth-mv".into(),
        zero: Some(4),
        temperature: Some(Celsius::new(-3.25)),
        provisional: true,
        after_repair: true,
        why: None,
    }));
    vec![
        LogEvent::Answer { question: QuestionId::BatteryVolts.into(), answer: "no".into() },
        LogEvent::Skip {
            question: QuestionKey::read("stage charging"),
            reason: "engine: won't turn # at all".into(),
        },
        LogEvent::Zero { offset: volts("0.02mV") },
        LogEvent::Temperature { place: Some("cabin".into()), temperature: celsius("68F") },
        LogEvent::Temperature { place: None, temperature: celsius("-3 °C") },
        LogEvent::Volts { volts: volts("12.53 V") },
        reading(Measurement::Total { current: amps("482mA"), as_found: true }),
        reading(Measurement::Watch { current: amps("1.2 A") }),
        drop_of("F12", "3.0mV"),
        with_context,
        reading(Measurement::Pull { feed: feed(), before: amps("482mA"), after: amps("77mA") }),
        reading(Measurement::Refit { feed: feed(), total: amps("480mA") }),
        reading(Measurement::Clamp { at: "alternator".into(), current: amps("350mA") }),
        reading(Measurement::Unplug {
            feed: feed(),
            load: "audio unit".into(),
            before: amps("482 mA"),
            after: amps("77 mA"),
        }),
        reading(Measurement::Input {
            input: "selector in Park".into(),
            before: amps("560mA"),
            after: amps("50mA"),
        }),
        reading(Measurement::Step {
            feed: feed(),
            before: volts("3.0"),
            after: volts("10.6"),
            current: amps("1.02A"),
        }),
        LogEvent::Meter(Box::new(fusetrail::circuit::meters::find("series-ma", false).expect("built in"))),
        LogEvent::Disturb { what: "driver door".into() },
        note("a\u{1b}[2J\n- at: \"no\"\n  seal: \"0123456789abcdef0123456789abcdef\"\n"),
        LogEvent::Limit { limit: amps("35mA"), source: "maker's service information".into() },
        LogEvent::Feed { place: Some("cabin".into()), line: "F40 mini 5 tracker".into() },
        LogEvent::Watched(Box::new(watched())),
        reading(Measurement::Look { at: "F12/audio unit".into(), found: "lit".into() }),
        reading(Measurement::Report { of: "driver door latch".into(), says: "open".into() }),
        reading(Measurement::Out {
            at: "F12".into(),
            came: "came=2".into(),
            time: Minute::read("25min", "min").expect("a time"),
        }),
        reading(Measurement::Below { feed: "F12".into(), drop: Volt::read("0.4mV", "mV").expect("volts") }),
    ]
}

fn ledger() -> Ledger {
    Ledger {
        lines: vec![
            LedgerLine {
                what: LedgerKind::Rest,
                times: 1,
                period: None,
                length: Minute::new(400.0),
                peak: Ampere::from_milli(25.0),
                rise: Ampere::ZERO,
                charge: AmpereHour::from_milli(200.0),
                first: Minute::new(20.0),
            },
            LedgerLine {
                what: LedgerKind::Series,
                times: 50,
                period: Some(Minute::new(9.5)),
                length: Minute::new(0.75),
                peak: Ampere::from_milli(210.0),
                rise: Ampere::from_milli(185.0),
                charge: AmpereHour::from_milli(115.0),
                first: Minute::new(25.5),
            },
        ],
        held: Minute::new(460.0),
    }
}

/// What a meter log showed; the values come back from their text to the last bit.
fn watched() -> TraceSummary {
    TraceSummary {
        file: "night: 1.csv".into(),
        started: DateTime::parse_from_rfc3339("2026-11-02T18:00:00+01:00").ok(),
        span: Minute::new(480.0),
        rests_after: Some(Minute::new(20.0)),
        level: Some(Ampere::from_milli(25.0)),
        average: Some(Ampere::from_milli(39.5)),
        period: Some(Minute::new(9.6)),
        regular: true,
        away: 0.078,
        count: 2,
        departures: vec![
            Departure {
                after: Minute::new(25.5),
                length: Minute::new(0.75),
                peak: Ampere::from_milli(210.0),
                charge: AmpereHour::from_milli(2.0),
            },
            Departure {
                after: Minute::new(300.0),
                length: Minute::new(60.0),
                peak: Ampere::from_milli(-9000.0),
                charge: AmpereHour::from_milli(-9000.0),
            },
        ],
        ledger: ledger(),
        curve: vec![CurvePart {
            after: Minute::new(4.0),
            low: Ampere::from_milli(24.5),
            high: Ampere::from_milli(210.0),
        }],
        channels: vec![ChannelShare {
            name: "F12".into(),
            share: 0.97,
            carries: 50,
            with: 50,
            first: 48,
            unclear: 1,
            lead: Some(Minute::new(0.035)),
        }],
    }
}

/// A folder that goes with the test, and the name of a log in it.
pub fn place() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("van.hunt.yaml");
    (folder, path)
}

/// Writes a log and returns its bytes and the length after each entry.
pub fn write_log(path: &PathBuf, bodies: &[LogEvent]) -> (Vec<u8>, Vec<usize>) {
    let length = || usize::try_from(std::fs::metadata(path).expect("the log").len()).expect("small");
    let mut store = Store::create(path, &first()).expect("created");
    let mut ends = vec![length()];
    for (index, body) in bodies.iter().enumerate() {
        let entry = at(i64::try_from(index).expect("few") + 1, body.clone());
        assert_eq!(store.append(std::slice::from_ref(&entry)).expect("appended"), index + 2);
        ends.push(length());
    }
    drop(store);
    (std::fs::read(path).expect("the log"), ends)
}
