//! A meter log. The first byte chooses what the user says about it. Checks: samples are finite and their times ascend;
//! what is said of sleep is finite and clean; a refusal says something.
#![no_main]

use fusetrail::base::quantity::{Minute, Uncertain, Unit};
use fusetrail::text::settle as words;
use fusetrail::trace::cell;
use fusetrail::trace::options::Options;
use fusetrail::trace::samples::Trace;
use fusetrail::trace::settle::{Rules, settle};
use fusetrail::trace::stamp::DateOrder;
use fusetrail::trace::table::read;
use fusetrail_fuzz::{assert_clean, assert_said};
use libfuzzer_sys::fuzz_target;

fn options(choice: u8) -> Options {
    let told = |bit: u8| choice & (1 << bit) != 0;
    Options {
        separator: told(0).then_some(b';'),
        mark: told(1).then_some(b','),
        time: told(2).then(|| "1".to_owned()),
        time_unit: told(3).then(|| cell::unit("ms")).flatten(),
        every: told(4).then(|| Minute::new(1.0 / 60.0)),
        column: told(5).then(|| "2".to_owned()),
        unit: told(6).then(|| cell::unit("mA")).flatten(),
        shunt: None,
        dates: told(7).then_some(DateOrder::MonthFirst),
    }
}

fn assert_sound(trace: &Trace) {
    let mut last = f64::NEG_INFINITY;
    for (time, current) in trace.samples() {
        assert!(time.base().is_finite() && current.base().is_finite(), "{time:?} {current:?}");
        assert!(time.base() >= last, "time runs backward: {last} then {time:?}");
        last = time.base();
    }
}

fn assert_finite<U: Unit>(value: Option<&Uncertain<U>>) {
    let Some(value) = value else { return };
    assert!(
        value.value().base().is_finite() && value.low().base().is_finite() && value.high().base().is_finite()
    );
}

fuzz_target!(|input: &[u8]| {
    let Some((choice, bytes)) = input.split_first() else { return };
    let mut log = match read(bytes, &options(*choice)) {
        Ok(log) => log,
        Err(fault) => return assert_said(&fault),
    };
    assert_eq!(log.first_skipped.is_some(), log.skipped > 0);
    assert!(log.overloads <= log.skipped);
    assert!(!log.layout.is_empty());
    assert_sound(&log.trace);
    let found = settle(std::mem::take(&mut log.trace), &Rules::default());
    assert_eq!(found.is_settled(), found.level.is_some());
    assert_finite(found.level.as_ref());
    assert_finite(found.average.as_ref());
    assert!((0.0..=1.0 + 1e-9).contains(&found.away), "{}", found.away);
    for wake in found.wakes.iter().chain(&found.dips) {
        assert!(
            wake.length.base() >= 0.0 && wake.peak.base().is_finite() && wake.charge.base().is_finite(),
            "{wake:?}"
        );
    }
    let why = words::why(&found, None);
    assert!(!why.contains("NaN") && !why.contains("inf "), "{why}");

    let when = |after| words::span(after);
    assert_clean(&words::ledger(&found, &[], &when, 80, true));
    for step in &found.steps {
        let when = log.start.at(step.at).unwrap_or_default();
        assert_clean(&[words::step(step, &when, None)]);
    }
});
