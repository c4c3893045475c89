//! The numbers of the relaxed problem: a job stripped to charges, capacities
//! and per-fixture terms, every one of them rounded towards "too cheap".

use super::copper::{self, CopperLine, Gauge};
use super::joints::{JointCosts, JointLine};
use super::planted::Planted;
use super::sources::{self, SourceCosts};
use crate::ids::{FixtureId, NodeId};
use crate::job::{FixtureModel, Job};
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// Volts, amperes: tolerance of every limit, doubled.
const LIMIT_TOLERANCE: f64 = 2e-6;

/// Fixtures times segments below which one thread is faster.
const SMALL: usize = 2000;

/// A segment of the site graph.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Edge {
    pub a: usize,
    pub b: usize,
    pub metres: f64,
    /// Money for opening it, once.
    pub trench: f64,
    /// Money for work on each cable that passes.
    pub per_cable: f64,
}

/// A fixture's part.
#[derive(Clone, Debug)]
pub(crate) struct Load {
    pub node: usize,
    /// Least VA it draws inside its window.
    pub power_va: f64,
    /// Least current it draws inside its window, A.
    pub current: f64,
    /// `B`: most of `sum R l P` over its cable path, V².
    pub budget: f64,
    pub zone: Option<usize>,
    /// Whether it brings a wire that takes a place in a joint.
    pub has_lead: bool,
    /// Nodes where its lead may land, ascending.
    pub landings: Vec<usize>,
}

/// Most of something that one cable may feed.
#[derive(Clone, Debug)]
pub(crate) struct Capacity {
    /// What each fixture takes, by fixture.
    pub weight: Vec<f64>,
    pub most: f64,
}

/// The relaxed job.
#[derive(Clone, Debug)]
pub(crate) struct Relaxation {
    pub edges: Vec<Edge>,
    /// `(arc, far node)` of every node; arc `2 e` runs from `a` to `b` of edge `e`, arc `2 e + 1` back.
    pub outgoing: Vec<Vec<(usize, usize)>>,
    pub loads: Vec<Load>,
    pub zones: usize,
    /// Node of each site.
    pub entry: Vec<usize>,
    pub sources: SourceCosts,
    pub capacity: Option<Capacity>,
    /// Least money of a metre of piece and copper term, one line for each segment.
    pub line: Vec<CopperLine>,
    /// Lines under the joint cost, by node; empty where nothing lands.
    pub joint_lines: Vec<Vec<JointLine>>,
    /// Worth of stock on hand, taken off at the end.
    pub stock_worth: f64,
    pub planted: Planted,
    /// Fixed money of a home run that no other piece has (used only by a planted error).
    pub home_run_extra: f64,
}

impl Relaxation {
    /// Relaxes a job with one copper line for all segments.
    pub(crate) fn new(job: &Job, gauges: &[Gauge], line: CopperLine, planted: Planted) -> Self {
        let highest = sources::highest_no_load_volts(job, planted);
        let edges = edges(job);
        let outgoing = outgoing(job.nodes.len(), &edges);
        let loads: Vec<Load> = job
            .fixture_ids()
            .map(|fixture| load(job, fixture, highest, &edges, &outgoing, planted))
            .collect();
        let power: Vec<f64> = loads.iter().map(|load| load.power_va).collect();
        let entry: Vec<usize> = job.sites.iter().map(|site| site.node.index()).collect();
        let mut relaxation = Self {
            capacity: capacity(job, gauges, &loads),
            sources: sources::source_costs(job, &power, planted),
            line: Vec::new(),
            joint_lines: Vec::new(),
            stock_worth: gauges
                .iter()
                .map(|gauge| gauge.price_per_metre * gauge.stock_metres)
                .sum(),
            home_run_extra: job.rates.slack.transformer.value() * line.fixed_per_metre,
            zones: job.zones.len(),
            edges,
            outgoing,
            loads,
            entry,
            planted,
        };
        relaxation.use_line(job, line);
        relaxation
    }

