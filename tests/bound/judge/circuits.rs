//! Every circuit for a set of fixtures from a site, gauges still open.

use super::paths::{self, Path};
use duskwright_solver::ids::{FixtureId, NodeId};
use duskwright_solver::job::{Job, Objective};

/// A joint and the piece that feeds it.
#[derive(Clone, Debug)]
pub struct JointShape {
    pub node: usize,
    /// Joint it is fed from; `None` for the home run.
    pub parent: Option<usize>,
    /// Length of the feeding piece as bought, m.
    pub metres: f64,
}

/// A circuit without gauges.
#[derive(Clone, Debug)]
pub struct Shape {
    pub site: usize,
    pub joints: Vec<JointShape>,
    /// Fixture and the joint it lands in.
    pub leads: Vec<(usize, usize)>,
    /// Segments opened.
    pub mask: u32,
    /// Least money without trenches and transformers.
    pub least: f64,
}

/// What is computed once for a job.
pub struct Ground<'a> {
    pub job: &'a Job,
    pub paths: Vec<Vec<Vec<Path>>>,
    pub trench: Vec<f64>,
    /// Least price of a metre of piece, 0 with whole spools.
    pub least_price: f64,
    /// Least price of a joint.
    pub least_joint: f64,
    /// Least money for having a transformer at each site.
    pub least_source: Vec<f64>,
    pub steps_left: u64,
}

/// Least price of a metre of a cable: exact when it is bought by length, the
/// best rate of a spool when whole spools are bought and none of it is on hand.
pub fn price_per_metre(job: &Job, cable: usize) -> f64 {
    let row = &job.cables[cable];
    let by_length = row.price.map_or(0.0, |price| {
        price.per_unit.cost().value() / job.units.metres_per_unit()
    });
    let grid = job.units.grid();
    match job.objective {
        Objective::WholeSpools if !row.stock.is_empty() => 0.0,
        Objective::WholeSpools => row
            .spools
            .iter()
            .map(|spool| spool.price.cost().value() / grid.metres(spool.length).value())
            .fold(f64::INFINITY, f64::min),
        _ => by_length * (1.0 + job.rates.waste.value()),
    }
}

impl<'a> Ground<'a> {
    pub fn new(job: &'a Job, steps_left: u64) -> Self {
        let slack = job.rates.slack;
        assert!(
            slack.hub == slack.splice,
            "the judge takes hubs and splices with equal slack"
        );
        let labour = job.rates.labour.cost().value();
        let least_price = (0..job.cables.len())
            .filter(|&k| job.cables[k].allowed.home_run || job.cables[k].allowed.branch)
            .map(|k| price_per_metre(job, k))
            .fold(f64::INFINITY, f64::min);
        let splices = job
            .joints
            .iter()
            .map(|kind| kind.price.cost().value() + kind.hours.value() * labour);
        let hubs = job
            .hubs
            .iter()
            .map(|kind| kind.price.cost().value() + kind.hours.value() * labour);
        let cheapest = job
            .transformers
            .iter()
            .map(|model| model.price.cost().value() + model.hours.value() * labour)
            .fold(f64::INFINITY, f64::min);
        let least_source = (0..job.sites.len())
            .map(|s| {
                match job
                    .existing
                    .iter()
                    .any(|standing| standing.site.index() == s)
                {
                    true => 0.0,
                    false => job.sites[s].cost.cost().value() + cheapest,
                }
            })
            .collect();
        Self {
            paths: paths::all(job),
            trench: paths::trenches(job),
            least_price,
            least_joint: splices.chain(hubs).fold(f64::INFINITY, f64::min),
            least_source,
            steps_left,
            job,
        }
    }

    /// Whether another step may be taken.
    pub fn step(&mut self) -> bool {
        self.steps_left = self.steps_left.saturating_sub(1);
        self.steps_left > 0
    }

    /// Length of a piece as bought: route, slack and rise of both ends, rounded up.
    fn bought_metres(&self, route: f64, from: Option<usize>, site_node: usize, to: usize) -> f64 {
        let job = self.job;
        let rise = |node: usize| job.nodes[node].rise.value();
        // A home run to a joint at the site may have no length at all.
        if from.is_none() && to == site_node && route == 0.0 {
            return 0.0;
        }
        let slack = job.rates.slack;
        let near = from.map_or(slack.transformer.value() + rise(site_node), |node| {
            slack.splice.value() + rise(node)
        });
        let far = slack.splice.value() + rise(to);
        let steps_per_metre = 100.0
            / if job.units.metres_per_unit() == 1.0 {
                1.0
            } else {
                3.048
            };
        ((route + near + far) * steps_per_metre - 1e-6).ceil() / steps_per_metre
    }

