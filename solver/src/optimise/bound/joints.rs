//! What landing leads at a node costs at least: hardware shared by the
//! fixtures that land there, and the slack of the piece that feeds it.

use super::loads::Load;
use super::planted::Planted;
use crate::ids::NodeId;
use crate::job::Job;

/// A line `cost >= fixed + each * leads` that holds for any number of joints at a node.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct JointLine {
    /// Money as soon as anything lands, >= 0.
    pub fixed: f64,
    /// Money per lead, >= 0.
    pub each: f64,
}

/// A way to make one joint.
#[derive(Clone, Copy, Debug)]
struct Hardware {
    cost: f64,
    /// Most leads it holds beside the wire that feeds it.
    most_leads: u32,
    /// Most leads and pieces it holds beside the wire that feeds it.
    most_wires: u32,
    slack_metres: f64,
    is_hub: bool,
}

/// A node where a joint may stand, and the ways to make one there.
#[derive(Clone, Debug)]
pub(super) struct JointPlace {
    pub node: usize,
    /// By leads and pieces that leave it, the last number for more as well: the cheapest splice
    /// and the cheapest hub.
    pub ways: Vec<[Option<JointWay>; 2]>,
}

/// The cheapest of some ways to make a joint.
#[derive(Clone, Copy, Debug)]
pub(super) struct JointWay {
    pub money: f64,
    /// Slack and rise at the end of the piece that feeds it, m.
    pub end_metres: f64,
}

/// The nodes where joints may stand, or some of `loads` may land, for up to so many wires and
/// more; in order of nodes.
pub(super) fn places(job: &Job, loads: &[Load], planted: Planted, wires: usize) -> Vec<JointPlace> {
    let costs = JointCosts::new(job, planted);
    let mut allowed: Vec<bool> = job.nodes.iter().map(|node| node.joint_allowed).collect();
    let mut at_fixture = vec![false; job.nodes.len()];
    for load in loads {
        at_fixture[load.node] = true;
        load.landings.iter().for_each(|&node| allowed[node] = true);
    }
    let allowed = (0..job.nodes.len()).filter(|&node| allowed[node]);
    allowed
        .map(|node| JointPlace {
            node,
            ways: (0..=wires)
                .map(|wires| {
                    [false, true].map(|hub| costs.way(job, node, at_fixture[node], hub, wires))
                })
                .collect(),
        })
        .collect()
}

/// The ways to make a joint, and slack common to all.
#[derive(Debug)]
pub(crate) struct JointCosts {
    hardware: Vec<Hardware>,
    least_upstream_slack_metres: f64,
    hubs_only_off_fixtures: bool,
}

impl JointCosts {
    /// Reads the catalogue.
    pub(crate) fn new(job: &Job, planted: Planted) -> Self {
        let labour = job.rates.labour.cost().value();
        let slack = job.rates.slack;
        let fewer = u32::from(planted == Planted::PortsTooFew);
        let splices = job.joints.iter().map(|kind| {
            let most = kind
                .holds
                .iter()
                .map(|set| (set.slots.len() as u32).saturating_sub(1))
                .max()
                .unwrap_or(0)
                .saturating_sub(fewer);
            Hardware {
                cost: kind.price.cost().value() + kind.hours.value() * labour,
                most_leads: most,
                most_wires: most,
                slack_metres: slack.splice.value(),
                is_hub: false,
            }
        });
        let hubs = job.hubs.iter().map(|kind| {
            let ports: u32 = kind.ports.iter().map(|group| group.count).sum();
            let limit = job.rules.most_fixtures_per_hub.unwrap_or(u32::MAX);
            let most = (kind.most_in_use).min(ports.saturating_sub(job.rules.spare.ports));
            Hardware {
                cost: kind.price.cost().value() + kind.hours.value() * labour,
                most_leads: most.min(limit).saturating_sub(fewer),
                most_wires: most.saturating_sub(fewer),
                slack_metres: slack.hub.value(),
                is_hub: true,
            }
        });
        Self {
            hardware: splices.chain(hubs).collect(),
            least_upstream_slack_metres: slack
                .transformer
                .min(slack.hub)
                .min(slack.splice)
                .value()
                .max(0.0),
            hubs_only_off_fixtures: job.rules.joints_at_fixtures_and_hubs,
        }
    }

