//! What ends a command before it has an answer, in words a person can act on.

use crate::exit::Exit;
use duskwright_solver::job::Faults;
use std::io;
use std::path::{Path, PathBuf};

/// A command that could not be carried out.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Failure {
    /// A file or folder could not be read or written.
    #[error("cannot {action} {}: {source}", path.display())]
    File {
        /// What was tried: `read`, `write`, `create`.
        action: &'static str,
        /// On what.
        path: PathBuf,
        /// Why not.
        source: io::Error,
    },
    /// The job's files have mistakes.
    #[error("{0}")]
    Job(Box<Faults>),
    /// The site plan has mistakes.
    #[error("{0}")]
    SitePlan(Box<duskwright_survey::Faults>),
    /// The plan or the command line was refused.
    #[error("{0}")]
    Refused(String),
    /// Figures that should have been writable were not.
    #[error("cannot make {paper}: {reason}")]
    Paper {
        /// Which paper.
        paper: &'static str,
        /// Why not.
        reason: String,
    },
}

impl Failure {
    /// Wraps an input/output error with what was tried on which path.
    pub(crate) fn file(action: &'static str, path: &Path) -> impl FnOnce(io::Error) -> Self {
        let path = path.to_path_buf();
        move |source| Self::File {
            action,
            path,
            source,
        }
    }
    /// The exit code that tells it.
    pub(crate) const fn exit(&self) -> Exit {
        match self {
            Self::File { .. } | Self::Paper { .. } => Exit::Unreachable,
            Self::Job(_) | Self::SitePlan(_) | Self::Refused(_) => Exit::Refused,
        }
    }
}
