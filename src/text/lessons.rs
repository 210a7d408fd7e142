//! What a shop's hunts teach, in words.

/// Heads the causes.
pub const CAUSES: &str = "Causes, proven by the total after the repair";
/// Heads what sound fuses carry.
pub const BASELINES: &str = "What sound fuses carry here, asleep";
/// Nothing was proven.
pub const NONE_PROVEN: &str =
    "No hunt here ends with a proven cause, so nothing is learnt yet. Read the total after each repair.";

/// Says how many hunts were read.
pub fn read(hunts: usize, proven: usize, passed_over: usize) -> String {
    let over = match passed_over {
        0 => String::new(),
        1 => " One log was passed over.".to_owned(),
        count => format!(" {count} logs were passed over."),
    };
    format!("{hunts} hunts, {proven} with a proven cause.{over}")
}

/// Says how long hunts took and how many readings they had.
pub fn effort(minutes: f64, readings: f64) -> String {
    format!("{minutes:.0} minutes and {readings:.1} readings a hunt, waits included.")
}

/// Says what many cases say of a cause: `12 of 40: 30 % (18 to 45)`.
pub fn cause(count: usize, of: usize, share: &str) -> String {
    format!("{count} of {of}: {share}")
}

/// Says what a fuse usually carries.
pub fn baseline(fuse: &str, usual: &str, readings: usize) -> String {
    format!("{fuse}  usually {usual}  ({readings} readings)")
}

/// Says what a group of hunts had.
pub fn group(name: &str, hunts: usize, causes: &str) -> String {
    format!("{name}: {hunts} hunts; {causes}")
}

/// Says why a log was passed over.
pub fn passed_over(name: &str, why: &str) -> String {
    format!("{name} passed over: {why}")
}

/// Says that shares were written, and how to use them.
pub fn written(file: &str, cases: usize) -> String {
    format!(
        "Weights of {cases} proven hunts written to {file}. Use them with: fusetrail hunt --weights {file}"
    )
}

/// Says what shares are in force.
pub fn in_force(cases: usize) -> String {
    format!("weights learnt from {cases} proven hunts")
}

/// An entry does not fit its seal.
pub const CHANGED: &str = "changed after it was written, by its seal";
