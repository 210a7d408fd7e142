//! The commands, one file each: arguments, help, run.
//! Leaves to others: what they all share (`desk`, `log`), and the work itself (the lower floors).

pub mod account;
pub mod add;
pub mod check;
pub mod circuits;
pub mod columns;
pub mod convert;
pub mod hunt;
pub mod map_source;
pub mod meaning;
pub mod next;
pub mod open;
pub mod practice;
pub mod practice_shown;
pub mod record;
pub mod score;
pub mod score_shown;
pub mod sheet;
pub mod settle;
pub mod settle_into;
pub mod stand;
pub mod strike;
pub mod suspects;
pub mod watch;
pub mod watch_sheet;

use super::desk::Desk;
use super::fail::{Exit, Fail};

/// The commands.
#[derive(Debug, clap::Subcommand)]
pub enum Command {
    /// Find a drain step by step, from the complaint to the proof
    Hunt(hunt::Hunt),
    /// Begin a session log without prompts
    Open(open::Open),
    /// Add a reading or a note to a session log
    Add(add::Add),
    /// Strike an entry out of a session log
    Strike(strike::Strike),
    /// Tell whether a session log is whole, and still the one whose seal was noted
    Check(check::Check),
    /// Say who is to blame, as the readings weigh it
    Suspects(suspects::Suspects),
    /// Say which reading to take next, and why
    Next(next::Next),
    /// Say where the total goes, feed by feed
    Account(account::Account),
    /// Convert millivolts across a fuse to milliampere
    Convert(convert::Convert),
    /// Print a sheet of millivolts by current and rating
    Sheet(sheet::Sheet),
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
    /// Draw a practice vehicle, or score hunts on many
    Practice(practice::Practice),
}

impl Command {
    /// Carries the command out.
    ///
    /// # Errors
    /// Whatever keeps it from being carried out, with its exit code.
    pub fn run(self, desk: &Desk) -> Result<Exit, Fail> {
        match self {
            Self::Hunt(hunt) => hunt.run(desk),
            Self::Open(open) => open.run(desk),
            Self::Add(add) => add.run(desk),
            Self::Strike(strike) => strike.run(desk),
            Self::Check(check) => check.run(desk),
            Self::Suspects(suspects) => suspects.run(desk),
            Self::Next(next) => next.run(desk),
            Self::Account(account) => account.run(desk),
            Self::Convert(convert) => convert.run(desk),
            Self::Sheet(sheet) => sheet.run(desk),
            Self::Record(record) => record.run(desk),
            Self::Settle(settle) => settle.run(desk),
            Self::Watch(watch) => watch.run(desk),
            Self::Stand(stand) => stand.run(desk),
            Self::Circuits(circuits) => circuits.run(desk),
            Self::Practice(practice) => practice.run(desk),
        }
    }
}
