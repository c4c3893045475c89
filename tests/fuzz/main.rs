//! Test room: every reader against text broken at random. Whatever the bytes, a reader
//! answers, within a second, within its memory, and twice the same.
//!
//! A fixed number of executions runs with the other tests. `make fuzz SECONDS=60` runs each
//! reader that long; a failure writes the text that caused it and names the seed.

mod readers;

use duskwright_tests::mutate::Mutator;
use readers::{READERS, Reader, World};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::OnceLock;
use std::time::{Duration, Instant};

/// Executions of each reader with the other tests.
const EXECUTIONS: u64 = 150;
/// Longest that a reader may take in the long run: its own work, whatever else runs beside it.
const LONGEST: Duration = Duration::from_secs(1);
/// Most memory that the long run may ever have taken, kB.
const MOST_MEMORY_KB: u64 = 1_000_000;

/// One execution: the text broken by `seed`, read twice.
fn execute(world: &World, reader: &Reader, seed: u64) {
    let mut mutator = Mutator::new(seed);
    let sound = &world.sound(reader)[mutator.below(world.sound(reader).len())];
    let broken = mutator.mutated(sound);
    let read = || catch_unwind(AssertUnwindSafe(|| (reader.read)(world, &broken)));
    let (first, again) = (read(), read());
    let (Ok(first), Ok(again)) = (first, again) else {
        let kept = std::env::temp_dir().join(format!("broken-{}-{seed}", reader.name));
        std::fs::write(&kept, &broken).expect("the temporary folder can be written");
        panic!(
            "{} panics, seed {seed}; the text is in {}",
            reader.name,
            kept.display()
        );
    };
    assert_eq!(first, again, "{} says two things, seed {seed}", reader.name);
}

#[test]
fn no_reader_panics_or_says_two_things() {
    let world = World::new();
    for reader in &READERS {
        for seed in 0..EXECUTIONS {
            execute(&world, reader, seed);
        }
    }
}

/// Time that this thread has worked; time passed where the system does not tell.
fn worked() -> Duration {
    static BEGAN: OnceLock<Instant> = OnceLock::new();
    let began = BEGAN.get_or_init(Instant::now);
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split_whitespace().next()?.parse().ok());
    nanoseconds.map_or_else(|| began.elapsed(), Duration::from_nanos)
}

/// Most memory this process ever had, kB; `None` where the system does not tell.
fn peak_memory_kb() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

#[test]
#[ignore = "runs for SECONDS a reader: make fuzz"]
fn no_reader_panics_hangs_or_hoards_for_long() {
    let seconds = std::env::var("SECONDS")
        .ok()
        .and_then(|text| text.parse().ok());
    let span = Duration::from_secs(seconds.unwrap_or(10));
    let only = std::env::var("READER").ok();
    let world = World::new();
    let chosen = READERS
        .iter()
        .filter(|reader| only.as_deref().is_none_or(|only| only == reader.name));
    for reader in chosen {
        let (began, mut slowest) = (Instant::now(), Duration::ZERO);
        // Seeds of the short run are not repeated.
        let mut seed = EXECUTIONS;
        while began.elapsed() < span {
            let start = worked();
            execute(&world, reader, seed);
            let taken = (worked() - start) / 2;
            slowest = slowest.max(taken);
            assert!(
                taken < LONGEST,
                "{} takes {taken:?}, seed {seed}",
                reader.name
            );
            seed += 1;
        }
        let peak = peak_memory_kb();
        assert!(
            peak.is_none_or(|kb| kb < MOST_MEMORY_KB),
            "{}: {peak:?} kB",
            reader.name
        );
        eprintln!(
            "{:12} {:9} texts, each read twice; slowest {slowest:?}; peak {} MB",
            reader.name,
            seed - EXECUTIONS,
            peak.map_or_else(|| "?".to_owned(), |kb| (kb / 1000).to_string())
        );
    }
}
