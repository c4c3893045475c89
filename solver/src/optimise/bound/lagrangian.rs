//! The dual function: for any non-negative prices, a number no plan undercuts.

use super::circuits::{Drop, Makings, Table};
use super::curve::Straight;
use super::passing;
use super::paths::{FixturePaths, Path, Search};
use super::planted::Planted;
use super::prices::Prices;
use super::relaxation::Relaxation;
use super::sharing::{self, Offer, Settled};
use rayon::prelude::*;

/// Below this a reduced charge counts as zero when choosing what is opened;
/// the value of the bound takes it in full.
const OPENING_TOLERANCE: f64 = 1e-12;

/// Use of one arc or node by the fixtures.
#[derive(Clone, Debug)]
pub(crate) struct Use {
    pub place: usize,
    pub settled: Settled,
}

/// Value of the dual function and the relaxed plan that attains it.
#[derive(Clone, Debug)]
pub(crate) struct Evaluation {
    /// The bound, rounded down.
    pub value: f64,
    pub paths: Vec<FixturePaths>,
    /// Opened edges with the arc the trench flow takes.
    pub opened: Vec<(usize, usize)>,
    /// Cables by arc.
    pub cables: Vec<Use>,
    /// Joints by node.
    pub joints: Vec<Use>,
    /// Sites in use.
    pub sites: Vec<usize>,
    /// By node: cables that leave it less those that come to it, and joints less the pieces that
    /// begin in them; what the price of passing moves by.
    pub passing: Vec<f64>,
    /// What pieces drop on the way to each fixture; in volts only where circuits are taken whole.
    pub drops: Vec<Drop>,
}

/// Sums terms and what rounding may have added.
#[derive(Default)]
struct RoundedDown {
    sum: f64,
    magnitude: f64,
}

impl RoundedDown {
    fn add(&mut self, term: f64) {
        self.sum += term;
        self.magnitude += term.abs();
    }
    /// Each sum below has far fewer than 1e5 terms of relative error 2^-53.
    fn value(&self) -> f64 {
        self.sum - 1e-11 * self.magnitude - 1e-9
    }
}

/// Evaluates the dual function.
pub(crate) fn evaluate(relaxation: &Relaxation, prices: &Prices) -> Evaluation {
    let mut total = RoundedDown::default();
    total.add(relaxation.sources.constant);
    total.add(-relaxation.stock_worth);
    let whole = relaxation.makings.as_deref().filter(|_| relaxation.whole);
    let (paths, drops) = match whole {
        Some(makings) => whole_circuits(relaxation, makings, prices, &mut total),
        None => (fixture_paths(relaxation, prices), Vec::new()),
    };
    for (f, path) in paths.iter().enumerate() {
        total.add(path.trench.as_ref().map_or(0.0, |path| path.cost));
        total.add(path.cable.as_ref().map_or(0.0, |path| path.cost));
        let (copper, volts) = (prices.copper[f], prices.volts[f]);
        total.add(relaxation.loads[f].least_term(copper, volts, prices.shared(relaxation)));
    }
    if prices.fall > 0.0 {
        total.add(-prices.fall * prices.fall * relaxation.source_firmness);
    }
    if prices.loss > 0.0 {
        total.add(-prices.loss * relaxation.most_va);
    }
    let opened = opened_edges(relaxation, prices, &mut total);
    let (cables, joints, passing, drops) = match whole {
        Some(_) => (Vec::new(), Vec::new(), Vec::new(), drops),
        None => {
            let at = passing::lawful(relaxation, &prices.passing);
            let cables = cables(relaxation, prices, &at, &mut total);
            let joints = joints(relaxation, prices, &at, &mut total);
            let passing = balance(relaxation, &at, &cables, &joints);
            let drops = drops_in(relaxation.loads.len(), &cables);
            (cables, joints, passing, drops)
        }
    };
    let sites = sites(relaxation, prices, &mut total);
    Evaluation {
        value: total.value(),
        paths,
        opened,
        cables,
        joints,
        sites,
        passing,
        drops,
    }
}

