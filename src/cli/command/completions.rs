//! `completions`: what a shell needs to complete commands and options, made from the same definitions as the help.

use clap_complete::{Shell, generate};

use crate::cli::context::Context;
use crate::cli::error::{CliError, Exit};

const EXAMPLES: &str = "\
Examples:
  fusetrail completions bash >> ~/.bash_completion
  fusetrail completions fish > ~/.config/fish/completions/fusetrail.fish
  fusetrail completions powershell >> $PROFILE";

/// Arguments of `completions`.
#[derive(Debug, clap::Args)]
#[command(before_help = EXAMPLES, arg_required_else_help = true)]
pub struct Completions {
    /// Shell: bash, zsh, fish, powershell or elvish
    #[arg(value_enum, hide_possible_values = true)]
    shell: Shell,
}

impl Completions {
    /// Carries the command out.
    ///
    /// # Errors
    /// The stream cannot be written to.
    pub fn run(self, context: &Context) -> Result<Exit, CliError> {
        let mut out = Vec::new();
        generate(self.shell, &mut (context.tree)(), "fusetrail", &mut out);
        context.print_raw(&String::from_utf8_lossy(&out))?;
        Ok(Exit::Done)
    }
}
