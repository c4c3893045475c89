//! What a long run costs, and who watches it.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::{Duration, Instant};

/// A text that takes so long has no end.
const ENDLESS: Duration = Duration::from_secs(120);
/// Pause between two looks.
const PAUSE: Duration = Duration::from_millis(500);

/// Names the seed of a text that a reader never comes back from.
pub struct Watch {
    seed: Arc<AtomicU64>,
    over: Arc<AtomicBool>,
}

impl Watch {
    /// Starts to watch a reader.
    pub fn over(reader: &'static str) -> Self {
        let watch = Self {
            seed: Arc::default(),
            over: Arc::default(),
        };
        let (seed, over) = (Arc::clone(&watch.seed), Arc::clone(&watch.over));
        std::thread::spawn(move || {
            let mut seen = (0, Instant::now());
            while !over.load(Ordering::Relaxed) {
                std::thread::sleep(PAUSE);
                let now = seed.load(Ordering::Relaxed);
                if now != seen.0 {
                    seen = (now, Instant::now());
                } else if seen.1.elapsed() > ENDLESS {
                    eprintln!("{reader} does not come back, seed {now}");
                    std::process::abort();
                }
            }
        });
        watch
    }

    /// Says which text is read now.
    pub fn reads(&self, seed: u64) {
        self.seed.store(seed, Ordering::Relaxed);
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        self.over.store(true, Ordering::Relaxed);
    }
}

/// Time that this thread has worked; time passed where the system does not tell.
pub fn worked() -> Duration {
    static BEGAN: OnceLock<Instant> = OnceLock::new();
    let began = BEGAN.get_or_init(Instant::now);
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split_whitespace().next()?.parse().ok());
    nanoseconds.map_or_else(|| began.elapsed(), Duration::from_nanos)
}

/// Most memory this process ever had, kB; `None` where the system does not tell.
pub fn peak_memory_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}
