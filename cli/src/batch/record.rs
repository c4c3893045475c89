//! What is on record about a batch and its jobs.

use super::shard::Shard;
use crate::digest;
use duskwright_solver::portfolio::{Fate, PortfolioRow};
use serde::{Deserialize, Serialize};
use std::path::{Component, Path};

/// Version of the records' shape.
pub(crate) const SCHEMA: u32 = 1;

/// What was asked of every job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Asked {
    /// Effort.
    pub(crate) effort: String,
    /// Seed.
    pub(crate) seed: u64,
    /// Layout, when one was asked for.
    pub(crate) layout: Option<String>,
    /// Paper, when one was asked for.
    pub(crate) paper: Option<String>,
    /// Date on the papers.
    pub(crate) date: String,
}

/// The batch itself: `batch.json`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Card {
    /// Version of the shape.
    pub(crate) schema: u32,
    /// Version of the program.
    pub(crate) program_version: String,
    /// What was asked.
    pub(crate) asked: Asked,
    /// Which part this folder holds; `None`: all.
    pub(crate) shard: Option<Shard>,
    /// Names of all jobs of the batch, of every part.
    pub(crate) jobs: Vec<String>,
}

impl Card {
    /// Whether it can be gone on from: of this version, and every job's name a plain one, for
    /// results are written under it. Parts of a batch come from other machines.
    pub(crate) fn is_sound(&self) -> bool {
        self.schema == SCHEMA && self.jobs.iter().all(|name| is_plain(name))
    }

    /// A card of this program.
    pub(crate) fn new(asked: Asked, shard: Option<Shard>, jobs: Vec<String>) -> Self {
        Self {
            schema: SCHEMA,
            program_version: env!("CARGO_PKG_VERSION").to_owned(),
            asked,
            shard,
            jobs,
        }
    }
}

/// Whether a name is that of a folder in the folder it is looked for in.
fn is_plain(name: &str) -> bool {
    let mut parts = Path::new(name).components();
    let only = parts.next().filter(|_| parts.next().is_none());
    matches!(only, Some(Component::Normal(part)) if part == name)
}

/// A result file and its digest.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Written {
    /// Name.
    pub(crate) name: String,
    /// Digest of its bytes.
    pub(crate) digest: String,
}

/// How one job ended: `records/NAME.json`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Record {
    /// Version of the shape.
    pub(crate) schema: u32,
    /// Names input, version and what was asked; `None` when the job must be tried again.
    pub(crate) fingerprint: Option<String>,
    /// Digest of the job's files, when they could be read.
    pub(crate) input_hash: Option<String>,
    /// Results on disk.
    pub(crate) files: Vec<Written>,
    /// Its row in the portfolio.
    pub(crate) row: PortfolioRow,
}

/// Longest reason on record, characters.
const LONGEST_REASON: usize = 300;

impl Record {
    /// Whether it can be gone on from as that of the job `name`: of this version, of this job,
    /// and with figures that can be added up.
    pub(crate) fn is_sound_for(&self, name: &str) -> bool {
        let adds_up = match &self.row.fate {
            Fate::Planned(figures) => figures.add_up(),
            Fate::Failed { .. } | Fate::Missing => true,
        };
        self.schema == SCHEMA && self.row.job == name && adds_up
    }

    /// A job without a plan.
    pub(crate) fn failed(job: &str, result: &str, reason: &str) -> Self {
        Self {
            schema: SCHEMA,
            fingerprint: None,
            input_hash: None,
            files: Vec::new(),
            row: PortfolioRow {
                job: job.to_owned(),
                fate: Fate::Failed {
                    result: result.to_owned(),
                    reason: one_line(reason),
                },
            },
        }
    }
}

/// Text on one line, cut when it is very long.
fn one_line(text: &str) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if line.chars().count() <= LONGEST_REASON {
        return line;
    }
    let kept: String = line.chars().take(LONGEST_REASON).collect();
    format!("{kept}… (plan the job alone for the rest)")
}

/// Names a job's input with what was asked and by which version it was answered.
pub(crate) fn fingerprint(asked: &Asked, input_hash: &str) -> String {
    let layout = asked.layout.as_deref().unwrap_or("free");
    let paper = asked.paper.as_deref().unwrap_or("by units");
    let parts: [&str; 8] = [
        &format!("records {SCHEMA}"),
        env!("CARGO_PKG_VERSION"),
        &asked.effort,
        &asked.seed.to_string(),
        layout,
        paper,
        &asked.date,
        input_hash,
    ];
    digest::of(parts.map(str::as_bytes))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked() -> Asked {
        Asked {
            effort: "quick".to_owned(),
            seed: 1,
            layout: None,
            paper: None,
            date: "2026-03-28".to_owned(),
        }
    }

    #[test]
    fn a_fingerprint_changes_with_whatever_changes_the_result() {
        let asked = asked();
        let same = fingerprint(&asked, "input");
        assert_eq!(same, fingerprint(&asked.clone(), "input"));
        let others = [
            fingerprint(&asked, "other input"),
            fingerprint(
                &Asked {
                    effort: "standard".to_owned(),
                    ..asked.clone()
                },
                "input",
            ),
            fingerprint(
                &Asked {
                    seed: 2,
                    ..asked.clone()
                },
                "input",
            ),
            fingerprint(
                &Asked {
                    layout: Some("hub".to_owned()),
                    ..asked.clone()
                },
                "input",
            ),
            fingerprint(
                &Asked {
                    paper: Some("a4".to_owned()),
                    ..asked.clone()
                },
                "input",
            ),
            fingerprint(
                &Asked {
                    date: "2026-03-29".to_owned(),
                    ..asked
                },
                "input",
            ),
        ];
        assert!(others.iter().all(|other| *other != same));
    }

    #[test]
    fn results_are_written_under_plain_names_only() {
        let asked = asked();
        let card = |name: &str| Card::new(asked.clone(), None, vec![name.to_owned()]);
        for name in ["elm", "Łódź 7", "a..b", ".elm"] {
            assert!(card(name).is_sound(), "{name}");
            let record = Record::failed(name, "refused", "why");
            assert!(record.is_sound_for(name) && !record.is_sound_for("oak"));
        }
        for name in ["", ".", "..", "../elm", "elm/", "elm/oak", "/elm"] {
            assert!(!card(name).is_sound(), "{name}");
        }
    }

    #[test]
    fn a_reason_is_one_line_of_bearable_length() {
        assert_eq!(one_line("a\n  b\t c"), "a b c");
        assert!(one_line(&"long ".repeat(500)).chars().count() < 700);
    }
}
