//! Who answers where no answers file is given.

use super::{Prompter, lines, terminal};
use crate::base::diagnostic::Diagnostic;
use crate::cli::context::Context;

/// Chooses who answers where no answers file is given: a person at a terminal, else lines. A screen that takes no
/// control codes gets lines too, and so does who wants it plain: choices then are numbered lists.
///
/// # Errors
/// The system gives no thread.
pub fn choose(context: &Context, plain: bool) -> Result<Box<dyn Prompter>, Diagnostic> {
    if plain {
        return Ok(Box::new(lines::LinePrompter::from_stdin(context.clone())?.numbered()));
    }
    Ok(if context.has_person() && !context.environment.dumb {
        Box::new(terminal::Terminal::new(context.clone())?)
    } else {
        Box::new(lines::LinePrompter::from_stdin(context.clone())?)
    })
}
