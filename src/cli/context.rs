//! What a command has before it: stdout for the result, stderr for talk, the form, the width and the clock.
//! Leaves to others: what is said, and how it looks (`paint`).
#![allow(clippy::disallowed_methods, reason = "the one place that holds stdout and stderr")]

use std::io::{self, IsTerminal, Write};

use serde::Serialize;

use super::clock::Clock;
use super::config::Config;
use super::display::Display;
use super::error::{CliError, Exit};
use super::json;
use super::paint::{Color, Environment, paint};
use super::table::Table;
use crate::base::styled::{Role, StyledText};
use crate::circuit::fuse_table::FuseTable;
use crate::text::shell;
use crate::text::whole::not_shown;

/// Form of the result.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum OutputFormat {
    /// For people.
    #[default]
    Text,
    /// For programs: all keys always present.
    Json,
}

/// Returns true if both streams that help and errors of usage go to are terminals.
pub fn both_are_terminals() -> bool {
    io::stdout().is_terminal() && io::stderr().is_terminal()
}

/// The surroundings of a run.
#[derive(Debug, Clone)]
pub struct Context {
    /// Form of the result.
    pub format: OutputFormat,
    /// True if the form for people was asked for, not only taken: `record` then prints its page.
    pub is_text_told: bool,
    /// True if it is to be said what this run stands on.
    pub is_verbose: bool,
    /// True if the terminal's bell is to ring where somebody should come.
    bell: bool,
    /// The user's settings.
    pub config: Config,
    /// Makes the whole command tree, for completions and manual pages.
    pub tree: fn() -> clap::Command,
    /// The clock.
    pub clock: Clock,
    /// What the environment says.
    pub environment: Environment,
    colour_out: bool,
    colour_talk: bool,
}

impl Context {
    /// Sets the context.
    pub fn new(format: OutputFormat, color: Color, clock: Clock) -> Self {
        let environment = Environment::read();
        let colour_out = environment.colour(color, io::stdout().is_terminal());
        let colour_talk = environment.colour(color, io::stderr().is_terminal());
        Self {
            format,
            is_text_told: false,
            is_verbose: false,
            bell: false,
            config: Config::default(),
            tree: clap::Command::default,
            clock,
            environment,
            colour_out,
            colour_talk,
        }
    }

    /// Sets whether the bell rings.
    #[must_use]
    pub fn with_bell(self, bell: bool) -> Self {
        Self { bell, ..self }
    }

    /// Says what was asked for with `-v`: the build, and where settings were read.
    pub fn aside(&self) {
        if self.is_verbose {
            let tables = FuseTable::builtin().version();
            let build = StyledText::of(Role::Hint, shell::build(env!("CARGO_PKG_VERSION"), tables));
            self.talk(&[build]);
            self.talk(&self.config.told());
        }
    }

    fn display(&self) -> Display {
        Display { fahrenheit: self.config.fahrenheit, comma: self.config.comma }
    }

    /// Returns the width in columns.
    pub fn width(&self) -> usize {
        self.environment.width()
    }

    /// Returns true if a person can be asked: stdin and stderr are both terminals. With one of them piped a
    /// prompt would wait for ever on a terminal that nobody looks at.
    pub fn has_person(&self) -> bool {
        io::stdin().is_terminal() && io::stderr().is_terminal()
    }

    /// Writes lines of the result, wrapped.
    ///
    /// # Errors
    /// The stream cannot be written to.
    pub fn print(&self, lines: &[StyledText]) -> Result<(), CliError> {
        self.print_raw(&paint(&self.display().lines(lines), self.width(), self.colour_out))
    }

    /// Shows lines of a hunt: the result for people, talk where a program wants JSON. That nobody reads any more is
    /// no reason to stop a hunt.
    pub fn show(&self, lines: &[StyledText]) {
        match self.format {
            OutputFormat::Text => drop(self.print(lines)),
            OutputFormat::Json => self.talk(lines),
        }
    }

    /// Writes a table of the result.
    ///
    /// # Errors
    /// The stream cannot be written to.
    pub fn print_table(&self, table: &Table) -> Result<(), CliError> {
        self.print_raw(&self.display().text(&table.render(self.width())))
    }

    /// Writes a text of the result as it stands: YAML, CSV, JSON. Whoever made it has seen to it that nothing foreign in
    /// it is a control character.
    ///
    /// # Errors
    /// The stream cannot be written to.
    pub fn print_raw(&self, text: &str) -> Result<(), CliError> {
        let mut out = io::stdout().lock();
        out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(|error| CliError::stream(&error))
    }

    /// Writes the result as one JSON document.
    ///
    /// # Errors
    /// The stream cannot be written to, or the value has no JSON form.
    pub fn print_json(&self, value: &impl Serialize) -> Result<(), CliError> {
        self.print_raw(&json::document(value)?)
    }

    /// Ends a command that has put entries into a log and then shown what they mean: where that could not be shown,
    /// it says that they are in the log all the same, so that nobody enters them twice.
    ///
    /// # Errors
    /// What was shown could not be.
    pub fn after_keeping(&self, entries: &[usize], shown: Result<(), CliError>) -> Result<Exit, CliError> {
        if shown.is_err() {
            self.talk(&[not_shown(entries)]);
        }
        shown.map(|()| Exit::Done)
    }

    /// Says something aside, on stderr. That nobody may be listening any more is no reason to stop.
    pub fn talk(&self, lines: &[StyledText]) {
        self.talk_raw(&paint(&self.display().lines(lines), self.width(), self.colour_talk));
    }

    /// Rings, if that is wanted and somebody sits at the terminal.
    pub fn ring(&self) {
        if self.bell && io::stderr().is_terminal() {
            self.talk_raw("\u{7}");
        }
    }

    /// Says a text aside as it stands, such as a prompt without a line end.
    pub fn talk_raw(&self, text: &str) {
        let mut err = io::stderr().lock();
        let _ = err.write_all(text.as_bytes()).and_then(|()| err.flush());
    }
}
