//! Nothing panics, whatever the bytes; and reading is repeatable.

use duskwright_solver::job::{self, JobText};
use duskwright_tests::full_job;
use proptest::prelude::*;

/// One change of one file.
#[derive(Clone, Debug)]
enum Change {
    /// Bytes in a stretch replaced.
    Splice(usize, usize, Vec<u8>),
    /// Two stretches of the file exchanged for one doubled.
    Double(usize, usize),
    /// The file ends early.
    Cut(usize),
    /// The file is gone.
    Gone,
}

fn change() -> impl Strategy<Value = Change> {
    let words = prop_oneof![
        proptest::collection::vec(any::<u8>(), 0..6),
        "[-+0-9.,;|=/x \"\n\r\t\\[\\]a-z]{0,12}".prop_map(String::into_bytes),
        Just(b"1e308".to_vec()),
        Just(b"-1".to_vec()),
        Just(b"nan".to_vec()),
        Just("ﬁ²\u{feff}".as_bytes().to_vec()),
    ];
    prop_oneof![
        6 => (any::<usize>(), 0..12_usize, words).prop_map(|(at, len, with)| Change::Splice(at, len, with)),
        2 => (any::<usize>(), 0..60_usize).prop_map(|(at, len)| Change::Double(at, len)),
        1 => any::<usize>().prop_map(Change::Cut),
        1 => Just(Change::Gone),
    ]
}

fn apply(job: JobText, which: usize, change: &Change) -> JobText {
    let files: Vec<(String, Vec<u8>)> = job
        .iter()
        .map(|(name, bytes)| (name.to_owned(), bytes.to_vec()))
        .collect();
    let Some((name, mut bytes)) = files.get(which % files.len().max(1)).cloned() else {
        return job;
    };
    let start = |at: usize, bytes: &[u8]| at % (bytes.len() + 1);
    match change {
        Change::Gone => return job.without(&name),
        Change::Cut(at) => bytes.truncate(start(*at, &bytes)),
        Change::Splice(at, len, with) => {
            let from = start(*at, &bytes);
            let to = (from + len).min(bytes.len());
            bytes.splice(from..to, with.iter().copied());
        }
        Change::Double(at, len) => {
            let from = start(*at, &bytes);
            let to = (from + len).min(bytes.len());
            let stretch = bytes[from..to].to_vec();
            bytes.splice(from..from, stretch);
        }
    }
    job.with(name, bytes)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_mutated_job_is_read_or_refused_and_twice_the_same(
        changes in proptest::collection::vec((any::<usize>(), change()), 1..5)
    ) {
        let job = changes
            .iter()
            .fold(full_job(), |job, (which, change)| apply(job, *which, change));
        let first = job::read(&job);
        if let Err(faults) = &first {
            prop_assert!(!faults.faults.is_empty());
            for fault in &faults.faults {
                prop_assert!(!fault.message.is_empty() && !fault.file.is_empty());
                prop_assert!(fault.accepted.is_some() || fault.help.is_some(), "{}", fault);
            }
        }
        prop_assert_eq!(first, job::read(&job));
    }

    #[test]
    fn no_table_of_random_bytes_panics(
        which in any::<usize>(),
        bytes in proptest::collection::vec(any::<u8>(), 0..200)
    ) {
        let name = full_job().iter().nth(which % 18).map(|(name, _)| name.to_owned());
        let job = full_job().with(name.unwrap_or_default(), bytes.clone());
        let _ = job::files_wanted(&bytes);
        let _ = job::read(&job);
    }
}
