//! Reads published bin-packing instances.

use crate::reference::{reference_rows, reference_text};
use duskwright_solver::cut::{CutJob, CutPiece};
use duskwright_solver::job::Spool;
use duskwright_solver::units::{GridSteps, Money};

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

/// The Falkenauer instances at hand, in list order; empty when the files are absent.
///
/// E. Falkenauer, *J. Heuristics* 2 (1996) 5-30: number of items, capacity, then
/// one size a line.
///
/// # Panics
/// On files that are there but unreadable.
#[must_use]
pub fn falkenauer() -> Vec<BinPacking> {
    const FOLDER: &str = "binpack-falkenauer";
    let Some(rows) = reference_rows(&format!("{FOLDER}/best-known.csv")) else {
        return Vec::new();
    };
    let instances = rows.into_iter().map(|row| {
        let (name, best) = (&row[0], row[2].parse());
        let text = reference_text(&format!("{FOLDER}/{name}.txt"));
        BinPacking {
            best: best.expect("third field: number of bins"),
            job: bin_packing(&text.expect("the list names files that are there")),
            name: name.clone(),
        }
    });
    instances.collect()
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
