//! Faults of arguments.

use crate::base::diagnostic::Diagnostic;

/// An argument that cannot be shown.
pub const UNREADABLE: &str = "an argument is not readable text: type it anew";

/// How a live meter is named.
pub const METERS: &str = "lines:-, lines:PATH, scpi://HOST:PORT or serial:PATH@BAUD, and behind a comma the unit of \
                          bare numbers (A, mA, V, mV), a shunt such as 1mohm, or scpi";

/// Units of an elapsed time.
pub const TIME_UNITS: &str = "ms, s, min or h";

/// Units of a current or what it was measured as.
pub const CURRENT_UNITS: &str = "A, mA, uA, V or mV";

/// A word that an option does not know.
pub fn unknown(option: &str, text: &str, expected: &str) -> Diagnostic {
    Diagnostic::new(format!("\"{text}\" is not known")).expected(expected).in_field(option)
}

/// A time that could be two.
pub fn time(text: &str) -> Diagnostic {
    Diagnostic::new(format!("\"{text}\" is not a time with its offset"))
        .expected("a time such as 2026-11-02T07:40:00+01:00")
        .remedy("the offset is the difference to UTC; Z stands for UTC itself")
}

/// A digit that no seal has.
pub fn odd_digit(digit: char, digits: usize) -> Diagnostic {
    seal(format!("\"{digit}\" is no digit of a seal"), digits)
}

/// A seal of another length.
pub fn seal_length(found: usize, digits: usize) -> Diagnostic {
    seal(format!("the seal has {found} digits"), digits)
}

fn seal(what: String, digits: usize) -> Diagnostic {
    Diagnostic::new(what)
        .expected(format!("{digits} digits, 0 to 9 and a to f"))
        .remedy("copy it from the record, or from check on the day it was noted")
        .in_field("--seal")
}

/// What a map is named by.
pub fn maps(names: &str) -> String {
    format!("a file, or one of the built-in maps: {names}")
}

/// A box that is not on the map.
pub fn no_box(place: &str, known: &str) -> Diagnostic {
    Diagnostic::new(format!("the map has no box \"{place}\"")).expected(known).in_field("--temp")
}

/// Several maps for one vehicle.
pub fn one_map() -> Diagnostic {
    Diagnostic::new("one vehicle has one map")
        .in_field("--map")
        .remedy("name one map, or score many vehicles with --score N")
}

/// A sample night that no vehicle of a map has.
pub fn no_story() -> Diagnostic {
    Diagnostic::new("no practice vehicle on this map can tell this story").in_field("--map")
}

/// A kind of map that is not made.
pub fn no_map_kind() -> Diagnostic {
    Diagnostic::new("no such kind of map").expected("diagram or lid").in_field("--map-kind")
}

/// A way of hunting that is not known.
pub fn no_policy() -> Diagnostic {
    Diagnostic::new("no such way of hunting").expected("plan, panel, halving or all")
}

/// A kind of truth that is not known.
pub fn no_truth(kinds: &str) -> Diagnostic {
    Diagnostic::new("no such kind of truth").expected(format!("any, one, {kinds}"))
}

/// A battery of no known type.
pub fn no_chemistry(name: &str) -> Diagnostic {
    Diagnostic::new(format!("\"{name}\" is no type of battery"))
        .expected("flooded, efb, agm, gel, lithium or unknown")
        .in_field("--chemistry")
}

/// A temperature at which no battery stands.
pub fn no_climate(text: &str) -> Diagnostic {
    Diagnostic::new(format!("\"{text}\" is no place for a battery"))
        .expected("-50 to 80 °C")
        .in_field("--temp")
}

/// A share of a charge that is none.
pub fn no_charge(text: &str) -> Diagnostic {
    Diagnostic::new(format!("\"{text}\" is no state of charge")).expected("0 to 100 %").in_field("--lowest")
}

/// The entry that cannot be struck.
pub fn first_entry() -> Diagnostic {
    Diagnostic::new("entry 1 begins the log and cannot be struck")
        .remedy("begin another log with fusetrail open")
}

/// A strike without a reason.
pub fn no_reason() -> Diagnostic {
    Diagnostic::new("the reason is empty").remedy("say in a few words why")
}
