//! The plan's types.

use crate::ids::{
    CableId, ExistingId, FixtureId, HubKindId, JointId, JointKindId, NodeId, PlacedId, SegmentId,
    SiteId, TransformerModelId,
};
use crate::job::Job;
use crate::units::{Metres, SquareMillimetres};

/// A walk in the site graph: `segments` in order from `start`; may repeat segments and nodes; may be empty.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub struct Route {
    /// Segments in walking order.
    pub segments: Vec<SegmentId>,
}

impl Route {
    /// The node where the walk ends when it starts at `start`; `None` if consecutive segments do not meet.
    #[must_use]
    pub fn end(&self, job: &Job, start: NodeId) -> Option<NodeId> {
        self.segments.iter().try_fold(start, |here, &id| {
            let segment = job.segment(id);
            if segment.a == here {
                Some(segment.b)
            } else if segment.b == here {
                Some(segment.a)
            } else {
                None
            }
        })
    }
    /// Sum of the segment lengths, m.
    #[must_use]
    pub fn length(&self, job: &Job) -> Metres {
        self.segments.iter().map(|&id| job.segment(id).length).sum()
    }
}

/// Where a placed transformer comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TransformerSource {
    /// Bought, of this model.
    New(TransformerModelId),
    /// Already standing.
    Existing(ExistingId),
}

/// A transformer in use by the plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlacedTransformer {
    /// Where it stands.
    pub site: SiteId,
    /// Bought or standing.
    pub source: TransformerSource,
}

impl PlacedTransformer {
    /// Its model.
    #[must_use]
    pub fn model(&self, job: &Job) -> TransformerModelId {
        match self.source {
            TransformerSource::New(model) => model,
            TransformerSource::Existing(id) => job.existing_transformer(id).model,
        }
    }
}

/// The piece that feeds a joint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Incoming {
    /// The joint it comes from; `None` for the home run, which comes from the transformer.
    pub from: Option<JointId>,
    /// Cable of the piece.
    pub cable: CableId,
    /// Route from the source end (site node or joint's node) to this joint's node.
    pub route: Route,
}

/// What makes the joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum JointHardware {
    /// A splice of this kind on each pole.
    Splice(JointKindId),
    /// A hub.
    Hub(HubKindId),
}

/// A joint of a circuit with the piece that feeds it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Joint {
    /// Where it is; at most one joint per node and circuit.
    pub node: NodeId,
    /// What it is made of.
    pub hardware: JointHardware,
    /// The piece that feeds it. Joints are stored so that `from` always precedes its joint.
    pub incoming: Incoming,
}

/// A fixture's lead landing in a joint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeadRun {
    /// The fixture.
    pub fixture: FixtureId,
    /// The joint it lands in.
    pub joint: JointId,
    /// Route from the fixture's node to the joint's node.
    pub route: Route,
}

/// A circuit: one home run, a tree of pieces and joints, and the leads of its fixtures.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Circuit {
    /// The transformer that feeds it.
    pub transformer: PlacedId,
    /// Secondary (position in the model's list).
    pub secondary: usize,
    /// Tap (position in the secondary's list).
    pub tap: usize,
    /// Common (position in the secondary's list).
    pub common: usize,
    /// Joints; the first is fed by the home run, each later one by a piece from an earlier joint.
    pub joints: Vec<Joint>,
    /// Leads, one per fixture of the circuit.
    pub leads: Vec<LeadRun>,
}

impl Circuit {
    /// The home run: the piece that feeds the first joint.
    ///
    /// # Panics
    /// On a circuit without joints; no room makes one.
    #[must_use]
    pub fn home_run(&self) -> &Incoming {
        &self.joints[0].incoming
    }
}

/// A whole plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// Transformers in use.
    pub transformers: Vec<PlacedTransformer>,
    /// Further mains circuits bought, by site (sites not listed: none).
    pub further_circuits: Vec<(SiteId, u32)>,
    /// Circuits.
    pub circuits: Vec<Circuit>,
}

impl Plan {
    /// The node from which a circuit starts.
    #[must_use]
    pub fn source_node(&self, job: &Job, circuit: &Circuit) -> NodeId {
        job.site(self.transformers[circuit.transformer.index()].site)
            .node
    }
    /// Sizes of the conductors that meet in a joint: the incoming piece first, then pieces and leads going out.
    #[must_use]
    pub fn wires(
        job: &Job,
        circuit: &Circuit,
        joint: JointId,
    ) -> (SquareMillimetres, Vec<SquareMillimetres>) {
        let size = |cable: CableId| job.cable(cable).size;
        let incoming = size(circuit.joints[joint.index()].incoming.cable);
        let pieces = circuit
            .joints
            .iter()
            .filter(|other| other.incoming.from == Some(joint))
            .map(|other| size(other.incoming.cable));
        let leads = circuit
            .leads
            .iter()
            .filter(|lead| lead.joint == joint)
            .filter_map(|lead| job.model_of(lead.fixture).lead)
            .map(|lead| size(lead.cable));
        (incoming, pieces.chain(leads).collect())
    }
}
