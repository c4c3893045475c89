//! No plan: which fixtures were left over, and why, as text and as JSON.

use crate::exit::Exit;
use crate::summary::counted;
use crate::watch::Stopped;
use duskwright_solver::ids::FixtureId;
use duskwright_solver::job::Job;
use duskwright_solver::reach::{Obstacle, OutOfReach};
use serde::Serialize;
use std::fmt::Write;

/// What `plan` says when it has no plan.
#[derive(Debug, Serialize)]
pub(crate) struct Unserved {
    result: &'static str,
    job: String,
    length_unit: &'static str,
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
    /// Why no plan can serve it, when that is proven.
    proof: Option<Proof>,
}

/// Why no plan can serve a fixture.
#[derive(Debug, Serialize)]
struct Proof {
    /// What binds: `taps` or `distance`.
    binds: &'static str,
    /// Low end of the window and margin.
    needed_v: f64,
    /// No plan gives more, low case; absent when its load would collapse.
    best_v: Option<f64>,
    /// Length of the shortest way from a site, in the job's unit.
    shortest_way: Option<f64>,
    /// Least tap voltage with which it might be served.
    tap_needed_v: f64,
}

impl Unserved {
    /// Fixtures that no plan can serve.
    pub(crate) fn proven(job: &Job, found: &[OutOfReach]) -> Self {
        let rows = found.iter().map(|one| Row {
            proof: Some(Proof::of(job, one)),
            ..Row::of(job, one.fixture)
        });
        Self::made(job, Exit::Infeasible, None, rows.collect())
    }

    /// The fixtures that the best attempt left over.
    pub(crate) fn left_over(job: &Job, left: &[FixtureId], stopped: Option<Stopped>) -> Self {
        let rows = left.iter().map(|&id| Row::of(job, id));
        Self::made(job, Exit::NotFound, stopped, rows.collect())
    }

    fn made(job: &Job, exit: Exit, stopped: Option<Stopped>, unserved: Vec<Row>) -> Self {
        Self {
            result: exit.word(),
            job: job.name.clone(),
            length_unit: job.units.length_symbol(),
            stopped: stopped.map(Stopped::words),
            unserved,
            exit,
        }
    }

    /// The code that tells it.
    pub(crate) const fn exit(&self) -> Exit {
        self.exit
    }

    /// For people.
    pub(crate) fn text(&self) -> String {
        let count = counted(self.unserved.len(), "fixture");
        let mut out = match self.exit {
            Exit::Infeasible => format!("{}: no plan exists; out of reach: {count}\n\n", self.job),
            _ => format!("{}: no plan found; left over: {count}\n\n", self.job),
        };
        for row in &self.unserved {
            let _infallible = writeln!(out, "  {}", row.words(self.length_unit));
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
        let model = job.model_of(id);
        Self {
            fixture: fixture.tag.clone(),
            model: model.tag.clone(),
            node: job.node(fixture.node).tag.clone(),
            zone: fixture.zone.map(|zone| job.zone(zone).tag.clone()),
            window_low_v: model.window.min().value(),
            window_high_v: model.window.max().value(),
            proof: None,
        }
    }

    fn words(&self, unit: &str) -> String {
        let zone = self.zone.as_deref();
        let zone = zone.map_or(String::new(), |zone| format!(", zone {zone}"));
        let head = format!(
            "{} at {} ({}, window {} to {} V{zone})",
            self.fixture, self.node, self.model, self.window_low_v, self.window_high_v
        );
        match &self.proof {
            None => head,
            Some(proof) => format!("{head}\n{}", proof.words(unit)),
        }
    }
}

impl Proof {
    fn of(job: &Job, found: &OutOfReach) -> Self {
        let (binds, shortest) = match found.obstacle {
            Obstacle::Taps => ("taps", None),
            Obstacle::Distance { shortest } => ("distance", Some(shortest)),
        };
        Self {
            binds,
            needed_v: found.needed.value(),
            best_v: found.best.map(|volts| volts.value()),
            shortest_way: shortest.map(|way| job.units.from_metres(way)),
            tap_needed_v: found.tap_needed.value(),
        }
    }

    fn words(&self, unit: &str) -> String {
        let best = self.best_v.map_or_else(
            || "its load would collapse".to_owned(),
            |best| format!("no plan gives it more than {best:.2} V"),
        );
        let binds = self.shortest_way.map_or_else(
            || "no tap that may be used is high enough".to_owned(),
            |way| format!("the shortest way from a transformer is {way:.1} {unit}"),
        );
        let mut words = format!(
            "    needs {:.2} V with its margin; {best}: {binds}\n    smallest change: a tap of at least {:.2} V",
            self.needed_v, self.tap_needed_v
        );
        if let Some(best) = self.best_v {
            let shift = self.needed_v - best;
            let _infallible = write!(words, ", or a window that begins {shift:.2} V lower");
        }
        words
    }
}
