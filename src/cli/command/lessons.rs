//! `lessons`: what a folder of session logs teaches, and the weights that are learnt from it.
//! Leaves to others: what one hunt teaches (`lessons`), the words (`text/lessons`).
#![allow(clippy::disallowed_methods, reason = "lists a folder of logs and reads them on all cores")]

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;

use crate::base::diagnostic::Diagnostic;
use crate::base::quantity::show::bare;
use crate::base::quantity::{Ampere, Share, Uncertain, Unit};
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::circuit::learnt::LearntShares;
use crate::circuit::loads::Catalogue;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::error::{CliError, Exit};
use crate::cli::progress::Progress;
use crate::cli::{files, signal};
use crate::lessons::{CauseCount, Lesson, LessonGroup, Lessons, lesson};
use crate::log::replay::fold;
use crate::log::store;
use crate::render::json::lessons::LessonsShape;
use crate::text::fault::file as fault;
use crate::text::lessons as words;

const EXAMPLES: &str = "\
Examples:
  fusetrail lessons hunts/
  fusetrail lessons hunts/ --weights shop.yaml
  fusetrail hunt --weights shop.yaml";

/// What session logs end with.
const ENDING: &str = ".hunt.yaml";
/// Most logs that are named because they were passed over.
const NAMED: usize = 20;

/// Arguments of `lessons`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct LessonsCommand {
    /// Folder of session logs; folders in it are read too
    folder: PathBuf,
    /// Write weights learnt from the proven causes to FILE, for hunt --weights
    #[arg(long, value_name = "FILE")]
    weights: Option<PathBuf>,
    /// Replace FILE if there is one
    #[arg(long, requires = "weights")]
    replace: bool,
    /// List what sound fuses carry, vehicle by vehicle
    #[arg(long)]
    baselines: bool,
}

impl LessonsCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// The folder cannot be read or holds no log, or the weights cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let mut logs = Vec::new();
        list(&self.folder, &mut logs)?;
        logs.sort();
        if logs.is_empty() {
            let fault = Diagnostic::new("holds no session log").in_file(&self.folder.to_string_lossy());
            return Err(fault.expected(format!("files that end in {ENDING}")).into());
        }
        let (hunts, passed_over) = read_all(context, &logs)?;
        if signal::stopped() {
            return Ok(Exit::Interrupted);
        }
        let lessons = Lessons::of(&hunts);
        let over: Vec<StyledText> = passed_over
            .iter()
            .take(NAMED)
            .map(|(name, why)| StyledText::of(Role::Doubt, words::passed_over(name, why)))
            .collect();
        context.talk(&over);
        match context.format {
            OutputFormat::Json => context.print_json(&LessonsShape::of(&lessons, &passed_over))?,
            OutputFormat::Text => context.print(&self.lines(&lessons, passed_over.len()))?,
        }
        if let Some(file) = &self.weights {
            write(context, file, &lessons.learnt, self.replace)?;
        }
        Ok(Exit::Done)
    }

    fn lines(&self, lessons: &Lessons, passed_over: usize) -> Vec<StyledText> {
        let mut lines = vec![StyledText::plain(words::read(lessons.hunts, lessons.proven, passed_over))];
        if let Some(((minutes, _), (readings, _))) = lessons.minutes.zip(lessons.readings) {
            lines.push(StyledText::plain(words::effort(minutes, readings)));
        }
        if lessons.proven == 0 {
            lines.push(StyledText::of(Role::Doubt, words::NONE_PROVEN));
            return lines;
        }
        lines.push(StyledText::of(Role::Heading, words::CAUSES));
        lines.extend(lessons.causes.iter().map(|cause| cause_line(cause, lessons.proven)));
        for by in ["class", "age", "season"] {
            let groups = lessons.groups.iter().filter(|group| group.by == by && !group.causes.is_empty());
            let groups: Vec<StyledText> = groups.map(group_line).collect();
            if groups.len() > 1 {
                lines.push(StyledText::of(Role::Heading, format!("By {by}")));
                lines.extend(groups);
            }
        }
        if self.baselines {
            lines.push(StyledText::of(Role::Heading, words::BASELINES));
            let mut vehicle = "";
            for one in &lessons.baselines {
                if one.vehicle != vehicle {
                    vehicle = &one.vehicle;
                    lines.push(StyledText::of(Role::Name, vehicle));
                }
                let usual = bare(Ampere::from_milli(one.usual_ma), 2);
                lines.push(StyledText::plain(words::baseline(&one.fuse, &usual, one.readings)).indented(2));
            }
        }
        lines
    }
}