    /// Takes one copper line for all segments and joints.
    fn use_line(&mut self, job: &Job, line: CopperLine) {
        self.line = vec![line; self.edges.len()];
        let costs = JointCosts::new(job, self.planted);
        let mut at_fixture = vec![false; job.nodes.len()];
        let mut landing = vec![false; job.nodes.len()];
        for load in &self.loads {
            at_fixture[load.node] = true;
            for &node in &load.landings {
                landing[node] = true;
            }
        }
        self.joint_lines = (0..job.nodes.len())
            .map(|node| match landing[node] {
                true => costs.lines(
                    job,
                    NodeId::new(node),
                    at_fixture[node],
                    line.fixed_per_metre,
                ),
                false => Vec::new(),
            })
            .collect();
    }

    /// Whether handing work to other threads would cost more than it saves.
    pub(crate) fn is_small(&self) -> bool {
        self.loads.len() * self.edges.len() < SMALL
    }

    /// Money of one cable along a segment, whatever its gauge.
    pub(crate) fn cable_charge(&self, edge: usize) -> f64 {
        let Edge {
            metres,
            per_cable,
            a,
            b,
            ..
        } = self.edges[edge];
        let extra = if self.planted == Planted::CablesLeavingTheSiteCounted
            && self.entry.iter().any(|&node| node == a || node == b)
        {
            self.home_run_extra
        } else {
            0.0
        };
        per_cable + metres * self.line[edge].fixed_per_metre + extra
    }

    /// Copper coefficient of a segment: `2 l sqrt(slope)`, per `sqrt(kappa) P`.
    pub(crate) fn copper(&self, edge: usize) -> f64 {
        2.0 * self.edges[edge].metres * self.line[edge].slope.sqrt()
    }
}

fn edges(job: &Job) -> Vec<Edge> {
    let labour = job.rates.labour.cost().value();
    job.segments
        .iter()
        .map(|segment| {
            let surface = job.surface(segment.surface);
            let units = job.units.from_metres(segment.length);
            let per_unit = |work: crate::job::SurfaceWork| {
                work.hours_per_unit * labour + work.money_per_unit.cost().value()
            };
            Edge {
                a: segment.a.index(),
                b: segment.b.index(),
                metres: segment.length.value(),
                trench: (units * per_unit(surface.open) + surface.open_fixed.cost().value())
                    .max(0.0),
                per_cable: (units * per_unit(surface.per_cable)).max(0.0),
            }
        })
        .collect()
}

fn outgoing(nodes: usize, edges: &[Edge]) -> Vec<Vec<(usize, usize)>> {
    let mut outgoing = vec![Vec::new(); nodes];
    for (e, edge) in edges.iter().enumerate() {
        outgoing[edge.a].push((2 * e, edge.b));
        outgoing[edge.b].push((2 * e + 1, edge.a));
    }
    outgoing
}

/// `(V / Vr)^n`, exact for the common exponents.
pub(crate) fn load_factor(volts: f64, model: &FixtureModel) -> f64 {
    let ratio = volts / model.rated.value();
    let exponent = model.exponent.value();
    if exponent == 0.0 {
        1.0
    } else if exponent == 1.0 {
        ratio
    } else if exponent == 2.0 {
        ratio * ratio
    } else {
        ratio.powf(exponent)
    }
}

/// Lowest voltage at which a feasible plan may leave a fixture, low case, V.
pub(crate) fn least_volts(job: &Job, model: &FixtureModel) -> f64 {
    (model.window.min().value() + job.rules.margins.low.value() - LIMIT_TOLERANCE).max(0.0)
}

fn load(
    job: &Job,
    fixture: FixtureId,
    highest: f64,
    edges: &[Edge],
    outgoing: &[Vec<(usize, usize)>],
    planted: Planted,
) -> Load {
    let model = job.model_of(fixture);
    let mut least = least_volts(job, model);
    let apparent = model.apparent.value();
    let power_va = match planted {
        Planted::RatedLoads => apparent,
        _ => apparent * load_factor(least, model) * (1.0 - 1e-12),
    };
    let current = match planted {
        Planted::TapCurrents => apparent / model.rated.value().min(highest),
        _ => {
            let at = |volts: f64| apparent * load_factor(volts, model) / volts.max(1e-9);
            at(least).min(at(highest.max(least))) * (1.0 - 1e-12)
        }
    };
    let lead_ohms = model.lead.map_or(0.0, |lead| {
        copper::low_case_ohms_per_metre(job, job.cable(lead.cable)) * lead.length.value()
    });
    if planted == Planted::MarginTwice {
        least += job.rules.margins.low.value();
    }
    Load {
        node: job.fixture(fixture).node.index(),
        power_va,
        current,
        budget: (highest * highest - least * least) / 2.0 - lead_ohms * power_va,
        zone: job.fixture(fixture).zone.map(|zone| zone.index()),
        has_lead: model.lead.is_some(),
        landings: landings(job, fixture, edges, outgoing, planted),
    }
}

