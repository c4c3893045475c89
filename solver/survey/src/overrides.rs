//! Hand edits of a survey: lengths measured on site, segments forbidden or added.
//!
//! A table `what,from,to,length_m,surface,most_cables,note` (or `length_ft`) that the survey
//! reads and never writes over. An edit of what is no longer there has no effect, and that is
//! said: a plan that changes must not make the edits of other places unusable.

use crate::fault::{Code, Fault, Ledger, Place};
use crate::graph::{Graph, Segment};
use crate::plan::Rate;
use crate::read::{Named, heading};
use std::collections::{BTreeMap, BTreeSet};

/// Longest length that is read, m, as in any table of a job.
const LONGEST_M: f64 = 1e8;
const COLUMNS: &str = "what, from, to, length_m or length_ft, surface, most_cables, note";

/// What is done to a segment.
#[derive(Clone, Copy, Debug, PartialEq)]
enum What {
    /// Its length was measured, m.
    Measured(f64),
    /// It must not be used.
    Forbidden,
    /// It is there beside those derived; length in m, else straight.
    Added {
        length_m: Option<f64>,
        most_cables: Option<u32>,
    },
}

/// One hand edit.
#[derive(Clone, Debug, PartialEq)]
struct Edit {
    place: Place,
    what: What,
    ends: [String; 2],
    surface: Option<String>,
}

/// Hand edits as they stand in their table.
#[derive(Clone, Debug, Default)]
pub struct Overrides {
    edits: Vec<Edit>,
}

/// How many edits had an effect.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Applied {
    /// Lengths measured.
    pub measured: usize,
    /// Segments forbidden.
    pub forbidden: usize,
    /// Segments added.
    pub added: usize,
}

impl Overrides {
    /// Reads the table.
    pub(crate) fn read(file: Named<'_>, ledger: &mut Ledger) -> Self {
        let place = Place::file(file.0);
        let mut reader = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .flexible(true)
            .from_reader(file.1);
        let unreadable = |error: csv::Error| Fault::new(Code::Overrides, &place, error.to_string());
        let heading = match heading(&mut reader) {
            Ok(heading) => heading,
            Err(error) => {
                ledger.add(unreadable(error));
                return Self::default();
            }
        };
        for needed in ["what", "from", "to"] {
            if !heading.iter().any(|cell| cell == needed) {
                let message = format!("the column `{needed}` is missing");
                ledger.add(Fault::new(Code::Overrides, &place, message).accepted(COLUMNS));
                return Self::default();
            }
        }
        let mut edits = Vec::new();
        for record in reader.records() {
            match record {
                Ok(record) => edits.extend(edit(&heading, &record, &place, ledger)),
                Err(error) => ledger.add(unreadable(error)),
            }
        }
        Self { edits }
    }

    /// Every node that an edit names.
    #[must_use]
    pub fn nodes(&self) -> BTreeSet<String> {
        let ends = self.edits.iter().flat_map(|edit| &edit.ends);
        ends.cloned().collect()
    }

    /// Makes the edits: derived segments first, then those added.
    pub(crate) fn apply(
        &self,
        graph: &mut Graph,
        tags: &[String],
        rates: &[Rate],
        ledger: &mut Ledger,
    ) -> Applied {
        let known: BTreeMap<&str, usize> = tags
            .iter()
            .enumerate()
            .map(|(node, tag)| (tag.as_str(), node))
            .collect();
        let mut applied = Applied::default();
        let mut forbidden = BTreeSet::new();
        let mut added = Vec::new();
        for edit in &self.edits {
            let ends: Vec<usize> = edit
                .ends
                .iter()
                .filter_map(|tag| known.get(tag.as_str()).copied())
                .collect();
            let [a, b] = ends[..] else {
                ledger.add(edit.idle("no node of the survey has this name"));
                continue;
            };
            if let What::Added {
                length_m,
                most_cables,
            } = edit.what
            {
                if let Some(rate) = edit.rate(rates, ledger) {
                    let straight = crate::edges::distance(graph.nodes[a].at, graph.nodes[b].at);
                    let length_m = length_m.unwrap_or(straight);
                    added.push(Segment {
                        ends: [a, b],
                        surface: rate.surface.clone(),
                        length_m,
                        most_cables,
                        cost: rate.fixed + rate.per_m * length_m,
                        utility: None,
                        bored: false,
                    });
                    applied.added += 1;
                }
                continue;
            }
            let hits: Vec<usize> = graph
                .segments
                .iter()
                .enumerate()
                .filter(|(_, segment)| {
                    (segment.ends == [a, b] || segment.ends == [b, a])
                        && edit
                            .surface
                            .as_ref()
                            .is_none_or(|own| *own == segment.surface)
                })
                .map(|(number, _)| number)
                .collect();
            match (edit.what, &hits[..]) {
                (_, []) => ledger.add(edit.idle("the survey has no such segment")),
                (What::Forbidden, hits) => {
                    applied.forbidden += hits.len();
                    forbidden.extend(hits.iter().copied());
                }
                (What::Measured(length_m), &[hit]) => {
                    let segment = &mut graph.segments[hit];
                    let rate = rates.iter().find(|rate| rate.surface == segment.surface);
                    segment.length_m = length_m;
                    segment.cost = rate.map_or(0.0, |rate| rate.fixed + rate.per_m * length_m);
                    applied.measured += 1;
                }
                (_, hits) => {
                    let surfaces: Vec<&str> = hits
                        .iter()
                        .map(|&hit| graph.segments[hit].surface.as_str())
                        .collect();
                    ledger.add(
                        Fault::new(
                            Code::Overrides,
                            &edit.place,
                            "several segments join these nodes",
                        )
                        .accepted(format!("one of the surfaces {}", surfaces.join(", "))),
                    );
                }
            }
        }
        let mut number = 0;
        graph.segments.retain(|_| {
            number += 1;
            !forbidden.contains(&(number - 1))
        });
        graph.segments.extend(added);
        applied
    }
}

