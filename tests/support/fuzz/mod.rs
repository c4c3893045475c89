//! Readers against text broken at random: what a room of readers is, its short run beside the
//! other tests, and its long run. Whatever the bytes, a reader answers, within a second, within
//! its memory, and twice the same.
//!
//! Two rooms use it: `tests/fuzz` for the readers of the libraries, and `cli`, whose readers
//! only its own tests can call. A failure writes the text that caused it and names the seed.

mod watch;

use crate::mutate::Mutator;
use std::fmt::Display;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::str::FromStr;
use std::time::{Duration, Instant};
use watch::{Watch, peak_memory_kb, worked};

/// Readers of the libraries.
pub const OF_LIBRARIES: [&str; 13] = [
    "settings",
    "tables",
    "plan",
    "decisions",
    "alternatives",
    "readings",
    "geojson",
    "dxf",
    "survey-settings",
    "survey-fixtures",
    "survey-edits",
    "logo",
    "logo-png",
];
/// Readers inside the command.
pub const OF_COMMAND: [&str; 9] = [
    "firm",
    "list",
    "changes",
    "history",
    "batch-card",
    "batch-record",
    "survey-record",
    "survey-nodes",
    "survey-beginning",
];

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

/// Texts that a reader accepts.
pub struct Sound {
    /// Those usually broken, at least one.
    pub usual: Vec<Vec<u8>>,
    /// One that takes much longer to read, broken now and then.
    pub costly: Option<Vec<u8>>,
}

impl Sound {
    /// One text.
    #[must_use]
    pub fn one(text: impl Into<Vec<u8>>) -> Self {
        Self::several([text])
    }
    /// Several that are broken alike often.
    #[must_use]
    pub fn several(texts: impl IntoIterator<Item = impl Into<Vec<u8>>>) -> Self {
        Self {
            usual: texts.into_iter().map(Into::into).collect(),
            costly: None,
        }
    }
}

/// What readers read against, and their sound texts.
pub trait World {
    /// Sound texts of a reader.
    fn sound(&self, reader: &str) -> &Sound;
}

/// One reader: broken bytes in, what it said out.
pub struct Reader<W> {
    /// Its name, for `READER=`; one of [`OF_LIBRARIES`] or [`OF_COMMAND`].
    pub name: &'static str,
    /// Reads; what it accepts it answers with a text that begins with "read".
    pub read: fn(&W, &[u8]) -> String,
}

/// "read", or the refusal.
pub fn said<T>(answer: Result<T, impl Display>) -> String {
    answer.map_or_else(|faults| faults.to_string(), |_| "read".to_owned())
}

/// The text that a seed makes for a reader.
fn broken<W: World>(world: &W, reader: &Reader<W>, seed: u64) -> Vec<u8> {
    let mut mutator = Mutator::new(seed);
    let texts = world.sound(reader.name);
    let sound = match &texts.costly {
        Some(costly) if mutator.below(COSTLY) == 0 => costly,
        _ => &texts.usual[mutator.below(texts.usual.len())],
    };
    mutator.mutated(sound)
}

/// What a reader says of a text; a panic keeps the text.
fn read<W>(world: &W, reader: &Reader<W>, text: &[u8], seed: u64) -> String {
    catch_unwind(AssertUnwindSafe(|| (reader.read)(world, text)))
        .unwrap_or_else(|_| panic!("{} panics, {}", reader.name, kept(reader.name, text, seed)))
}

/// Writes a text down and says where.
fn kept(reader: &str, text: &[u8], seed: u64) -> String {
    let path = std::env::temp_dir().join(format!("broken-{reader}-{seed}"));
    std::fs::write(&path, text).expect("the temporary folder can be written");
    format!("seed {seed}; the text is in {}", path.display())
}

fn read_twice<W>(world: &W, reader: &Reader<W>, text: &[u8], seed: u64) {
    let first = read(world, reader, text, seed);
    let again = read(world, reader, text, seed);
    assert_eq!(first, again, "{} says two things, seed {seed}", reader.name);
}

/// The run beside the other tests.
///
/// # Panics
/// When a reader panics or says two things of one text.
pub fn short_run<W: World>(world: &W, readers: &[Reader<W>]) {
    for reader in readers {
        for seed in 0..EXECUTIONS {
            read_twice(world, reader, &broken(world, reader, seed), seed);
        }
    }
}

/// What readers say of sound texts that they do not accept; empty as it should be.
///
/// # Panics
/// When a reader panics.
pub fn refused<W: World>(world: &W, readers: &[Reader<W>]) -> Vec<String> {
    let mut refused = Vec::new();
    for reader in readers {
        let texts = world.sound(reader.name);
        for text in texts.usual.iter().chain(&texts.costly) {
            let said = read(world, reader, text, 0);
            if !said.starts_with("read") {
                refused.push(format!("{}: {said}", reader.name));
            }
        }
    }
    refused
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

/// The long run: each reader for `SECONDS` or `EXECUTIONS`, whichever is first; one alone where
/// `READER` names it. One that the other room has is left to that.
///
/// # Panics
/// When a reader panics, says two things, works for more than a second on a text or the run
/// takes too much memory; when no room has the reader named.
pub fn long_run<W: World>(world: &W, readers: &[Reader<W>]) {
    let most = told("EXECUTIONS", LONG_RUN.0);
    let span = Duration::from_secs(told("SECONDS", LONG_RUN.1));
    let only: String = told("READER", String::new());
    assert!(
        only.is_empty()
            || OF_LIBRARIES
                .iter()
                .chain(&OF_COMMAND)
                .any(|name| *name == only),
        "there is no reader {only}"
    );
    for reader in readers {
        if only.is_empty() || only == reader.name {
            run(world, reader, most, span);
        }
    }
}

/// One reader's long run.
fn run<W: World>(world: &W, reader: &Reader<W>, most: u64, span: Duration) {
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
                    kept(reader.name, &text, seed)
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