/// What one more unit of each fixture's price of copper costs in the cables that it uses.
fn drops_in(fixtures: usize, cables: &[Use]) -> Vec<Drop> {
    let mut drops = vec![Drop::default(); fixtures];
    for Use { settled, .. } in cables {
        for &(f, part) in &settled.users {
            drops[f].copper_length += part * settled.slope;
        }
    }
    drops
}

/// What the prices of passing, `at` each node, move by.
fn balance(relaxation: &Relaxation, at: &[f64], cables: &[Use], joints: &[Use]) -> Vec<f64> {
    let mut balance = vec![0.0; at.len()];
    for using in cables
        .iter()
        .filter(|using| !using.settled.users.is_empty())
    {
        let (from, to) = relaxation.graph.ends(using.place);
        balance[from] += using.settled.count;
        balance[to] -= using.settled.count;
    }
    for using in joints {
        let node = using.place;
        balance[node] += passing::ended(relaxation, node, at[node], &using.settled);
    }
    balance
}

/// Both paths of each fixture, set apart from the others.
fn fixture_paths(relaxation: &Relaxation, prices: &Prices) -> Vec<FixturePaths> {
    let nodes = relaxation.graph.outgoing.len();
    let fixtures = 0..relaxation.loads.len();
    if relaxation.is_small() {
        let mut search = Search::new(nodes);
        fixtures
            .map(|f| search.fixture(relaxation, prices, f))
            .collect()
    } else {
        fixtures
            .into_par_iter()
            .map_init(
                || Search::new(nodes),
                |search, f| search.fixture(relaxation, prices, f),
            )
            .collect()
    }
}

/// Adds the cheapest circuits; the paths in them, which cost nothing besides, and what drops
/// on the way.
fn whole_circuits(
    relaxation: &Relaxation,
    makings: &Makings,
    prices: &Prices,
    total: &mut RoundedDown,
) -> (Vec<FixturePaths>, Vec<Drop>) {
    let table = Table::new(makings, relaxation, prices);
    // A job that no circuits serve has no plan; the bound must only remain a number.
    if table.value().is_finite() {
        total.add(table.value());
    }
    let mut search = Search::new(relaxation.graph.outgoing.len());
    let each = table.trace().into_iter().enumerate().map(|(f, traced)| {
        let cable = Path {
            site: traced.site,
            arcs: traced.edges.into_iter().map(|edge| 2 * edge).collect(),
            landing: 0,
            cost: 0.0,
        };
        let paths = FixturePaths {
            trench: search.trench(relaxation, prices, f, None),
            cable: Some(cable),
        };
        (paths, traced.drop)
    });
    each.unzip()
}

/// Column sums of one block of the multipliers.
fn sums(prices: &Prices, from: usize, count: usize) -> Vec<f64> {
    let mut sums = vec![0.0; count];
    for row in &prices.rows {
        for (sum, price) in sums.iter_mut().zip(&row[from..from + count]) {
            *sum += price;
        }
    }
    sums
}

fn opened_edges(
    relaxation: &Relaxation,
    prices: &Prices,
    total: &mut RoundedDown,
) -> Vec<(usize, usize)> {
    let (blocks, edges) = (prices.blocks, relaxation.graph.edges.len());
    let flow = sums(prices, blocks.trench_arc, 2 * edges);
    let open = sums(prices, blocks.open_edge, edges);
    let mut opened = Vec::new();
    for (e, edge) in relaxation.graph.edges.iter().enumerate() {
        let arc = if flow[2 * e + 1] > flow[2 * e] {
            2 * e + 1
        } else {
            2 * e
        };
        let reduced = edge.trench - open[e] - flow[arc];
        if reduced < 0.0 {
            total.add(reduced);
        }
        if reduced < -OPENING_TOLERANCE {
            opened.push((e, arc));
        }
    }
    opened
}

