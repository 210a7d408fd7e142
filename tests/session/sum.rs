//! What the entries add up to.

use fusetrail::base::diagnostic::Faults;
use fusetrail::base::quantity::{Celsius, Unit};
use fusetrail::log::case::Case;
use fusetrail::log::entry::{Entry, LogEvent, Measured};
use fusetrail::log::question_id::{QuestionId, QuestionKey};
use fusetrail::log::replay::{Replay, fold};
use fusetrail::log::store::{Store, read_only};
use fusetrail::measure::Measurement;

use crate::world::{
    amps, at, celsius, drop_of, every_kind, first, minute, note, opened, place, reading, strike, total,
    volts, write_log,
};

fn log(bodies: impl IntoIterator<Item = LogEvent>) -> Vec<Entry> {
    let rest = bodies.into_iter().zip(1..).map(|(body, minute)| at(minute, body));
    std::iter::once(first()).chain(rest).collect()
}

fn case(bodies: impl IntoIterator<Item = LogEvent>) -> Case {
    fold(&log(bodies)).unwrap_or_else(|faults| panic!("{faults}"))
}

fn faults(bodies: impl IntoIterator<Item = LogEvent>) -> Vec<String> {
    let Faults(faults) = fold(&log(bodies)).expect_err("faults");
    faults.iter().map(ToString::to_string).collect()
}

fn zero(offset: &str) -> LogEvent {
    LogEvent::Zero { offset: volts(offset) }
}

fn warm(place: Option<&str>, temperature: &str) -> LogEvent {
    LogEvent::Temperature { place: place.map(str::to_owned), temperature: celsius(temperature) }
}

fn pull(feed: &str) -> LogEvent {
    reading(Measurement::Pull { feed: feed.into(), before: amps("482mA"), after: amps("77mA") })
}

fn refit(feed: &str) -> LogEvent {
    reading(Measurement::Refit { feed: feed.into(), total: amps("480mA") })
}

#[test]
fn the_same_log_gives_the_same_case_every_time_and_from_the_file() {
    let (_folder, path) = place();
    write_log(&path, &every_kind());
    let found = read_only(&path).expect("sound").entries;
    let once = fold(&found).unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(once, fold(&found).expect("again"));
    assert_eq!(once, case(every_kind()));
    let (_store, found) = Store::open(&path).expect("to go on");
    assert_eq!(once, fold(&found.entries).expect("resumed"));
}

#[test]
fn every_kind_has_its_place_in_the_case() {
    let case = case(every_kind());
    let kinds = every_kind().iter().filter(|body| matches!(body, LogEvent::Reading(_))).count();
    assert_eq!((case.readings.len(), case.entries, case.last_at), (kinds, 27, minute(26)));
    assert_eq!((case.watched.len(), case.watched[0].what.count), (1, 2));
    assert_eq!(case.answer(QuestionId::BatteryVolts), Some("no"));
    assert_eq!(case.skipped(QuestionKey::read("stage charging")), Some("engine: won't turn # at all"));
    assert_eq!((case.zeros.len(), case.volts.len(), case.notes.len()), (1, 1, 1));
    assert_eq!(case.limit.as_ref().expect("a limit").source, "maker's service information");
    assert!(case.map.feeds.iter().any(|feed| feed.id == "F40"));
    let what: Vec<&str> = case.disturbances.iter().map(|one| one.what.as_str()).collect();
    assert_eq!(
        what,
        [
            "F12 pulled",
            "F12 refitted",
            "audio unit on F12 unplugged",
            "selector in Park worked",
            "driver door"
        ]
    );
}

#[test]
fn what_is_struck_is_gone_and_a_struck_strike_revives_it() {
    let one = || note("one");
    let notes = |bodies: Vec<LogEvent>| case(bodies).notes.len();
    assert_eq!(notes(vec![one()]), 1);
    assert_eq!(notes(vec![one(), strike(2)]), 0);
    assert_eq!(notes(vec![one(), strike(2), strike(3)]), 1);
    assert_eq!(notes(vec![one(), strike(2), strike(3), strike(4)]), 0);
    // Struck twice, one strike taken back: still struck.
    assert_eq!(notes(vec![one(), strike(2), strike(2), strike(3)]), 0);
    let case = case(vec![one(), strike(2)]);
    assert_eq!(case.struck_by(2).map(|(stamp, why)| (stamp.entry, why)), Some((3, "typed in error")));
    assert_eq!(case.struck_by(3), None);
}

