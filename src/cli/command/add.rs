//! `add`: puts a reading, a disturbance or a note into the log.
//! Leaves to others: which names there are (`target`), reading values (`values`), what it meant (`meaning`).

use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};

use super::meaning::{self, Meant};
use super::{target, values};
use crate::cli::as_typed;
use crate::cli::clock;
use crate::cli::desk::{Desk, Format};
use crate::cli::drive::Log;
use crate::cli::fail::{Exit, Fail};
use crate::cli::log::LogFile;
use crate::fault::Fault;
use crate::quantity::parse::Readable;
use crate::quantity::{Ampere, Celsius, Volt};
use crate::reading::What;
use crate::session::case::Case;
use crate::session::entry::{Body, Measured};

const EXAMPLES: &str = "\
Examples:
  fusetrail add x.hunt.yaml total 482mA
  fusetrail add x.hunt.yaml drop F12 3.0mV
  fusetrail add x.hunt.yaml drop F12=3.0mV F13=0.1mV F14=0
  fusetrail add x.hunt.yaml pull F12 482mA 77mA";

/// Arguments of `add`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Add {
    /// Session log
    log: PathBuf,
    /// When it was read, if not now: a time with its offset, such as 2026-11-02T07:40:00+01:00
    #[arg(long, global = true, value_name = "TIME", value_parser = clock::read_time)]
    at: Option<DateTime<FixedOffset>>,
    #[command(subcommand)]
    kind: Kind,
}

/// What is added. A value may be negative and takes its unit: `-0.1mV`, `482 mA`, `0,482A`.
#[derive(Debug, clap::Subcommand)]
enum Kind {
    /// Leads shorted: the offset of the millivolt meter
    Zero {
        /// What the meter shows; a bare number is mV
        #[arg(required = true, num_args = 1..)]
        value: Vec<String>,
    },
    /// Settled total, by clamp or in series
    Total {
        /// What it shows; a bare number is mA
        #[arg(required = true, num_args = 1..)]
        value: Vec<String>,
        /// Taken before anything was switched or opened
        #[arg(long)]
        as_found: bool,
        /// Taken after the repair
        #[arg(long)]
        after_repair: bool,
    },
    /// Drop across a fuse, or across several of one box
    Drop {
        /// Fuse and drop, or FUSE=DROP for each of several; a bare number is mV
        #[arg(required = true, num_args = 1.., value_name = "FUSE DROP")]
        fuses: Vec<String>,
    },
    /// Fuse pulled: the total before and after
    Pull {
        /// Fuse
        fuse: String,
        /// Total before and after, and "refit TOTAL" if it is back; a bare number is mA
        #[arg(required = true, num_args = 1.., value_name = "BEFORE AFTER")]
        totals: Vec<String>,
    },
    /// Fuse back in its place: the total then
    Refit {
        /// Fuse, or FUSE/LOAD for a load plugged in again
        fuse: String,
        /// Total; a bare number is mA
        #[arg(required = true, num_args = 1..)]
        total: Vec<String>,
    },
    /// Clamp around a feed or an unfused branch
    Clamp {
        /// Fuse, link or unfused item
        place: String,
        /// What it shows; a bare number is mA
        #[arg(required = true, num_args = 1..)]
        value: Vec<String>,
    },
    /// Load unplugged: the total before and after
    Unplug {
        /// Fuse and load, such as "F12/audio unit"
        load: String,
        /// Total before and after; a bare number is mA
        #[arg(required = true, num_args = 1.., value_name = "BEFORE AFTER")]
        totals: Vec<String>,
    },
    /// Input of a wake group worked: the total before and after
    Input {
        /// Input as the map names it, such as "selector in Park"
        input: String,
        /// Total before and after; a bare number is mA
        #[arg(required = true, num_args = 1.., value_name = "BEFORE AFTER")]
        totals: Vec<String>,
    },
    /// Known load on a fuse switched on: calibrates its resistance
    Step {
        /// Fuse
        fuse: String,
        /// Drop before, drop after (bare: mV) and current of the load (bare: mA)
        #[arg(required = true, num_args = 1.., value_name = "BEFORE AFTER CURRENT")]
        values: Vec<String>,
    },
    /// Temperature of a box, or of all boxes
    Temp {
        /// Temperature, or BOX=TEMPERATURE; a bare number is °C
        #[arg(required = true, num_args = 1..)]
        value: Vec<String>,
    },
    /// Rested volts of the battery
    Volts {
        /// What the meter shows; a bare number is V
        #[arg(required = true, num_args = 1..)]
        value: Vec<String>,
    },
    /// Something that restarts the sleep clock
    Disturb {
        /// What it was, such as "driver door"
        #[arg(required = true, num_args = 1..)]
        what: Vec<String>,
    },
    /// Note in words
    Note {
        /// The words
        #[arg(required = true, num_args = 1..)]
        words: Vec<String>,
    },
}

