//! Test room: every reader against text broken at random. Whatever the bytes, a reader
//! answers, within a second, within its memory, and twice the same.
//!
//! A fixed number of executions runs with the other tests. `make fuzz` runs each reader for
//! `SECONDS` or `EXECUTIONS`, whichever is first; a failure writes the text that caused it and
//! names the seed.

mod picture;
mod readers;
mod survey;
mod watch;

use duskwright_tests::mutate::Mutator;
use readers::{READERS, Reader, World};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::str::FromStr;
use std::time::{Duration, Instant};
use watch::{Watch, peak_memory_kb, worked};

/// Executions of each reader with the other tests.
const EXECUTIONS: u64 = 150;
/// Executions and seconds of each reader in the long run, unless told otherwise.
const LONG_RUN: (u64, u64) = (10_000_000, 1800);
/// In the long run one text in so many is read twice.
const TWICE: u64 = 16;
/// One text in so many is made of the reader's costly sound text.
const COSTLY: usize = 512;
/// Longest that a reader may take in the long run: its own work, whatever else runs beside it.
const LONGEST: Duration = Duration::from_secs(1);
/// Most memory that the long run may ever have taken, kB.
const MOST_MEMORY_KB: u64 = 1_000_000;

/// The text that a seed makes for a reader.
fn broken(world: &World, reader: &Reader, seed: u64) -> Vec<u8> {
    let mut mutator = Mutator::new(seed);
    let texts = world.sound(reader.name);
    let sound = match &texts.costly {
        Some(costly) if mutator.below(COSTLY) == 0 => costly,
        _ => &texts.usual[mutator.below(texts.usual.len())],
    };
    mutator.mutated(sound)
}

/// What a reader says of a text; a panic keeps the text.
fn read(world: &World, reader: &Reader, text: &[u8], seed: u64) -> String {
    catch_unwind(AssertUnwindSafe(|| (reader.read)(world, text)))
        .unwrap_or_else(|_| panic!("{} panics, {}", reader.name, kept(reader, text, seed)))
}

/// Writes a text down and says where.
fn kept(reader: &Reader, text: &[u8], seed: u64) -> String {
    let path = std::env::temp_dir().join(format!("broken-{}-{seed}", reader.name));
    std::fs::write(&path, text).expect("the temporary folder can be written");
    format!("seed {seed}; the text is in {}", path.display())
}

fn read_twice(world: &World, reader: &Reader, text: &[u8], seed: u64) {
    let first = read(world, reader, text, seed);
    let again = read(world, reader, text, seed);
    assert_eq!(first, again, "{} says two things, seed {seed}", reader.name);
}

#[test]
fn no_reader_panics_or_says_two_things() {
    let world = World::new();
    for reader in &READERS {
        for seed in 0..EXECUTIONS {
            read_twice(&world, reader, &broken(&world, reader, seed), seed);
        }
    }
}

#[test]
fn every_reader_reads_its_sound_texts() {
    let world = World::new();
    let mut refused = Vec::new();
    for reader in &READERS {
        let texts = world.sound(reader.name);
        for text in texts.usual.iter().chain(&texts.costly) {
            let said = read(&world, reader, text, 0);
            if !said.starts_with("read") {
                refused.push(format!("{}: {said}", reader.name));
            }
        }
    }
    assert!(refused.is_empty(), "{}", refused.join("\n"));
}

/// A word of the environment; `usual` where it is absent or empty.
fn told<T: FromStr>(name: &str, usual: T) -> T {
    let word = std::env::var(name).unwrap_or_default();
    if word.is_empty() {
        return usual;
    }
    let read = word.parse();
    read.unwrap_or_else(|_| panic!("{name}={word} is no whole number"))
}

#[test]
#[ignore = "runs for SECONDS or EXECUTIONS a reader: make fuzz"]
fn no_reader_panics_hangs_or_hoards_for_long() {
    let most = told("EXECUTIONS", LONG_RUN.0);
    let span = Duration::from_secs(told("SECONDS", LONG_RUN.1));
    let only: String = told("READER", String::new());
    let chosen: Vec<&Reader> = READERS
        .iter()
        .filter(|reader| only.is_empty() || only == reader.name)
        .collect();
    assert!(!chosen.is_empty(), "there is no reader {only}");
    let world = World::new();
    for reader in chosen {
        run(&world, reader, most, span);
    }
}

/// One reader's long run.
fn run(world: &World, reader: &Reader, most: u64, span: Duration) {
    let (began, watch) = (Instant::now(), Watch::over(reader.name));
    let (mut slowest, mut longest) = (Duration::ZERO, 0);
    let mut texts = 0;
    while texts < most && began.elapsed() < span {
        // Seeds of the short run are not repeated.
        let seed = EXECUTIONS + texts;
        watch.reads(seed);
        let text = broken(world, reader, seed);
        if seed.is_multiple_of(TWICE) {
            read_twice(world, reader, &text, seed);
        } else {
            let start = Instant::now();
            read(world, reader, &text, seed);
            // Asking for the work done takes longer than most texts: only of the slow it is asked.
            if start.elapsed() > slowest {
                let (start, before) = (Instant::now(), worked());
                read(world, reader, &text, seed);
                let work = worked() - before;
                let taken = work.min(start.elapsed());
                assert!(
                    taken < LONGEST,
                    "{} takes {taken:?}, {}",
                    reader.name,
                    kept(reader, &text, seed)
                );
                slowest = slowest.max(taken);
            }
        }
        longest = longest.max(text.len());
        texts += 1;
    }
    let peak = peak_memory_kb();
    assert!(
        peak.is_none_or(|kb| kb < MOST_MEMORY_KB),
        "{}: {peak:?} kB",
        reader.name
    );
    let seconds = began.elapsed().as_secs_f64();
    eprintln!(
        "{:16} {texts:9} texts in {seconds:.0} s, {:.0} a second; slowest {:.1} ms; longest {} kB; peak {} MB",
        reader.name,
        texts as f64 / seconds,
        slowest.as_secs_f64() * 1e3,
        longest / 1000,
        peak.map_or_else(|| "?".to_owned(), |kb| (kb / 1000).to_string())
    );
}