    /// The cheapest splice or hub at a node for at least so many leads and pieces.
    fn way(
        &self,
        job: &Job,
        node: usize,
        at_fixture: bool,
        hub: bool,
        wires: usize,
    ) -> Option<JointWay> {
        let holds = |way: &&Hardware| way.is_hub == hub && way.most_wires as usize >= wires;
        let may_stand = hub || at_fixture || !self.hubs_only_off_fixtures;
        let ways = self.hardware.iter().filter(holds).filter(|_| may_stand);
        ways.map(|way| JointWay {
            money: way.cost.max(0.0),
            end_metres: way.slack_metres.max(0.0) + job.nodes[node].rise.value().max(0.0),
        })
        .min_by(|one, other| one.money.total_cmp(&other.money))
    }

    /// The ways to make a joint at `node`; none where no hardware may stand.
    ///
    /// `fixed_per_metre` is the least money of a metre of piece; the piece that
    /// feeds a joint has slack at both ends and the rise of the joint's node,
    /// except that a home run to a joint at the site may have no length at all.
    pub(crate) fn ways(
        &self,
        job: &Job,
        node: NodeId,
        at_fixture: bool,
        fixed_per_metre: f64,
    ) -> Vec<Way> {
        let at_site = job.sites.iter().any(|site| site.node == node);
        self.hardware
            .iter()
            .filter(|way| way.is_hub || at_fixture || !self.hubs_only_off_fixtures)
            .map(|way| {
                let piece_metres = if at_site {
                    0.0
                } else {
                    self.least_upstream_slack_metres
                        + way.slack_metres.max(0.0)
                        + job.node(node).rise.value().max(0.0)
                };
                Way {
                    cost: way.cost.max(0.0) + fixed_per_metre * piece_metres,
                    most_leads: way.most_leads,
                    most_wires: way.most_wires,
                }
            })
            .collect()
    }
}

/// A way to make a joint at a node, with the piece that feeds it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Way {
    pub cost: f64,
    /// Most leads it holds beside the wire that feeds it.
    pub most_leads: u32,
    /// Most leads and pieces it holds beside the wire that feeds it.
    pub most_wires: u32,
}

/// Lines under the cost of all joints at a node, for any number of leads.
pub(crate) fn lines(ways: &[Way]) -> Vec<JointLine> {
    let points: Vec<(f64, f64)> = ways
        .iter()
        .map(|way| (f64::from(way.most_leads), way.cost))
        .collect();
    envelope(&points, 0.0)
}

/// What so many leads cost by the lines.
pub(super) fn cost(lines: &[JointLine], leads: f64) -> f64 {
    let each = lines.iter().map(|line| line.fixed + line.each * leads);
    each.fold(0.0, f64::max)
}

/// Affine functions with non-negative parts, no flatter than `flattest`, that stay under the
/// cheapest way for every number of leads one joint can hold.
///
/// Summed over several joints such a function still holds, since the fixed part
/// is paid at least once.
pub(super) fn envelope(ways: &[(f64, f64)], flattest: f64) -> Vec<JointLine> {
    let least = ways.iter().map(|way| way.1).fold(f64::INFINITY, f64::min);
    if !least.is_finite() {
        return vec![JointLine {
            fixed: 0.0,
            each: 0.0,
        }];
    }
    let mut each = vec![flattest];
    let rate = ways
        .iter()
        .filter(|way| way.0 > 0.0)
        .map(|way| way.1 / way.0)
        .fold(f64::INFINITY, f64::min);
    if rate.is_finite() && rate > flattest {
        each.push(rate);
    }
    for (i, first) in ways.iter().enumerate() {
        for second in &ways[i + 1..] {
            let slope = (second.1 - first.1) / (second.0 - first.0);
            if slope.is_finite() && slope > flattest && slope < rate {
                each.push(slope);
            }
        }
    }
    each.sort_by(f64::total_cmp);
    each.dedup();
    each.into_iter()
        .filter_map(|each| {
            // A way with room for m leads serves every smaller number too, so
            // the line is tightest at m: cost - each * m is the binding value.
            let fixed = ways
                .iter()
                .map(|(most, cost)| cost - each * most)
                .fold(f64::INFINITY, f64::min);
            (fixed >= -1e-12 * least.max(1.0)).then(|| JointLine {
                fixed: fixed.max(0.0),
                each: (each * (1.0 - 1e-12)).max(flattest),
            })
        })
        .collect()
}
