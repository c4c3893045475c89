//! The side of a running search that has a clock: the progress line, the time
//! limit and Ctrl-C.

use duskwright_solver::optimise::{Observer, Progress};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Exit code after a second Ctrl-C: 128 + SIGINT, the shell's convention.
const KILLED_BY_INTERRUPT: i32 = 130;

/// How often the elapsed time on the progress line moves.
const TICK: Duration = Duration::from_millis(120);

/// Why a search ended before its work was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stopped {
    /// Ctrl-C or a termination signal.
    Interrupt,
    /// The time limit.
    TimeLimit,
}

impl Stopped {
    /// As said in the results.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Interrupt => "stopped by an interrupt",
            Self::TimeLimit => "stopped by the time limit",
        }
    }
}

/// How a search ended.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ended {
    /// Whether and why it was asked to stop.
    pub(crate) stopped: Option<Stopped>,
    /// How long it took.
    pub(crate) elapsed: Duration,
}

/// A request to end, by Ctrl-C or a termination signal.
pub(crate) struct Interrupt {
    /// Set once it comes.
    pub(crate) flag: Arc<AtomicBool>,
    /// False when the system gives no notice of it.
    pub(crate) heard: bool,
}

/// Listens for a request to end; a second one ends the program at once.
pub(crate) fn on_interrupt() -> Interrupt {
    let flag = Arc::new(AtomicBool::new(false));
    let set = Arc::clone(&flag);
    let handler = ctrlc::set_handler(move || {
        if set.swap(true, Ordering::SeqCst) {
            std::process::exit(KILLED_BY_INTERRUPT);
        }
    });
    Interrupt {
        flag,
        heard: handler.is_ok(),
    }
}

/// Watches one search.
pub(crate) struct Watch {
    started: Instant,
    limit: Option<Duration>,
    interrupted: Arc<AtomicBool>,
    asked_to_stop: Mutex<Option<Stopped>>,
    line: ProgressBar,
    best: Mutex<Progress>,
    currency: String,
}

impl Watch {
    /// Starts the clock and, on a terminal, the progress line on stderr.
    ///
    /// The first Ctrl-C asks the search to end; a second one ends the program.
    pub(crate) fn start(limit: Option<Duration>, currency: &str) -> Self {
        let Interrupt {
            flag: interrupted,
            heard,
        } = on_interrupt();
        let line = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
        line.set_style(
            ProgressStyle::with_template("{spinner} {elapsed:>4}  {msg}")
                .expect("the template above is a constant and well formed"),
        );
        line.set_message("searching");
        line.enable_steady_tick(TICK);
        if !heard {
            line.println("note: Ctrl-C will end the program without writing a plan");
        }
        Self {
            started: Instant::now(),
            limit,
            interrupted,
            asked_to_stop: Mutex::new(None),
            line,
            best: Mutex::new(Progress {
                incumbent: None,
                bound: None,
                done: 0.0,
            }),
            currency: currency.to_owned(),
        }
    }

    /// Ends the progress line.
    pub(crate) fn finish(self) -> Ended {
        self.line.finish_and_clear();
        let stopped = *self
            .asked_to_stop
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        Ended {
            stopped,
            elapsed: self.started.elapsed(),
        }
    }

    fn reason_to_stop(&self) -> Option<Stopped> {
        if self.interrupted.load(Ordering::SeqCst) {
            return Some(Stopped::Interrupt);
        }
        let late = self
            .limit
            .is_some_and(|limit| self.started.elapsed() >= limit);
        late.then_some(Stopped::TimeLimit)
    }
}

impl Observer for Watch {
    fn progress(&self, news: Progress) {
        let mut best = self.best.lock().unwrap_or_else(PoisonError::into_inner);
        best.merge(news);
        self.line.set_message(describe(&best, &self.currency));
    }

    fn should_stop(&self) -> bool {
        let Some(reason) = self.reason_to_stop() else {
            return false;
        };
        let mut asked = self
            .asked_to_stop
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        asked.get_or_insert(reason);
        true
    }
}

/// Keeps the best of what several threads report.
pub(crate) trait Merge {
    /// Takes in what another reports.
    fn merge(&mut self, news: Self);
}

impl Merge for Progress {
    fn merge(&mut self, news: Self) {
        self.incumbent = match (self.incumbent, news.incumbent) {
            (Some(old), Some(new)) => Some(old.min(new)),
            (old, new) => old.or(new),
        };
        self.bound = match (self.bound, news.bound) {
            (Some(old), Some(new)) => Some(old.max(new)),
            (old, new) => old.or(new),
        };
        self.done = self.done.max(news.done);
    }
}

/// The progress line: incumbent, bound, gap, share of the work.
pub(crate) fn describe(best: &Progress, currency: &str) -> String {
    let mut parts = Vec::new();
    match best.incumbent {
        Some(cost) => parts.push(format!("best {:.2} {currency}", cost.value())),
        None => parts.push("no plan yet".to_owned()),
    }
    if let Some(bound) = best.bound {
        parts.push(format!("bound {:.2}", bound.value()));
    }
    if let (Some(cost), Some(bound)) = (best.incumbent, best.bound) {
        parts.push(format!(
            "gap {:.1} %",
            gap_percent(cost.value(), bound.value())
        ));
    }
    parts.push(format!("{:.0} % of the work", best.done * 100.0));
    parts.join("  ")
}

/// Distance between a cost and a lower bound on it, in percent of the cost; 0 when the cost is 0.
pub(crate) fn gap_percent(cost: f64, bound: f64) -> f64 {
    if cost > 0.0 {
        ((cost - bound) / cost * 100.0).max(0.0)
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use duskwright_solver::units::Cost;

    fn report(incumbent: Option<f64>, bound: Option<f64>, done: f64) -> Progress {
        Progress {
            incumbent: incumbent.map(Cost::new),
            bound: bound.map(Cost::new),
            done,
        }
    }

    #[test]
    fn late_news_from_a_slow_thread_does_not_worsen_the_line() {
        let mut best = report(Some(900.0), Some(810.0), 0.5);
        best.merge(report(Some(950.0), Some(700.0), 0.3));
        assert_eq!(
            describe(&best, "EUR"),
            "best 900.00 EUR  bound 810.00  gap 10.0 %  50 % of the work"
        );
        best.merge(report(None, None, 0.6));
        assert_eq!(best.incumbent, Some(Cost::new(900.0)));
    }

    #[test]
    fn a_bound_alone_has_no_gap() {
        let best = report(None, Some(700.0), 0.1);
        assert_eq!(
            describe(&best, "EUR"),
            "no plan yet  bound 700.00  10 % of the work"
        );
    }
}
