//! The numbers of the relaxed problem: a job stripped to charges, capacities
//! and per-fixture terms, every one of them rounded towards "too cheap".

use super::arrangements::Arrangement;
use super::circuits::Makings;
use super::copper::{CopperLine, Gauge, PriceFrontier};
use super::curve::{CableCurve, PerMetre};
use super::graph::{Edge, Graph};
use super::joints::{self, JointCosts, Way};
use super::loads::{self, Load, Terminal};
use super::passing;
use super::planted::Planted;
use super::sources::{self, SourceCosts};
use crate::ids::NodeId;
use crate::job::Job;
use std::sync::Arc;

/// Fixtures times segments below which one thread is faster.
const SMALL: usize = 2000;

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
    pub graph: Graph,
    pub loads: Vec<Load>,
    /// What each fixture does where it leaves most resistance to the pieces.
    pub loosest: Vec<Terminal>,
    pub zones: usize,
    /// Node of each site.
    pub entry: Vec<usize>,
    /// Whether each site may be in use.
    pub open: Vec<bool>,
    /// Most VA at the terminals of all transformers together; infinite when not limited.
    pub most_va: f64,
    /// Rated VA of all transformers, each over the volts that its source falls by at rated
    /// load, at most; infinite when not limited.
    pub source_firmness: f64,
    /// VA of the fixtures and their leads where they leave most to the pieces; guides only.
    pub drawn_va: f64,
    /// A piece of resistance `R` loses `R I² s`; 1 but for a planted error.
    pub loss_scale: f64,
    pub sources: SourceCosts,
    pub capacity: Option<Capacity>,
    /// The lines to choose from.
    pub frontier: PriceFrontier,
    /// The line by which offers follow the prices of copper, one for each segment.
    pub line: Vec<CopperLine>,
    /// What cables along each segment cost at least by the prices of copper through them.
    pub curves: Vec<CableCurve>,
    /// Least VA of each fixture at its transformer's terminals, its own losses on the
    /// shortest way included.
    pub power: Vec<f64>,
    /// What joints cost by the leads that land in them, by node; empty where nothing lands.
    pub joint_costs: Vec<Vec<f64>>,
    /// Ways to make a joint, by node; empty where none may stand.
    pub joint_ways: Vec<Vec<Way>>,
    /// The most that a price of passing may be, by node.
    pub passing_limits: Vec<f64>,
    /// Worth of stock on hand, taken off at the end.
    pub stock_worth: f64,
    /// What whole circuits are made of, in jobs of few fixtures.
    pub makings: Option<Arc<Makings>>,
    /// Whether circuits are taken whole.
    pub whole: bool,
    pub planted: Planted,
    /// Fixed money of a home run that no other piece has (used only by a planted error).
    pub home_run_extra: f64,
}

impl Relaxation {
    /// Relaxes a job; its copper lines are flat.
    pub(crate) fn new(job: &Job, gauges: &[Gauge], planted: Planted) -> Self {
        let frontier = PriceFrontier::new(gauges);
        let highest = sources::highest_no_load_volts(job, planted);
        let graph = Graph::new(job);
        let loads: Vec<Load> = job
            .fixture_ids()
            .map(|fixture| loads::load(job, fixture, highest, &graph, planted))
            .collect();
        let power = terminal_va(job, gauges, &graph, &loads);
        let entry: Vec<usize> = job.sites.iter().map(|site| site.node.index()).collect();
        let joint_ways = joint_ways(job, &loads, frontier.cheapest, planted);
        let loosest: Vec<Terminal> = loads.iter().map(Load::loosest).collect();
        let mut relaxed = Self {
            curves: Vec::new(),
            makings: None,
            whole: false,
            most_va: f64::INFINITY,
            source_firmness: f64::INFINITY,
            drawn_va: loosest.iter().map(|at| at.va).sum(),
            loosest,
            loss_scale: match planted {
                Planted::LossesTwice => 2.0,
                _ => 1.0,
            },
            open: vec![true; entry.len()],
            capacity: capacity(job, gauges, &loads),
            sources: sources::source_costs(job, &power, planted),
            power,
            line: vec![frontier.flat(); graph.edges.len()],
            joint_costs: joint_costs(&joint_ways, &loads, planted),
            passing_limits: passing::limits(&joint_ways, &entry, planted),
            joint_ways,
            stock_worth: gauges
                .iter()
                .map(|gauge| gauge.price_per_metre * gauge.stock_metres)
                .sum(),
            home_run_extra: job.rates.slack.transformer.value() * frontier.cheapest,
            zones: job.zones.len(),
            frontier,
            graph,
            loads,
            entry,
            planted,
        };
        let per_metre = PerMetre::new(&relaxed.frontier);
        let curves = (relaxed.graph.edges.iter().enumerate()).map(|(edge, at)| {
            let fixed = relaxed.fixed_charge(edge);
            CableCurve::new(&per_metre, at.metres, fixed)
        });
        relaxed.curves = curves.collect();
        relaxed.makings = Makings::new(job, gauges, &relaxed).map(Arc::new);
        relaxed
    }

    /// Whether every segment has a line that asks nothing for copper.
    pub(crate) fn is_flat(&self) -> bool {
        self.line.iter().all(|line| line.slope == 0.0)
    }

    /// Takes another copper line for every segment; any choice is valid.
    pub(crate) fn with_line(mut self, line: CopperLine) -> Self {
        self.line.fill(line);
        self
    }

