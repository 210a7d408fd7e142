//! A yes or no at a terminal, outside a hunt. Leaves to others: the questions of a hunt (`terminal`, `lines`).

use dialoguer::Confirm;

use crate::base::styled::clean;
use crate::cli::context::Context;

/// Asks a person; anything but yes is no, and so is a terminal that cannot be read. Nobody is asked where nobody is.
pub fn agrees(context: &Context, question: &str) -> bool {
    context.has_person()
        && Confirm::new().with_prompt(clean(question)).default(false).interact().unwrap_or(false)
}
