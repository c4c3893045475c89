//! What landing leads at a node costs at least: hardware shared by the
//! fixtures that land there, and the slack of the piece that feeds it.

use super::loads::Load;
use super::planted::Planted;
use crate::ids::NodeId;
use crate::job::Job;

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

/// What joints of one node cost at least, by the leads that land in them: one joint or more,
/// for none first and up to `most`.
///
/// `passing` is what a joint pays for the piece that ends in it and takes for each that begins
/// there: as many as it has room for beside the leads.
pub(super) fn by_leads(ways: &[Way], passing: f64, most: usize, planted: Planted) -> Vec<f64> {
    let begun = |way: &Way, leads: u32| match planted {
        Planted::JointsPassNothingOn => 0.0,
        _ => f64::from(way.most_wires - leads),
    };
    let one = |leads: usize| -> f64 {
        let holding = ways.iter().filter_map(|way| {
            let leads = u32::try_from(leads).ok()?;
            (leads <= way.most_leads.min(way.most_wires))
                .then(|| way.cost + passing * (1.0 - begun(way, leads)))
        });
        holding.fold(f64::INFINITY, f64::min).max(0.0)
    };
    let each: Vec<f64> = (0..=most).map(one).collect();
    let mut costs = each.clone();
    for leads in 2..=most {
        let several = (1..=leads / 2).map(|first| costs[first] + costs[leads - first]);
        costs[leads] = several.fold(each[leads], f64::min);
    }
    // Leads that nothing holds leave no plan; the bound must only remain a number.
    let mut last = 0.0;
    for cost in &mut costs {
        last = if cost.is_finite() { *cost } else { last };
        *cost = last;
    }
    costs
}

/// The cost of so many leads among those of fewer and more.
pub(super) fn of_leads(costs: &[f64], leads: usize) -> f64 {
    costs.get(leads).or(costs.last()).copied().unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::{Way, by_leads};
    use crate::optimise::bound::planted::Planted;

    const WAYS: [Way; 3] = [
        Way {
            cost: 5.0,
            most_leads: 2,
            most_wires: 2,
        },
        Way {
            cost: 8.0,
            most_leads: 3,
            most_wires: 4,
        },
        Way {
            cost: 19.0,
            most_leads: 8,
            most_wires: 8,
        },
    ];

    /// The least over all ways to share leads among joints and to begin pieces in them.
    fn by_hand(leads: u32, passing: f64, joints: u32) -> f64 {
        let mut least = f64::INFINITY;
        for way in WAYS {
            for here in 0..=leads.min(way.most_leads) {
                let begun = (0..=way.most_wires - here).map(f64::from);
                let one = begun.map(|begun| way.cost + passing * (1.0 - begun));
                let one = one.fold(f64::INFINITY, f64::min);
                let rest = match leads - here {
                    0 => 0.0,
                    _ if joints == 1 => f64::INFINITY,
                    rest => by_hand(rest, passing, joints - 1),
                };
                least = least.min(one + rest);
            }
        }
        least
    }

    #[test]
    fn leads_are_shared_among_joints_as_is_cheapest() {
        // 8 / 3 is the most that a piece may be worth: joints are not worth having for their own
        // sake.
        for passing in [0.0, 0.5, 1.0, 2.6] {
            let costs = by_leads(&WAYS, passing, 9, Planted::Nothing);
            for (leads, cost) in (0..).zip(&costs) {
                let least = by_hand(leads, passing, 4);
                assert!((cost - least).abs() < 1e-12, "{leads} at {passing}");
            }
        }
        assert_eq!(
            by_leads(&WAYS, 0.0, 9, Planted::Nothing),
            [5.0, 5.0, 5.0, 8.0, 10.0, 13.0, 15.0, 18.0, 19.0, 23.0]
        );
    }

    /// Nothing holds more than eight leads, and no number of hubs without ports any.
    #[test]
    fn leads_that_nothing_holds_cost_what_fewer_do() {
        let none = Way {
            cost: 3.0,
            most_leads: 0,
            most_wires: 0,
        };
        assert_eq!(by_leads(&[none], 0.0, 2, Planted::Nothing), [3.0; 3]);
        assert_eq!(by_leads(&[], 0.0, 2, Planted::Nothing), [0.0; 3]);
    }
}
