//! No plan: which fixtures were left over, and why, as text and as JSON.

use crate::exit::Exit;
use crate::summary::counted;
use crate::watch::Stopped;
use duskwright_solver::ids::FixtureId;
use duskwright_solver::job::Job;
use serde::Serialize;
use std::fmt::Write;

/// What `plan` says when it has no plan.
#[derive(Debug, Serialize)]
pub(crate) struct Unserved {
    result: &'static str,
    job: String,
    stopped: Option<&'static str>,
    unserved: Vec<Row>,
    #[serde(skip)]
    exit: Exit,
}

/// One fixture without a circuit.
#[derive(Debug, Serialize)]
struct Row {
    fixture: String,
    model: String,
    node: String,
    zone: Option<String>,
    window_low_v: f64,
    window_high_v: f64,
}

impl Unserved {
    /// The fixtures that the best attempt left over.
    pub(crate) fn of(job: &Job, unserved: &[FixtureId], stopped: Option<Stopped>) -> Self {
        let exit = Exit::NotFound;
        Self {
            result: exit.word(),
            job: job.name.clone(),
            stopped: stopped.map(Stopped::words),
            unserved: unserved.iter().map(|&id| Row::of(job, id)).collect(),
            exit,
        }
    }

    /// The code that tells it.
    pub(crate) const fn exit(&self) -> Exit {
        self.exit
    }

    /// For people.
    pub(crate) fn text(&self) -> String {
        let mut out = format!(
            "{}: no plan found; {} left over\n\n",
            self.job,
            counted(self.unserved.len(), "fixture")
        );
        for row in &self.unserved {
            let zone = row.zone.as_deref().map(|zone| format!(", zone {zone}"));
            let _infallible = writeln!(
                out,
                "  {} at {}: {}, window {} to {} V{}",
                row.fixture,
                row.node,
                row.model,
                row.window_low_v,
                row.window_high_v,
                zone.unwrap_or_default()
            );
        }
        if let Some(words) = self.stopped {
            let _infallible = writeln!(
                out,
                "\nThe search was {words}; a longer one may find a plan."
            );
        }
        out
    }
}

impl Row {
    fn of(job: &Job, id: FixtureId) -> Self {
        let fixture = job.fixture(id);
        let window = job.model_of(id).window;
        Self {
            fixture: fixture.tag.clone(),
            model: job.model_of(id).tag.clone(),
            node: job.node(fixture.node).tag.clone(),
            zone: fixture.zone.map(|zone| job.zone(zone).tag.clone()),
            window_low_v: window.min().value(),
            window_high_v: window.max().value(),
        }
    }
}
