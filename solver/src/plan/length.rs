//! Length of one cable piece as it is bought: route, slack and rise, rounded up
//! to the purchasing grid. Not the length a lead needs: leads are never cut.

use super::{Circuit, JointHardware, Plan};
use crate::ids::{JointId, NodeId};
use crate::job::Job;
use crate::units::{GridSteps, Metres};

/// The parts of a piece's length, and what is bought.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PieceLength {
    /// Sum of the segment lengths of the route, m.
    pub route: Metres,
    /// Slack of both ends, m.
    pub slack: Metres,
    /// Rise of both end nodes, m.
    pub rise: Metres,
    /// Route + slack + rise, rounded up to the grid: paid for and resistive in full.
    pub bought: GridSteps,
}

impl PieceLength {
    /// Adds the parts up and rounds up to the grid of the job.
    #[must_use]
    pub fn of(job: &Job, route: Metres, slack: Metres, rise: Metres) -> Self {
        Self {
            route,
            slack,
            rise,
            bought: job.units.grid().ceil(route + slack + rise),
        }
    }
    /// The bought length, m.
    #[must_use]
    pub fn metres(&self, job: &Job) -> Metres {
        job.units.grid().metres(self.bought)
    }
}

/// Slack of a piece end in this kind of joint, m.
#[must_use]
pub fn joint_slack(job: &Job, hardware: JointHardware) -> Metres {
    match hardware {
        JointHardware::Splice(_) => job.rates.slack.splice,
        JointHardware::Hub(_) => job.rates.slack.hub,
    }
}

impl Circuit {
    /// Node where the piece that feeds `joint` starts: the transformer's, or the earlier joint's.
    #[must_use]
    pub fn start_of(&self, job: &Job, plan: &Plan, joint: JointId) -> NodeId {
        match self.joints[joint.index()].incoming.from {
            None => plan.source_node(job, self),
            Some(earlier) => self.joints[earlier.index()].node,
        }
    }

    /// Length of the piece that feeds `joint`.
    ///
    /// # Panics
    /// When an id of the circuit was made for another job or plan.
    #[must_use]
    pub fn piece_length(&self, job: &Job, plan: &Plan, joint: JointId) -> PieceLength {
        let fed = &self.joints[joint.index()];
        let near_slack = match fed.incoming.from {
            None => job.rates.slack.transformer,
            Some(earlier) => joint_slack(job, self.joints[earlier.index()].hardware),
        };
        let start = self.start_of(job, plan, joint);
        PieceLength::of(
            job,
            fed.incoming.route.length(job),
            near_slack + joint_slack(job, fed.hardware),
            job.node(start).rise + job.node(fed.node).rise,
        )
    }
}