#[test]
fn a_strike_of_what_cannot_be_struck_is_a_fault_until_it_is_struck_itself() {
    assert_eq!(
        faults([note("one"), strike(1)]),
        ["entry 3: strikes the first entry; expected an entry from 2 to 2"]
    );
    for target in [0, 3, 4, usize::MAX] {
        assert_eq!(faults([note("one"), strike(target), note("two")]).len(), 1, "{target}");
    }
    assert_eq!(case([note("one"), strike(1), strike(3)]).notes.len(), 1);
}

#[test]
fn the_zero_in_force_is_the_newest_one_before_a_reading_that_still_stands() {
    let zero_of = |bodies: Vec<LogEvent>, entry: usize| {
        case(bodies).reading(entry).expect("a reading").zero.map(|(entry, offset)| (entry, offset.milli()))
    };
    let drop = || drop_of("F12", "3.0mV");
    assert_eq!(zero_of(vec![drop(), zero("0.02mV")], 2), None);
    assert_eq!(zero_of(vec![zero("0.02mV"), drop(), zero("0.1mV")], 3), Some((2, 0.02)));
    assert_eq!(zero_of(vec![zero("0.02mV"), zero("0.1mV"), drop(), strike(3)], 4), Some((2, 0.02)));
    // The reading names the zero that was in force when it was taken; what is in force now counts.
    let mut named = drop();
    if let LogEvent::Reading(measured) = &mut named {
        measured.zero = Some(2);
    }
    assert_eq!(zero_of(vec![zero("0.02mV"), named, strike(2)], 3), None);
}

#[test]
fn the_temperature_is_that_of_the_box_else_of_all_else_a_wide_default() {
    let with_start = |start: Vec<(Option<String>, _)>, bodies: Vec<LogEvent>, entry: usize| {
        let mut opened = opened();
        opened.temperatures = start;
        let mut log = log(bodies);
        log[0].body = LogEvent::Open(Box::new(opened));
        let case = fold(&log).unwrap_or_else(|faults| panic!("{faults}"));
        let temperature = &case.reading(entry).expect("a reading").temperature;
        (temperature.value().base(), temperature.u().base())
    };
    let told = |bodies, entry| with_start(vec![], bodies, entry);
    let drop = || drop_of("F12", "3.0mV");
    assert_eq!(told(vec![drop()], 2), (20.0, 5.0));
    assert_eq!(told(vec![warm(None, "5C"), drop()], 3), (5.0, 2.0));
    assert_eq!(told(vec![warm(Some("cabin"), "35C"), warm(None, "5C"), drop()], 4), (35.0, 2.0));
    assert_eq!(told(vec![warm(Some("battery-top"), "35C"), drop()], 3), (20.0, 5.0));
    assert_eq!(told(vec![warm(None, "5C"), drop(), warm(Some("cabin"), "35C")], 3), (5.0, 2.0));
    assert_eq!(told(vec![drop(), warm(Some("cabin"), "35C"), warm(None, "5C")], 2), (35.0, 2.0));
    assert_eq!(told(vec![warm(None, "5C"), warm(None, "6C"), strike(3), drop()], 5), (5.0, 2.0));
    assert_eq!(
        with_start(vec![(None, celsius("12C"))], vec![drop(), warm(None, "5C"), drop()], 2),
        (12.0, 2.0)
    );
    // A reading that noted its temperature itself, as long as that is not the one that was struck.
    let mut noted = drop();
    if let LogEvent::Reading(measured) = &mut noted {
        measured.temperature = Some(Celsius::new(31.0));
    }
    assert_eq!(told(vec![noted.clone()], 2), (31.0, 2.0));
    assert_eq!(told(vec![warm(None, "31C"), noted, strike(2)], 3), (20.0, 5.0));
}

