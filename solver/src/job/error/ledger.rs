//! Where faults and notices are written down, so that all of a job are reported at once.

use super::code::Code;
use super::fault::{Fault, Faults, Notice};
use std::collections::BTreeMap;

/// Proof that a fault was recorded. Only [`Ledger::fault`] makes one, so a value
/// that is absent as `Err(Reported)` never goes unexplained, and whoever meets
/// it stays silent instead of reporting an echo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::job) struct Reported(());

/// Faults and notices in the order of discovery.
#[derive(Debug, Default)]
pub(in crate::job) struct Ledger {
    faults: Vec<Fault>,
    notices: Vec<Notice>,
    counts: BTreeMap<(Code, String), usize>,
    left_out: usize,
}

/// Most messages of one code in one file: a column shifted by one must not print a book.
pub(in crate::job) const MOST_OF_A_KIND: usize = 100;

impl Ledger {
    /// Records a fault; beyond [`MOST_OF_A_KIND`] of one code in one file it is only counted.
    pub fn fault(&mut self, fault: Fault) -> Reported {
        let count = self
            .counts
            .entry((fault.code, fault.file.clone()))
            .or_default();
        *count += 1;
        if *count <= MOST_OF_A_KIND {
            self.faults.push(fault);
        } else {
            self.left_out += 1;
        }
        Reported(())
    }
    /// Records a notice, with the same limit.
    pub fn notice(&mut self, notice: Notice) {
        let count = self
            .counts
            .entry((notice.code, notice.file.clone()))
            .or_default();
        *count += 1;
        if *count <= MOST_OF_A_KIND {
            self.notices.push(notice);
        }
    }
    /// The outcome: `value` when no fault was recorded. Files come in the order
    /// of `files` (the order in which they are read), then lines, then columns;
    /// the sort is stable, so discovery decides ties.
    pub fn close<T>(
        mut self,
        value: Result<T, Reported>,
        files: &[String],
    ) -> Result<(T, Vec<Notice>), Faults> {
        let rank = |file: &str| files.iter().position(|name| name == file);
        self.faults
            .sort_by_cached_key(|fault| (rank(&fault.file), fault.line, fault.column, fault.code));
        self.notices.sort_by_cached_key(|notice| {
            (rank(&notice.file), notice.line, notice.column, notice.code)
        });
        match value {
            Ok(value) if self.faults.is_empty() => Ok((value, self.notices)),
            _ => Err(Faults {
                faults: self.faults,
                notices: self.notices,
                left_out: self.left_out,
            }),
        }
    }
}
