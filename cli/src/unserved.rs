//! No plan: which fixtures are unserved, why, and what to do next, as text and as JSON.

use crate::exit::Exit;
use crate::remedy::Change;
use crate::summary::counted;
use crate::watch::Stopped;
use duskwright_solver::ids::FixtureId;
use duskwright_solver::job::Job;
use duskwright_solver::optimise::Effort;
use duskwright_solver::optimise::bound::{Binds, Remedy, Unservable};
use duskwright_solver::optimise::leftover::{Balance, Left, Leftover, Resource, State, Strain};
use duskwright_solver::units::Volts;
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
    /// What the whole job asks against what it offers; only where nothing is proven.
    resources: Vec<Stand>,
    /// Changes to the whole job that would likely help; not proven.
    likely_changes: Vec<Change>,
    /// Whether a longer search is the next thing to try.
    search_longer: bool,
    #[serde(skip)]
    exit: Exit,
}

/// Fixtures told of in full on the terminal; of any further ones only the tags (`--json` tells all of all).
const MOST_IN_FULL: usize = 6;

/// Columns of a wrapped list of tags.
const WIDTH: usize = 78;

/// The tags of fixtures beyond those told of in full, wrapped.
fn write_tags(out: &mut String, rest: &[Row]) {
    if rest.is_empty() {
        return;
    }
    let mut line = format!(
        "  and {} (--json tells all of each):",
        counted(rest.len(), "more fixture")
    );
    for row in rest {
        if line.chars().count() + 1 + row.fixture.chars().count() > WIDTH {
            out.push_str(&line);
            out.push('\n');
            line = "   ".to_owned();
        }
        line.push(' ');
        line.push_str(&row.fixture);
    }
    out.push_str(&line);
    out.push('\n');
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
    /// What likely stands in its way, when nothing is proven.
    likely: Option<Likely>,
}

/// Why no plan can serve a fixture.
#[derive(Debug, Serialize)]
struct Proof {
    /// What binds: `route`, `joint`, `taps`, `distance`, `ampacity`, `circuit limit`, `transformer size` or `lug`.
    binds: &'static str,
    /// Low end of the window and margin, where voltage binds.
    needed_v: Option<f64>,
    /// Alone and at best, low case; absent when its load would collapse or nothing reaches it.
    best_v: Option<f64>,
    /// Least current it draws inside its window, where that binds.
    needed_a: Option<f64>,
    /// Least load it draws inside its window, where that binds.
    needed_va: Option<f64>,
    /// Length of the shortest way from a site, in the job's unit, where that binds.
    shortest_way: Option<f64>,
    /// Changes, each alone enough for what binds.
    changes: Vec<Change>,
    #[serde(skip)]
    words: String,
}

/// What likely stands in the way of a fixture.
#[derive(Debug, Serialize)]
struct Likely {
    /// Alone and at best, low case: optimistic.
    best_v: Option<f64>,
    /// Low end of the window and margin.
    needed_v: f64,
    /// What is hard about it, in words.
    strains: Vec<String>,
    /// Changes that would likely help; not proven.
    likely_changes: Vec<Change>,
}

/// How one resource of the whole job stands.
#[derive(Debug, Serialize)]
struct Stand {
    resource: &'static str,
    unit: &'static str,
    needed: f64,
    offered: f64,
    state: &'static str,
}

impl Unserved {
    /// Fixtures that no plan can serve.
    pub(crate) fn proven(job: &Job, found: &[Unservable]) -> Self {
        let rows = found.iter().map(|one| Row {
            proof: Some(Proof::of(job, one)),
            ..Row::of(job, one.fixture)
        });
        Self::made(job, Exit::Infeasible, rows.collect())
    }

    /// The fixtures that the best attempt left over.
    pub(crate) fn left_over(
        job: &Job,
        leftover: &Leftover,
        stopped: Option<Stopped>,
        effort: Effort,
    ) -> Self {
        let rows = leftover.fixtures.iter().map(|left| Row {
            likely: Some(Likely::of(job, left)),
            ..Row::of(job, left.fixture)
        });
        Self {
            stopped: stopped.map(Stopped::words),
            resources: leftover.balances.iter().map(Stand::of).collect(),
            likely_changes: changes(job, &leftover.remedies),
            search_longer: stopped.is_some()
                || (leftover.names_nothing() && effort != Effort::Thorough),
            ..Self::made(job, Exit::NotFound, rows.collect())
        }
    }

    fn made(job: &Job, exit: Exit, unserved: Vec<Row>) -> Self {
        Self {
            result: exit.word(),
            job: job.name.clone(),
            length_unit: job.units.length_symbol(),
            stopped: None,
            unserved,
            resources: Vec::new(),
            likely_changes: Vec::new(),
            search_longer: false,
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
        let (shown, rest) = self
            .unserved
            .split_at(self.unserved.len().min(MOST_IN_FULL));
        for row in shown {
            row.write(&mut out);
        }
        write_tags(&mut out, rest);
        self.write_resources(&mut out);
        if let Some(words) = self.stopped {
            let _infallible = writeln!(
                out,
                "\nThe search was {words}; a longer one may find a plan."
            );
        } else if self.search_longer {
            out.push_str(
                "\nNothing above is short: a longer search (--effort thorough) may find a plan.\n",
            );
        }
        out
    }

    fn write_resources(&self, out: &mut String) {
        if self.resources.is_empty() {
            return;
        }
        out.push_str("\n  the whole job, asked for at least / offered at most\n");
        for stand in &self.resources {
            let _infallible = writeln!(
                out,
                "    {:<26} {:.0} / {:.0} {}: {}",
                stand.resource, stand.needed, stand.offered, stand.unit, stand.state
            );
        }
        list(
            out,
            "  would likely help (not proven), any of:",
            &self.likely_changes,
        );
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
            likely: None,
        }
    }

