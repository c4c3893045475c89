//! Jobs in parallel: across jobs first, and within a job once there are fewer
//! jobs than threads.
//!
//! As many jobs are in hand at a time as there are threads. While enough jobs are
//! left, each stays on one thread from beginning to end: a pool shared by jobs would
//! let a thread that waits for a part of its job take up the next job on top of it,
//! and the first could not go on until the second is done. The last jobs, as many as
//! there are threads, share all of them.

use rayon::{ThreadPool, ThreadPoolBuildError, ThreadPoolBuilder};
use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

/// Stack of each thread, bytes: as much as a program's first thread has, for a
/// whole job may run on one.
const STACK: usize = 8 << 20;

/// How a piece of work ended.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Ended<T> {
    /// With a result.
    Done(T),
    /// With a panic, and what it said.
    Panicked(String),
}

/// The threads of a batch.
pub(crate) struct Crew {
    /// One thread each, one for each job in hand.
    alone: Vec<ThreadPool>,
    /// All threads together, for the last jobs.
    together: ThreadPool,
}

impl Crew {
    /// So many threads; as many as the machine has without a number.
    pub(crate) fn new(threads: Option<usize>) -> Result<Self, ThreadPoolBuildError> {
        let pool = |threads: Option<usize>| {
            let pool = ThreadPoolBuilder::new().stack_size(STACK);
            pool.num_threads(threads.unwrap_or(0)).build()
        };
        let together = pool(threads)?;
        let hands = 0..together.current_num_threads();
        let alone = hands.map(|_| pool(Some(1))).collect::<Result<_, _>>()?;
        Ok(Self { alone, together })
    }

    /// Does `count` pieces of work; results by position, `None` for what was not begun
    /// because of `stop`. A piece that panics stops no other.
    pub(crate) fn work<T: Send>(
        &self,
        count: usize,
        stop: &AtomicBool,
        task: impl Fn(usize) -> T + Sync,
    ) -> Vec<Option<Ended<T>>> {
        let next = AtomicUsize::new(0);
        let results: Mutex<Vec<Option<Ended<T>>>> = Mutex::new((0..count).map(|_| None).collect());
        let last = count.saturating_sub(self.alone.len());
        let hand = |alone: &ThreadPool| {
            while !stop.load(Ordering::SeqCst) {
                let position = next.fetch_add(1, Ordering::SeqCst);
                if position >= count {
                    return;
                }
                let pool = if position < last {
                    alone
                } else {
                    &self.together
                };
                // A job shares nothing with others that a panic could leave half-changed.
                let ended = catch_unwind(AssertUnwindSafe(|| pool.install(|| task(position))));
                let ended = match ended {
                    Ok(result) => Ended::Done(result),
                    Err(payload) => Ended::Panicked(said(payload.as_ref())),
                };
                let mut results = results.lock().unwrap_or_else(PoisonError::into_inner);
                results[position] = Some(ended);
            }
        };
        std::thread::scope(|scope| {
            for alone in self.alone.iter().take(count) {
                scope.spawn(|| hand(alone));
            }
        });
        results.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The message of a panic.
fn said(payload: &(dyn Any + Send)) -> String {
    let text = payload
        .downcast_ref::<&str>()
        .map(|text| (*text).to_owned());
    let text = text.or_else(|| payload.downcast_ref::<String>().cloned());
    text.unwrap_or_else(|| "no message".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use rayon::prelude::*;

    fn crew(threads: usize) -> Crew {
        Crew::new(Some(threads)).expect("threads")
    }

    #[test]
    fn results_come_by_position_for_any_number_of_threads() {
        for threads in [1, 2, 5] {
            let results = crew(threads).work(20, &AtomicBool::new(false), |position| {
                (0..=position).into_par_iter().sum::<usize>()
            });
            let expected = (0..20).map(|position| Some(Ended::Done(position * (position + 1) / 2)));
            assert_eq!(results, expected.collect::<Vec<_>>());
        }
    }

    #[test]
    fn the_last_jobs_have_all_threads() {
        let results = crew(2).work(5, &AtomicBool::new(false), |_| rayon::current_num_threads());
        let threads = [1, 1, 1, 2, 2];
        let expected = threads.map(|threads| Some(Ended::Done(threads)));
        assert_eq!(results, expected);
    }

    #[test]
    fn a_panic_in_one_job_stops_no_other() {
        let results = crew(2).work(6, &AtomicBool::new(false), |position| {
            // Also when it happens inside the job's own parallel work.
            (0..8_usize).into_par_iter().for_each(|part| {
                assert!((position, part) != (3, 5), "job {position} broke");
            });
            position
        });
        assert_eq!(results[3], Some(Ended::Panicked("job 3 broke".to_owned())));
        for position in [0, 1, 2, 4, 5] {
            assert_eq!(results[position], Some(Ended::Done(position)));
        }
    }

    #[test]
    fn once_stopped_nothing_more_is_begun() {
        let stop = AtomicBool::new(false);
        let results = crew(1).work(10, &stop, |position| {
            if position == 2 {
                stop.store(true, Ordering::SeqCst);
            }
            position
        });
        assert_eq!(results.iter().flatten().count(), 3);
        assert!(results[3..].iter().all(Option::is_none));
    }
}