impl Add {
    /// Carries the command out.
    ///
    /// # Errors
    /// A value or a name that cannot be read: then nothing at all is added. Or the log cannot be written.
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        let mut log = LogFile::open(&self.log)?;
        desk.talk(log.notes());
        let at = self.at.unwrap_or_else(|| desk.clock.now());
        let bodies = self.kind.bodies(log.case())?;
        let first = log.case().entries + 1;
        log.append(at, &bodies)?;
        let numbers: Vec<usize> = (first..=log.case().entries).collect();
        let shown =
            meaning::of(log.case(), first, &bodies).map_err(Fail::from).and_then(|meant| match desk.format {
                Format::Json => desk.print_json(&meaning::json(&meant)),
                Format::Text => {
                    desk.talk(&meant.iter().flat_map(Meant::warning_lines).collect::<Vec<_>>());
                    desk.print(&meant.iter().flat_map(Meant::lines).collect::<Vec<_>>())
                }
            });
        desk.after_keeping(&numbers, shown)
    }
}

impl Kind {
    /// Returns the entries that this makes, with every name and value checked.
    fn bodies(self, case: &Case) -> Result<Vec<Body>, Fault> {
        let map = &case.map;
        let what = match self {
            Self::Zero { value } => {
                return Ok(vec![Body::Zero { offset: values::one::<Volt>(&value, "mV")? }]);
            }
            Self::Volts { value } => {
                return Ok(vec![Body::Volts { volts: values::one::<Volt>(&value, "V")? }]);
            }
            Self::Temp { value } => return temperature(&value),
            Self::Disturb { what } => return Ok(vec![Body::Disturb { what: typed_words(&what) }]),
            Self::Note { words } => return Ok(vec![Body::Note { text: typed_words(&words) }]),
            Self::Drop { fuses } => return drops(case, &fuses),
            Self::Pull { fuse, totals } => return pull(case, &fuse, &totals),
            Self::Total { value, as_found, after_repair } => {
                let current = values::one::<Ampere>(&value, "mA")?;
                let measured = measured(case, What::Total { current, as_found });
                return Ok(vec![Body::Reading(Box::new(Measured { after_repair, ..measured }))]);
            }
            Self::Refit { fuse, total } => What::Refit {
                feed: match target::load(map, &fuse) {
                    Ok((feed, load)) => format!("{feed}/{load}"),
                    Err(_) => target::feed(map, &fuse)?.id.clone(),
                },
                total: values::one::<Ampere>(&total, "mA")?,
            },
            Self::Clamp { place, value } => What::Clamp {
                at: target::feed_or_unfused(map, &place)?,
                current: values::one::<Ampere>(&value, "mA")?,
            },
            Self::Unplug { load, totals } => {
                let (feed, load) = target::load(map, &load)?;
                let (before, after) = values::two::<Ampere>(&totals, "mA")?;
                What::Unplug { feed, load, before, after }
            }
            Self::Input { input, totals } => {
                let (before, after) = values::two::<Ampere>(&totals, "mA")?;
                What::Input { input: target::input(map, &input)?, before, after }
            }
            Self::Step { fuse, values: given } => {
                let [before, after, current] =
                    values::exactly::<Volt, 3>(&given, "drop before, drop after, current of the load")?;
                What::Step {
                    feed: target::feed(map, &fuse)?.id.clone(),
                    before: Volt::read(&before, "mV")?,
                    after: Volt::read(&after, "mV")?,
                    current: Ampere::read(&current, "mA")?,
                }
            }
        };
        Ok(vec![Body::Reading(Box::new(measured(case, what)))])
    }
}