#[test]
fn what_the_log_does_not_know_is_a_fault_all_at_once_and_a_strike_heals_it() {
    let unknown_meter = LogEvent::Reading(Box::new(Measured {
        what: Measurement::Total { current: amps("482mA"), as_found: false },
        meter: "borrowed".into(),
        zero: None,
        temperature: None,
        provisional: false,
        after_repair: false,
        why: None,
    }));
    let bad = vec![
        drop_of("F99", "3.0mV"),
        reading(Measurement::Clamp { at: "dynamo".into(), current: amps("2mA") }),
        unknown_meter,
        warm(Some("boot"), "5C"),
        LogEvent::Feed { place: None, line: "F12 mini 10 twice".into() },
    ];
    let mut said = faults(bad.clone());
    said.sort();
    let named: Vec<&str> = said.iter().map(|text| &text[..7]).collect();
    assert_eq!(named, ["entry 2", "entry 3", "entry 4", "entry 5", "entry 6"], "{said:?}");
    let healed = bad.into_iter().chain((2..=6).map(strike));
    assert_eq!(case(healed).readings.len(), 0);
}

#[test]
fn a_feed_added_during_the_hunt_can_be_read_until_it_is_struck() {
    let added = || LogEvent::Feed { place: Some("cabin".into()), line: "F40 mini 5 tracker".into() };
    let entries = log([added(), drop_of("F40", "0.4mV")]);
    assert!(fold(&entries).is_ok());
    let replay = Replay::new(entries.clone()).expect("sound");
    let refused = replay.with(&[at(5, strike(2))]).expect_err("a reading hangs on it").to_string();
    assert!(refused.contains("entry 3") && refused.contains("strike this reading too"), "{refused}");
    assert!(replay.with(&[at(5, strike(3))]).is_ok());
    assert_eq!(entries.len(), 3);
}

#[test]
fn the_sleep_clock_runs_from_the_last_disturbance_in_time() {
    let door = LogEvent::Disturb { what: "driver door".into() };
    assert_eq!(case([total("482mA"), drop_of("F12", "3.0mV")]).last_disturbance(), minute(0));
    assert_eq!(case([door.clone(), note("one")]).last_disturbance(), minute(1));
    assert_eq!(case([door.clone(), strike(2)]).last_disturbance(), minute(0));
    assert_eq!(case([note("one"), pull("F12"), note("two")]).last_disturbance(), minute(2));
    let mut entries = log([pull("F12"), door]);
    entries[2].at = minute(-30);
    assert_eq!(fold(&entries).expect("sound").last_disturbance(), minute(1));
}

#[test]
fn what_is_out_and_which_total_counts_is_told() {
    let with_flags = |current: &str, as_found, provisional, after_repair| {
        LogEvent::Reading(Box::new(Measured {
            why: None,
            what: Measurement::Total { current: amps(current), as_found },
            meter: "clamp-1ma".into(),
            zero: None,
            temperature: None,
            provisional,
            after_repair,
        }))
    };
    let case = case([
        with_flags("900mA", true, false, false),
        total("482mA"),
        with_flags("500mA", false, true, false),
        pull("F12"),
        pull("F13"),
        refit("F12"),
        with_flags("20mA", false, false, true),
        reading(Measurement::Unplug {
            feed: "F12".into(),
            load: "audio unit".into(),
            before: amps("482mA"),
            after: amps("77mA"),
        }),
    ]);
    assert_eq!(case.pulled(), ["F13"]);
    assert_eq!(case.unplugged(), [("F12", "audio unit")]);
    assert_eq!(case.settled_total().map(|reading| reading.entry), Some(3));
    assert_eq!(case.total_as_found().map(|reading| reading.entry), Some(2));
    assert_eq!(case.total_after_repair().map(|reading| reading.entry), Some(8));
    assert_eq!(case.reading(99), None);
}

#[test]
fn a_log_that_does_not_begin_with_its_first_entry_adds_up_to_nothing() {
    assert!(fold(&[]).is_err());
    assert!(fold(&[at(0, note("one"))]).is_err());
    assert!(fold(&[first(), first()]).is_err());
}
