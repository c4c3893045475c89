//! From a plan to the shape of its file.

use super::raw;
use super::steps::SegmentIndex;
use super::{PlanHeader, PlanResults, SCHEMA};
use crate::ids::{CircuitId, JointId, NodeId, PlacedId};
use crate::job::Job;
use crate::plan::{
    Circuit, JointHardware, PlacedTransformer, Plan, Route, TransformerSource, joint_label,
    piece_label,
};

pub(super) fn raw(job: &Job, plan: &Plan, header: &PlanHeader, results: &PlanResults) -> raw::File {
    let writer = Writer {
        job,
        plan,
        segments: SegmentIndex::of(job),
    };
    raw::File {
        schema: SCHEMA,
        job: raw::JobName {
            name: job.name.clone(),
            currency: job.currency.clone(),
            units: job.units,
        },
        header: header.clone(),
        transformers: plan
            .transformers
            .iter()
            .enumerate()
            .map(|(index, placed)| writer.transformer(PlacedId::new(index), placed))
            .collect(),
        further_circuits: plan
            .further_circuits
            .iter()
            .map(|&(site, count)| raw::FurtherCircuits {
                site: job.site(site).tag.clone(),
                count,
            })
            .collect(),
        circuits: plan
            .circuits
            .iter()
            .enumerate()
            .map(|(index, circuit)| writer.circuit(CircuitId::new(index), circuit))
            .collect(),
        results: results.clone(),
    }
}

struct Writer<'a> {
    job: &'a Job,
    plan: &'a Plan,
    segments: SegmentIndex,
}

impl Writer<'_> {
    fn node(&self, id: NodeId) -> String {
        self.job.node(id).tag.clone()
    }

    fn transformer(&self, id: PlacedId, placed: &PlacedTransformer) -> raw::Transformer {
        let model = self.job.transformer(placed.model(self.job)).tag.clone();
        raw::Transformer {
            label: id.to_string(),
            site: self.job.site(placed.site).tag.clone(),
            source: match placed.source {
                TransformerSource::New(_) => raw::Source::New { model },
                TransformerSource::Existing(standing) => raw::Source::Existing {
                    transformer: self.job.existing_transformer(standing).tag.clone(),
                    model,
                },
            },
        }
    }

    fn circuit(&self, id: CircuitId, circuit: &Circuit) -> raw::Circuit {
        let placed = &self.plan.transformers[circuit.transformer.index()];
        let model = self.job.transformer(placed.model(self.job));
        let secondary = &model.secondaries[circuit.secondary];
        let joints = || (0..circuit.joints.len()).map(JointId::new);
        raw::Circuit {
            label: id.to_string(),
            transformer: circuit.transformer.to_string(),
            secondary: secondary.tag.clone(),
            tap: secondary.taps[circuit.tap].tag.clone(),
            common: secondary.commons[circuit.common].tag.clone(),
            joints: joints()
                .map(|joint| self.joint(id, circuit, joint))
                .collect(),
            pieces: joints()
                .map(|joint| self.piece(id, circuit, joint))
                .collect(),
            leads: circuit
                .leads
                .iter()
                .map(|run| {
                    let fixture = self.job.fixture(run.fixture);
                    let lead = self.job.model(fixture.model).lead;
                    raw::Lead {
                        fixture: fixture.tag.clone(),
                        joint: joint_label(id, run.joint),
                        cable: lead.map(|lead| self.job.cable(lead.cable).tag.clone()),
                        length_m: lead.map(|lead| lead.length.value()),
                        route: self.route(fixture.node, &run.route),
                    }
                })
                .collect(),
        }
    }

    fn joint(&self, id: CircuitId, circuit: &Circuit, joint: JointId) -> raw::Joint {
        let it = &circuit.joints[joint.index()];
        raw::Joint {
            label: joint_label(id, joint),
            node: self.node(it.node),
            hardware: match it.hardware {
                JointHardware::Splice(kind) => {
                    raw::Hardware::Splice(self.job.joint_kind(kind).tag.clone())
                }
                JointHardware::Hub(kind) => raw::Hardware::Hub(self.job.hub(kind).tag.clone()),
            },
        }
    }

    fn piece(&self, id: CircuitId, circuit: &Circuit, joint: JointId) -> raw::Piece {
        let incoming = &circuit.joints[joint.index()].incoming;
        let length = circuit.piece_length(self.job, self.plan, joint);
        let start = circuit.start_of(self.job, self.plan, joint);
        raw::Piece {
            label: piece_label(id, joint),
            cable: self.job.cable(incoming.cable).tag.clone(),
            from: match incoming.from {
                None => circuit.transformer.to_string(),
                Some(from) => joint_label(id, from),
            },
            to: joint_label(id, joint),
            route: self.route(start, &incoming.route),
            length_grid_steps: length.bought.0,
            length_m: length.metres(self.job).value(),
            route_m: length.route.value(),
            slack_m: length.slack.value(),
            rise_m: length.rise.value(),
        }
    }

    /// Steps in walking order; a step that does not continue the walk is written from its first end.
    fn route(&self, start: NodeId, route: &Route) -> Vec<raw::Step> {
        let mut here = start;
        let step = |&id| {
            let segment = self.job.segment(id);
            let (from, to) = if segment.b == here {
                (segment.b, segment.a)
            } else {
                (segment.a, segment.b)
            };
            here = to;
            raw::Step {
                from: self.node(from),
                to: self.node(to),
                parallel: self.segments.ordinal(self.job, id),
            }
        };
        route.segments.iter().map(step).collect()
    }
}
