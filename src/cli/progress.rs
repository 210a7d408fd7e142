//! How far a long piece of work is: a bar on a terminal, elsewhere a plain line a minute.
//! Leaves to others: the work, and the wait of a hunt (`wait`).
#![allow(
    clippy::disallowed_methods,
    reason = "measures the real time between two lines, which no result depends on"
)]

use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::context::Context;
use crate::base::styled::{Role, StyledText};

/// Time between two plain lines.
const BETWEEN_LINES: Duration = Duration::from_secs(60);

/// Progress of one piece of work on stderr.
pub struct Progress<'a> {
    context: &'a Context,
    what: &'static str,
    of: u64,
    done: u64,
    bar: Option<ProgressBar>,
    last: Instant,
}

impl<'a> Progress<'a> {
    /// Begins; `what` is counted, such as `vehicles`.
    pub fn new(context: &'a Context, what: &'static str, of: usize) -> Self {
        let of = of as u64;
        let bar = context.has_person().then(|| {
            let bar = ProgressBar::with_draw_target(Some(of), ProgressDrawTarget::stderr());
            let form = "{bar:30} {pos} of {len} {msg}, {eta} left";
            // A form that does not read leaves the library's own.
            let style = ProgressStyle::with_template(form).unwrap_or_else(|_| ProgressStyle::default_bar());
            bar.with_style(style).with_message(what)
        });
        Self { context, what, of, done: 0, bar, last: Instant::now() }
    }

    /// One more is done.
    pub fn one_done(&mut self) {
        self.done += 1;
        if let Some(bar) = &self.bar {
            bar.inc(1);
        } else if self.last.elapsed() >= BETWEEN_LINES {
            self.last = Instant::now();
            let text = format!("{} of {} {}", self.done, self.of, self.what);
            self.context.talk(&[StyledText::of(Role::Hint, text)]);
        }
    }

    /// Ends; the bar goes from the screen.
    pub fn end(self) {
        if let Some(bar) = self.bar {
            bar.finish_and_clear();
        }
    }
}