/// Nodes that a fixture's lead may reach and where a joint may stand.
///
/// Its own node stays when nothing else is left: a job with such a fixture has
/// no plan, and the bound must only remain a number.
pub(crate) fn landings(
    job: &Job,
    fixture: FixtureId,
    edges: &[Edge],
    outgoing: &[Vec<(usize, usize)>],
    planted: Planted,
) -> Vec<usize> {
    let own = job.fixture(fixture).node.index();
    let slack = job.rates.slack;
    let reach = match job.model_of(fixture).lead {
        Some(lead) if planted != Planted::CableToTheFixture => {
            lead.length.value() - slack.fixture.value() - slack.hub.min(slack.splice).value() + 1e-6
        }
        _ => 0.0,
    };
    let has_lead = job.model_of(fixture).lead.is_some();
    let distance = nearest(&[own], edges, outgoing);
    let landings: Vec<usize> = (0..job.nodes.len())
        .filter(|&node| node == own || (has_lead && distance[node] <= reach))
        .filter(|&node| job.nodes[node].joint_allowed || !has_lead)
        .collect();
    if landings.is_empty() {
        vec![own]
    } else {
        landings
    }
}

/// Shortest distances in metres from the nearest of `from`.
pub(crate) fn nearest(
    from: &[usize],
    edges: &[Edge],
    outgoing: &[Vec<(usize, usize)>],
) -> Vec<f64> {
    let mut distance = vec![f64::INFINITY; outgoing.len()];
    let mut heap = BinaryHeap::new();
    for &node in from {
        distance[node] = 0.0;
        heap.push(Label { cost: 0.0, node });
    }
    while let Some(Label { cost, node }) = heap.pop() {
        if cost > distance[node] {
            continue;
        }
        for &(arc, next) in &outgoing[node] {
            let through = cost + edges[arc / 2].metres;
            if through < distance[next] {
                distance[next] = through;
                heap.push(Label {
                    cost: through,
                    node: next,
                });
            }
        }
    }
    distance
}

/// A tentative distance in a heap whose top is the nearest node (ties: lowest node).
#[derive(Clone, Copy, Debug)]
pub(crate) struct Label {
    pub cost: f64,
    pub node: usize,
}

impl PartialEq for Label {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}
impl Eq for Label {}
impl PartialOrd for Label {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Label {
    fn cmp(&self, other: &Self) -> Ordering {
        other
            .cost
            .total_cmp(&self.cost)
            .then(other.node.cmp(&self.node))
    }
}

/// Most that one cable feeds: amperes, or fixtures where the job limits their
/// number; whichever would need more cables for the whole job.
fn capacity(job: &Job, gauges: &[Gauge], loads: &[Load]) -> Option<Capacity> {
    let circuit = job
        .transformers
        .iter()
        .flat_map(|model| &model.secondaries)
        .map(|secondary| secondary.continuous_limit().value())
        .fold(0.0, f64::max);
    let ampacity = gauges
        .iter()
        .map(|gauge| gauge.ampacity)
        .fold(0.0, f64::max);
    let amperes = Capacity {
        weight: loads.iter().map(|load| load.current).collect(),
        most: circuit.min(ampacity) + LIMIT_TOLERANCE,
    };
    let counted = job.rules.most_fixtures_per_circuit.map(|most| Capacity {
        weight: vec![1.0; loads.len()],
        most: f64::from(most),
    });
    // A fixture that no cable can feed leaves no plan; the packing stays lawful.
    let held = |capacity: Capacity| Capacity {
        most: capacity
            .weight
            .iter()
            .copied()
            .fold(capacity.most, f64::max),
        ..capacity
    };
    let need = |capacity: &Capacity| capacity.weight.iter().sum::<f64>() / capacity.most.max(1e-9);
    let tighter = match counted {
        Some(counted) if need(&counted) > need(&amperes) => counted,
        _ => amperes,
    };
    (need(&tighter) > 1.0).then(|| held(tighter))
}
