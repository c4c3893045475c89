//! HiGHS, the solver of linear and mixed-integer programmes, asked in one place.
//!
//! It may fail, give up, or be wrong. Who asks it therefore has a result without it, takes
//! what comes back for a proposal, and counts it over before use; that a programme has no
//! solution, too.

use good_lp::solvers::highs::{HighsProblem, HighsSolution, highs};
use good_lp::{
    Expression, ProblemVariables, ResolutionError, Solution, SolutionStatus, SolverModel, Variable,
};

/// A programme set up so that HiGHS repeats itself: one thread, fixed seed, no clock.
pub(crate) fn repeatable(variables: ProblemVariables, aim: Expression) -> HighsProblem {
    variables
        .minimise(aim)
        .using(highs)
        .set_option("threads", 1)
        .set_option("parallel", "off")
        .set_option("random_seed", 1)
        .set_option("output_flag", false)
}

/// What HiGHS proposes.
pub(crate) struct Answer {
    inner: HighsSolution,
    #[cfg(test)]
    planted: Option<f64>,
}

/// Asks for the best values.
///
/// # Errors
/// Whatever HiGHS ended with when it has none.
pub(crate) fn solve(problem: HighsProblem) -> Result<Answer, ResolutionError> {
    #[cfg(test)]
    let planted = planted::answer()?;
    Ok(Answer {
        inner: problem.solve()?,
        #[cfg(test)]
        planted,
    })
}

impl Answer {
    /// Dual values of the rows, in the order in which they were added.
    pub(crate) fn dual_rows(self) -> Vec<f64> {
        let planted = self.spoil();
        let inner = self.inner.into_inner();
        inner
            .dual_rows()
            .iter()
            .map(|&dual| planted(dual))
            .collect()
    }

    #[cfg(not(test))]
    fn spoil(&self) -> impl Fn(f64) -> f64 + use<> {
        |value| value
    }

    #[cfg(test)]
    fn spoil(&self) -> impl Fn(f64) -> f64 + use<> {
        let planted = self.planted;
        move |value| planted.unwrap_or(value)
    }
}

impl Solution for Answer {
    fn status(&self) -> SolutionStatus {
        self.inner.status()
    }
    fn value(&self, variable: Variable) -> f64 {
        self.spoil()(self.inner.value(variable))
    }
}

/// Failures planted by tests, for the threads of one pool.
#[cfg(test)]
pub(crate) mod planted {
    use good_lp::ResolutionError;
    use std::cell::RefCell;
    use std::sync::Arc;
    use std::sync::atomic::{AtomicU32, Ordering};

    /// How HiGHS goes wrong.
    #[derive(Clone, Copy, Debug, PartialEq)]
    pub(crate) enum Planted {
        /// Breaks off with an error of its own.
        Fails,
        /// Says that there is no solution.
        Infeasible,
        /// Answers so many questions soundly, and then says that there is no solution.
        InfeasibleAfter(u32),
        /// Stops at a limit before it has a solution.
        NothingInTime,
        /// Hands back this for every value and every dual.
        Answers(f64),
    }

    thread_local! {
        static NOW: RefCell<Option<(Planted, Arc<AtomicU32>)>> = const { RefCell::new(None) };
    }

    /// Runs `work` on `threads` threads of its own, where HiGHS goes wrong; says how often
    /// it was asked.
    pub(crate) fn run<T: Send>(
        planted: Planted,
        threads: usize,
        work: impl FnOnce() -> T + Send,
    ) -> (T, u32) {
        let asked = Arc::new(AtomicU32::new(0));
        let count = Arc::clone(&asked);
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .start_handler(move |_| {
                NOW.with_borrow_mut(|now| *now = Some((planted, Arc::clone(&count))));
            })
            .build()
            .expect("a pool of threads");
        let made = pool.install(work);
        (made, asked.load(Ordering::Relaxed))
    }

    /// What is planted on this thread.
    pub(super) fn answer() -> Result<Option<f64>, ResolutionError> {
        NOW.with_borrow(|now| {
            let Some((planted, asked)) = now else {
                return Ok(None);
            };
            let before = asked.fetch_add(1, Ordering::Relaxed);
            match planted {
                Planted::Fails => Err(ResolutionError::Other("SolveError")),
                Planted::InfeasibleAfter(sound) if before < *sound => Ok(None),
                Planted::Infeasible | Planted::InfeasibleAfter(_) => {
                    Err(ResolutionError::Infeasible)
                }
                Planted::NothingInTime => Err(ResolutionError::Other("NoSolutionFound")),
                Planted::Answers(value) => Ok(Some(*value)),
            }
        })
    }
}

#[cfg(test)]
mod tests;