fn cables(
    relaxation: &Relaxation,
    prices: &Prices,
    passing: &[f64],
    total: &mut RoundedDown,
) -> Vec<Use> {
    let (blocks, arcs) = (prices.blocks, 2 * relaxation.graph.edges.len());
    let offered = sums(prices, blocks.cable_arc, arcs);
    let more = |arc: usize| {
        let (from, to) = relaxation.graph.ends(arc);
        passing[from] - passing[to]
    };
    let least = |edge: usize| match relaxation.zones {
        0 => relaxation.curves[edge].least(),
        _ => relaxation.cable_charge(edge),
    };
    let dear: Vec<usize> = (0..arcs)
        .filter(|&arc| offered[arc] > least(arc / 2) + more(arc))
        .collect();
    let settle = |arc: usize| {
        let offers: Vec<Offer> = relaxation
            .loads
            .iter()
            .enumerate()
            .filter(|(f, _)| prices.rows[*f][blocks.cable_arc + arc] > 0.0)
            .map(|(f, load)| Offer {
                fixture: f,
                price: prices.rows[f][blocks.cable_arc + arc],
                weight: relaxation
                    .capacity
                    .as_ref()
                    .map_or(0.0, |capacity| capacity.weight[f]),
                copper: prices.copper[f],
                zone: sharing_zone(relaxation, load.zone),
            })
            .collect();
        let most = relaxation
            .capacity
            .as_ref()
            .map_or(f64::INFINITY, |capacity| capacity.most);
        let guest = Straight {
            fixed: relaxation.cable_charge(arc / 2) + more(arc),
            slope: relaxation.copper(arc / 2),
        };
        let raised = (more(arc) != 0.0).then(|| relaxation.curves[arc / 2].raised(more(arc)));
        let curve = raised.as_ref().unwrap_or(&relaxation.curves[arc / 2]);
        let settled = sharing::cables(curve, guest, most, &offers);
        Use {
            place: arc,
            settled,
        }
    };
    let settled: Vec<Use> = if relaxation.is_small() {
        dear.into_iter().map(settle).collect()
    } else {
        dear.into_par_iter().map(settle).collect()
    };
    settled
        .iter()
        .for_each(|using| total.add(using.settled.value));
    settled
}

fn joints(
    relaxation: &Relaxation,
    prices: &Prices,
    passing: &[f64],
    total: &mut RoundedDown,
) -> Vec<Use> {
    let mut offers: Vec<Vec<Offer>> = vec![Vec::new(); relaxation.joint_costs.len()];
    for (f, load) in relaxation.loads.iter().enumerate() {
        for (slot, &node) in load.landings.iter().enumerate() {
            let price = prices.rows[f][prices.blocks.landing + slot];
            if price > 0.0 {
                let weight = if load.has_lead { 1.0 } else { 0.0 };
                offers[node].push(Offer {
                    fixture: f,
                    price,
                    weight,
                    copper: 0.0,
                    zone: sharing_zone(relaxation, load.zone),
                });
            }
        }
    }
    let mut used = Vec::new();
    for (node, offers) in offers
        .iter()
        .enumerate()
        .filter(|(_, offers)| !offers.is_empty())
    {
        let costs = passing::joint_costs(relaxation, node, passing[node]);
        let settled = if relaxation.planted == Planted::JointsNotShared {
            unshared(&costs, offers)
        } else {
            sharing::joints(&costs, offers)
        };
        total.add(settled.value);
        used.push(Use {
            place: node,
            settled,
        });
    }
    used
}

/// The planted error: a joint for each.
fn unshared(costs: &[f64], offers: &[Offer]) -> Settled {
    let each = offers.iter().map(|offer| sharing::joints(costs, &[*offer]));
    each.fold(Settled::default(), |mut all, one| {
        all.value += one.value;
        all.users.extend(one.users);
        all
    })
}

fn sharing_zone(relaxation: &Relaxation, zone: Option<usize>) -> Option<usize> {
    match (zone, relaxation.planted) {
        (None, Planted::UnzonedAsOwnZone) if relaxation.zones > 0 => Some(usize::MAX),
        _ => zone,
    }
}

fn sites(relaxation: &Relaxation, prices: &Prices, total: &mut RoundedDown) -> Vec<usize> {
    let (blocks, count) = (prices.blocks, relaxation.entry.len());
    let trench = sums(prices, blocks.trench_site, count);
    let cable = sums(prices, blocks.cable_site, count);
    let mut used = Vec::new();
    for s in 0..count {
        let reduced = relaxation.sources.charge[s] - trench[s] - cable[s];
        if reduced < 0.0 {
            total.add(reduced);
        }
        if reduced < -OPENING_TOLERANCE {
            used.push(s);
        }
    }
    used
}