    /// The same job with only some transformers allowed.
    pub(crate) fn with_arrangement(mut self, arrangement: &Arrangement) -> Self {
        self.open.clone_from(&arrangement.open);
        for load in &mut self.loads {
            for (site, fed) in load.fed_from.iter_mut().enumerate() {
                *fed = *fed && arrangement.may_feed(load.zone, site);
            }
        }
        self.most_va = arrangement.most_va;
        self.source_firmness = arrangement.source_firmness;
        self.sources = SourceCosts {
            constant: arrangement.cost,
            charge: vec![0.0; self.entry.len()],
        };
        self
    }

    /// Whether handing work to other threads would cost more than it saves.
    pub(crate) fn is_small(&self) -> bool {
        self.loads.len() * self.graph.edges.len() < SMALL
    }

    /// Money of one cable along a segment, whatever its gauge.
    pub(crate) fn cable_charge(&self, edge: usize) -> f64 {
        let metres = self.graph.edges[edge].metres;
        self.fixed_charge(edge) + metres * self.line[edge].fixed_per_metre
    }

    /// Least money of one cable along a segment, whichever line is taken.
    pub(crate) fn least_cable(&self, edge: usize) -> f64 {
        let least = self.curves[edge].least();
        match self.zones {
            0 => least,
            _ => least.min(self.cable_charge(edge)),
        }
    }

    /// Money of one cable along a segment beside its metres.
    fn fixed_charge(&self, edge: usize) -> f64 {
        let Edge {
            per_cable, a, b, ..
        } = self.graph.edges[edge];
        let extra = if self.planted == Planted::CablesLeavingTheSiteCounted
            && self.entry.iter().any(|&node| node == a || node == b)
        {
            self.home_run_extra
        } else {
            0.0
        };
        per_cable + extra
    }

    /// Copper coefficient of a segment: `2 l sqrt(slope)`, per `sqrt(kappa) I`.
    pub(crate) fn copper(&self, edge: usize) -> f64 {
        2.0 * self.graph.edges[edge].metres * self.line[edge].slope.sqrt()
    }
}

/// Least VA of each fixture at its transformer's terminals: what it draws, and
/// what its own current alone loses in its lead and along the shortest route in
/// the thickest gauge. Where currents share a cable they lose more.
fn terminal_va(job: &Job, gauges: &[Gauge], graph: &Graph, loads: &[Load]) -> Vec<f64> {
    let entry: Vec<usize> = job.sites.iter().map(|site| site.node.index()).collect();
    let from_sites = graph.nearest(&entry);
    let least_ohms_per_metre = gauges
        .iter()
        .map(|gauge| gauge.loop_ohms_per_metre)
        .fold(f64::INFINITY, f64::min);
    job.fixture_ids()
        .zip(loads)
        .map(|(fixture, load)| {
            let metres = load
                .landings
                .iter()
                .map(|&node| from_sites[node])
                .fold(f64::INFINITY, f64::min);
            let piece_ohms = metres * least_ohms_per_metre;
            let piece_ohms = if piece_ohms.is_finite() {
                piece_ohms
            } else {
                0.0
            };
            let ohms = loads::lead_ohms(job, job.model_of(fixture)) + piece_ohms;
            load.power_va + ohms * load.current * load.current * (1.0 - 1e-9)
        })
        .collect()
}

/// Ways to make a joint at every node where one may stand.
fn joint_ways(
    job: &Job,
    loads: &[Load],
    cheapest_per_metre: f64,
    planted: Planted,
) -> Vec<Vec<Way>> {
    let costs = JointCosts::new(job, planted);
    let mut at_fixture = vec![false; job.nodes.len()];
    let mut may_stand: Vec<bool> = job.nodes.iter().map(|node| node.joint_allowed).collect();
    for load in loads {
        at_fixture[load.node] = true;
        load.landings
            .iter()
            .for_each(|&node| may_stand[node] = true);
    }
    (0..job.nodes.len())
        .map(|node| match may_stand[node] {
            true => costs.ways(job, NodeId::new(node), at_fixture[node], cheapest_per_metre),
            false => Vec::new(),
        })
        .collect()
}

/// What joints cost by the leads that land in them, at every node where some may.
fn joint_costs(ways: &[Vec<Way>], loads: &[Load], planted: Planted) -> Vec<Vec<f64>> {
    let mut most = vec![None; ways.len()];
    for load in loads {
        for &node in &load.landings {
            *most[node].get_or_insert(0) += usize::from(load.has_lead);
        }
    }
    let each = ways.iter().zip(most);
    each.map(|(ways, most)| match most {
        Some(most) => joints::by_leads(ways, 0.0, most, planted),
        None => Vec::new(),
    })
    .collect()
}

/// Most that one cable feeds: amperes, or fixtures where the job limits their
/// number; whichever would need more cables for the whole job.
fn capacity(job: &Job, gauges: &[Gauge], loads: &[Load]) -> Option<Capacity> {
    let circuit = sources::largest_circuit_amperes(job);
    let ampacity = gauges
        .iter()
        .map(|gauge| gauge.ampacity)
        .fold(0.0, f64::max);
    let amperes = Capacity {
        weight: loads.iter().map(|load| load.current).collect(),
        most: circuit.min(ampacity) + loads::LIMIT_TOLERANCE,
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
