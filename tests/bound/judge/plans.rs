//! Every way to split the fixtures into circuits, and every gauge of every piece.

use super::Verdict;
use super::circuits::{Ground, Shape, price_per_metre};
use super::feed;
use duskwright_solver::ids::FixtureId;
use duskwright_solver::job::{Job, Objective};
use std::collections::BTreeMap;

/// A circuit whose gauges are chosen.
#[derive(Clone, Debug)]
pub struct Wired {
    pub shape: Shape,
    /// Cable of the piece that feeds each joint.
    pub gauges: Vec<usize>,
}

/// The search for a plan below a limit.
pub struct Enumeration<'a> {
    job: &'a Job,
    ground: Ground<'a>,
    shapes: BTreeMap<(u32, usize), Vec<Shape>>,
    limit: f64,
    found: bool,
}

impl<'a> Enumeration<'a> {
    pub fn new(job: &'a Job, limit: f64, steps: u64) -> Self {
        Self {
            job,
            ground: Ground::new(job, steps),
            shapes: BTreeMap::new(),
            limit,
            found: false,
        }
    }

    /// Goes through all plans below the limit.
    pub fn run(mut self) -> Verdict {
        let all = (1_u32 << self.job.fixtures.len()) - 1;
        self.split(all, &mut Vec::new());
        if self.ground.steps_left == 0 {
            Verdict::GaveUp
        } else if self.found {
            Verdict::Cheapest(self.limit)
        } else {
            Verdict::NoneBelow
        }
    }

    /// Money so far: circuits, trenches, and a transformer at each site in use.
    fn money(&self, circuits: &[Shape]) -> (f64, u32) {
        let mask = circuits.iter().fold(0, |mask, shape| mask | shape.mask);
        let mut sites: Vec<usize> = circuits.iter().map(|shape| shape.site).collect();
        sites.sort_unstable();
        sites.dedup();
        let sources: f64 = sites.iter().map(|&s| self.ground.least_source[s]).sum();
        let least: f64 = circuits.iter().map(|shape| shape.least).sum();
        (sources + least + self.ground.trench[mask as usize], mask)
    }

    fn split(&mut self, left: u32, circuits: &mut Vec<Shape>) {
        if !self.ground.step() {
            return;
        }
        if left == 0 {
            self.choose_gauges(circuits);
            return;
        }
        let first = left.trailing_zeros();
        let rest = left & !(1 << first);
        let mut others = rest;
        loop {
            let set = others | 1 << first;
            if self.may_share(set) {
                for site in 0..self.job.sites.len() {
                    self.extend(set, site, left, circuits);
                }
            }
            if others == 0 {
                break;
            }
            others = (others - 1) & rest;
        }
    }

    /// Zones and the most fixtures of a circuit.
    fn may_share(&self, set: u32) -> bool {
        let members = (0..self.job.fixtures.len()).filter(|f| set >> f & 1 == 1);
        let mut zones: Vec<_> = members.filter_map(|f| self.job.fixtures[f].zone).collect();
        zones.sort_unstable();
        zones.dedup();
        let most = self.job.rules.most_fixtures_per_circuit.unwrap_or(u32::MAX);
        zones.len() <= 1 && set.count_ones() <= most
    }

    fn extend(&mut self, set: u32, site: usize, left: u32, circuits: &mut Vec<Shape>) {
        if !self.shapes.contains_key(&(set, site)) {
            let members: Vec<usize> = (0..self.job.fixtures.len())
                .filter(|f| set >> f & 1 == 1)
                .collect();
            let shapes = self.ground.shapes(&members, site, self.limit);
            self.shapes.insert((set, site), shapes);
        }
        let (before, _) = self.money(circuits);
        let shapes = self.shapes[&(set, site)].len();
        for i in 0..shapes {
            let shape = &self.shapes[&(set, site)][i];
            if before + shape.least >= self.limit || self.ground.steps_left == 0 {
                break;
            }
            circuits.push(shape.clone());
            if self.money(circuits).0 < self.limit {
                self.split(left & !set, circuits);
            }
            circuits.pop();
        }
    }

    fn choose_gauges(&mut self, circuits: &[Shape]) {
        let (base, mask) = self.money(circuits);
        let joints: f64 = circuits
            .iter()
            .map(|shape| shape.joints.len() as f64 * self.ground.least_joint)
            .sum();
        let pieces: Vec<(usize, usize)> = circuits
            .iter()
            .enumerate()
            .flat_map(|(c, shape)| (0..shape.joints.len()).map(move |j| (c, j)))
            .collect();
        let mut wired: Vec<Wired> = circuits
            .iter()
            .map(|shape| Wired {
                shape: shape.clone(),
                gauges: vec![usize::MAX; shape.joints.len()],
            })
            .collect();
        let trench = self.ground.trench[mask as usize];
        // What the transformers and joints add is counted anew when they are chosen.
        self.gauge(&pieces, 0, &mut wired, base, joints, trench);
    }

    fn gauge(
        &mut self,
        pieces: &[(usize, usize)],
        at: usize,
        wired: &mut [Wired],
        money: f64,
        joints: f64,
        trench: f64,
    ) {
        if money >= self.limit || !self.ground.step() {
            return;
        }
        if at == pieces.len() {
            self.finish(wired, money, joints, trench);
            return;
        }
        let (c, j) = pieces[at];
        let home = wired[c].shape.joints[j].parent.is_none();
        let metres = wired[c].shape.joints[j].metres;
        for cable in 0..self.job.cables.len() {
            let allowed = self.job.cables[cable].allowed;
            let fits = if home {
                allowed.home_run
            } else {
                allowed.branch
            };
            let named = self
                .job
                .rules
                .home_run_cable
                .is_none_or(|named| named.index() == cable || !home);
            if fits && named {
                wired[c].gauges[j] = cable;
                let more = metres * (price_per_metre(self.job, cable) - self.ground.least_price);
                self.gauge(pieces, at + 1, wired, money + more, joints, trench);
            }
        }
        wired[c].gauges[j] = usize::MAX;
    }

