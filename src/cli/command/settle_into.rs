//! What a meter log showed, entered into a session log: the settled total, and what departed from it.
//! Leaves to others: finding it (`trace`), the words (`text/settle`), what it is worth (`infer`).

use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Minute, Typed, Uncertain, Unit as _};
use crate::base::styled::{Role, StyledText};
use crate::cli::context::Context;
use crate::cli::drive::Log as _;
use crate::cli::error::CliError;
use crate::cli::log::LogFile;
use crate::log::entry::{LogEvent, Measured};
use crate::log::trace_summary::{Departure, TraceSummary};
use crate::measure::Measurement;
use crate::text::fault::file as fault;
use crate::text::settle as words;
use crate::trace::channel::ChannelFound;
use crate::trace::settle::{SettleVerdict, Settling};
use crate::trace::table::Start;
use crate::trace::wake::Wake;

/// Most departures that are entered one by one; all are counted.
const LISTED: usize = 200;

/// Parts of the curve that is kept: of a night about five minutes each, as fine as it is drawn on a page.
const PARTS: usize = 120;

/// What was entered.
#[derive(Debug, Default)]
pub struct TraceTaken {
    /// Numbers of the entries.
    pub numbers: Vec<usize>,
    /// What to say about them.
    pub lines: Vec<StyledText>,
}

/// Enters what a meter log showed; `file` is its name. A log too short to say anything, or one that is still
/// changing at its end, enters nothing.
///
/// # Errors
/// The same is in the log already, or it cannot be written.
pub fn enter(
    log: &mut LogFile,
    found: &Settling,
    channels: &[ChannelFound],
    start: &Start,
    file: &str,
    context: &Context,
) -> Result<TraceTaken, CliError> {
    if matches!(
        found.verdict,
        SettleVerdict::TooShort | SettleVerdict::TooEarly | SettleVerdict::StillChanging
    ) {
        return Ok(TraceTaken {
            lines: vec![StyledText::of(Role::Doubt, words::NOTHING_ENTERED)],
            ..TraceTaken::default()
        });
    }
    let now = context.clock.now();
    let seen = TraceSummary {
        started: start.moment(Minute::ZERO, *now.offset()),
        channels: channels.iter().map(|one| one.share.clone()).collect(),
        ..watched(found, file)
    };
    let same = log.case().watched.iter().find(|known| known.what.is_same(&seen));
    if let Some(known) = same {
        return Err(fault::entered(file, known.stamp.entry).into());
    }
    let at = start.moment(found.trace.span(), *now.offset()).filter(|at| *at <= now).unwrap_or(now);
    let said = words::watched(&seen);
    let total =
        found.level.as_ref().map(|level| (total(log, level, found.trace.step()), "the settled total"));
    let watched = (LogEvent::Watched(Box::new(seen)), said.as_str());
    let (bodies, told): (Vec<LogEvent>, Vec<&str>) = total.into_iter().chain([watched]).unzip();
    let first = log.case().entries + 1;
    log.append(at, &bodies)?;
    let lines = told
        .iter()
        .zip(first..)
        .map(|(what, number)| StyledText::plain(format!("Entry {number}: ")).and(Role::Plain, what));
    Ok(TraceTaken { numbers: (first..first + bodies.len()).collect(), lines: lines.collect() })
}

fn total(log: &LogFile, level: &Uncertain<Ampere>, step: Ampere) -> LogEvent {
    let value = level.value();
    LogEvent::Reading(Box::new(Measured {
        what: Measurement::Total {
            current: Typed::measured(value, step.base(), bare(value, 4)),
            as_found: false,
        },
        meter: log.case().ammeter().name.clone(),
        zero: None,
        temperature: None,
        provisional: false,
        after_repair: log.case().was_repaired(),
        why: None,
    }))
}

fn watched(found: &Settling, file: &str) -> TraceSummary {
    let departure = |wake: &Wake| Departure {
        after: wake.start,
        length: wake.length,
        peak: wake.peak,
        charge: wake.charge,
    };
    let all = found.wakes.iter().chain(&found.dips);
    TraceSummary {
        file: file.to_owned(),
        started: None,
        span: found.trace.span(),
        rests_after: found.after,
        level: found.level.as_ref().map(Uncertain::value),
        average: found.average.as_ref().map(Uncertain::value),
        period: found.period.map(|period| period.time),
        regular: found.period.is_some_and(|period| period.regular),
        away: found.away,
        count: found.wakes.len() + found.dips.len(),
        departures: all.take(LISTED).map(departure).collect(),
        ledger: found.ledger.clone(),
        curve: found.trace.curve(PARTS),
        channels: Vec::new(),
    }
}
