//! Decisions made beforehand, as a table: which fixtures share a circuit, from
//! which site a fixture is fed, which transformer stands where.
//!
//! ```csv
//! decision,subject,object
//! same_circuit,F1,F2
//! other_circuit,F1,F7
//! circuit,F3,C2
//! site,F4,garage
//! transformer,300VA,garage
//! ```
//!
//! `circuit` names a circuit of a plan that is to be kept: the fixture shares a
//! circuit with all that hang on it there. `transformer` buys one of the model
//! for the site; twice the row, two of them.

use crate::ids::{CircuitId, FixtureId, SiteId, TransformerModelId};
use crate::job::Job;
use crate::plan::Plan;
use crate::run::Decisions;
use std::fmt::{Display, Formatter};

/// One thing wrong with a table of decisions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DecisionFault {
    /// Line of the file, from 1; `None` for what only rows together show.
    pub line: Option<u64>,
    /// What is wrong, and what would be accepted.
    pub reason: String,
}

impl Display for DecisionFault {
    fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}: {}", self.reason),
            None => f.write_str(&self.reason),
        }
    }
}

/// The columns, in order.
const COLUMNS: [&str; 3] = ["decision", "subject", "object"];

/// Most names listed in a message.
const MOST_LISTED: usize = 12;

/// Reads a table of decisions on a job; `kept` is the plan whose circuits it may name.
///
/// # Errors
/// Every fault of every row, then every contradiction between rows.
pub fn read(job: &Job, kept: Option<&Plan>, text: &str) -> Result<Decisions, Vec<DecisionFault>> {
    let mut reader = Reader {
        job,
        kept,
        decisions: Decisions::default(),
        faults: Vec::new(),
    };
    reader.rows(text);
    if reader.faults.is_empty() {
        reader.contradictions();
    }
    if reader.faults.is_empty() {
        Ok(reader.decisions)
    } else {
        Err(reader.faults)
    }
}

struct Reader<'a> {
    job: &'a Job,
    kept: Option<&'a Plan>,
    decisions: Decisions,
    faults: Vec<DecisionFault>,
}

fn listed(mut names: Vec<String>) -> String {
    let more = names.len().saturating_sub(MOST_LISTED);
    names.truncate(MOST_LISTED);
    match more {
        0 => names.join(", "),
        more => format!("{} and {more} more", names.join(", ")),
    }
}

