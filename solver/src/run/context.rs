//! What never changes while one job is planned: prices, resistances, lead
//! reach, adjacency. Built once, shared by all threads.

use super::guidance::Guidance;
use crate::electrical::BusLoad;
use crate::ids::{CableId, FixtureId, NodeId, SegmentId, TransformerModelId, ZoneId};
use crate::job::{Conductor, Job, Layout};
use crate::site::{Reach, ShortestRoutes, SiteGraph};
use crate::tariff::Tariff;
use crate::units::{Celsius, SquareMillimetres};

/// One node where a fixture's lead can land.
#[derive(Clone, Debug)]
pub struct Landing {
    /// The node; joints are allowed there.
    pub node: NodeId,
    /// The lead's route from the fixture.
    pub route: Vec<SegmentId>,
    /// Length of that route, m.
    pub length_m: f64,
}

/// What the search needs of one fixture.
#[derive(Clone, Debug)]
pub struct FixtureFacts {
    /// Its node.
    pub node: NodeId,
    /// Its zone.
    pub zone: Option<ZoneId>,
    /// Apparent power at rated voltage, VA.
    pub apparent_va: f64,
    /// Load law.
    pub load: BusLoad,
    /// Lowest voltage at the terminals, margin included, V.
    pub least_v: f64,
    /// Highest voltage at the terminals, margin included, V.
    pub most_v: f64,
    /// Apparent power at the lowest voltage allowed, VA: it never draws less.
    pub least_va: f64,
    /// Lead loop resistance in the low case (hot, grown), ohm.
    pub lead_low_ohm: f64,
    /// Lead loop resistance in the high case (cold, as drawn), ohm.
    pub lead_high_ohm: f64,
    /// Lead loop reactance in the high case, ohm.
    pub lead_high_reactance_ohm: f64,
    /// Conductor size of the lead; `None` without a lead.
    pub lead_size: Option<SquareMillimetres>,
    /// Nodes where the lead can land, nearest first; the fixture's own node, if joints are allowed there, is first.
    pub landings: Vec<Landing>,
}

/// What the search needs of one cable, per metre of length as bought.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CableFacts {
    /// Which cable.
    pub id: CableId,
    /// Price, money/m.
    pub price_per_m: f64,
    /// Loop resistance in the low case (hot, grown), ohm/m.
    pub low_ohm_per_m: f64,
    /// Loop resistance in the high case (cold), ohm/m.
    pub high_ohm_per_m: f64,
    /// Loop reactance, ohm/m.
    pub reactance_ohm_per_m: f64,
    /// Ampacity, A.
    pub ampacity_a: f64,
    /// Conductor size.
    pub size: SquareMillimetres,
}

/// Facts of one job shared by the whole search.
pub struct Context<'a> {
    /// The job.
    pub job: &'a Job,
    /// The layout every circuit must have.
    pub layout: Layout,
    /// Prices.
    pub tariff: Tariff,
    /// Adjacency.
    pub graph: SiteGraph,
    /// Fixtures.
    pub fixtures: Vec<FixtureFacts>,
    /// Cables allowed as home runs, cheapest first, none dominated.
    pub(crate) home_cables: Vec<CableFacts>,
    /// Cables allowed behind the first joint, cheapest first, none dominated.
    pub(crate) branch_cables: Vec<CableFacts>,
    /// Cost of opening each segment.
    pub opening: Vec<f64>,
    /// Cost of laying one cable along each segment.
    pub per_pass: Vec<f64>,
    /// Length of each segment, m.
    pub length_m: Vec<f64>,
    /// Whether a fixture stands at each node.
    pub fixture_at: Vec<bool>,
    /// Whether any segment limits its fill.
    pub any_fill_limit: bool,
    /// What the search is told besides the job.
    pub guidance: Guidance,
}

/// Most landings kept for a fixture: the nearest ones.
const MOST_LANDINGS: usize = 16;

/// Resistance of a conductor at a temperature, by the linear law referred to its own temperature.
fn ohm_per_m(conductor: &Conductor, at: Celsius) -> f64 {
    conductor.resistance.value()
        * (1.0 + conductor.coefficient.value() * (at - conductor.at).value())
}

impl<'a> Context<'a> {
    /// Works out the facts of a job.
    ///
    /// Cost: one short search per fixture for the reach of its lead.
    #[must_use]
    pub fn new(job: &'a Job, layout: Layout) -> Self {
        let tariff = Tariff::new(job);
        let graph = SiteGraph::new(job);
        let mut routes = ShortestRoutes::new(graph.node_count());
        let fixtures = job
            .fixture_ids()
            .map(|id| fixture_facts(job, &graph, &mut routes, id))
            .collect();
        let cables = |allowed: &dyn Fn(CableId) -> bool| {
            let ids = (0..job.cables.len())
                .map(CableId::new)
                .filter(|&id| allowed(id));
            undominated(ids.map(|id| cable_facts(job, &tariff, id)).collect())
        };
        let home_cables = cables(&|id| {
            let cable = job.cable(id);
            cable.allowed.home_run
                && cable.price.is_some()
                && job.rules.home_run_cable.is_none_or(|only| only == id)
        });
        let branch_cables =
            cables(&|id| job.cable(id).allowed.branch && job.cable(id).price.is_some());
        let segments = || (0..job.segments.len()).map(SegmentId::new);
        let mut fixture_at = vec![false; job.nodes.len()];
        for fixture in &job.fixtures {
            fixture_at[fixture.node.index()] = true;
        }
        Self {
            layout,
            guidance: Guidance::default(),
            fixtures,
            home_cables,
            branch_cables,
            opening: segments()
                .map(|id| tariff.segment_opening(id).value())
                .collect(),
            per_pass: segments().map(|id| tariff.pass(job, id).value()).collect(),
            length_m: job
                .segments
                .iter()
                .map(|segment| segment.length.value())
                .collect(),
            fixture_at,
            any_fill_limit: job
                .segments
                .iter()
                .any(|segment| segment.limit.fill.is_some()),
            job,
            tariff,
            graph,
        }
    }
}

