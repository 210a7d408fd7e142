//! The meters of a watch: one reads the total, further ones stand beside it on the same clock, a column each.
//! Leaves to others: the lines to them (`live`), the file (`watch_sheet`), the watch itself (`watch_run`).

use std::time::Duration;

use chrono::{DateTime, FixedOffset};

use super::watch_sheet::milliampere;
use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::{Typed, Unit, Volt};
use crate::base::styled::clean;
use crate::cli::live::spec::Spec;
use crate::cli::live::{Heard, Live, Unheard};
use crate::instrument::live::{LiveReading, Sense};
use crate::text::ask::bench::INPUT_ENDED;

/// Name of the meter that reads the total.
const TOTAL: &str = "total";

/// Names of a meter at the posts of the battery.
const AT_BATTERY: [&str; 2] = ["volts", "battery"];

/// Most readings that are heard at one look.
const AT_ONCE: usize = 1_000;

/// A meter as it was named: what it reads, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// Name of its column.
    pub name: String,
    /// What it measures.
    pub sense: Sense,
    /// Where it is.
    pub spec: Spec,
}

impl Named {
    fn read(text: &str) -> Result<Self, Diagnostic> {
        // A path may hold an equals sign, behind the colon.
        let (name, spec) = match text.split_once('=') {
            Some((name, spec)) if !name.contains(':') => (name.trim(), spec),
            _ => (TOTAL, text),
        };
        let is_plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | '.' | '/' | ' ');
        if name.is_empty() || !name.chars().all(is_plain) {
            let fault = Diagnostic::new(format!("\"{name}\" names no column"));
            return Err(fault.expected("such as F12=SPEC"));
        }
        let spec = Spec::read(spec)?;
        let sense = match (name, spec.told) {
            (TOTAL, _) => Sense::Current,
            (name, None) if AT_BATTERY.contains(&name) => Sense::Volts,
            (_, told) => told.unwrap_or(Sense::Current),
        };
        Ok(Self { name: name.to_owned(), sense, spec })
    }

    /// Returns the unit of its column.
    fn unit(&self) -> &'static str {
        match self.sense {
            Sense::Current => "mA",
            Sense::Volts if AT_BATTERY.contains(&self.name.as_str()) => "V",
            Sense::Volts => "mV",
        }
    }
}

/// Reads how meters are named; the one that reads the total comes first.
///
/// # Errors
/// A name or a place that can't be read, one name twice, none or two that read the total, standard input for two.
pub fn read(texts: &[String]) -> Result<Vec<Named>, Diagnostic> {
    let mut all = texts.iter().map(|text| Named::read(text)).collect::<Result<Vec<Named>, Diagnostic>>()?;
    let count = |of: &dyn Fn(&Named) -> bool| all.iter().filter(|one| of(one)).count();
    if let Some(twice) = all.iter().find(|one| count(&|other| other.name == one.name) > 1) {
        let fault = Diagnostic::new(format!("two meters called \"{}\"", twice.name));
        return Err(fault.remedy("name each: total=SPEC, F12=SPEC"));
    }
    if count(&|one| one.name == TOTAL) == 0 {
        return Err(Diagnostic::new("none reads the total").remedy("name one: --meter total=SPEC"));
    }
    if count(&|one| one.spec.takes_stdin()) > 1 {
        return Err(Diagnostic::new("two on standard input"));
    }
    all.sort_by_key(|one| one.name != TOTAL);
    Ok(all)
}

/// Returns the first line of the file.
pub fn header(all: &[Named]) -> String {
    if let [_] = all {
        return "time,current (mA)\n".to_owned();
    }
    let columns: Vec<String> = all.iter().map(|one| format!("{} ({})", one.name, one.unit())).collect();
    format!("time,{}\n", columns.join(","))
}

/// A meter beside the total.
#[derive(Debug)]
pub struct Channel {
    named: Named,
    live: Live,
    newest: Option<(DateTime<FixedOffset>, String)>,
    trouble: Option<String>,
}

/// What a look at a channel brought.
#[derive(Debug, Default)]
pub struct Looked {
    /// Volts of the battery.
    pub volts: Option<Volt>,
    /// Something to be said.
    pub said: Option<String>,
}