    fn write(&self, out: &mut String) {
        let zone = self.zone.as_deref();
        let zone = zone.map_or(String::new(), |zone| format!(", zone {zone}"));
        let _infallible = writeln!(
            out,
            "  {} at {} ({}, window {} to {} V{zone})",
            self.fixture, self.node, self.model, self.window_low_v, self.window_high_v
        );
        if let Some(proof) = &self.proof {
            let _infallible = writeln!(out, "    {}", proof.words);
            list(out, "    smallest change, any one of:", &proof.changes);
        }
        if let Some(likely) = &self.likely {
            likely.write(out);
        }
    }
}

impl Proof {
    fn of(job: &Job, found: &Unservable) -> Self {
        let mut proof = Self {
            binds: "",
            needed_v: None,
            best_v: found.best_volts.map(Volts::value),
            needed_a: None,
            needed_va: None,
            shortest_way: None,
            changes: changes(job, &found.remedies),
            words: String::new(),
        };
        let best = best_words(proof.best_v);
        (proof.binds, proof.words) = match found.binds {
            Binds::NoRoute => ("route", "no path joins it to a transformer site".to_owned()),
            Binds::NoJointInReach => (
                "joint",
                "no node where a joint may stand is within reach of its lead".to_owned(),
            ),
            Binds::Taps { needed, highest } => {
                proof.needed_v = Some(needed.value());
                let words = format!(
                    "needs {needed:.2} with its margin; {best}: no tap that may be used is high enough ({highest:.2} without load)"
                );
                ("taps", words)
            }
            Binds::Distance { needed, route } => {
                proof.needed_v = Some(needed.value());
                let way = job.units.from_metres(route);
                proof.shortest_way = Some(way);
                let unit = job.units.length_symbol();
                let words = format!(
                    "needs {needed:.2} with its margin; {best}: the shortest way from a transformer is {way:.1} {unit}"
                );
                ("distance", words)
            }
            Binds::Ampacity { current } => {
                proof.needed_a = Some(current.value());
                let words = format!("draws at least {current:.2}: no cable for pieces carries it");
                ("ampacity", words)
            }
            Binds::CircuitLimit { current } => {
                proof.needed_a = Some(current.value());
                let words =
                    format!("draws at least {current:.2}: no secondary may carry it continuously");
                ("circuit limit", words)
            }
            Binds::TransformerSize { apparent } => {
                proof.needed_va = Some(apparent.value());
                let words = format!("draws at least {apparent:.1}: no transformer may deliver it");
                ("transformer size", words)
            }
            Binds::Lug => (
                "lug",
                "no home-run cable fits a lug of any tap that may be used".to_owned(),
            ),
        };
        proof
    }
}

impl Likely {
    fn of(job: &Job, left: &Left) -> Self {
        Self {
            best_v: left.best_volts.map(Volts::value),
            needed_v: left.needed.value(),
            strains: left.strains.iter().map(strain_words).collect(),
            likely_changes: changes(job, &left.remedies),
        }
    }

    fn write(&self, out: &mut String) {
        let _infallible = writeln!(
            out,
            "    needs {:.2} V with its margin; {} (optimistic: shortest way, thickest cable, highest tap, no other load)",
            self.needed_v,
            best_words(self.best_v)
        );
        for strain in &self.strains {
            let _infallible = writeln!(out, "    {strain}");
        }
        list(
            out,
            "    would likely help (not proven), any of:",
            &self.likely_changes,
        );
    }
}

impl Stand {
    fn of(balance: &Balance) -> Self {
        let (resource, unit) = match balance.resource {
            Resource::TransformerLoad => ("load on transformers", "VA"),
            Resource::Mains => ("load on the mains", "VA"),
            Resource::Positions => ("transformers (zones, load)", "places"),
            Resource::Lugs => ("circuits", "lugs"),
        };
        Self {
            resource,
            unit,
            needed: balance.needed,
            offered: balance.offered,
            state: match balance.state() {
                State::Short => "short",
                State::Tight => "tight",
                State::Ample => "ample",
            },
        }
    }
}

fn changes(job: &Job, remedies: &[Remedy]) -> Vec<Change> {
    let each = remedies.iter();
    each.map(|&remedy| Change::of(job, remedy)).collect()
}

fn list(out: &mut String, heading: &str, changes: &[Change]) {
    if changes.is_empty() {
        return;
    }
    let indent = heading.len() - heading.trim_start().len();
    let _infallible = writeln!(out, "{heading}");
    for change in changes {
        let _infallible = writeln!(out, "{:indent$}  - {}", "", change.words());
    }
}

fn best_words(best: Option<f64>) -> String {
    best.map_or_else(
        || {
            "alone at best it has no operating point: out of reach, or its load would collapse"
                .to_owned()
        },
        |best| format!("alone at best it has {best:.2} V"),
    )
}

fn strain_words(strain: &Strain) -> String {
    match *strain {
        Strain::Unservable => "proven: no plan can serve it as the job stands".to_owned(),
        Strain::Voltage(share) => format!(
            "voltage: even so it uses up {:.0} % of what may be lost on the way",
            share * 100.0
        ),
        Strain::TapsTooHigh { lowest, bears } => format!(
            "voltage: the lowest tap stands at {lowest:.2} or more, and it bears {bears:.2}: only a long way brings it in"
        ),
        Strain::NoJointHere => "joint: none may stand at its own node".to_owned(),
    }
}
