//! What landing leads at a node costs at least: hardware shared by the
//! fixtures that land there, and the slack of the piece that feeds it.

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
    slack_metres: f64,
    is_hub: bool,
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
        let splices = job.joints.iter().map(|kind| Hardware {
            cost: kind.price.cost().value() + kind.hours.value() * labour,
            most_leads: kind
                .holds
                .iter()
                .map(|set| (set.slots.len() as u32).saturating_sub(1))
                .max()
                .unwrap_or(0)
                .saturating_sub(fewer),
            slack_metres: slack.splice.value(),
            is_hub: false,
        });
        let hubs = job.hubs.iter().map(|kind| {
            let ports: u32 = kind.ports.iter().map(|group| group.count).sum();
            let limit = job.rules.most_fixtures_per_hub.unwrap_or(u32::MAX);
            Hardware {
                cost: kind.price.cost().value() + kind.hours.value() * labour,
                most_leads: kind
                    .most_in_use
                    .min(ports.saturating_sub(job.rules.spare.ports))
                    .min(limit)
                    .saturating_sub(fewer),
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

    /// Lines under the cost of all joints at `node`, for any number of leads.
    ///
    /// `fixed_per_metre` is the least money of a metre of piece; the piece that
    /// feeds a joint has slack at both ends and the rise of the joint's node,
    /// except that a home run to a joint at the site may have no length at all.
    pub(crate) fn lines(
        &self,
        job: &Job,
        node: NodeId,
        at_fixture: bool,
        fixed_per_metre: f64,
    ) -> Vec<JointLine> {
        let at_site = job.sites.iter().any(|site| site.node == node);
        let points: Vec<(f64, f64)> = self
            .hardware
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
                let cost = way.cost.max(0.0) + fixed_per_metre * piece_metres;
                (f64::from(way.most_leads), cost)
            })
            .collect();
        envelope(&points)
    }
}

/// Affine functions with non-negative parts that stay under the cheapest way
/// for every number of leads one joint can hold.
///
/// Summed over several joints such a function still holds, since the fixed part
/// is paid at least once.
fn envelope(ways: &[(f64, f64)]) -> Vec<JointLine> {
    let least = ways.iter().map(|way| way.1).fold(f64::INFINITY, f64::min);
    if !least.is_finite() {
        return vec![JointLine {
            fixed: 0.0,
            each: 0.0,
        }];
    }
    let mut each = vec![0.0];
    let rate = ways
        .iter()
        .filter(|way| way.0 > 0.0)
        .map(|way| way.1 / way.0)
        .fold(f64::INFINITY, f64::min);
    if rate.is_finite() {
        each.push(rate);
    }
    for (i, first) in ways.iter().enumerate() {
        for second in &ways[i + 1..] {
            let slope = (second.1 - first.1) / (second.0 - first.0);
            if slope.is_finite() && slope > 0.0 && slope < rate {
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
                each: each * (1.0 - 1e-12),
            })
        })
        .collect()
}
