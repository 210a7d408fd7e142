//! The line to a live meter: standard input or a file, a socket, a serial port.
//! Leaves to others: what is said on it (`instrument/live`), opening it again (`live`).
#![allow(clippy::disallowed_methods, reason = "opens the lines to live meters")]

use std::fs::File;
use std::io::{self, BufReader, Read, Write};
use std::net::{TcpStream, ToSocketAddrs};
use std::time::{Duration, Instant};

use super::spec::{MeterAddress, Spec};
use crate::instrument::live::{Dialect, LiveReading, LiveTrouble, Meter, Sense};
use crate::text::fault::file as fault;

/// Time that a meter has to answer.
const PATIENCE: Duration = Duration::from_secs(3);

/// Longest line that is taken, in bytes.
const LONGEST: usize = 400;

/// What SCPI-99 (volume 2, 3.1) has for measuring once with the meter's own settings.
const ASK_CURRENT: &[u8] = b"MEAS:CURR:DC?\n";
const ASK_VOLTS: &[u8] = b"MEAS:VOLT:DC?\n";

/// Opens the line to a meter.
///
/// # Errors
/// What the system says against it.
pub fn open(spec: &Spec) -> Result<Box<dyn Meter + Send>, LiveTrouble> {
    let dialect = spec.dialect.clone();
    match &spec.place {
        MeterAddress::Stdin => Ok(Box::new(Talker::new(io::stdin(), dialect))),
        MeterAddress::Lines(path) => Ok(Box::new(Talker::new(File::open(path).map_err(gone)?, dialect))),
        MeterAddress::Scpi(address) => Ok(Box::new(PendingRead::new(connect(address)?, dialect))),
        MeterAddress::Serial(path, baud, asked) => {
            let port = serialport::new(path, *baud).timeout(PATIENCE).open();
            let port = port.map_err(|error| LiveTrouble::Gone(error.to_string()))?;
            if *asked {
                Ok(Box::new(PendingRead::new(port, dialect)))
            } else {
                Ok(Box::new(Talker::new(port, dialect)))
            }
        }
    }
}

fn gone(error: io::Error) -> LiveTrouble {
    LiveTrouble::Gone(error.to_string())
}

/// Connects within the time limit to the first address that answers.
fn connect(address: &str) -> Result<TcpStream, LiveTrouble> {
    let mut last = io::Error::from(io::ErrorKind::NotFound);
    for address in address.to_socket_addrs().map_err(gone)? {
        match TcpStream::connect_timeout(&address, PATIENCE) {
            Ok(stream) => {
                stream.set_read_timeout(Some(PATIENCE)).map_err(gone)?;
                stream.set_write_timeout(Some(PATIENCE)).map_err(gone)?;
                stream.set_nodelay(true).map_err(gone)?;
                return Ok(stream);
            }
            Err(error) => last = error,
        }
    }
    Err(gone(last))
}

/// Reads one line, ended by a line feed or a carriage return; blank ones are passed over.
fn line(from: &mut impl Read) -> Result<String, LiveTrouble> {
    let begun = Instant::now();
    let mut line = Vec::new();
    let mut byte = [0];
    loop {
        match from.read(&mut byte) {
            Ok(0) => return Err(LiveTrouble::Gone("the line has ended".into())),
            Ok(_) => {}
            Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
            Err(error) if matches!(error.kind(), io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock) => {
                return Err(LiveTrouble::Silent);
            }
            Err(error) => return Err(gone(error)),
        }
        match byte {
            [b'\n' | b'\r'] if line.iter().all(u8::is_ascii_whitespace) => line.clear(),
            [b'\n' | b'\r'] => return Ok(String::from_utf8_lossy(&line).into_owned()),
            [other] => line.push(other),
        }
        // Bytes that trickle in keep each single time limit, but never make a line.
        if line.len() > LONGEST || (!line.is_empty() && begun.elapsed() > 20 * PATIENCE) {
            let start: String = String::from_utf8_lossy(&line).chars().take(40).collect();
            return Err(LiveTrouble::Garbage(fault::endless(&start)));
        }
    }
}