fn cause_line(cause: &CauseCount, of: usize) -> StyledText {
    StyledText::of(Role::Name, &cause.words)
        .and(Role::Plain, format!("  {}", words::cause(cause.count, of, &percent(&cause.share))))
        .indented(2)
}

/// A share in percent with its interval, which ends at none and at all.
fn percent(share: &Uncertain<Share>) -> String {
    let [value, low, high] =
        [share.value(), share.low(), share.high()].map(|part| part.base().clamp(0.0, 1.0) * 100.0);
    format!("{value:.0} % ({low:.0} to {high:.0})")
}

fn group_line(group: &LessonGroup) -> StyledText {
    let causes: Vec<String> =
        group.causes.iter().take(3).map(|(class, count)| format!("{class} {count}")).collect();
    StyledText::plain(words::group(&group.name, group.hunts, &causes.join(", "))).indented(2)
}

/// Lists the logs of a folder and of those in it. Links are not followed, so that none leads in a circle.
fn list(folder: &Path, logs: &mut Vec<PathBuf>) -> Result<(), Diagnostic> {
    let fail = |error: std::io::Error| CliError::file(folder, "read", &error);
    for entry in std::fs::read_dir(folder).map_err(fail)? {
        let entry = entry.map_err(fail)?;
        let kind = entry.file_type().map_err(fail)?;
        if kind.is_dir() {
            list(&entry.path(), logs)?;
        } else if entry.file_name().to_string_lossy().ends_with(ENDING) {
            logs.push(entry.path());
        }
    }
    Ok(())
}

type PassedOver = Vec<(String, String)>;

/// Reads every log on all cores. What is damaged is named and passed over.
fn read_all(context: &Context, logs: &[PathBuf]) -> Result<(Vec<Lesson>, PassedOver), CliError> {
    let table = FuseTable::builtin();
    let threads = std::thread::available_parallelism().map_or(1, NonZeroUsize::get).min(logs.len());
    let next = AtomicUsize::new(0);
    let (send, results) = mpsc::sync_channel(threads * 2);
    let work = |send: mpsc::SyncSender<(usize, Result<Lesson, String>)>| {
        while !signal::stopped() {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(path) = logs.get(at) else { return };
            if send.send((at, read(path, table))).is_err() {
                return;
            }
        }
    };
    let _heeded = signal::heeded();
    let mut progress = Progress::new(context, "logs", logs.len());
    let mut all: Vec<(usize, Result<Lesson, String>)> = Vec::new();
    std::thread::scope(|scope| {
        let mut begun = 0;
        for _ in 0..threads {
            let (send, work) = (send.clone(), &work);
            match std::thread::Builder::new().spawn_scoped(scope, move || work(send)) {
                Ok(_) => begun += 1,
                Err(error) if begun == 0 => return Err(Diagnostic::no_thread(&error)),
                Err(_) => break,
            }
        }
        drop(send);
        for one in results {
            progress.one_done();
            all.push(one);
        }
        Ok(())
    })?;
    progress.end();
    // The order is that of the names, whichever core was first.
    all.sort_by_key(|(at, _)| *at);
    let (mut hunts, mut passed_over) = (Vec::new(), Vec::new());
    for (at, one) in all {
        match one {
            Ok(lesson) => hunts.push(lesson),
            Err(why) => {
                let name = logs.get(at).map(|path| path.to_string_lossy().into_owned());
                passed_over.push((name.unwrap_or_default(), why));
            }
        }
    }
    Ok((hunts, passed_over))
}

fn read(path: &Path, table: &FuseTable) -> Result<Lesson, String> {
    let contents = store::read_only(path).map_err(|error| error.to_string())?;
    if !contents.edited.is_empty() {
        return Err(words::CHANGED.to_owned());
    }
    let case = fold(&contents.entries).map_err(|faults| faults.to_string())?;
    Ok(lesson(&case, table))
}

/// Reads a file of learnt weights.
///
/// # Errors
/// It cannot be read, or is no such file.
pub fn shares(path: &Path) -> Result<LearntShares, CliError> {
    let named = |fault: Diagnostic| fault.in_file(&path.to_string_lossy());
    Ok(LearntShares::read(&files::read(path)?, Catalogue::builtin()).map_err(named)?)
}

/// Writes learnt weights, over a file that is there only where that is wanted.
///
/// # Errors
/// The file is there, or cannot be written.
pub fn write(context: &Context, file: &Path, learnt: &LearntShares, replace: bool) -> Result<(), CliError> {
    let name = file.to_string_lossy();
    if file.exists() && !replace {
        return Err(fault::is_there(&name).into());
    }
    files::write(file, &learnt.file()?)?;
    context.talk(&[StyledText::plain(words::written(&name, learnt.cases))]);
    Ok(())
}
