//! `man`: manual pages, made from the same definitions as the help, examples first.

use std::path::{Path, PathBuf};

use clap_mangen::Man;

use crate::base::diagnostic::Diagnostic;
use crate::base::styled::StyledText;
use crate::cli::context::Context;
use crate::cli::error::{CliError, Exit};
use crate::cli::files;
use crate::text::shell::pages;

const EXAMPLES: &str = "\
Examples:
  fusetrail man | man -l -                     the page of fusetrail
  fusetrail man hunt | man -l -                the page of one command
  fusetrail man --to ~/.local/share/man/man1   all of them into a folder";

/// Arguments of `man`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES)]
pub struct ManCommand {
    /// Command whose page is printed; without it that of fusetrail
    command: Option<String>,
    /// Write every page into FOLDER
    #[arg(long, value_name = "FOLDER", conflicts_with = "command")]
    to: Option<PathBuf>,
}

impl ManCommand {
    /// Carries the command out.
    ///
    /// # Errors
    /// There is no such command, or the folder cannot be written to.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let tree = (context.tree)();
        if let Some(folder) = &self.to {
            let count = write_all(folder, &tree)?;
            context.print(&[StyledText::plain(pages(count, &folder.to_string_lossy()))])?;
            return Ok(Exit::Done);
        }
        let command = match &self.command {
            None => tree,
            Some(name) => {
                let found = tree.find_subcommand(name).cloned();
                let unknown = || Diagnostic::new(format!("no command is called \"{name}\""));
                named(found.ok_or_else(|| CliError::usage(unknown()))?, name)
            }
        };
        context.print_raw(&page(command)?)?;
        Ok(Exit::Done)
    }
}

/// A page is called like its command, words joined by a hyphen.
fn named(command: clap::Command, name: &str) -> clap::Command {
    command.display_name(format!("fusetrail-{name}")).bin_name(format!("fusetrail {name}"))
}

fn write_all(folder: &Path, tree: &clap::Command) -> Result<usize, CliError> {
    files::make_folder(folder)?;
    let own = tree.get_subcommands().map(|command| named(command.clone(), command.get_name()));
    let mut count = 0;
    for command in own.chain([tree.clone()]) {
        let file = folder.join(format!("{}.1", title(&command)));
        files::write(&file, &page(command)?)?;
        count += 1;
    }
    Ok(count)
}

/// Returns the name of a command's page.
fn title(command: &clap::Command) -> String {
    command.get_display_name().unwrap_or(command.get_name()).to_owned()
}

/// Returns the page of a command: name, synopsis, examples, what it takes.
fn page(command: clap::Command) -> Result<String, CliError> {
    let examples = command.get_before_help().map(ToString::to_string).unwrap_or_default();
    let has_commands = command.has_subcommands();
    let title = title(&command);
    let man = Man::new(command.before_help("")).title(title);
    let mut out = Vec::new();
    let fail = |error: std::io::Error| CliError::stream(&error);
    man.render_title(&mut out).map_err(fail)?;
    man.render_name_section(&mut out).map_err(fail)?;
    man.render_synopsis_section(&mut out).map_err(fail)?;
    out.extend(example_section(&examples).into_bytes());
    man.render_description_section(&mut out).map_err(fail)?;
    man.render_options_section(&mut out).map_err(fail)?;
    if has_commands {
        man.render_subcommands_section(&mut out).map_err(fail)?;
    }
    Ok(String::from_utf8_lossy(&out).into_owned())
}

/// Examples as they stand, in the language of manual pages.
fn example_section(examples: &str) -> String {
    let lines = examples.lines().filter(|line| line.trim() != "Examples:");
    let line = |line: &str| {
        let line = line.strip_prefix("  ").unwrap_or(line).replace('\\', "\\e").replace('-', "\\-");
        if line.starts_with(['.', '\'']) { format!("\\&{line}\n") } else { format!("{line}\n") }
    };
    let body: String = lines.map(line).collect();
    if body.is_empty() { body } else { format!(".SH EXAMPLES\n.nf\n{body}.fi\n") }
}
