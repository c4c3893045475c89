//! What a result was made from and by: enough to make it again.

use crate::planning::effort_word;
use duskwright_solver::cells;
use duskwright_solver::optimise::Settings;
use duskwright_solver::plan::json::PlanHeader;
use serde::Serialize;

/// Version, input and searches behind a result.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Origin {
    /// Version of the program.
    pub(crate) version: &'static str,
    /// SHA-256 of the input.
    pub(crate) input_sha256: String,
    /// The searches, those alike once.
    pub(crate) searches: Vec<Search>,
}

/// What a search was asked for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub(crate) struct Search {
    /// Effort, as typed.
    pub(crate) effort: String,
    /// Seed.
    pub(crate) seed: u64,
}

impl Search {
    /// Of a plan file.
    pub(crate) fn of(header: &PlanHeader) -> Self {
        Self {
            effort: header.effort.clone(),
            seed: header.seed,
        }
    }

    fn words(&self) -> String {
        format!("effort {}, seed {}", self.effort, self.seed)
    }
}

impl From<&Settings> for Search {
    fn from(settings: &Settings) -> Self {
        Self {
            effort: effort_word(settings.effort).to_owned(),
            seed: settings.seed,
        }
    }
}

impl Origin {
    /// Of results of this program.
    pub(crate) fn new(
        input_sha256: impl Into<String>,
        searches: impl IntoIterator<Item = Search>,
    ) -> Self {
        let mut known: Vec<Search> = Vec::new();
        for search in searches {
            if !known.contains(&search) {
                known.push(search);
            }
        }
        Self {
            version: env!("CARGO_PKG_VERSION"),
            input_sha256: input_sha256.into(),
            searches: known,
        }
    }

    /// The searches in words.
    pub(crate) fn search(&self) -> String {
        let words: Vec<String> = self.searches.iter().map(Search::words).collect();
        words.join("; ")
    }

    /// Everything by name.
    pub(crate) fn facts(&self) -> Facts {
        facts(self.version, &self.input_sha256, &self.search())
    }
}

/// How a result was made, by name.
pub(crate) type Facts = [(&'static str, String); 3];

/// The facts of [`cells::ORIGIN`]; `search`: in words.
pub(crate) fn facts(version: &str, input_sha256: &str, search: &str) -> Facts {
    let [first, second, third] = cells::ORIGIN;
    [(first, version), (second, input_sha256), (third, search)]
        .map(|(name, told)| (name, told.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn searches_alike_are_told_once() {
        let search = |seed| Search {
            effort: "quick".to_owned(),
            seed,
        };
        let origin = Origin::new("ab", [search(1), search(1), search(7)]);
        assert_eq!(
            origin.search(),
            "effort quick, seed 1; effort quick, seed 7"
        );
    }
}
