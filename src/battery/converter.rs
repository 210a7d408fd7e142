//! A converter that charges a 12 V battery from high voltage: whether it gives, whether it takes, and where its volts are
//! lost on the way to the posts. What it takes is held against what it gives (power in and out), not against one band.
//! Leaves to others: asking (`hunt`), the words (`text/converter`). High voltage is out of scope: input current and
//! traction volts come from the maker's scan procedure, as information.

use super::table::BatteryTable;
use crate::base::quantity::{Ampere, Volt};

/// What was read of it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ConverterValues {
    /// True if the vehicle was really made ready; `None` if nobody said.
    pub ready: Option<bool>,
    /// Volts of the 12 V battery at rest before.
    pub rested: Option<Volt>,
    /// Volts at the posts with the vehicle ready.
    pub posts: Option<Volt>,
    /// Volts at the converter's 12 V output stud meanwhile.
    pub stud: Option<Volt>,
    /// Current out of it, by clamp on the 12 V cable.
    pub output: Option<Ampere>,
    /// Current that it takes, as the scan tool shows it.
    pub input: Option<Ampere>,
    /// Volts of the traction battery, as the scan tool shows them.
    pub traction: Option<Volt>,
}

/// What that says of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ConverterFinding {
    /// The vehicle was not ready: nothing is judged.
    NotReady,
    /// It gives and takes nothing: it is not switched on.
    NotSwitchedOn,
    /// It takes and gives nothing: the fault is inside, or between it and its stud.
    TakesOnly(Ampere),
    /// It gives nothing; what it takes is not known.
    GivesNothing,
    /// Its stud is good and the posts are lower by so much: cable, link or earth between them.
    LostOnTheWay(Volt),
    /// Its own stud has not risen as far as it should.
    StudLow(Volt),
    /// It gives so much, and the posts have risen.
    Gives(Ampere),
    /// It takes what the power that it gives asks for, or does not.
    Balance {
        /// What it takes.
        input: Ampere,
        /// Least and most that its output asks for.
        due: (Ampere, Ampere),
    },
}

impl ConverterFinding {
    /// Returns `Some(true)` if it speaks for the converter, `Some(false)` if against it or its cables.
    pub fn good(self) -> Option<bool> {
        match self {
            Self::NotReady => None,
            Self::Gives(_) => Some(true),
            Self::Balance { input, due } => Some(input >= due.0 && input <= due.1),
            _ => Some(false),
        }
    }
}

/// From so much on it gives, or takes. Editorial: a clamp for starter cables shows no less, a scan tool a tenth.
const GIVES_FROM: Ampere = Ampere::new(1.0);
const TAKES_FROM: Ampere = Ampere::new(0.1);
/// How far the power balance may be off by its readings alone, relative. Editorial: a clamp's few percent, a scan tool's
/// coarse figures, and what the converter takes for itself.
const READ_TO: f64 = 0.15;

/// Returns what was read of a converter says, the most telling first; empty where nothing was.
pub fn judge(table: &BatteryTable, read: &ConverterValues) -> Vec<ConverterFinding> {
    if read.ready == Some(false) {
        return vec![ConverterFinding::NotReady];
    }
    let figures = &table.written.charging.converter;
    let risen = |volts: Volt| read.rested.is_none_or(|rested| volts - rested >= Volt::new(figures.rise_v));
    let mut found = Vec::new();
    let gives = read.output.map(|output| output.abs() >= GIVES_FROM);
    if gives == Some(false) {
        found.push(match read.input {
            Some(input) if input.abs() >= TAKES_FROM => ConverterFinding::TakesOnly(input),
            Some(_) => ConverterFinding::NotSwitchedOn,
            None => ConverterFinding::GivesNothing,
        });
    }
    if let (Some(stud), Some(posts)) = (read.stud, read.posts) {
        let lost = stud - posts;
        // On either side as much as a charging cable may drop.
        let most = Volt::new(table.written.charging.cable_drop.volts * 2.0);
        if risen(stud) && lost > most {
            found.push(ConverterFinding::LostOnTheWay(lost));
        } else if !risen(stud) {
            found.push(ConverterFinding::StudLow(stud));
        }
    }
    if let Some(output) = read.output.filter(|_| gives == Some(true)) {
        if read.posts.is_some_and(risen) {
            found.push(ConverterFinding::Gives(output));
        }
        found.extend(balance(read, output, (figures.efficiency_percent.0, figures.efficiency_percent.1)));
    }
    found
}

