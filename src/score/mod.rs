//! Scoring: many practice vehicles hunted without prompts or files, straight through the library, by the plan and by
//! two habits of the trade, and each finding held against the hidden truth. The one place under practice that knows
//! the estimator; the simulated vehicle itself does not.
//! Leaves to others: one hunt (`bench` and the policies), judging (`judge`), sums (`tally`), the table (`cli`).

mod bench;
mod bounds;
mod halving;
mod judge;
#[cfg(test)]
mod maps;
mod panel;
mod planned;
mod policy;
mod scored;
mod shorthand;
mod subject;
mod tally;

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc;

use crate::base::diagnostic::Diagnostic;
use crate::circuit::fuse_table::FuseTable;

pub use judge::Judged;
pub use policy::{Name, Policy, Said};
pub use scored::Scored;
pub use subject::{MapKind, ScoreWorld, Shop, Task, TruthFilter, TruthKind};
pub use tally::{Bin, Group, Tally, bounds, ratio, tally};

/// Scores vehicles in the order of their seeds. `done` is told each time one more is done; once it returns false no
/// more are begun, and what is done by then is returned.
///
/// # Errors
/// The embedded fuse or meter table does not read: a fault of this build.
pub fn score(task: &Task, mut done: impl FnMut() -> bool) -> Result<Vec<Scored>, Diagnostic> {
    let table = FuseTable::builtin();
    let subjects = subject::subjects(task)?;
    let next = AtomicUsize::new(0);
    let stop = AtomicBool::new(false);
    // Nothing is queued: a thread begins at most one vehicle more before it hears that it is to stop.
    let (send, results) = mpsc::sync_channel(0);
    let work = |send: mpsc::SyncSender<(usize, Scored)>| {
        while !stop.load(Ordering::Relaxed) {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(subject) = subjects.get(at) else { return };
            if send.send((at, Scored::of(subject, task.policies, table))).is_err() {
                return;
            }
        }
    };
    let mut scored: Vec<(usize, Scored)> = std::thread::scope(|scope| {
        let mut begun = 0;
        for _ in 0..task.threads.get() {
            let send = send.clone();
            // Where the system gives no further thread, those that there are do all the work.
            match std::thread::Builder::new().spawn_scoped(scope, || work(send)) {
                Ok(_) => begun += 1,
                Err(error) if begun == 0 => return Err(Diagnostic::no_thread(&error)),
                Err(_) => break,
            }
        }
        // The results end once every thread has dropped its sender.
        drop(send);
        let note = |one| {
            if !done() {
                stop.store(true, Ordering::Relaxed);
            }
            one
        };
        Ok(results.into_iter().map(note).collect())
    })?;
    scored.sort_by_key(|(at, _)| *at);
    Ok(scored.into_iter().map(|(_, scored)| scored).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sim::Hands;
    use crate::sim::sample::map;
    use std::num::NonZeroUsize;

    fn run(threads: usize, wanted: TruthFilter, vehicles: usize) -> Vec<Scored> {
        let worlds = [ScoreWorld::new("sample", map(), MapKind::Diagram).expect("sound")];
        let threads = NonZeroUsize::new(threads).expect("above zero");
        let policies = &Policy::ALL;
        let task = Task {
            worlds: &worlds,
            first: 7,
            vehicles,
            policies,
            wanted,
            hands: Hands::Plain,
            shop: &Shop::default(),
            threads,
        };
        score(&task, || true).expect("the tables read")
    }

    #[test]
    fn the_result_does_not_depend_on_the_number_of_threads() {
        let alone = run(1, TruthFilter::Any, 12);
        assert_eq!(alone, run(5, TruthFilter::Any, 12));
        let seeds: Vec<u64> = alone.iter().map(|scored| scored.seed).collect();
        assert_eq!(seeds, (7..19).collect::<Vec<u64>>());
    }

    #[test]
    fn a_wanted_kind_gives_the_vehicles_that_any_would_give_at_their_seeds() {
        let any = run(2, TruthFilter::Any, 40);
        for scored in run(2, TruthFilter::Only(TruthKind::Two), 4) {
            assert_eq!(scored.kind, TruthKind::Two);
            assert!(any.iter().filter(|other| other.seed == scored.seed).all(|other| *other == scored));
        }
    }

    #[test]
    fn it_stops_when_told_and_keeps_what_is_done() {
        let worlds = [ScoreWorld::new("sample", map(), MapKind::Diagram).expect("sound")];
        let threads = NonZeroUsize::MIN;
        let policies = &[Policy::Panel];
        let task = Task {
            worlds: &worlds,
            first: 1,
            vehicles: 50,
            policies,
            wanted: TruthFilter::Any,
            hands: Hands::Plain,
            shop: &Shop::default(),
            threads,
        };
        // The thread may have begun a second one before it heard.
        assert!(score(&task, || false).expect("the tables read").len() <= 2);
    }

    #[test]
    fn every_way_of_hunting_finds_a_plain_large_fault() {
        let found = run(2, TruthFilter::Only(TruthKind::Load), 20);
        for (at, policy) in Policy::ALL.iter().enumerate() {
            let right = found.iter().filter(|scored| scored.hunts[at].1.first).count();
            assert!(right >= 12, "{}: {right} of 20", policy.name());
        }
    }
}