impl Edit {
    fn idle(&self, why: &str) -> Fault {
        let [from, to] = &self.ends;
        Fault::new(
            Code::IdleOverride,
            &self.place,
            format!("this edit has no effect: {why}"),
        )
        .given(format!("{from}, {to}"))
        .help("look for the place in survey.svg, and correct the edit or delete its row")
    }

    fn rate<'a>(&self, rates: &'a [Rate], ledger: &mut Ledger) -> Option<&'a Rate> {
        let surface = self.surface.as_deref().unwrap_or_default();
        let found = rates.iter().find(|rate| rate.surface == surface);
        if found.is_none() {
            let known: Vec<&str> = rates.iter().map(|rate| rate.surface.as_str()).collect();
            ledger.add(
                Fault::new(
                    Code::SurfaceUnknown,
                    &self.place,
                    "an added segment needs a surface of the catalogue",
                )
                .given(surface)
                .accepted(known.join(", ")),
            );
        }
        found
    }
}

fn edit(
    heading: &[String],
    record: &csv::StringRecord,
    file: &Place,
    ledger: &mut Ledger,
) -> Option<Edit> {
    let place = Place {
        line: record.position().map(|position| position.line() as usize),
        ..file.clone()
    };
    let cell = |name: &str| {
        let column = heading.iter().position(|cell| cell == name)?;
        record.get(column).filter(|cell| !cell.is_empty())
    };
    if record.iter().all(str::is_empty) {
        return None;
    }
    let mut wrong = |message: &str, given: &str, accepted: &str| {
        let fault = Fault::new(Code::Overrides, &place, message);
        ledger.add(fault.given(given).accepted(accepted));
        None
    };
    let (Some(from), Some(to)) = (cell("from"), cell("to")) else {
        return wrong(
            "a segment has two ends",
            "",
            "the names of two nodes in `from` and `to`",
        );
    };
    if from == to {
        return wrong("a segment has two ends", from, "two different nodes");
    }
    let mut length_m = None;
    for (column, metres) in [("length_m", 1.0), ("length_ft", 0.3048)] {
        if let Some(text) = cell(column) {
            match text.parse::<f64>() {
                Ok(length) if length >= 0.0 && length * metres <= LONGEST_M => {
                    length_m = Some(length * metres);
                }
                _ => return wrong("this is no length", text, "a number, 0 or more"),
            }
        }
    }
    let most_cables = match cell("most_cables").map(|text| (text, text.parse::<u32>())) {
        None => None,
        Some((_, Ok(most))) => Some(most),
        Some((text, Err(_))) => {
            return wrong(
                "this is no number of cables",
                text,
                "a whole number, 0 or more",
            );
        }
    };
    let what = match (cell("what").unwrap_or_default(), length_m) {
        ("measured", Some(length_m)) => What::Measured(length_m),
        ("measured", None) => {
            return wrong(
                "a measured segment needs its length",
                "",
                "a number in `length_m` or `length_ft`",
            );
        }
        ("forbidden", _) => What::Forbidden,
        ("added", length_m) => What::Added {
            length_m,
            most_cables,
        },
        (word, _) => {
            return wrong(
                "this edit is not known",
                word,
                "measured, forbidden or added",
            );
        }
    };
    Some(Edit {
        what,
        ends: [from.to_owned(), to.to_owned()],
        surface: cell("surface").map(str::to_owned),
        place,
    })
}
