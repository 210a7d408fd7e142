//! `hunt`: the whole job step by step; begins a log or goes on with one.
//! Leaves to others: the loop (`drive`), who answers (`ask`), the steps (`hunt`).

use std::path::{Path, PathBuf};

use super::open::Meters;
use super::vehicle::VehicleArguments;
use super::{lessons, map_source};
use crate::base::styled::{Role, StyledText};
use crate::cli::ask::answers::Answers;
use crate::cli::ask::live::{Attended, LiveBench};
use crate::cli::ask::practice::PracticePrompter;
use crate::cli::ask::{Prompter, choose};
use crate::cli::clock::Clock;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::drive::{self, HuntEnd, Log};
use crate::cli::error::{CliError, Exit};
use crate::cli::files;
use crate::cli::live::spec::Spec;
use crate::cli::live::{BETWEEN, Live, Unheard};
use crate::cli::log::LogFile;
use crate::cli::signal;
use crate::log::entry::{LogEvent, Opened};
use crate::render::json::log::HuntShape;
use crate::sim::{self, Vehicle};
use crate::text::ask::bench;
use crate::text::fault;

const EXAMPLES: &str = "\
Examples:
  fusetrail hunt --map van.yaml       begin, with a map of the vehicle
  fusetrail hunt --practice 3         practise on simulated vehicle 3
  fusetrail hunt x.hunt.yaml          begin x, or go on with it
  fusetrail hunt x.hunt.yaml --answers a.yaml
  fusetrail hunt --map van.yaml --clamp-from scpi://192.0.2.7:5025";

/// Map of a hunt that is given none: it grows with the fuses typed in.
const BLANK: &str = "blank";

/// Map of a practice hunt that is given none.
pub const PRACTICE_MAP: &str = "hatch";

/// Practice vehicles to draw from when no seed is given.
const SEEDS: i64 = 1000;

/// Arguments of `hunt`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES)]
pub struct HuntCommand {
    /// Session log: gone on with if it exists, else begun; without it hunt-DATE.hunt.yaml
    log: Option<PathBuf>,
    /// Circuit map: a built-in name, or a file; without it fuses are typed in during the hunt
    #[arg(long, value_name = "MAP")]
    map: Option<String>,
    /// Hunt on a simulated vehicle: Enter reads the meter; the same SEED is the same vehicle
    #[arg(long, value_name = "SEED", num_args = 0..=1)]
    practice: Option<Option<u64>>,
    /// Take the answers from a YAML file that maps question ids to answers
    #[arg(long, value_name = "FILE")]
    answers: Option<PathBuf>,
    /// Live meter across fuses, and for totals where there is no other: lines:PATH, scpi://HOST:PORT or
    /// serial:PATH@BAUD; Enter takes what it shows once that is steady. Words as in watch --help
    #[arg(long, value_name = "SPEC", conflicts_with = "practice")]
    meter_from: Option<String>,
    /// Live clamp or ammeter for totals: the wait then watches it by itself
    #[arg(long, value_name = "SPEC", conflicts_with = "practice")]
    clamp_from: Option<String>,
    /// Ring the terminal's bell when a wait is over, or the draw rises during it
    #[arg(long)]
    bell: bool,
    /// Weights of causes learnt by lessons --weights; the log keeps them
    #[arg(long, value_name = "FILE")]
    weights: Option<PathBuf>,
    /// Plain lines without control codes, choices as numbered lists: for screen readers and bad terminals
    #[arg(long)]
    plain: bool,
    #[command(flatten)]
    vehicle: VehicleArguments,
    #[command(flatten)]
    meters: Meters,
}

