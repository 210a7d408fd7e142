//! What may be long in coming, such as a line or a key, read on a thread of its own and only when it is asked for: so
//! nothing piles up, and whoever waits can look at the clock and at the signals meanwhile.
//! Leaves to others: what is read (`keys`, `ask/lines`).

use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::time::Duration;

use super::thread;
use crate::base::diagnostic::Diagnostic;

/// Nothing more will come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SourceEnd;

/// Pieces read one by one.
#[derive(Debug)]
pub struct InputSource<T> {
    ask: SyncSender<()>,
    pieces: Receiver<T>,
    /// True while a piece was asked for and has not come yet.
    asked: bool,
}

impl<T: Send + 'static> InputSource<T> {
    /// Begins the thread, which calls `read` for each piece that is asked for until that returns `None`.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn start(
        name: &str,
        mut read: impl FnMut() -> Option<T> + Send + 'static,
    ) -> Result<Self, Diagnostic> {
        let (ask, asked) = sync_channel(1);
        let (send, pieces) = sync_channel(1);
        thread::start(name, move || {
            for () in asked {
                let Some(piece) = read() else { return };
                if send.send(piece).is_err() {
                    return;
                }
            }
        })?;
        Ok(Self { ask, pieces, asked: false })
    }

    /// Asks for the next piece and waits no longer than this for it; `None` if it has not come by then.
    ///
    /// # Errors
    /// There are no more.
    pub fn take(&mut self, patience: Duration) -> Result<Option<T>, SourceEnd> {
        if !self.asked {
            self.ask.send(()).map_err(|_| SourceEnd)?;
            self.asked = true;
        }
        match self.pieces.recv_timeout(patience) {
            Ok(piece) => {
                self.asked = false;
                Ok(Some(piece))
            }
            Err(RecvTimeoutError::Timeout) => Ok(None),
            Err(RecvTimeoutError::Disconnected) => Err(SourceEnd),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};

    #[test]
    fn nothing_is_read_ahead_and_the_end_stays_the_end() {
        let read = Arc::new(AtomicUsize::new(0));
        let count = Arc::clone(&read);
        let next = move || {
            let at = count.fetch_add(1, Ordering::SeqCst);
            (at < 2).then_some(at)
        };
        let mut source = InputSource::start("numbers", next).expect("a thread");
        let long = Duration::from_secs(20);
        assert_eq!(source.take(long), Ok(Some(0)));
        assert_eq!(read.load(Ordering::SeqCst), 1, "the second is not read before it is asked for");
        assert_eq!((source.take(long), source.take(long)), (Ok(Some(1)), Err(SourceEnd)));
        assert_eq!(source.take(long), Err(SourceEnd));
    }
}
