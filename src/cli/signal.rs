//! Ctrl-C, a closed terminal and a request to end: each only sets a flag, which prompts and waits look at.
//! Leaves to others: leaving raw mode and saying how to go on (`keys`, `drive`).
#![allow(clippy::disallowed_methods, reason = "waits a moment for a signal to arrive")]

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

static STOPPED: AtomicBool = AtomicBool::new(false);

/// Begins to listen. Where the system allows no handler, Ctrl-C ends the process at once, which loses nothing:
/// every accepted entry is on disk already.
pub fn listen() {
    let _ = ctrlc::set_handler(|| STOPPED.store(true, Ordering::SeqCst));
}

/// Returns true once the program was asked to stop.
pub fn stopped() -> bool {
    STOPPED.load(Ordering::SeqCst)
}

/// Returns true if the program was asked to stop, giving the news some time to arrive.
pub fn stopped_within(patience: Duration) -> bool {
    let step = Duration::from_millis(5);
    let mut waited = Duration::ZERO;
    while !stopped() && waited < patience {
        std::thread::sleep(step);
        waited += step;
    }
    stopped()
}
