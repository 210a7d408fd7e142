//! Ctrl-C, a closed terminal and a request to end. The first asks for an orderly end: it sets a flag, which prompts and
//! waits look at. A second one, or two seconds after the first, ends the process at once, and so does the first where
//! nobody looks. What was accepted is on disk already, and files appear whole or not at all.
//! Leaves to others: the modes of the terminal (`keys`), saying how to go on (`drive`).
#![allow(clippy::disallowed_methods, reason = "waits for an orderly end, then ends the process")]

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::sync_channel;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use super::error::Exit;
use super::{keys, thread};

/// Time for an orderly end.
const GRACE: Duration = Duration::from_secs(2);

/// Signals that come within this time of the first belong to it: a closing window sends several at once.
const TOGETHER: Duration = Duration::from_millis(100);

/// How often it is looked whether the end may come.
const LOOK: Duration = Duration::from_millis(10);

/// Time for the terminal to take its old modes; one that takes nothing any more keeps nobody.
const FAREWELL: Duration = Duration::from_millis(200);

static STOPPED: AtomicBool = AtomicBool::new(false);
/// How many look at the flag; `None` once the end has come.
static HEEDED: Mutex<Option<usize>> = Mutex::new(Some(0));

fn heeded_by() -> MutexGuard<'static, Option<usize>> {
    HEEDED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// As long as this lives somebody looks at the flag, or finishes soon what must not be broken off: the process is given
/// time for an orderly end.
#[derive(Debug)]
pub struct Heeded(());

/// Says that the flag is looked at from now on. Once the end has come it does not return: nothing more is begun.
pub fn heeded() -> Heeded {
    loop {
        if let Some(count) = &mut *heeded_by() {
            *count += 1;
            return Heeded(());
        }
        std::thread::sleep(LOOK);
    }
}

impl Drop for Heeded {
    fn drop(&mut self) {
        if let Some(count) = &mut *heeded_by() {
            *count -= 1;
        }
    }
}

/// Lets the end come; false if somebody still looks at the flag.
fn end_has_come() -> bool {
    let mut count = heeded_by();
    if *count == Some(0) {
        *count = None;
    }
    count.is_none()
}

/// Returns true once the program was asked to stop.
pub fn stopped() -> bool {
    STOPPED.load(Ordering::SeqCst)
}

/// Returns true if the program was asked to stop, giving the news some time to arrive.
pub fn stopped_within(patience: Duration) -> bool {
    let mut waited = Duration::ZERO;
    while !stopped() && waited < patience {
        std::thread::sleep(LOOK);
        waited += LOOK;
    }
    stopped()
}

/// The first signal is here: gives time for an orderly end, unless `again` tells of another signal.
fn end_after(mut again: impl FnMut() -> bool) -> ! {
    STOPPED.store(true, Ordering::SeqCst);
    let mut waited = Duration::ZERO;
    while !end_has_come() && waited < GRACE {
        std::thread::sleep(LOOK);
        waited += LOOK;
        if again() && waited > TOGETHER {
            break;
        }
    }
    *heeded_by() = None;
    let (done, restored) = sync_channel(1);
    let begun = thread::start("farewell", move || {
        keys::leave();
        let _ = done.send(());
    });
    match begun {
        Ok(()) => drop(restored.recv_timeout(FAREWELL)),
        Err(_) => keys::leave(),
    }
    std::process::exit(i32::from(Exit::Interrupted.code()))
}

/// Begins to listen. Where that cannot be had, a signal ends the process at once, as the system has it.
pub fn listen() {
    system::listen();
}

#[cfg(unix)]
mod system {
    use std::sync::Arc;
    use std::sync::atomic::AtomicBool;

    use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM, SIGXFSZ};
    use signal_hook::flag;
    use signal_hook::iterator::Signals;

    pub fn listen() {
        // A file that may grow no further is a full disk: the write fails, and is no reason to die.
        let _ = flag::register(SIGXFSZ, Arc::default());
        let heard = [SIGINT, SIGTERM, SIGHUP];
        let Ok(mut signals) = Signals::new(heard) else { return };
        let attend = move || {
            if signals.forever().next().is_some() {
                super::end_after(|| signals.pending().count() > 0);
            }
        };
        if super::thread::start("signals", attend).is_err() {
            for signal in heard {
                let _ = flag::register_conditional_default(signal, Arc::new(AtomicBool::new(true)));
            }
        }
    }
}

#[cfg(not(unix))]
mod system {
    pub fn listen() {
        let _ = ctrlc::set_handler(|| super::end_after(|| false));
    }
}