impl HuntCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// The log, the map or the answers file cannot be read, or the log cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let context = &context.clone().with_bell(self.bell);
        let front = self.front(context)?;
        let live = [self.live(self.meter_from.as_deref())?, self.live(self.clamp_from.as_deref())?];
        let path = self.log.clone().unwrap_or_else(|| free_name(context));
        let mut log = if path.exists() { self.go_on(context, &path)? } else { self.begin(context, &path)? };
        self.weigh(context, &mut log)?;
        let opened = log.case().opened.clone();
        let (mut front, clock) = match opened.practice {
            Some(seed) => on_vehicle(front, &log, &opened, seed),
            None => (attended(front, context, &opened, live), context.clock.clone()),
        };
        // From here on every prompt and wait looks at the signals.
        let _heeded = signal::heeded();
        let hunt = drive::Hunt { next: crate::hunt::next, take: crate::hunt::take };
        let ended = drive::run(&mut log, &mut *front, &clock, hunt)?;
        context.show(&front.farewell(matches!(ended, HuntEnd::Done(_))));
        close(context, &path, log.case().entries, ended)
    }

    /// Puts learnt weights into the log, unless it has them already: what follows from a log follows from it alone.
    fn weigh(&self, context: &Context, log: &mut LogFile) -> Result<(), CliError> {
        let Some(path) = &self.weights else { return Ok(()) };
        let learnt = lessons::shares(path)?;
        if log.case().learnt.text() != learnt.text() {
            log.append(context.clock.now(), &[LogEvent::Weights(learnt)])?;
        }
        Ok(())
    }

    fn front(&self, context: &Context) -> Result<Box<dyn Prompter>, CliError> {
        let Some(path) = &self.answers else { return Ok(choose(context, self.plain)?) };
        let text = files::read(path)?;
        Ok(Box::new(Answers::read(context.clone(), &path.to_string_lossy(), &text)?))
    }

    /// Opens a live meter.
    fn live(&self, spec: Option<&str>) -> Result<Option<Live>, CliError> {
        let Some(text) = spec else { return Ok(None) };
        let spec = Spec::read(text).map_err(CliError::usage)?;
        if spec.takes_stdin() && self.answers.is_none() {
            return Err(CliError::usage(fault::answer::stdin_taken()));
        }
        Ok(Some(Live::start(spec, BETWEEN, Unheard::Drop)?))
    }

    fn begin(&self, context: &Context, path: &Path) -> Result<LogFile, CliError> {
        let fallback = if self.practice.is_some() { PRACTICE_MAP } else { BLANK };
        let (map, warnings) = self.vehicle.load(self.map.as_deref().unwrap_or(fallback))?;
        // Where the vehicle is asked about, the last answer says what follows from it.
        if !map.feeds.is_empty() || self.vehicle.tells_year() {
            context.talk(&map_source::warning_lines(&warnings));
        }
        let now = context.clock.now();
        let practice = self.practice.map(|seed| seed.unwrap_or_else(|| drawn_seed(context)));
        let mut log = LogFile::create(path, now, Opened { practice, ..self.meters.opened(&map, context)? })?;
        context.talk(log.notes());
        let told = self.vehicle.answers();
        // With a map the vehicle is not asked about.
        if !told.is_empty() && map.feeds.is_empty() {
            log.append(now, &told)?;
        }
        context.talk(&[bench::session(&path.to_string_lossy(), practice)]);
        Ok(log)
    }

    fn go_on(&self, context: &Context, path: &Path) -> Result<LogFile, CliError> {
        let log = LogFile::open(path)?;
        context.talk(log.notes());
        let name = path.to_string_lossy();
        let held = log.case().opened.practice;
        if let Some(asked) = self.practice
            && (held.is_none() || asked.is_some_and(|seed| Some(seed) != held))
        {
            return Err(CliError::usage(fault::file::other_vehicle(&name, held)));
        }
        if self.map.is_some() || self.vehicle.are_given() {
            return Err(CliError::usage(fault::file::has_vehicle(&name)));
        }
        let entries = log.case().entries;
        let line = StyledText::plain("Going on with ").and(Role::Name, &name);
        context.talk(&[line.and(Role::Hint, format!(" after entry {entries}."))]);
        Ok(log)
    }
}

/// Puts live meters beside a front, if there are any.
fn attended(
    front: Box<dyn Prompter>,
    context: &Context,
    opened: &Opened,
    [meter, clamp]: [Option<Live>; 2],
) -> Box<dyn Prompter> {
    if meter.is_none() && clamp.is_none() {
        return front;
    }
    context.talk(&[StyledText::of(Role::Hint, bench::LIVE)]);
    let bench = LiveBench {
        meter,
        clamp,
        meter_profile: opened.meter.clone(),
        clamp_profile: opened.clamp.clone(),
        clock: context.clock.clone(),
    };
    Box::new(Attended::new(front, bench))
}

/// Draws a practice vehicle by the time.
pub fn drawn_seed(context: &Context) -> u64 {
    u64::try_from(context.clock.now().timestamp().rem_euclid(SEEDS)).unwrap_or_default()
}

/// Returns `hunt-DATE.hunt.yaml`, or that with a number where there is one already.
fn free_name(context: &Context) -> PathBuf {
    let day = context.clock.now().format("%Y-%m-%d").to_string();
    let mut path = PathBuf::from(format!("hunt-{day}.hunt.yaml"));
    let mut number = 2;
    while path.exists() {
        path = PathBuf::from(format!("hunt-{day}-{number}.hunt.yaml"));
        number += 1;
    }
    path
}

/// Puts the practice vehicle in front, brought to where the log left it, with the clock that its time drives.
fn on_vehicle(
    front: Box<dyn Prompter>,
    log: &LogFile,
    opened: &Opened,
    seed: u64,
) -> (Box<dyn Prompter>, Clock) {
    // The vehicle is the one of the first entry: fuses typed in later do not change it.
    let map = log.first_map();
    let start = log.case().opened_at;
    let counted = sim::SimClock::new(start);
    let mut vehicle = Vehicle::new(map, seed).with_meters(&opened.meter, &opened.clamp).as_found();
    for entry in log.entries() {
        vehicle.replay(&entry.body, counted.minutes(entry.at));
    }
    let clock = Clock::simulated(start);
    let front = PracticePrompter::new(front, vehicle, start, clock.clone());
    (Box::new(front), clock)
}

/// Says how the hunt ended and how to go on.
fn close(context: &Context, path: &Path, entries: usize, ended: HuntEnd) -> Result<Exit, CliError> {
    let path = path.to_string_lossy();
    let name = shell_words::quote(&path);
    let kept = |first: &str| bench::kept(first, &name, entries);
    let (exit, why) = match &ended {
        HuntEnd::Done(why) => {
            context.show(&[StyledText::new(), StyledText::of(Role::Heading, bench::ended(why))]);
            context.talk(&[StyledText::of(Role::Hint, "Hand over with: ")
                .and(Role::Name, format!("fusetrail record {name}"))]);
            (Exit::Done, why.clone())
        }
        HuntEnd::Left => {
            context.talk(&kept("Left."));
            (Exit::Done, "left".to_owned())
        }
        HuntEnd::Interrupted => {
            context.talk(&kept("Interrupted."));
            (Exit::Interrupted, "interrupted".to_owned())
        }
        HuntEnd::Stuck(fault) => {
            context.talk(&crate::cli::error::fault_lines(fault));
            context.talk(&kept("Stopped."));
            (Exit::No, fault.to_string())
        }
    };
    if context.format == OutputFormat::Json {
        let done = matches!(ended, HuntEnd::Done(_));
        context.print_json(&HuntShape::of(&path, entries, done, &why))?;
    }
    Ok(exit)
}