impl Context<'_> {
    /// Cost of one more transformer of a model, its no-load energy included when
    /// the objective counts it.
    pub(crate) fn unit_cost(&self, model: TransformerModelId) -> f64 {
        self.tariff.transformer(model).value()
            + self.tariff.energy_per_watt() * self.job.transformer(model).no_load_loss.value()
    }
}

fn cable_facts(job: &Job, tariff: &Tariff, id: CableId) -> CableFacts {
    let cable = job.cable(id);
    let temperatures = job.rules.temperatures;
    CableFacts {
        id,
        price_per_m: tariff.cable_per_metre(id),
        low_ohm_per_m: 2.0
            * ohm_per_m(&cable.conductor, temperatures.low_case)
            * job.rules.length_growth,
        high_ohm_per_m: 2.0 * ohm_per_m(&cable.conductor, temperatures.high_case),
        reactance_ohm_per_m: 2.0 * cable.conductor.reactance.value(),
        ampacity_a: cable.ampacity.value(),
        size: cable.size,
    }
}

/// Sorts by price and drops every cable for which another is no dearer, no more
/// resistive, carries no less and is of the same size: size is kept apart since
/// lugs, ports and joints may refuse a better cable for its size.
fn undominated(mut cables: Vec<CableFacts>) -> Vec<CableFacts> {
    cables.sort_by(|x, y| {
        x.price_per_m
            .total_cmp(&y.price_per_m)
            .then(x.low_ohm_per_m.total_cmp(&y.low_ohm_per_m))
            .then(x.id.cmp(&y.id))
    });
    let mut kept: Vec<CableFacts> = Vec::new();
    for cable in cables {
        let beaten = kept.iter().any(|other| {
            other.price_per_m <= cable.price_per_m
                && other.low_ohm_per_m <= cable.low_ohm_per_m
                && other.ampacity_a >= cable.ampacity_a
                && other.size == cable.size
        });
        if !beaten {
            kept.push(cable);
        }
    }
    kept
}

fn fixture_facts(
    job: &Job,
    graph: &SiteGraph,
    routes: &mut ShortestRoutes,
    id: FixtureId,
) -> FixtureFacts {
    let fixture = job.fixture(id);
    let model = job.model_of(id);
    let (real_w, apparent_va) = (model.real.value(), model.apparent.value());
    let temperatures = job.rules.temperatures;
    let lead = model
        .lead
        .map(|lead| (job.cable(lead.cable), lead.length.value()));
    let loop_ohm =
        |at: Celsius| lead.map_or(0.0, |(cable, m)| 2.0 * ohm_per_m(&cable.conductor, at) * m);
    let (rated_v, exponent) = (model.rated.value(), model.exponent.value());
    let least_v = (model.window.min() + job.rules.margins.low).value();
    FixtureFacts {
        node: fixture.node,
        zone: fixture.zone,
        apparent_va,
        load: BusLoad {
            real_w,
            reactive_var: (apparent_va * apparent_va - real_w * real_w)
                .max(0.0)
                .sqrt(),
            rated_v,
            exponent,
        },
        least_v,
        least_va: apparent_va * (least_v / rated_v).powf(exponent),
        most_v: (model.window.max() - job.rules.margins.high).value(),
        lead_low_ohm: loop_ohm(temperatures.low_case) * job.rules.length_growth,
        lead_high_ohm: loop_ohm(temperatures.high_case),
        lead_high_reactance_ohm: lead.map_or(0.0, |(cable, m)| {
            2.0 * cable.conductor.reactance.value() * m
        }),
        lead_size: lead.map(|(cable, _)| cable.size),
        landings: landings(job, graph, routes, id),
    }
}

/// Nodes that a fixture's lead reaches: route + slack of both ends (and, once the
/// lead leaves the fixture's node, rise of both ends) within the lead's length.
/// The larger slack of splice and hub is asked for, so either may be made there.
fn landings(
    job: &Job,
    graph: &SiteGraph,
    routes: &mut ShortestRoutes,
    id: FixtureId,
) -> Vec<Landing> {
    let home = job.fixture(id).node;
    let here = |node: NodeId| job.node(node).joint_allowed;
    let own = here(home).then(|| Landing {
        node: home,
        route: Vec::new(),
        length_m: 0.0,
    });
    let Some(lead) = job.model_of(id).lead else {
        return own.into_iter().collect();
    };
    let slack = job.rates.slack;
    let spent = slack.fixture.value() + slack.splice.max(slack.hub).value();
    let rise = |node: NodeId| job.node(node).rise.value();
    let left_m = lead.length.value() - spent;
    let mut found = Vec::new();
    if left_m >= -1e-9 {
        found.extend(own);
        let mut settled = Vec::new();
        let weight = |segment: SegmentId| job.segment(segment).length.value();
        routes.search(graph, [(home, 0.0)], (weight, 1.0), |node, distance| {
            if distance > left_m + 1e-9 {
                return Reach::Enough;
            }
            settled.push((node, distance));
            Reach::Further
        });
        for (node, length_m) in settled {
            let reaches = length_m + rise(home) + rise(node) <= left_m + 1e-9;
            if node != home && here(node) && reaches && found.len() < MOST_LANDINGS {
                let mut route = Vec::new();
                routes.route_back(node, &mut route);
                route.reverse();
                found.push(Landing {
                    node,
                    route,
                    length_m,
                });
            }
        }
    }
    found
}
