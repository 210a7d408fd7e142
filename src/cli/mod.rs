//! The edge: the command tree, and the way from the arguments to the exit code.
//! Leaves to others: each command (`command`), the fronts (`ask`), streams and colours (`context`, `paint`).

pub mod ask;
pub mod clock;
pub(crate) mod command;
pub(crate) mod config;
pub(crate) mod curve;
pub(crate) mod display;
pub mod context;
pub(crate) mod drive;
mod said;
pub(crate) mod error;
pub(crate) mod errand;
pub(crate) mod files;
pub(crate) mod json;
pub(crate) mod keys;
pub mod live;
pub(crate) mod minus;
pub(crate) mod log;
pub mod paint;
pub(crate) mod progress;
pub(crate) mod signal;
pub(crate) mod source;
pub(crate) mod stream;
pub(crate) mod table;
pub(crate) mod thread;
pub(crate) mod typing;
pub(crate) mod wait;

use std::ffi::OsString;

use chrono::{DateTime, FixedOffset};
use clap::{ColorChoice, CommandFactory, FromArgMatches, Parser};
use command::Command;

use crate::base::styled::clean;
use crate::text::fault::argument::UNREADABLE;
use clock::Clock;
use config::Config;
use context::{Context, OutputFormat};
use error::{Exit, fault_lines};
use paint::{Color, Environment};

/// Find the circuit that flattens a parked vehicle's battery
#[derive(Debug, Parser)]
#[command(name = "fusetrail", version, arg_required_else_help = true, before_help = EXAMPLES)]
struct Arguments {
    #[command(flatten)]
    global: Global,
    #[command(subcommand)]
    command: Command,
}

/// What every command takes.
#[derive(Debug, clap::Args)]
struct Global {
    /// Form of the result: text for people, or json for programs
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t,
        value_name = "FORM",
        hide_possible_values = true,
        help_heading = "Everywhere"
    )]
    format: OutputFormat,
    /// When to use colours: auto, always or never; NO_COLOR and CLICOLOR_FORCE are obeyed
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t,
        value_name = "WHEN",
        hide_possible_values = true,
        help_heading = "Everywhere"
    )]
    color: Color,
    /// Say where settings were read, and what this build is
    #[arg(short, long, global = true, help_heading = "Everywhere")]
    verbose: bool,
    /// Let the clock of this run stand at TIME, moved only by practice; for tests
    #[arg(long, global = true, hide = true, value_name = "TIME", value_parser = clock::read_time)]
    at_start: Option<DateTime<FixedOffset>>,
}

const EXAMPLES: &str = "\
Examples:
  fusetrail hunt                     find a drain, step by step
  fusetrail hunt --practice          the same on a simulated vehicle
  fusetrail hunt x.hunt.yaml         go on with a hunt";

/// Help leads with the examples.
const TEMPLATE: &str = "{about-with-newline}\n{before-help}{usage-heading} {usage}\n\n{all-args}{after-help}";

/// Width of help in manual pages and completions, in columns.
const PAGE_WIDTH: usize = 80;

/// Widest help, in columns: longer lines are hard to read.
const WIDEST_HELP: usize = 100;

/// Returns the whole command tree, help wrapped to so many columns.
pub fn tree(width: usize, colour: bool) -> clap::Command {
    let choice = if colour { ColorChoice::Always } else { ColorChoice::Never };
    dressed(Arguments::command()).term_width(width.min(WIDEST_HELP)).color(choice)
}

fn dressed(command: clap::Command) -> clap::Command {
    command.help_template(TEMPLATE).disable_help_subcommand(true).mut_subcommands(dressed)
}

/// Runs the program with these arguments and returns its exit code.
pub fn main(arguments: impl Iterator<Item = OsString>) -> u8 {
    signal::listen();
    let arguments: Vec<OsString> = arguments.map(minus::negative).collect();
    let environment = Environment::read();
    let colour = environment.colour(asked_colour(&arguments), context::both_are_terminals());
    let parse = |arguments: &[OsString]| {
        let matches = tree(environment.width(), colour).try_get_matches_from(arguments)?;
        Arguments::from_arg_matches(&matches)
    };
    let parsed = match parse(&arguments) {
        Ok(parsed) => parsed,
        Err(error) => {
            // An error repeats what was typed, so it is told of what was typed cleaned. Where that would be no error,
            // the error as it came is told without the words that were typed. Whoever closed the pipe has seen enough.
            let told = parse(&cleaned(&arguments)).err();
            let told =
                told.unwrap_or_else(|| tree(environment.width(), colour).error(error.kind(), UNREADABLE));
            let _ = told.print();
            return if error.use_stderr() { Exit::Usage.code() } else { Exit::Done.code() };
        }
    };
    let clock = parsed.global.at_start.map_or(Clock::Wall, Clock::simulated);
    let mut context = Context::new(parsed.global.format, parsed.global.color, clock);
    match Config::read() {
        Ok(config) => context.config = config,
        Err(fault) => {
            context.talk(&fault_lines(&fault));
            return Exit::No.code();
        }
    }
    context.is_text_told = parsed.global.format == OutputFormat::Text && tells_format(&arguments);
    context.is_verbose = parsed.global.verbose;
    context.tree = || tree(PAGE_WIDTH, false);
    context.aside();
    match parsed.command.run(&context) {
        Ok(exit) => exit.code(),
        Err(fail) => {
            context.talk(&fail.faults.iter().flat_map(fault_lines).collect::<Vec<_>>());
            fail.exit.code()
        }
    }
}

/// Spells out what is hidden in arguments.
fn cleaned(arguments: &[OsString]) -> Vec<OsString> {
    arguments.iter().map(|text| OsString::from(clean(&text.to_string_lossy()))).collect()
}

/// Returns true if the form was asked for, not only taken.
fn tells_format(arguments: &[OsString]) -> bool {
    arguments.iter().filter_map(|text| text.to_str()).any(|text| text.split('=').next() == Some("--format"))
}

/// Finds `--color` before the arguments are parsed, for help and for errors of usage.
fn asked_colour(arguments: &[OsString]) -> Color {
    let texts: Vec<&str> = arguments.iter().filter_map(|text| text.to_str()).collect();
    let pairs = texts.iter().zip(texts.iter().skip(1).chain([&""]));
    let mut asked = pairs.filter_map(|(option, next)| match option.strip_prefix("--color") {
        Some("") => Some(*next),
        Some(rest) => rest.strip_prefix('='),
        None => None,
    });
    match asked.next() {
        Some("always") => Color::Always,
        Some("never") => Color::Never,
        _ => Color::Auto,
    }
}
