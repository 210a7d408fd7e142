//! What a live meter says, line by line. Checks: a value is finite; a refusal is short and clean; readings that come
//! to rest lie within what was read.
#![no_main]

use fusetrail::base::quantity::{Ampere, Minute, Ohm};
use fusetrail::base::styled::StyledText;
use fusetrail::instrument::live::{Dialect, LiveReading, Sense};
use fusetrail::instrument::steady::Steady;
use fusetrail_fuzz::{assert_clean, assert_finite};
use libfuzzer_sys::fuzz_target;

/// Longest refusal, in characters: a meter that floods must not flood the screen.
const LONGEST: usize = 300;

fn dialects() -> [Dialect; 3] {
    let dialect = |current: &str, volts: &str, shunt: Option<f64>| Dialect {
        current: current.into(),
        volts: volts.into(),
        shunt: shunt.map(Ohm::new),
    };
    [dialect("mA", "mV", None), dialect("A", "V", None), dialect("A", "V", Some(0.001))]
}

fuzz_target!(|text: &str| {
    for dialect in dialects() {
        let mut steady = Steady::new(Ampere::from_milli(1.0));
        for (second, line) in text.lines().enumerate() {
            for sense in [Sense::Current, Sense::Volts] {
                match dialect.read(line, sense) {
                    Ok(LiveReading::Current(current)) => {
                        assert_finite(&current);
                        let at = Minute::new(second as f64 / 60.0);
                        let rests = steady.take(at, current.value);
                        let ends = steady.ends().expect("at least the last one");
                        rests.into_iter().for_each(|rest| assert!(ends.0 <= rest && rest <= ends.1));
                    }
                    Ok(LiveReading::Volts(volts)) => assert_finite(&volts),
                    Ok(LiveReading::Overload) => steady.clear(),
                    Err(trouble) => {
                        let said = trouble.to_string();
                        assert!(said.chars().count() <= LONGEST, "{said}");
                        assert_clean(&[StyledText::plain(said)]);
                    }
                }
            }
        }
    }
});