/// A meter that says a value a line by itself.
struct Talker<R> {
    from: BufReader<R>,
    dialect: Dialect,
}

impl<R: Read> Talker<R> {
    fn new(from: R, dialect: Dialect) -> Self {
        Self { from: BufReader::new(from), dialect }
    }
}

impl<R: Read> Meter for Talker<R> {
    fn read(&mut self, sense: Sense) -> Result<LiveReading, LiveTrouble> {
        self.dialect.read(&line(&mut self.from)?, sense)
    }
}

/// A meter that answers questions.
struct PendingRead<S> {
    stream: S,
    dialect: Dialect,
}

impl<S: Read + Write> PendingRead<S> {
    fn new(stream: S, dialect: Dialect) -> Self {
        Self { stream, dialect }
    }
}

impl<S: Read + Write> Meter for PendingRead<S> {
    fn read(&mut self, sense: Sense) -> Result<LiveReading, LiveTrouble> {
        // Over a shunt a current is asked for as a voltage.
        let volts = sense == Sense::Volts || self.dialect.shunt.is_some();
        self.stream.write_all(if volts { ASK_VOLTS } else { ASK_CURRENT }).map_err(gone)?;
        self.stream.flush().map_err(gone)?;
        match line(&mut self.stream) {
            // An answer that comes too late would be taken for that of the next question: the line is opened anew.
            Err(LiveTrouble::Silent) => Err(LiveTrouble::Gone(fault::LATE.into())),
            other => self.dialect.read(&other?, sense),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dialect() -> Dialect {
        Dialect { current: "mA".into(), volts: "mV".into(), shunt: None }
    }

    #[test]
    fn lines_end_in_any_way_and_their_end_is_the_end_of_the_meter() {
        let mut meter = Talker::new(&b"482 mA\r\n\r\n480\rnonsense\n9.9E37\n4"[..], dialect());
        let shown = |read| match read {
            Ok(LiveReading::Current(current)) => current.value.milli().round(),
            Ok(_) => -1.0,
            Err(LiveTrouble::Garbage(_)) => -2.0,
            Err(_) => -3.0,
        };
        let seen: Vec<f64> = (0..5).map(|_| shown(meter.read(Sense::Current))).collect();
        assert_eq!(seen, [482.0, 480.0, -2.0, -1.0, -3.0]);
    }

    #[test]
    fn a_line_without_end_is_garbage() {
        let mut meter = Talker::new(io::repeat(b'7'), dialect());
        assert!(matches!(meter.read(Sense::Volts), Err(LiveTrouble::Garbage(_))));
    }

    #[test]
    fn a_meter_that_is_asked_answers_what_it_was_asked() {
        struct Echo(Vec<u8>, usize);
        impl Read for Echo {
            fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
                let answer: &[u8] = if self.0.ends_with(ASK_VOLTS) { b"+3.0E-03\n" } else { b"+4.82E-01\n" };
                let byte = answer[self.1 % answer.len()];
                self.1 += 1;
                into[0] = byte;
                Ok(1)
            }
        }
        impl Write for Echo {
            fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
                self.0.extend(bytes);
                self.1 = 0;
                Ok(bytes.len())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let dialect = Dialect { current: "A".into(), volts: "V".into(), shunt: None };
        let mut meter = PendingRead::new(Echo(Vec::new(), 0), dialect);
        assert!(
            matches!(meter.read(Sense::Current), Ok(LiveReading::Current(c)) if (c.value.milli() - 482.0).abs() < 1e-9)
        );
        assert!(
            matches!(meter.read(Sense::Volts), Ok(LiveReading::Volts(v)) if (v.value.milli() - 3.0).abs() < 1e-9)
        );
    }
}