impl Channel {
    /// Opens the line.
    ///
    /// # Errors
    /// It cannot be opened.
    pub fn start(named: Named, between: Duration) -> Result<Self, Diagnostic> {
        let live = Live::start(named.spec.clone(), between, Unheard::Drop)?;
        live.turn_to(named.sense);
        Ok(Self { named, live, newest: None, trouble: None })
    }

    /// Hears what it has to say at `now`.
    pub fn look(&mut self, now: DateTime<FixedOffset>) -> Looked {
        let mut looked = Looked::default();
        for _ in 0..AT_ONCE {
            let trouble = match self.live.hear_now() {
                Heard::Nothing => break,
                Heard::Shown(shown) => {
                    self.newest = Some((now, self.cell(&shown)));
                    self.trouble = None;
                    if let (LiveReading::Volts(volts), "V") = (&shown, self.named.unit()) {
                        looked.volts = Some(volts.value);
                    }
                    continue;
                }
                Heard::Trouble(trouble) => trouble.to_string(),
                Heard::Over => INPUT_ENDED.to_owned(),
            };
            if self.trouble.as_ref() != Some(&trouble) {
                looked.said = Some(format!("{}: {}", self.named.name, clean(&trouble)));
                self.trouble = Some(trouble);
            }
            break;
        }
        looked
    }

    fn cell(&self, shown: &LiveReading) -> String {
        match shown {
            LiveReading::Current(current) => milliampere(current.value, current.step),
            LiveReading::Volts(volts) if self.named.unit() == "V" => digits(volts, 1.0),
            LiveReading::Volts(volts) => digits(volts, 1000.0),
            LiveReading::Overload => "OL".to_owned(),
        }
    }

    /// Returns what it shows at a time; empty if its last word is older than so many seconds.
    pub fn shows(&self, now: DateTime<FixedOffset>, fresh: f64) -> &str {
        let is_fresh = |at: DateTime<FixedOffset>| (0.0..=fresh).contains(&(now - at).as_seconds_f64());
        self.newest.as_ref().filter(|(at, _)| is_fresh(*at)).map_or("", |(_, cell)| cell)
    }
}

/// Writes volts in a unit of which one volt has so many, with the digits that the meter gave.
fn digits(volts: &Typed<Volt>, scale: f64) -> String {
    let decimals = (-(volts.step * scale).log10() - 1e-9).ceil().clamp(0.0, 6.0) as usize;
    let tens = 10_f64.powi(decimals as i32);
    // Adding zero turns -0 into 0.
    format!("{:.decimals$}", (volts.value.base() * scale * tens).round() / tens + 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(texts: &[&str]) -> Result<Vec<Named>, Diagnostic> {
        super::read(&texts.iter().map(|text| (*text).to_owned()).collect::<Vec<_>>())
    }

    #[test]
    fn the_total_comes_first_and_each_column_has_its_unit() {
        let head = |texts: &[&str]| header(&read(texts).unwrap_or_else(|fault| panic!("{fault}")));
        assert_eq!(head(&["lines:/dev/a=b"]), "time,current (mA)\n");
        let four = ["F12=serial:/dev/x@9600,mV", "volts=scpi://h:1", "C3=lines:y,mV,1mohm", "lines:-"];
        assert_eq!(head(&four), "time,total (mA),F12 (mV),volts (V),C3 (mA)\n");
    }

    #[test]
    fn names_that_cannot_be_are_refused() {
        for texts in [
            &["F12=lines:x"][..],
            &["lines:x", "total=lines:y"],
            &["lines:x", "F1=lines:y", "F1=lines:z"],
            &["lines:-", "F1=lines:-"],
            &["a,b=lines:x", "lines:y"],
            &["=lines:x"],
        ] {
            assert!(read(texts).is_err(), "{texts:?}");
        }
    }

    #[test]
    fn volts_keep_the_digits_of_the_meter() {
        let volts = |value, step| Typed::measured(Volt::new(value), step, "");
        assert_eq!(digits(&volts(0.003_02, 1e-5), 1000.0), "3.02");
        assert_eq!(digits(&volts(12.61, 0.01), 1.0), "12.61");
    }
}