impl Reader<'_> {
    fn fault(&mut self, line: Option<u64>, reason: String) {
        self.faults.push(DecisionFault { line, reason });
    }

    fn rows(&mut self, text: &str) {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut table = csv::ReaderBuilder::new()
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let heading: Vec<String> = match table.headers() {
            Ok(row) => row.iter().map(str::to_owned).collect(),
            Err(_) => Vec::new(),
        };
        if heading != COLUMNS {
            let (given, wanted) = (heading.join(","), COLUMNS.join(","));
            self.fault(
                Some(1),
                format!("the heading is `{given}`; accepted: `{wanted}`"),
            );
            return;
        }
        for row in table.records() {
            match row {
                Ok(row) => {
                    let line = row.position().map(csv::Position::line);
                    if let Err(reason) = self.row(&row[0], &row[1], &row[2]) {
                        self.fault(line, reason);
                    }
                }
                Err(error) => {
                    let line = error.position().map(csv::Position::line);
                    self.fault(
                        line,
                        "not three cells of text; accepted: decision,subject,object, quotes closed"
                            .to_owned(),
                    );
                }
            }
        }
    }

    fn row(&mut self, decision: &str, subject: &str, object: &str) -> Result<(), String> {
        match decision {
            "same_circuit" | "other_circuit" => {
                let (one, other) = (self.fixture(subject)?, self.fixture(object)?);
                if one == other {
                    return Err(format!(
                        "`{subject}` is named twice; accepted: two different fixtures"
                    ));
                }
                if decision == "same_circuit" {
                    self.join(&[one, other]);
                } else {
                    self.decisions.apart.push((one, other));
                }
            }
            "circuit" => {
                let mut set = vec![self.fixture(subject)?];
                set.extend(self.fixtures_on(object)?);
                self.join(&set);
            }
            "site" => {
                let fed = (self.fixture(subject)?, self.site(object)?);
                self.decisions.fed_from.push(fed);
            }
            "transformer" => {
                let bought = (self.site(object)?, self.model(subject)?);
                self.decisions.transformers.push(bought);
            }
            _ => {
                return Err(format!(
                    "no decision `{decision}`; accepted: same_circuit, other_circuit, circuit, site, transformer"
                ));
            }
        }
        Ok(())
    }

    fn fixture(&self, tag: &str) -> Result<FixtureId, String> {
        let tags = self.job.fixtures.iter().map(|fixture| &fixture.tag);
        row_of("fixture", tag, tags).map(FixtureId::new)
    }

    fn site(&self, tag: &str) -> Result<SiteId, String> {
        row_of("site", tag, self.job.sites.iter().map(|site| &site.tag)).map(SiteId::new)
    }

    fn model(&self, tag: &str) -> Result<TransformerModelId, String> {
        let tags = self.job.transformers.iter().map(|model| &model.tag);
        row_of("transformer model", tag, tags).map(TransformerModelId::new)
    }

    /// Fixtures on a circuit of the plan to be kept.
    fn fixtures_on(&self, label: &str) -> Result<Vec<FixtureId>, String> {
        let Some(plan) = self.kept else {
            return Err(format!(
                "`{label}` can only be a circuit of a plan that is kept, and none is given; accepted: circuit with a plan to keep, same_circuit without"
            ));
        };
        let known: Vec<String> = (0..plan.circuits.len())
            .map(|index| CircuitId::new(index).to_string())
            .collect();
        let found = known.iter().position(|known| known == label);
        let circuit = found.ok_or_else(|| {
            format!(
                "the plan kept has no circuit `{label}`; it has {}",
                listed(known)
            )
        })?;
        let leads = plan.circuits[circuit].leads.iter();
        Ok(leads.map(|lead| lead.fixture).collect())
    }

    /// Puts fixtures into one set, with all that already share a set with any of them.
    fn join(&mut self, fixtures: &[FixtureId]) {
        let mut joined = fixtures.to_vec();
        self.decisions.together.retain(|set| {
            let touches = set.iter().any(|fixture| fixtures.contains(fixture));
            if touches {
                joined.extend(set);
            }
            !touches
        });
        joined.sort_unstable();
        joined.dedup();
        if joined.len() > 1 {
            self.decisions.together.push(joined);
            self.decisions.together.sort();
        }
    }

    fn names(&self, fixtures: &[FixtureId]) -> String {
        listed(
            fixtures
                .iter()
                .map(|&id| self.job.fixture(id).tag.clone())
                .collect(),
        )
    }

    fn contradictions(&mut self) {
        for (one, other) in self.decisions.apart.clone() {
            let both = |set: &&Vec<FixtureId>| set.contains(&one) && set.contains(&other);
            if self.decisions.together.iter().any(|set| both(&set)) {
                let names = self.names(&[one, other]);
                self.fault(
                    None,
                    format!(
                        "{names}: decided both to share a circuit and not to; keep one of the two"
                    ),
                );
            }
        }
        for set in self.decisions.together.clone() {
            self.one_circuit(&set);
        }
        let fed_from = self.decisions.fed_from.clone();
        for (at, &(fixture, site)) in fed_from.iter().enumerate() {
            let other = fed_from[..at]
                .iter()
                .find(|&&(other, from)| other == fixture && from != site);
            if let Some(&(_, other)) = other {
                let (one, other) = (&self.job.site(other).tag, &self.job.site(site).tag);
                let reason = format!(
                    "{}: decided to be fed from `{one}` and from `{other}`; keep one of the two",
                    self.job.fixture(fixture).tag
                );
                self.fault(None, reason);
            }
        }
        self.room_at_sites();
    }

    /// What keeps a set of fixtures from sharing a circuit whatever the plan.
    fn one_circuit(&mut self, set: &[FixtureId]) {
        let names = self.names(set);
        let most = self.job.rules.most_fixtures_per_circuit;
        if let Some(most) = most.filter(|&most| set.len() > most as usize) {
            let reason = format!(
                "{names}: decided to share a circuit, but a circuit has at most {most} fixtures"
            );
            self.fault(None, reason);
        }
        let mut zones: Vec<_> = set
            .iter()
            .filter_map(|&id| self.job.fixture(id).zone)
            .collect();
        zones.sort_unstable();
        zones.dedup();
        if zones.len() > 1 {
            let zones: Vec<String> = zones
                .iter()
                .map(|&zone| self.job.zone(zone).tag.clone())
                .collect();
            let reason = format!(
                "{names}: decided to share a circuit, but they are of zones {}",
                listed(zones)
            );
            self.fault(None, reason);
        }
        let sites: Vec<SiteId> = self
            .decisions
            .fed_from
            .iter()
            .filter(|(fixture, _)| set.contains(fixture))
            .map(|&(_, site)| site)
            .collect();
        if sites.windows(2).any(|pair| pair[0] != pair[1]) {
            let reason =
                format!("{names}: decided to share a circuit and to be fed from several sites");
            self.fault(None, reason);
        }
    }

    fn room_at_sites(&mut self) {
        for (index, site) in self.job.sites.iter().enumerate() {
            let id = SiteId::new(index);
            let decided = self.decisions.transformers.iter();
            let wanted = decided.filter(|&&(at, _)| at == id).count();
            let standing = self
                .job
                .existing
                .iter()
                .filter(|one| one.site == id)
                .count();
            let further = site
                .further
                .map_or(0, |further| further.most * further.outlets);
            let room = (site.outlets + further).min(site.places) as usize;
            if wanted > 0 && wanted + standing > room {
                let reason = format!(
                    "site `{}`: {wanted} transformers decided on and {standing} standing, but it takes {room}",
                    site.tag
                );
                self.fault(None, reason);
            }
        }
        for &(fixture, site) in &self.decisions.fed_from.clone() {
            let details = self.job.site(site);
            let standing = self.job.existing.iter().any(|one| one.site == site);
            if (details.places == 0 || details.outlets == 0)
                && details.further.is_none()
                && !standing
            {
                let reason = format!(
                    "{}: decided to be fed from `{}`, where no transformer can stand",
                    self.job.fixture(fixture).tag,
                    details.tag
                );
                self.fault(None, reason);
            }
        }
    }
}

/// Position of a tag in a table.
fn row_of<'t>(
    table: &str,
    tag: &str,
    tags: impl Iterator<Item = &'t String> + Clone,
) -> Result<usize, String> {
    let found = tags.clone().position(|known| known == tag);
    found.ok_or_else(|| {
        let known: Vec<String> = tags.cloned().collect();
        let meant = crate::job::nearest_name(tag, known.iter().map(String::as_str));
        let hint = meant.map_or(String::new(), |meant| format!(" (did you mean `{meant}`?)"));
        format!("no {table} `{tag}`{hint}; the job has {}", listed(known))
    })
}
