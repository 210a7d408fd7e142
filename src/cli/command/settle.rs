//! `settle`: when did it go to sleep, at what level, what wakes it.
//! Leaves to others: reading the log and finding that out (`trace`), the words (`text/settle`), entering it
//! (`settle_into`).

use std::path::PathBuf;

use super::channels::{self, ChannelSource};
use super::columns::{Columns, value};
use super::{map_source, settle_into};
use crate::balance::verdict::judge_night;
use crate::base::quantity::parse::Readable as _;
use crate::base::quantity::{Ampere, Celsius, Minute};
use crate::base::styled::StyledText;
use crate::battery::capacity::capacity;
use crate::battery::chemistry::Chemistry;
use crate::battery::cold::Use;
use crate::battery::rating::Ratings;
use crate::battery::table::BatteryTable;
use crate::circuit::map::{Map, VehicleClass};
use crate::circuit::meters;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::curve;
use crate::cli::drive::Log as _;
use crate::cli::error::{CliError, Exit};
use crate::cli::log::LogFile;
use crate::hunt::limit::limit_of;
use crate::hunt::supply;
use crate::log::case::Case;
use crate::log::question_id::QuestionId;
use crate::render::json::settle::{SettleShape, SettleWords, StandDays};
use crate::render::stand::{StandRequest, stand};
use crate::text::channel as channel_words;
use crate::text::settle as words;
use crate::trace::channel::{ChannelFound, channels as channels_of};
use crate::trace::clocks::ClockOffset;
use crate::trace::known::{USUAL_LIMIT, attribute};
use crate::trace::options::Options;
use crate::trace::settle::{Rules, Settling, settle};
use crate::trace::table::Recording;

const EXAMPLES: &str = "\
Examples:
  fusetrail settle night.csv
  fusetrail settle night.csv.gz --limit 50mA --map hatch
  fusetrail settle night.csv --into x.hunt.yaml
  fusetrail settle night.csv --channel C12=3,mV --map hatch
  fusetrail settle total.csv c12.csv --map hatch
  fusetrail settle shunt.csv --column 3 --unit mV --shunt 1mohm
  some-meter | fusetrail settle - --every 1s";

/// Arguments of `settle`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Settle {
    /// Log of a meter: CSV, also packed with gzip; - for standard input
    file: PathBuf,
    /// Log of a second meter beside it, with a clock of its own: what it shows of the first
    second: Option<PathBuf>,
    /// Further column beside the total: NAME=COLUMN,UNIT, such as F12=3,mV for the drop on a fuse; headings that are fuses of
    /// the map are taken by themselves
    #[arg(long, value_name = "NAME=COLUMN")]
    channel: Vec<String>,
    /// Limit to hold the level at rest and the average against; without it that of the map or the session log
    #[arg(long, value_name = "mA")]
    limit: Option<String>,
    /// Map, by built-in name or file: names the modules behind the steps, and waits for its sleep time
    #[arg(long)]
    map: Option<String>,
    /// Clamp or ammeter that wrote the log: clamp-1ma, clamp-10ma, or RESOLUTION,PERCENT,COUNTS; without it 2 % + 3 counts
    #[arg(long, value_name = "NAME")]
    clamp: Option<String>,
    /// Session log that takes the settled total and what woke it as entries; its map and its clamp count
    #[arg(long, value_name = "LOG", conflicts_with_all = ["map", "clamp"])]
    into: Option<PathBuf>,
    #[command(flatten)]
    columns: Columns,
}

impl Settle {
    /// Carries the command out.
    ///
    /// # Errors
    /// A wrong option, or a log that cannot be read or has no column that can be used.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let options = self.columns.clone().options().map_err(CliError::usage)?;
        let limit = self.limit.as_deref().map(|text| value::<Ampere>(text, "mA", "--limit")).transpose();
        let limit = limit.map_err(CliError::usage)?;
        let into = self.into.as_deref().map(LogFile::open).transpose()?;
        let map = match (&self.map, &into) {
            (Some(name), _) => Some(map_source::load(name)?.0),
            (None, Some(log)) => Some(log.case().map.clone()),
            (None, None) => None,
        };
        let named = self.clamp.as_deref().map(|name| meters::find(name, false)).transpose()?;
        let meter = named.or_else(|| into.as_ref().map(|log| log.case().ammeter().clone()));
        let name = self.file.to_string_lossy();
        let rules = Rules { sleep_after: map.as_ref().and_then(|map| map.sleep_after), meter };
        let NightRead { log, found, channels, offset } =
            self.read(&options, (map.as_ref(), into.as_ref().map(|log| log.case())), &rules)?;
        let limit = limit.or_else(|| match (&into, &map) {
            (Some(log), _) => limit_of(log.case()).map(|limit| limit.current),
            (None, Some(map)) => map.limit.as_ref().map(|limit| limit.current),
            (None, None) => None,
        });
        let mut said = SettleWords {
            why: words::why(&found, rules.sleep_after),
            attributed: attribute(&found.ledger, map.as_ref(), limit.unwrap_or(USUAL_LIMIT)),
            verdict: limit
                .filter(|_| found.average.is_some())
                .map(|limit| judge_night(found.level.as_ref(), found.average.as_ref(), limit)),
            days: days(&found, into.as_ref().map(|log| log.case()), map.as_ref())?,
            channels,
            offset,
            taken: None,
        };
        let told = into.as_ref().and_then(|log| told_stand(log.case()));
        let taken = match into {
            Some(mut session) => {
                Some(settle_into::enter(&mut session, &found, &said.channels, &log.start, &name, context)?)
            }
            None => None,
        };
        said.taken = taken.as_ref().map(|taken| taken.numbers.clone());
        let shown = match context.format {
            OutputFormat::Json => context.print_json(&SettleShape::of(&found, &log, &said)),
            OutputFormat::Text => tell(&found, &log, &said, limit, map.as_ref(), context).and_then(|()| {
                let stand = told.and_then(|told| words::against_stand(&found, told));
                context.print(
                    &stand
                        .into_iter()
                        .chain(taken.into_iter().flat_map(|taken| taken.lines))
                        .collect::<Vec<_>>(),
                )
            }),
        };
        match said.taken {
            Some(numbers) => context.after_keeping(&numbers, shown)?,
            None => shown.map(|()| Exit::Done)?,
        };
        Ok(if found.is_settled() { Exit::Done } else { Exit::No })
    }
}

