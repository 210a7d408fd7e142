//! How a live meter is named on the command line: `lines:-`, `scpi://host:port`, `serial:PATH@BAUD`, each with words
//! behind commas: the unit of bare numbers, a shunt, `scpi` for a serial meter that has to be asked.
//! Leaves to others: the line itself (`link`).

use std::path::PathBuf;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::Ohm;
use crate::base::quantity::parse::Readable;
use crate::instrument::live::{Dialect, Sense};
use crate::text::fault::argument::METERS;

/// Where a meter is.
#[derive(Debug, Clone, PartialEq)]
pub enum MeterAddress {
    /// Standard input: a value a line.
    Stdin,
    /// A file, device or pipe: a value a line.
    Lines(PathBuf),
    /// A raw socket that speaks SCPI, as HOST:PORT.
    Scpi(String),
    /// A serial port and its baud rate; a value a line, or asked in SCPI.
    Serial(String, u32, bool),
}

/// A named meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Spec {
    /// Where it is.
    pub place: MeterAddress,
    /// How what it says is taken.
    pub dialect: Dialect,
    /// What it measures, where the unit of its numbers was told; over a shunt it is a current.
    pub told: Option<Sense>,
    name: String,
}

impl Spec {
    /// Reads a name.
    ///
    /// # Errors
    /// Not one of the forms.
    pub fn read(text: &str) -> Result<Self, Diagnostic> {
        let wrong = |what: String| Diagnostic::new(what).expected(METERS);
        let mut parts = text.split(',').map(str::trim);
        let head = parts.next().unwrap_or("");
        let mut place = place(head).ok_or_else(|| wrong(format!("\"{text}\" names no meter")))?;
        let asks = matches!(place, MeterAddress::Scpi(_));
        let (current, volts) = if asks { ("A", "V") } else { ("mA", "mV") };
        let mut dialect = Dialect { current: current.into(), volts: volts.into(), shunt: None };
        let mut told = None;
        for word in parts {
            match (word.to_lowercase().as_str(), &mut place) {
                ("a" | "ma" | "ua", _) => {
                    dialect.current = word.to_owned();
                    told = Some(Sense::Current);
                }
                ("v" | "mv" | "uv", _) => {
                    dialect.volts = word.to_owned();
                    told = Some(Sense::Volts);
                }
                ("scpi", MeterAddress::Serial(_, _, asked)) => {
                    *asked = true;
                    (dialect.current, dialect.volts) = ("A".into(), "V".into());
                }
                _ => {
                    let shunt = Ohm::read(word, "ohm").ok().filter(|shunt| shunt.value > Ohm::ZERO);
                    let shunt =
                        shunt.ok_or_else(|| wrong(format!("\"{word}\" is not known in \"{text}\"")))?;
                    dialect.shunt = Some(shunt.value);
                }
            }
        }
        let told = if dialect.shunt.is_some() { Some(Sense::Current) } else { told };
        Ok(Self { place, dialect, told, name: head.to_owned() })
    }

    /// Returns the name, as it was given.
    pub fn name(&self) -> String {
        self.name.clone()
    }

    /// Returns true if it takes standard input, which nobody can then type on.
    pub fn takes_stdin(&self) -> bool {
        self.place == MeterAddress::Stdin
    }

    /// Returns true if it says nothing by itself.
    pub fn has_to_be_asked(&self) -> bool {
        matches!(self.place, MeterAddress::Scpi(_) | MeterAddress::Serial(_, _, true))
    }
}

fn place(head: &str) -> Option<MeterAddress> {
    if let Some(path) = head.strip_prefix("lines:") {
        return match path {
            "" => None,
            "-" => Some(MeterAddress::Stdin),
            path => Some(MeterAddress::Lines(PathBuf::from(path))),
        };
    }
    if let Some(address) = head.strip_prefix("scpi://") {
        let address = address.trim_end_matches('/');
        let (host, port) = address.rsplit_once(':')?;
        let fits = !host.is_empty() && port.parse::<u16>().is_ok_and(|port| port > 0);
        return fits.then(|| MeterAddress::Scpi(address.to_owned()));
    }
    let (path, baud) = head.strip_prefix("serial:")?.rsplit_once('@')?;
    let baud = baud.parse().ok().filter(|baud| *baud > 0)?;
    (!path.is_empty()).then(|| MeterAddress::Serial(path.to_owned(), baud, false))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_read_with_its_words() {
        let read = |text: &str| Spec::read(text).unwrap_or_else(|fault| panic!("{fault}"));
        assert_eq!(read("lines:-").place, MeterAddress::Stdin);
        assert_eq!(read("lines:/dev/meter,A").dialect.current, "A");
        assert_eq!(read("scpi://[::1]:5025").place, MeterAddress::Scpi("[::1]:5025".into()));
        assert_eq!(read("scpi://meter.local:5025/").dialect.volts, "V");
        let serial = read("serial:/dev/ttyUSB0@9600,scpi,1mohm");
        assert_eq!(serial.place, MeterAddress::Serial("/dev/ttyUSB0".into(), 9600, true));
        assert!((serial.dialect.shunt.expect("a shunt").milli() - 1.0).abs() < 1e-12);
        assert_eq!((serial.name(), serial.dialect.current), ("serial:/dev/ttyUSB0@9600".into(), "A".into()));
    }

    #[test]
    fn anything_else_is_refused_with_the_forms() {
        for text in [
            "",
            "lines:",
            "scpi://host",
            "scpi://host:0",
            "scpi://:5025",
            "serial:/dev/x",
            "serial:/dev/x@fast",
            "usb:1",
            "lines:-,parsec",
            "scpi://h:1,-1ohm",
        ] {
            let fault = Spec::read(text).expect_err("refused");
            assert!(fault.to_string().contains("serial:PATH@BAUD"), "{text}: {fault}");
        }
    }
}
