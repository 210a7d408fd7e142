//! A yes or no at a terminal, outside a hunt. Leaves to others: the questions of a hunt (`terminal`, `lines`).

use dialoguer::Confirm;

use crate::cli::desk::Desk;
use crate::piece::clean;

/// Asks a person; anything but yes is no, and so is a terminal that cannot be read. Nobody is asked where nobody is.
pub fn agrees(desk: &Desk, question: &str) -> bool {
    desk.has_person()
        && Confirm::new().with_prompt(clean(question)).default(false).interact().unwrap_or(false)
}