/// Returns the words of a text as they were typed.
fn typed_words(words: &[String]) -> String {
    words.iter().map(|word| as_typed(word)).collect::<Vec<_>>().join(" ")
}

fn temperature(words: &[String]) -> Result<Vec<Body>, Fault> {
    let text = as_typed(&words.join(" "));
    let (place, value) = match text.split_once('=') {
        Some((place, value)) => (Some(place.trim().to_owned()), value.trim().to_owned()),
        None => (None, text),
    };
    Ok(vec![Body::Temperature { place, temperature: Celsius::read(&value, "C")? }])
}

/// Reads `FUSE DROP`, or `FUSE=DROP` for each of several.
fn drops(case: &Case, words: &[String]) -> Result<Vec<Body>, Fault> {
    let pairs: Vec<(String, Vec<String>)> = if words.iter().any(|word| word.contains('=')) {
        let mut pairs: Vec<(String, Vec<String>)> = Vec::new();
        for word in words {
            match (word.split_once('='), pairs.last_mut()) {
                (Some((fuse, drop)), _) => pairs.push((fuse.to_owned(), vec![drop.to_owned()])),
                (None, Some((_, value))) => value.push(word.clone()),
                (None, None) => {
                    return Err(
                        Fault::new(format!("\"{word}\" is no pair")).expected("FUSE=DROP, such as F12=3.0mV")
                    );
                }
            }
        }
        pairs
    } else {
        let (fuse, drop) = words.split_first().ok_or_else(|| Fault::new("no fuse was given"))?;
        vec![(fuse.clone(), drop.to_vec())]
    };
    let body = |(fuse, drop): (String, Vec<String>)| {
        let feed = target::feed(&case.map, &fuse)?.id.clone();
        let drop = values::one::<Volt>(&drop, "mV").map_err(|fault| fault.in_field(&feed))?;
        Ok(Body::Reading(Box::new(measured(case, What::Drop { feed, drop }))))
    };
    pairs.into_iter().map(body).collect()
}

/// Reads a pull, and the refit where its total stands behind it.
fn pull(case: &Case, fuse: &str, words: &[String]) -> Result<Vec<Body>, Fault> {
    let feed = target::feed(&case.map, fuse)?.id.clone();
    let mut parts = words.splitn(2, |word| word.eq_ignore_ascii_case("refit"));
    let (before, after) = values::two::<Ampere>(parts.next().unwrap_or_default(), "mA")?;
    let mut whats = vec![What::Pull { feed: feed.clone(), before, after }];
    if let Some(total) = parts.next() {
        whats.push(What::Refit { feed, total: values::one::<Ampere>(total, "mA")? });
    }
    Ok(whats.into_iter().map(|what| Body::Reading(Box::new(measured(case, what)))).collect())
}

/// Adds to a reading what later arithmetic needs.
fn measured(case: &Case, what: What) -> Measured {
    let volts = matches!(what, What::Drop { .. } | What::Step { .. });
    let meter = if volts { &case.opened.meter } else { &case.opened.clamp };
    let feed = match &what {
        What::Drop { feed, .. } | What::Step { feed, .. } => target::feed(&case.map, feed).ok(),
        _ => None,
    };
    Measured {
        meter: meter.name.clone(),
        zero: if volts { case.zeros.last().map(|(stamp, _)| stamp.entry) } else { None },
        temperature: feed.and_then(|feed| target::temperature(case, feed)),
        provisional: false,
        after_repair: false,
        what,
    }
}
