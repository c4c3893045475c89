//! The takeoff: how much of everything a plan uses. Counts and exact lengths,
//! no money.

use super::exact::shown_length;
use crate::ids::{FixtureId, JointId, SegmentId};
use crate::job::Job;
use crate::plan::{Circuit, JointHardware, Plan, TransformerSource};
use crate::tariff::SegmentFill;
use crate::units::{GridSteps, Metres};
use rust_decimal::Decimal;

/// Pieces of one cable type.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct CableTake {
    /// How many pieces.
    pub(crate) pieces: u32,
    /// Their lengths on the grid, added up.
    pub(crate) length: GridSteps,
}

/// Leads of one cable type.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct LeadTake {
    /// How many leads.
    pub(crate) leads: u32,
    /// Their lengths as delivered, added up.
    pub(crate) length: Metres,
}

/// What lies in one opened segment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct SegmentTake {
    /// The segment.
    pub(crate) segment: SegmentId,
    /// Its length in the job's length unit, to 0.01.
    pub(crate) length: Decimal,
    /// Pieces; one that passes twice counts twice.
    pub(crate) pieces: u32,
    /// Leads; one that passes twice counts twice.
    pub(crate) leads: u32,
    /// More than its limit lies in it: the dearer rate is due.
    pub(crate) beyond: bool,
    /// Circuits with a piece or lead in it, positions in the plan, ascending.
    pub(crate) circuits: Vec<usize>,
}

/// Everything a plan uses. Tables run parallel to the job's.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Takeoff {
    /// Pieces by cable type.
    pub(crate) cables: Vec<CableTake>,
    /// Leads by cable type.
    pub(crate) leads: Vec<LeadTake>,
    /// Hubs by kind.
    pub(crate) hubs: Vec<u32>,
    /// Splices by kind.
    pub(crate) joints: Vec<u32>,
    /// Transformers bought, by model.
    pub(crate) transformers: Vec<u32>,
    /// Opened segments, in job order.
    pub(crate) segments: Vec<SegmentTake>,
    /// Fixtures fed, in job order.
    pub(crate) fixtures: Vec<FixtureId>,
}

impl Takeoff {
    /// Counts a plan; linear in its pieces and route steps.
    ///
    /// # Panics
    /// When an id of the plan was made for another job.
    pub(crate) fn of(job: &Job, plan: &Plan) -> Self {
        let mut take = Self {
            cables: vec![CableTake::default(); job.cables.len()],
            leads: vec![LeadTake::default(); job.cables.len()],
            hubs: vec![0; job.hubs.len()],
            joints: vec![0; job.joints.len()],
            transformers: vec![0; job.transformers.len()],
            segments: opened(job, plan),
            fixtures: Vec::new(),
        };
        for placed in &plan.transformers {
            if let TransformerSource::New(model) = placed.source {
                take.transformers[model.index()] += 1;
            }
        }
        for circuit in &plan.circuits {
            take.add_circuit(job, plan, circuit);
        }
        take.fixtures.sort_unstable();
        take
    }

    fn add_circuit(&mut self, job: &Job, plan: &Plan, circuit: &Circuit) {
        for (index, joint) in circuit.joints.iter().enumerate() {
            let bought = circuit.piece_length(job, plan, JointId::new(index)).bought;
            let cable = &mut self.cables[joint.incoming.cable.index()];
            cable.pieces += 1;
            cable.length = cable.length + bought;
            match joint.hardware {
                JointHardware::Splice(kind) => self.joints[kind.index()] += 1,
                JointHardware::Hub(kind) => self.hubs[kind.index()] += 1,
            }
        }
        for run in &circuit.leads {
            self.fixtures.push(run.fixture);
            if let Some(lead) = job.model_of(run.fixture).lead {
                let leads = &mut self.leads[lead.cable.index()];
                leads.leads += 1;
                leads.length += lead.length;
            }
        }
    }

    /// All pieces, in the job's length unit, exact.
    pub(crate) fn cable_length(&self, job: &Job) -> Decimal {
        let steps = self.cables.iter().map(|cable| cable.length).sum();
        job.units.grid().decimal(steps)
    }
}

/// What lies in every opened segment.
fn opened(job: &Job, plan: &Plan) -> Vec<SegmentTake> {
    let fill = SegmentFill::of(job, plan);
    let mut takes: Vec<SegmentTake> = (0..job.segments.len())
        .map(SegmentId::new)
        .map(|segment| SegmentTake {
            segment,
            length: shown_length(job, job.segment(segment).length),
            pieces: 0,
            leads: 0,
            beyond: fill.exceeds_limit(job, segment),
            circuits: Vec::new(),
        })
        .collect();
    for (position, circuit) in plan.circuits.iter().enumerate() {
        let pieces = circuit.joints.iter().map(|joint| &joint.incoming.route);
        for id in pieces.flat_map(|route| &route.segments) {
            takes[id.index()].pieces += 1;
            takes[id.index()].circuits.push(position);
        }
        for id in circuit.leads.iter().flat_map(|run| &run.route.segments) {
            takes[id.index()].leads += 1;
            takes[id.index()].circuits.push(position);
        }
    }
    takes.retain_mut(|take| {
        take.circuits.dedup();
        fill.is_open(take.segment)
    });
    takes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bill::specimen;

    /// A lead through the drive and back, two pieces through the lawn.
    #[test]
    fn what_passes_a_segment_twice_counts_twice() {
        let (job, mut plan) = (specimen::job(), specimen::plan());
        let drive = SegmentId(2);
        plan.circuits[0].leads[1].route.segments = vec![drive, drive];
        let counts: Vec<(u32, u32, Vec<usize>)> = Takeoff::of(&job, &plan)
            .segments
            .into_iter()
            .map(|take| (take.pieces, take.leads, take.circuits))
            .collect();
        assert_eq!(
            counts,
            [
                (1, 0, vec![0]),
                (2, 0, vec![0, 1]),
                (0, 2, vec![0]),
                (1, 0, vec![1]),
            ]
        );
    }
}