/// Returns the volts by which the posts rise at least once the vehicle is ready.
pub fn least_rise(table: &BatteryTable) -> Volt {
    Volt::new(table.written.charging.converter.rise_v)
}

/// Power in and out: what it takes is what it gives by its efficiency, at the traction battery's volts.
fn balance(read: &ConverterValues, output: Ampere, efficiency: (f64, f64)) -> Option<ConverterFinding> {
    let (input, traction) = (read.input?, read.traction.filter(|volts| *volts > Volt::ZERO)?);
    let volts = read.stud.or(read.posts)?;
    let ideal = output.abs() * (volts / traction);
    let due =
        (ideal * (100.0 / efficiency.1 * (1.0 - READ_TO)), ideal * (100.0 / efficiency.0 * (1.0 + READ_TO)));
    Some(ConverterFinding::Balance { input: input.abs(), due })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::quantity::Unit;

    const READY: ConverterValues = ConverterValues {
        ready: Some(true),
        rested: Some(Volt::new(12.4)),
        posts: None,
        stud: None,
        output: None,
        input: None,
        traction: None,
    };

    fn found(read: ConverterValues) -> Vec<ConverterFinding> {
        judge(BatteryTable::builtin().expect("reads"), &read)
    }

    #[test]
    fn what_is_not_ready_is_not_judged() {
        let read = ConverterValues { ready: Some(false), output: Some(Ampere::ZERO), ..READY };
        assert_eq!(found(read), [ConverterFinding::NotReady]);
        assert_eq!(ConverterFinding::NotReady.good(), None);
    }

    #[test]
    fn output_and_input_together_tell_what_is_next() {
        let read = |output: f64, input: Option<f64>| {
            found(ConverterValues {
                posts: Some(Volt::new(12.3)),
                output: Some(Ampere::new(output)),
                input: input.map(Ampere::new),
                ..READY
            })
        };
        assert_eq!(read(0.2, Some(0.0)), [ConverterFinding::NotSwitchedOn]);
        assert_eq!(read(0.2, Some(1.2)), [ConverterFinding::TakesOnly(Ampere::new(1.2))]);
        assert_eq!(read(0.2, None), [ConverterFinding::GivesNothing]);
    }

    #[test]
    fn a_good_stud_over_low_posts_is_the_way_between_and_a_low_stud_the_converter() {
        let read = |stud: f64, posts: f64| {
            found(ConverterValues { stud: Some(Volt::new(stud)), posts: Some(Volt::new(posts)), ..READY })
        };
        let [ConverterFinding::LostOnTheWay(lost)] = read(14.2, 12.6)[..] else { panic!("lost on the way") };
        assert!((lost.milli() - 1600.0).abs() < 1e-6);
        assert_eq!(read(12.6, 12.5), [ConverterFinding::StudLow(Volt::new(12.6))]);
        assert_eq!(read(14.2, 14.0), []);
    }

    /// By hand: 40 A at 14.0 V are 560 W; at 201.6 V and 90 to 95 % that takes 2.92 to 3.09 A, at 360 V 1.64 to 1.73 A: one band
    /// for all would call the second one low or the first one high.
    #[test]
    fn what_it_takes_follows_from_what_it_gives_and_from_the_traction_volts() {
        let read = |input: f64, traction: f64| {
            let read = ConverterValues {
                posts: Some(Volt::new(14.0)),
                output: Some(Ampere::new(40.0)),
                input: Some(Ampere::new(input)),
                traction: Some(Volt::new(traction)),
                ..READY
            };
            let [ConverterFinding::Gives(_), balance @ ConverterFinding::Balance { due, .. }] =
                found(read)[..]
            else {
                panic!("gives, and the balance")
            };
            (balance.good(), due)
        };
        let (good, due) = read(3.0, 201.6);
        assert_eq!(good, Some(true));
        assert!((due.0.base() - 560.0 / 201.6 / 0.95 * 0.85).abs() < 1e-9);
        assert!((due.1.base() - 560.0 / 201.6 / 0.90 * 1.15).abs() < 1e-9);
        assert_eq!((read(1.7, 360.0).0, read(3.0, 360.0).0), (Some(true), Some(false)));
    }
}
