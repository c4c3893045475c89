//! Exit codes: what a script learns without reading a word.

use std::process::ExitCode;

/// How a run ended. The numbers are part of the command's contract and are
/// printed by `duskwright --help`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Exit {
    /// A feasible plan was written, or the input or plan that was asked about is in order.
    Feasible,
    /// The machine's fault: a file could not be read or written.
    Unreachable,
    /// The command line or the job was refused.
    Refused,
    /// It is proven that no plan exists.
    Infeasible,
    /// No plan was found, and none was proven impossible.
    NotFound,
    /// A plan broke at least one rule when it was checked.
    CheckFailed,
    /// At least one job of a batch has no plan.
    SomeFailed,
    /// A batch has jobs that are not planned yet.
    Unfinished,
    /// Readings point to a fault.
    FaultFound,
}

impl Exit {
    /// Every code, in order.
    pub(crate) const ALL: [Self; 9] = [
        Self::Feasible,
        Self::Unreachable,
        Self::Refused,
        Self::Infeasible,
        Self::NotFound,
        Self::CheckFailed,
        Self::SomeFailed,
        Self::Unfinished,
        Self::FaultFound,
    ];

    /// The number handed to the system.
    pub(crate) const fn code(self) -> u8 {
        match self {
            Self::Feasible => 0,
            Self::Unreachable => 1,
            Self::Refused => 2,
            Self::Infeasible => 3,
            Self::NotFound => 4,
            Self::CheckFailed => 5,
            Self::SomeFailed => 6,
            Self::Unfinished => 7,
            Self::FaultFound => 8,
        }
    }
    /// The word used in `--json` output.
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Feasible => "feasible",
            Self::Unreachable => "unreachable",
            Self::Refused => "refused",
            Self::Infeasible => "infeasible",
            Self::NotFound => "not found",
            Self::CheckFailed => "check failed",
            Self::SomeFailed => "some failed",
            Self::Unfinished => "unfinished",
            Self::FaultFound => "fault found",
        }
    }
    /// The line printed by `--help`.
    const fn meaning(self) -> &'static str {
        match self {
            Self::Feasible => {
                "in order: a feasible plan was written, or what was asked about holds"
            }
            Self::Unreachable => "a file or folder could not be read or written",
            Self::Refused => "the command line or the job was refused",
            Self::Infeasible => "proven: no plan exists under these rules",
            Self::NotFound => "no plan found, and none proven impossible",
            Self::CheckFailed => "a plan failed the check",
            Self::SomeFailed => "batch: at least one job has no plan; the portfolio says why",
            Self::Unfinished => "batch: some jobs are not planned yet; the same command goes on",
            Self::FaultFound => "readings point to a fault",
        }
    }
    /// The table of codes for `--help`.
    pub(crate) fn table() -> String {
        let rows = Self::ALL.map(|exit| format!("  {}  {}", exit.code(), exit.meaning()));
        format!("Exit codes:\n{}", rows.join("\n"))
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}
