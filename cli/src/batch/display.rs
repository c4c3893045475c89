//! What a terminal shows while a batch runs: a line for each job in hand, and
//! one for the whole. Nothing where standard error is no terminal.

use crate::watch::{Merge, describe};
use duskwright_solver::optimise::{Observer, Progress};
use indicatif::{MultiProgress, ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

/// How often elapsed times move.
const TICK: Duration = Duration::from_millis(200);

/// How a job ended, for the line of the whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum State {
    /// Planned now.
    Planned,
    /// Found planned by an earlier run.
    Kept,
    /// Without a plan.
    Failed,
}

impl State {
    const fn word(self) -> &'static str {
        match self {
            Self::Planned => "planned",
            Self::Kept => "kept",
            Self::Failed => "FAILED",
        }
    }
}

/// The display of a batch.
pub(crate) struct Display {
    lines: MultiProgress,
    whole: ProgressBar,
    failed: AtomicUsize,
    kept: AtomicUsize,
}

fn style(template: &'static str) -> ProgressStyle {
    ProgressStyle::with_template(template)
        .expect("the templates of this module are constants and well formed")
        .progress_chars("=> ")
}

impl Display {
    /// Starts the display of `jobs` jobs.
    pub(crate) fn start(jobs: usize) -> Self {
        let lines = MultiProgress::with_draw_target(ProgressDrawTarget::stderr());
        let whole = lines.add(ProgressBar::new(jobs as u64));
        whole.set_style(style("{elapsed:>4} [{bar:30}] {pos} of {len} jobs{msg}"));
        if !whole.is_hidden() {
            whole.enable_steady_tick(TICK);
        }
        Self {
            lines,
            whole,
            failed: AtomicUsize::new(0),
            kept: AtomicUsize::new(0),
        }
    }

    /// The line of a job that is taken in hand.
    pub(crate) fn line(&self, name: &str) -> ProgressBar {
        let line = ProgressBar::new_spinner();
        let line = self.lines.insert_before(&self.whole, line);
        line.set_style(style("{elapsed:>4} {prefix}  {msg}"));
        line.set_prefix(name.to_owned());
        line.set_message("reading");
        if !line.is_hidden() {
            line.enable_steady_tick(TICK);
        }
        line
    }

    /// Ends a job's line.
    pub(crate) fn ended(&self, name: &str, line: &ProgressBar, state: State) {
        line.finish_and_clear();
        self.lines.remove(line);
        match state {
            State::Planned => {}
            State::Kept => {
                self.kept.fetch_add(1, Ordering::Relaxed);
            }
            State::Failed => {
                self.failed.fetch_add(1, Ordering::Relaxed);
            }
        }
        self.whole.inc(1);
        let count = |counter: &AtomicUsize, word: &str| match counter.load(Ordering::Relaxed) {
            0 => String::new(),
            count => format!(", {count} {word}"),
        };
        let said = count(&self.kept, "kept") + &count(&self.failed, "failed");
        self.whole.set_message(said);
        // Said only where there is a terminal to say it on.
        let _shown = self.lines.println(format!("{:>8}  {name}", state.word()));
    }

    /// Ends the display.
    pub(crate) fn finish(&self) {
        self.whole.finish_and_clear();
    }
}

/// Watches the search of one job.
pub(crate) struct JobWatch<'a> {
    line: &'a ProgressBar,
    interrupted: &'a AtomicBool,
    asked: AtomicBool,
    best: Mutex<Progress>,
    currency: &'a str,
}

impl<'a> JobWatch<'a> {
    /// Watches a search that `interrupted` may end.
    pub(crate) fn new(
        line: &'a ProgressBar,
        interrupted: &'a AtomicBool,
        currency: &'a str,
    ) -> Self {
        Self {
            line,
            interrupted,
            asked: AtomicBool::new(false),
            best: Mutex::new(Progress {
                incumbent: None,
                bound: None,
                done: 0.0,
            }),
            currency,
        }
    }
    /// Whether the search was asked to end before its work was done.
    pub(crate) fn cut_short(&self) -> bool {
        self.asked.load(Ordering::SeqCst)
    }
}

impl Observer for JobWatch<'_> {
    fn progress(&self, news: Progress) {
        if self.line.is_hidden() {
            return;
        }
        let mut best = self.best.lock().unwrap_or_else(PoisonError::into_inner);
        best.merge(news);
        self.line.set_message(describe(&best, self.currency));
    }
    fn should_stop(&self) -> bool {
        let stop = self.interrupted.load(Ordering::SeqCst);
        if stop {
            self.asked.store(true, Ordering::SeqCst);
        }
        stop
    }
}