    /// Nodes where a fixture may land, each with the ways its lead gets there.
    fn landings(&self, fixture: usize) -> Vec<(usize, Vec<u32>)> {
        let job = self.job;
        let own = job.fixtures[fixture].node.index();
        let Some(lead) = job.model_of(FixtureId::new(fixture)).lead else {
            return vec![(own, vec![0])];
        };
        let slack = job.rates.slack.fixture.value() + job.rates.slack.splice.value();
        (0..job.nodes.len())
            .filter(|&node| job.node(NodeId::new(node)).joint_allowed)
            .map(|node| {
                let ways = self.paths[own][node]
                    .iter()
                    .filter(|path| {
                        path.mask == 0 || path.metres + slack <= lead.length.value() + 1e-9
                    })
                    .map(|path| path.mask)
                    .collect();
                (node, ways)
            })
            .filter(|(_, ways): &(usize, Vec<u32>)| !ways.is_empty())
            .collect()
    }

    /// Every circuit for `fixtures` from `site` that leaves the whole below `limit`.
    pub fn shapes(&mut self, fixtures: &[usize], site: usize, limit: f64) -> Vec<Shape> {
        let landings: Vec<Vec<(usize, Vec<u32>)>> =
            fixtures.iter().map(|&f| self.landings(f)).collect();
        let mut found = Vec::new();
        let mut chosen = Vec::new();
        let limit = limit - self.least_source[site];
        self.land(fixtures, site, &landings, &mut chosen, 0, limit, &mut found);
        found.sort_by(|left, right| left.least.total_cmp(&right.least));
        found
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "a plain recursion over the choices"
    )]
    fn land(
        &mut self,
        fixtures: &[usize],
        site: usize,
        landings: &[Vec<(usize, Vec<u32>)>],
        chosen: &mut Vec<usize>,
        mask: u32,
        limit: f64,
        found: &mut Vec<Shape>,
    ) {
        if !self.step() || self.trench[mask as usize] >= limit {
            return;
        }
        if chosen.len() < fixtures.len() {
            for (node, ways) in &landings[chosen.len()] {
                for way in ways {
                    chosen.push(*node);
                    self.land(fixtures, site, landings, chosen, mask | way, limit, found);
                    chosen.pop();
                }
            }
            return;
        }
        let mut needed: Vec<usize> = chosen.clone();
        needed.sort_unstable();
        needed.dedup();
        let spare: Vec<usize> = (0..self.job.nodes.len())
            .filter(|node| !needed.contains(node) && self.job.nodes[*node].joint_allowed)
            .collect();
        for extra in 0..1_u32 << spare.len() {
            let mut nodes = needed.clone();
            nodes.extend(
                spare
                    .iter()
                    .enumerate()
                    .filter(|(i, _)| extra >> i & 1 == 1)
                    .map(|(_, &node)| node),
            );
            if self.trench[mask as usize] + nodes.len() as f64 * self.least_joint >= limit {
                continue;
            }
            let leads = fixtures
                .iter()
                .zip(chosen.iter())
                .map(|(&f, node)| (f, nodes.iter().position(|at| at == node).expect("landed")))
                .collect();
            let least = nodes.len() as f64 * self.least_joint;
            let mut shape = Shape {
                site,
                joints: Vec::new(),
                leads,
                mask,
                least,
            };
            self.feed(&nodes, needed.len(), &mut shape, limit, found);
        }
    }

    /// Chooses, joint by joint, what feeds it and along which path.
    fn feed(
        &mut self,
        nodes: &[usize],
        needed: usize,
        shape: &mut Shape,
        limit: f64,
        found: &mut Vec<Shape>,
    ) {
        if !self.step() {
            return;
        }
        let this = shape.joints.len();
        if this == nodes.len() {
            let has_home = shape.joints.iter().any(|joint| joint.parent.is_none());
            let useful = (needed..nodes.len())
                .all(|j| shape.joints.iter().any(|joint| joint.parent == Some(j)));
            if has_home && useful {
                found.push(shape.clone());
            }
            return;
        }
        let site_node = self.job.sites[shape.site].node.index();
        let home_taken = shape.joints.iter().any(|joint| joint.parent.is_none());
        let parents = (0..nodes.len())
            .filter(|&j| j != this)
            .map(Some)
            .chain((!home_taken).then_some(None));
        for parent in parents {
            if parent.is_some_and(|parent| leads_back(shape, this, parent)) {
                continue;
            }
            let from = parent.map(|j| nodes[j]);
            let start = from.unwrap_or(site_node);
            for p in 0..self.paths[start][nodes[this]].len() {
                let path = self.paths[start][nodes[this]][p].clone();
                let metres = self.bought_metres(path.metres, from, site_node, nodes[this]);
                let (mask, least) = (shape.mask, shape.least);
                shape.mask |= path.mask;
                shape.least += metres * self.least_price + path.work;
                if self.trench[shape.mask as usize] + shape.least < limit {
                    shape.joints.push(JointShape {
                        node: nodes[this],
                        parent,
                        metres,
                    });
                    self.feed(nodes, needed, shape, limit, found);
                    shape.joints.pop();
                }
                (shape.mask, shape.least) = (mask, least);
            }
        }
    }
}

/// Whether following the feeding joints from `parent` comes to `this`.
fn leads_back(shape: &Shape, this: usize, parent: usize) -> bool {
    let mut at = parent;
    for _ in 0..=shape.joints.len() {
        if at == this {
            return true;
        }
        match shape.joints.get(at).and_then(|joint| joint.parent) {
            Some(next) => at = next,
            None => return false,
        }
    }
    true
}
