//! Live meters: each on a thread of its own, so that neither a prompt nor the settling screen ever waits for one.
//! Leaves to others: how a meter is named (`spec`), the line to it (`link`), what it says (`instrument/live`).
#![allow(clippy::disallowed_methods, reason = "waits between two looks at a meter")]

pub(crate) mod link;
pub mod spec;

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, TryRecvError, TrySendError, sync_channel};
use std::thread::sleep;
use std::time::Duration;

use self::spec::Spec;
use super::thread;
use crate::base::diagnostic::Diagnostic;
use crate::instrument::live::{LiveReading, LiveTrouble, Meter, Sense};
use crate::text::fault::file::METER;

/// Time after which a meter that is gone is tried again.
const AGAIN: Duration = Duration::from_secs(2);

/// Time between two questions to a meter that has to be asked.
pub const BETWEEN: Duration = Duration::from_millis(500);

/// Readings that wait to be heard.
const WAITING: usize = 1024;

/// What becomes of readings that nobody hears for long.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unheard {
    /// They wait, and so does the meter: none is lost.
    Wait,
    /// They are dropped: only the present counts.
    Drop,
}

/// What is sent from the thread of a meter.
type Sent = (Sense, Result<LiveReading, LiveTrouble>);

/// What was heard of a meter.
#[derive(Debug, Clone, PartialEq)]
pub enum Heard {
    /// It shows something.
    Shown(LiveReading),
    /// It shows nothing, and why.
    Trouble(LiveTrouble),
    /// Nothing yet.
    Nothing,
    /// It will never show anything again: its input has ended.
    Over,
}

/// A meter at work.
#[derive(Debug)]
pub struct Live {
    name: String,
    volts: Arc<AtomicBool>,
    heard: Receiver<Sent>,
}

impl Live {
    /// Opens the line to a meter and sets it to work. One that has to be asked is asked after `between` again.
    ///
    /// # Errors
    /// The line cannot be opened.
    pub fn start(spec: Spec, between: Duration, unheard: Unheard) -> Result<Self, Diagnostic> {
        let name = spec.name();
        let first = link::open(&spec)
            .map_err(|trouble| Diagnostic::new(trouble.to_string()).in_field(&name).remedy(METER))?;
        let between = if spec.has_to_be_asked() { between } else { Duration::ZERO };
        Self::of(name, first, move || again(&spec), between, unheard)
    }

    /// Sets a meter to work: the one that is open, then whatever `again` opens once that is gone; `None` if it never
    /// comes back.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn of(
        name: String,
        first: Box<dyn Meter + Send>,
        again: impl Fn() -> Option<Result<Box<dyn Meter + Send>, LiveTrouble>> + Send + 'static,
        between: Duration,
        unheard: Unheard,
    ) -> Result<Self, Diagnostic> {
        let volts = Arc::new(AtomicBool::new(false));
        let wanted = Arc::clone(&volts);
        let (sender, heard) = sync_channel(WAITING);
        thread::start("meter", move || {
            let mut open = Some(first);
            loop {
                let sense = if wanted.load(Ordering::SeqCst) { Sense::Volts } else { Sense::Current };
                let read = match &mut open {
                    Some(meter) => meter.read(sense),
                    None => {
                        sleep(AGAIN);
                        match again() {
                            None => return,
                            Some(Ok(meter)) => {
                                open = Some(meter);
                                continue;
                            }
                            Some(Err(trouble)) => Err(trouble),
                        }
                    }
                };
                if matches!(read, Err(LiveTrouble::Gone(_))) {
                    open = None;
                }
                if !send(&sender, (sense, read), unheard) {
                    return;
                }
                sleep(between);
            }
        })?;
        Ok(Self { name, volts, heard })
    }

    /// Returns the name of the meter, as it was given.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Says what is to be measured from now on; what was heard before is forgotten.
    pub fn turn_to(&self, sense: Sense) {
        self.volts.store(sense == Sense::Volts, Ordering::SeqCst);
        // No more than wait at once: a fast meter goes on meanwhile.
        for _ in 0..=WAITING {
            if self.heard.try_recv().is_err() {
                return;
            }
        }
    }

    /// Returns what was heard next, waiting no longer than this for it.
    pub fn hear(&self, patience: Duration) -> Heard {
        match self.heard.recv_timeout(patience) {
            Ok(heard) => self.told(heard),
            Err(RecvTimeoutError::Timeout) => Heard::Nothing,
            Err(RecvTimeoutError::Disconnected) => Heard::Over,
        }
    }

    /// Returns what was heard next, without waiting.
    pub fn hear_now(&self) -> Heard {
        match self.heard.try_recv() {
            Ok(heard) => self.told(heard),
            Err(TryRecvError::Empty) => Heard::Nothing,
            Err(TryRecvError::Disconnected) => Heard::Over,
        }
    }

    /// A reading that was under way when the meter was turned to something else does not count.
    fn told(&self, (sense, read): Sent) -> Heard {
        let wanted = self.volts.load(Ordering::SeqCst);
        match read {
            _ if wanted != (sense == Sense::Volts) => Heard::Nothing,
            Ok(shown) => Heard::Shown(shown),
            Err(trouble) => Heard::Trouble(trouble),
        }
    }
}

/// Opens the line anew; `None` for standard input, which does not come back.
fn again(spec: &Spec) -> Option<Result<Box<dyn Meter + Send>, LiveTrouble>> {
    (!spec.takes_stdin()).then(|| link::open(spec))
}

/// Sends what was read; false once nobody will ever hear it.
fn send(sender: &SyncSender<Sent>, read: Sent, unheard: Unheard) -> bool {
    match unheard {
        Unheard::Wait => sender.send(read).is_ok(),
        Unheard::Drop => !matches!(sender.try_send(read), Err(TrySendError::Disconnected(_))),
    }
}
