//! `add`: puts a reading, a disturbance or a note into the log. Its words are those of the table of kinds.
//! Leaves to others: how they are read (`log/typed`), what an entry means (`meaning`).

use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};
use clap::{Arg, ArgAction, ArgMatches, FromArgMatches, Subcommand};

use super::meaning::{self, EntryMeaning};
use crate::cli::clock;
use crate::cli::context::{Context, OutputFormat};
use crate::cli::drive::Log;
use crate::cli::error::{CliError, Exit};
use crate::cli::log::LogFile;
use crate::cli::minus::as_typed;
use crate::hunt::caution;
use crate::log::typed::{self, AFTER_REPAIR, TypedEvent, WHY};
use crate::measure::grammar::form;
use crate::measure::kind::{MeasurementKind, SlotValue};
use crate::text::help;

const EXAMPLES: &str = "\
Examples:
  fusetrail add x.hunt.yaml total 482mA
  fusetrail add x.hunt.yaml drop C12 3.0mV
  fusetrail add x.hunt.yaml drop C12=3.0mV C13=0.1mV C14=0
  fusetrail add x.hunt.yaml pull C12 482mA 77mA
  fusetrail add x.hunt.yaml limit 30mA --source \"service information\"";

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
    what: Words,
}

/// What is added, as words: the kind first. Made by hand rather than derived, since the kinds stand in a table.
#[derive(Debug)]
struct Words(Vec<String>);

/// Name of the argument that takes the words behind the kind.
const REST: &str = "words";

/// Options that stand for a word in the line, and what they are.
const SOURCE: &str = "source";

fn word_command(word: &'static str, about: &'static str, form: String) -> clap::Command {
    let rest = Arg::new(REST).required(true).num_args(1..).value_name("WORDS").help(form);
    clap::Command::new(word).about(about).arg(rest)
}

/// The words for flags begin with two hyphens in the line too.
fn flag(word: &'static str) -> Arg {
    Arg::new(word).long(word.trim_start_matches('-')).action(ArgAction::SetTrue).help(help::flag(word))
}

/// Returns the words of the flags of a kind.
fn flags(kind: MeasurementKind) -> impl Iterator<Item = &'static str> {
    let own = kind.row().slots.iter().filter_map(|slot| match slot.value {
        SlotValue::Flag(word) => Some(word),
        SlotValue::Number(_) | SlotValue::Word(_) => None,
    });
    own.chain([AFTER_REPAIR])
}

fn kind_command(kind: MeasurementKind) -> clap::Command {
    let row = kind.row();
    let why = Arg::new(WHY).long("why").value_name("REASON").help(help::WHY);
    let command = word_command(row.word, help::kind(kind), form(kind));
    command.args((!row.barred_on.is_empty()).then_some(why)).args(flags(kind).map(flag))
}

impl Subcommand for Words {
    fn augment_subcommands(command: clap::Command) -> clap::Command {
        let kinds = MeasurementKind::typed().map(kind_command);
        let events = TypedEvent::ALL.into_iter().map(|(event, word)| {
            let command = word_command(word, help::event(event), "Value or words".to_owned());
            let source = Arg::new(SOURCE).long(SOURCE).value_name("TEXT").help(help::SOURCE_OF_LIMIT);
            if event == TypedEvent::Limit { command.arg(source) } else { command }
        });
        command.subcommands(kinds.chain(events)).subcommand_required(true)
    }

    fn augment_subcommands_for_update(command: clap::Command) -> clap::Command {
        Self::augment_subcommands(command)
    }

    fn has_subcommand(name: &str) -> bool {
        MeasurementKind::typed().any(|kind| kind.row().word == name)
            || TypedEvent::ALL.iter().any(|(_, word)| *word == name)
    }
}

impl FromArgMatches for Words {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut words = Vec::new();
        if let Some((word, given)) = matches.subcommand() {
            words.push(word.to_owned());
            words.extend(given.get_many::<String>(REST).into_iter().flatten().map(|word| as_typed(word)));
            let is_set = |name: &str| given.try_get_one::<bool>(name).ok().flatten() == Some(&true);
            let flags = MeasurementKind::of_word(word).into_iter().flat_map(flags);
            words.extend(flags.filter(|word| is_set(word)).map(str::to_owned));
            for (name, before) in [(SOURCE, None), (WHY, Some(WHY.to_owned()))] {
                if let Some(text) = given.try_get_one::<String>(name).ok().flatten() {
                    words.extend(before.into_iter().chain([text.clone()]));
                }
            }
        }
        Ok(Self(words))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Add {
    /// Carries the command out.
    ///
    /// # Errors
    /// A value or a name that cannot be read: then nothing at all is added. Or the log cannot be written.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let mut log = LogFile::open(&self.log)?;
        context.talk(log.notes());
        let at = self.at.unwrap_or_else(|| context.clock.now());
        let bodies = typed::entered_at(log.case(), at, typed::read(log.case(), &self.what.0)?);
        context.talk(caution::shown_by_add(log.case(), &bodies).as_slice());
        let first = log.case().entries + 1;
        log.append(at, &bodies)?;
        let numbers: Vec<usize> = (first..=log.case().entries).collect();
        let meant = meaning::of(log.case(), first, &bodies);
        let shown = match context.format {
            OutputFormat::Json => context.print_json(&meaning::shape(&meant)),
            OutputFormat::Text => {
                context.talk(&meant.iter().flat_map(EntryMeaning::warning_lines).collect::<Vec<_>>());
                context.print(&meant.iter().flat_map(EntryMeaning::lines).collect::<Vec<_>>())
            }
        };
        context.after_keeping(&numbers, shown)
    }
}
