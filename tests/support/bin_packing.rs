//! Reads published bin-packing instances.

use duskwright_solver::cut::{CutJob, CutPiece};
use duskwright_solver::job::Spool;
use duskwright_solver::units::{GridSteps, Money};
use std::path::PathBuf;

/// A bin-packing instance as a cutting problem, with its published best number of bins.
#[derive(Clone, Debug)]
pub struct BinPacking {
    /// Name in the reference list.
    pub name: String,
    /// One kind of spool, price 1.
    pub job: CutJob,
    /// Published best value, listed there as optimal.
    pub best: u32,
}

/// Where the reference files are: `DUSKWRIGHT_REFERENCE_DATA`, or `../shared/reference-data` beside the project.
#[must_use]
pub fn reference_folder() -> PathBuf {
    std::env::var_os("DUSKWRIGHT_REFERENCE_DATA").map_or_else(
        || PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared/reference-data"),
        PathBuf::from,
    )
}

/// The Falkenauer instances at hand, in list order; empty when the files are absent.
///
/// E. Falkenauer, *J. Heuristics* 2 (1996) 5-30: number of items, capacity, then
/// one size a line.
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn falkenauer() -> Vec<BinPacking> {
    let folder = reference_folder().join("binpack-falkenauer");
    let Ok(list) = std::fs::read_to_string(folder.join("best-known.csv")) else {
        return Vec::new();
    };
    let rows = list.lines().skip(1).filter(|line| !line.is_empty());
    rows.map(|row| {
        let mut fields = row.split(',');
        let name = fields.next().expect("first field: instance").to_owned();
        let best = fields.nth(1).and_then(|value| value.parse().ok());
        let text = std::fs::read_to_string(folder.join(format!("{name}.txt")));
        BinPacking {
            best: best.expect("third field: number of bins"),
            job: bin_packing(&text.expect("the list names files that are there")),
            name,
        }
    })
    .collect()
}

fn bin_packing(text: &str) -> CutJob {
    let mut numbers = text
        .split_whitespace()
        .map(|number| number.parse::<i64>().expect("whole numbers only"));
    let items = numbers.next().and_then(|count| usize::try_from(count).ok());
    let capacity = numbers.next().expect("second number: capacity");
    let pieces: Vec<CutPiece> = numbers
        .enumerate()
        .map(|(index, size)| CutPiece::new((index + 1).to_string(), GridSteps(size)))
        .collect();
    assert_eq!(Some(pieces.len()), items, "first number: how many items");
    CutJob {
        pieces,
        spools: vec![Spool {
            length: GridSteps(capacity),
            price: Money::new(1.into()),
        }],
        ..CutJob::default()
    }
}