    /// Joint hardware, spools, transformers; then the electrical check.
    fn finish(&mut self, wired: &[Wired], money: f64, least_joints: f64, trench: f64) {
        let Some(joints) = wired
            .iter()
            .map(|one| self.hardware(one))
            .sum::<Option<f64>>()
        else {
            return;
        };
        let with_joints = money - least_joints + joints + self.spools(wired);
        if with_joints >= self.limit {
            return;
        }
        // Sources are priced exactly by the feed; take their least price out.
        let mut sites: Vec<usize> = wired.iter().map(|one| one.shape.site).collect();
        sites.sort_unstable();
        sites.dedup();
        let sources: f64 = sites.iter().map(|&s| self.ground.least_source[s]).sum();
        debug_assert!(trench <= with_joints + 1e-6);
        if let Some(cost) = feed::cheapest(
            self.job,
            wired,
            with_joints - sources,
            self.limit,
            &mut self.ground.steps_left,
        ) {
            self.limit = cost;
            self.found = true;
        }
    }

    /// Least money for the joints of a circuit; `None` when some joint cannot be made.
    fn hardware(&self, one: &Wired) -> Option<f64> {
        let size = |cable: usize| self.job.cables[cable].size.value();
        (0..one.shape.joints.len())
            .map(|j| {
                let leads = one.shape.leads.iter().filter(|(_, joint)| *joint == j);
                let fixtures = leads.clone().count() as u32;
                let mut wires: Vec<f64> = leads
                    .filter_map(|(f, _)| self.job.model_of(FixtureId::new(*f)).lead)
                    .map(|lead| self.job.cable(lead.cable).size.value())
                    .collect();
                let pieces = one.shape.joints.iter().zip(&one.gauges);
                wires.extend(
                    pieces
                        .filter(|(other, _)| other.parent == Some(j))
                        .map(|(_, gauge)| size(*gauge)),
                );
                self.joint(
                    one.shape.joints[j].node,
                    size(one.gauges[j]),
                    &wires,
                    fixtures,
                )
            })
            .sum()
    }

    fn joint(&self, node: usize, incoming: f64, outgoing: &[f64], fixtures: u32) -> Option<f64> {
        let job = self.job;
        let labour = job.rates.labour.cost().value();
        let mut wires: Vec<f64> = outgoing.to_vec();
        wires.push(incoming);
        wires.sort_by(|a, b| b.total_cmp(a));
        let splice_here = !job.rules.joints_at_fixtures_and_hubs
            || job
                .fixtures
                .iter()
                .any(|fixture| fixture.node.index() == node);
        let splices = job
            .joints
            .iter()
            .filter(|_| splice_here)
            .filter(|kind| {
                kind.holds.iter().any(|set| {
                    set.slots.len() >= wires.len()
                        && set
                            .slots
                            .iter()
                            .zip(&wires)
                            .all(|(slot, wire)| *wire <= slot.value() * 1.001)
                })
            })
            .map(|kind| kind.price.cost().value() + kind.hours.value() * labour);
        let hubs = job
            .hubs
            .iter()
            .filter(|kind| {
                let ports: u32 = kind.ports.iter().map(|group| group.count).sum();
                let most = kind
                    .most_in_use
                    .min(ports.saturating_sub(job.rules.spare.ports));
                outgoing.len() as u32 <= most
                    && fixtures <= job.rules.most_fixtures_per_hub.unwrap_or(u32::MAX)
                    && incoming <= kind.inlet.largest.value() * 1.001
                    && outgoing.iter().all(|wire| {
                        kind.ports
                            .iter()
                            .any(|group| *wire <= group.takes.largest.value() * 1.001)
                    })
            })
            .map(|kind| kind.price.cost().value() + kind.hours.value() * labour);
        splices.chain(hubs).min_by(f64::total_cmp)
    }

    /// What whole spools add to the least price by length: stock first, then the
    /// cheapest spools that reach the length, as if cut without waste.
    fn spools(&self, wired: &[Wired]) -> f64 {
        if self.job.objective != Objective::WholeSpools {
            return 0.0;
        }
        let grid = self.job.units.grid();
        (0..self.job.cables.len())
            .map(|k| {
                let cable = &self.job.cables[k];
                let used: f64 = wired
                    .iter()
                    .flat_map(|one| one.shape.joints.iter().zip(&one.gauges))
                    .filter(|(_, gauge)| **gauge == k)
                    .map(|(joint, _)| joint.metres)
                    .sum();
                let stock: f64 = cable
                    .stock
                    .iter()
                    .map(|rest| grid.metres(rest.length).value() * f64::from(rest.count))
                    .sum();
                let spools: Vec<(f64, f64)> = cable
                    .spools
                    .iter()
                    .map(|spool| {
                        (
                            grid.metres(spool.length).value(),
                            spool.price.cost().value(),
                        )
                    })
                    .collect();
                cover(used - stock, &spools) - used * price_per_metre(self.job, k)
            })
            .sum()
    }
}

/// Least money of spools of `(metres, price)` that reach a length.
fn cover(metres: f64, spools: &[(f64, f64)]) -> f64 {
    if metres <= 1e-9 {
        return 0.0;
    }
    spools
        .iter()
        .map(|&(length, price)| price + cover(metres - length, spools))
        .fold(f64::INFINITY, f64::min)
}