/// A log as it was read, with what it shows.
struct NightRead {
    log: Recording,
    found: Settling,
    channels: Vec<ChannelFound>,
    offset: Option<ClockOffset>,
}

impl Settle {
    /// Reads the log, with the columns beside the total and the second log.
    fn read(
        &self,
        options: &Options,
        (map, case): (Option<&Map>, Option<&Case>),
        rules: &Rules,
    ) -> Result<NightRead, CliError> {
        let given: Result<Vec<_>, _> = self.channel.iter().map(|text| channels::read(text)).collect();
        let given = given.map_err(CliError::usage)?;
        let source = ChannelSource { given: &given, map, case, meter: rules.meter.as_ref() };
        // What is given belongs to the second log, where there is one.
        let first = if self.second.is_some() { ChannelSource { given: &[], ..source } } else { source };
        let (mut log, others) = first.read(&self.file, options)?;
        let mut beside = first.on_one_clock(&log, others);
        let found = settle(std::mem::take(&mut log.trace), rules);
        let laid = |file| source.second(file, options, &found, &log.start);
        let offset = self.second.as_deref().map(laid).transpose()?.map(|(more, offset)| {
            beside.extend(more);
            offset
        });
        let channels = channels_of(&found, &beside);
        Ok(NightRead { log, found, channels, offset })
    }
}

/// Returns how long a full battery stands at the average: that of the session log, else one as the class of vehicle has.
fn days(found: &Settling, case: Option<&Case>, map: Option<&Map>) -> Result<Option<StandDays>, CliError> {
    let Some(draw) = found.average.clone().filter(|average| average.value() > Ampere::ZERO) else {
        return Ok(None);
    };
    let capacity = match (case, map) {
        (Some(case), _) => supply::known_capacity(case)?,
        (None, Some(map)) => supply::assumed_capacity(map)?,
        (None, None) => capacity(BatteryTable::builtin()?, &Ratings::default(), VehicleClass::Car),
    };
    let asked = StandRequest {
        draw,
        after: None,
        capacity: capacity.clone(),
        volts: None,
        rested: None,
        chemistry: case.map_or(Some(Chemistry::Flooded), supply::chemistry),
        temperature: MILD,
        lowest: None,
        wanted: Use::Crank,
        days: None,
    };
    Ok(Some(StandDays { days: stand(&asked)?.days, capacity }))
}

/// Temperature that a battery stands at if nobody tells.
const MILD: Celsius = Celsius::new(20.0);

/// Returns how long the vehicle stands before it is flat, if the interview told it.
fn told_stand(case: &Case) -> Option<Minute> {
    Minute::read(case.answer(QuestionId::InterviewStand)?, "d").ok().map(|stand| stand.value)
}

fn tell(
    found: &Settling,
    log: &Recording,
    said: &SettleWords,
    limit: Option<Ampere>,
    map: Option<&Map>,
    context: &Context,
) -> Result<(), CliError> {
    context.talk(&words::understood(found, log));
    let mut lines = words::result(found, &said.why);
    lines.extend(said.days.as_ref().map(|stands| words::stands(&stands.days, &stands.capacity)));
    lines.extend(limit.zip(said.verdict).map(|(limit, verdict)| words::against(found, verdict, limit)));
    let when = |after: Minute| log.start.at(after).unwrap_or_else(|| words::span(after));
    context.print(&lines)?;
    let blocks = context.environment.utf8 && !context.environment.dumb;
    let since = found.after.or_else(|| found.wakes.first().map(|wake| wake.start)).unwrap_or(Minute::ZERO);
    let rows = curve::draw(found.trace.samples(), found.trace.span(), since, context.width(), blocks);
    context.print_raw(&format!("\n{}\n", rows.join("\n")))?;
    context
        .print(&words::cut_off(found, since).into_iter().chain([StyledText::new()]).collect::<Vec<_>>())?;
    context.print(&channel_words::lines(&said.channels, said.offset.as_ref()))?;
    context.print(&words::ledger(found, &said.attributed, &when, context.width(), blocks))?;
    context.print(&details(found, log, map))
}

fn details(found: &Settling, log: &Recording, map: Option<&Map>) -> Vec<StyledText> {
    let when = |after: Minute| log.start.at(after).unwrap_or_else(|| words::span(after));
    let mut lines = Vec::new();
    if !found.steps.is_empty() {
        lines.push(StyledText::plain("Steps:"));
        lines.extend(found.steps.iter().map(|step| words::step(step, &when(step.at), map)));
    }
    lines.extend(words::wakes(found, when));
    lines
}
