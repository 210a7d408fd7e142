//! Threads: begun with a name, and a diagnostic where the system gives none. Leaves to others: what they do.

use std::thread::Builder;

use crate::base::diagnostic::Diagnostic;

/// Begins a thread of this name.
///
/// # Errors
/// The system gives no thread: too many processes of this user, or no memory.
pub fn start(name: &str, work: impl FnOnce() + Send + 'static) -> Result<(), Diagnostic> {
    let begun = Builder::new().name(name.to_owned()).spawn(work);
    begun.map(drop).map_err(|error| Diagnostic::no_thread(&error))
}
