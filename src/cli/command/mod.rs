//! The commands, one file each: arguments, help, run.
//! Leaves to others: what they all share (`context`, `log`), and the work itself (the lower floors).

pub(crate) mod account;
pub(crate) mod add;
pub(crate) mod check;
pub(crate) mod circuits;
pub(crate) mod channels;
pub(crate) mod columns;
pub(crate) mod completions;
pub(crate) mod convert;
pub(crate) mod explain;
pub(crate) mod hunt;
pub(crate) mod lessons;
pub(crate) mod list;
pub(crate) mod man;
pub(crate) mod map_source;
pub(crate) mod meaning;
pub(crate) mod next;
pub(crate) mod open;
pub(crate) mod practice;
pub(crate) mod practice_shown;
pub(crate) mod record;
pub(crate) mod score;
pub(crate) mod score_shown;
pub(crate) mod schema;
pub(crate) mod sheet;
pub(crate) mod settle;
pub(crate) mod settle_into;
pub(crate) mod stand;
pub(crate) mod strike;
pub(crate) mod suspects;
pub(crate) mod undo;
pub(crate) mod vehicle;
mod spacing;
mod watch;
mod watch_channels;
mod watch_guard;
mod watch_run;
pub(crate) mod watch_sheet;

use super::context::Context;
use super::error::{CliError, Exit};

/// The commands.
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    /// Find a drain step by step, from the complaint to the proof
    Hunt(hunt::HuntCommand),
    /// Begin a session log without prompts
    Open(open::Open),
    /// Add a reading or a note to a session log
    Add(add::Add),
    /// Strike an entry out of a session log
    Strike(strike::Strike),
    /// Take back the last command or answer, whole
    Undo(undo::Undo),
    /// List what is in a session log, a line an entry
    List(list::List),
    /// Tell whether a session log is whole, and still the one whose seal was noted
    Check(check::Check),
    /// Say who is to blame, as the readings weigh it
    Suspects(suspects::Suspects),
    /// Say which reading to take next, and why
    Next(next::NextCommand),
    /// Say where the total goes, feed by feed
    Account(account::Account),
    /// Convert millivolts across a fuse to milliampere
    Convert(convert::Convert),
    /// Print a sheet of millivolts by current and rating
    Sheet(sheet::SheetCommand),
    /// Write the record that is handed over
    Record(record::Record),
    /// Tell from a meter log when it went to sleep, at what level, and what wakes it
    Settle(settle::Settle),
    /// Write down what a live meter shows, overnight if need be
    Watch(watch::Watch),
    /// Tell how long a battery stands at a draw
    Stand(stand::Stand),
    /// List, show, check and sketch circuit maps
    Circuits(circuits::Circuits),
    /// Explain a word or a step
    Explain(explain::ExplainCommand),
    /// Tell what a folder of session logs teaches: causes, times, what sound fuses carry
    Lessons(lessons::LessonsCommand),
    /// Print what a shell needs to complete commands and options
    Completions(completions::Completions),
    /// Print a manual page, or write all of them
    Man(man::ManCommand),
    /// Print the JSON Schema of what a command prints, or of a file
    Schema(schema::SchemaCommand),
    /// Draw a practice vehicle, or score hunts on many
    Practice(practice::PracticeCommand),
}

impl Command {
    /// Carries the command out.
    ///
    /// # Errors
    /// Whatever keeps it from being carried out, with its exit code.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        match self {
            Self::Hunt(hunt) => hunt.run(context),
            Self::Open(open) => open.run(context),
            Self::Add(add) => add.run(context),
            Self::Strike(strike) => strike.run(context),
            Self::Undo(undo) => undo.run(context),
            Self::List(list) => list.run(context),
            Self::Check(check) => check.run(context),
            Self::Suspects(suspects) => suspects.run(context),
            Self::Next(next) => next.run(context),
            Self::Account(account) => account.run(context),
            Self::Convert(convert) => convert.run(context),
            Self::Sheet(sheet) => sheet.run(context),
            Self::Record(record) => record.run(context),
            Self::Settle(settle) => settle.run(context),
            Self::Watch(watch) => watch.run(context),
            Self::Stand(stand) => stand.run(context),
            Self::Circuits(circuits) => circuits.run(context),
            Self::Explain(explain) => explain.run(context),
            Self::Lessons(lessons) => lessons.run(context),
            Self::Completions(completions) => completions.run(context),
            Self::Man(man) => man.run(context),
            Self::Schema(schema) => schema.run(context),
            Self::Practice(practice) => practice.run(context),
        }
    }
}
