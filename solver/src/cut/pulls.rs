//! From a plan to cut lists: pieces grouped into pulls, one cutting problem per cable.

use super::model::{CutJob, CutPiece};
use crate::ids::{CableId, CircuitId, JointId};
use crate::job::Job;
use crate::plan::{Circuit, JointHardware, Plan, piece_label};
use crate::units::GridSteps;

/// A piece within a pull.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PullPiece {
    /// Its name in plans and on papers, as [`piece_label`] gives it: `C2-P5`.
    pub id: String,
    /// The joint it feeds.
    pub joint: JointId,
    /// Tag of the node where it starts.
    pub from: String,
    /// Tag of the node where it ends.
    pub to: String,
    /// Length as bought, > 0.
    pub length: GridSteps,
}

/// One length handed out and laid in one go: consecutive pieces of one cable, marked at each joint.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pull {
    /// Its cable.
    pub cable: CableId,
    /// Its circuit.
    pub circuit: CircuitId,
    /// Pieces in laying order, from the source outwards; at least one.
    pub pieces: Vec<PullPiece>,
}

impl Pull {
    /// Length of the whole pull.
    #[must_use]
    pub fn length(&self) -> GridSteps {
        self.pieces.iter().map(|piece| piece.length).sum()
    }
    /// Where to mark it: distance from its start to each joint inside, rising.
    #[must_use]
    pub fn marks(&self) -> Vec<GridSteps> {
        let mut reached = GridSteps(0);
        let inside = self.pieces.len().saturating_sub(1);
        let marks = self.pieces.iter().take(inside).map(|piece| {
            reached = reached + piece.length;
            reached
        });
        marks.collect()
    }
}

/// The pulls of a plan, by circuit, each starting where the one before it in the tree is joined.
///
/// A pull goes on through a splice with the piece of its own cable that leads
/// to the longest way of that cable (the first such in plan order); the others
/// start pulls of their own. A hub ends it: what leaves a hub leaves by its own
/// port. Pieces without length (a first joint at the transformer, no slack)
/// need no cable and appear in no pull.
///
/// # Panics
/// When an id of the plan was made for another job.
#[must_use]
pub fn pulls(job: &Job, plan: &Plan) -> Vec<Pull> {
    let mut all = Vec::new();
    for (index, circuit) in plan.circuits.iter().enumerate() {
        let id = CircuitId::new(index);
        let chains = Chains::of(job, plan, circuit);
        for start in chains.starts(circuit) {
            let pieces = chains.follow(start).filter_map(|joint| {
                let length = chains.lengths[joint.index()];
                (length.0 > 0).then(|| piece(job, plan, id, joint, length))
            });
            let pieces: Vec<PullPiece> = pieces.collect();
            if !pieces.is_empty() {
                all.push(Pull {
                    cable: circuit.joints[start.index()].incoming.cable,
                    circuit: id,
                    pieces,
                });
            }
        }
    }
    all
}

fn piece(
    job: &Job,
    plan: &Plan,
    circuit: CircuitId,
    joint: JointId,
    length: GridSteps,
) -> PullPiece {
    let laid = &plan.circuits[circuit.index()];
    let tag = |node| job.node(node).tag.clone();
    PullPiece {
        id: piece_label(circuit, joint),
        joint,
        from: tag(laid.start_of(job, plan, joint)),
        to: tag(laid.joints[joint.index()].node),
        length,
    }
}

/// Which piece continues which, in one circuit.
struct Chains {
    lengths: Vec<GridSteps>,
    /// The piece (by the joint it feeds) that continues the piece feeding this joint.
    next: Vec<Option<JointId>>,
}

impl Chains {
    fn of(job: &Job, plan: &Plan, circuit: &Circuit) -> Self {
        let count = circuit.joints.len();
        let length = |index| circuit.piece_length(job, plan, JointId::new(index)).bought;
        let lengths: Vec<GridSteps> = (0..count).map(length).collect();
        let mut next: Vec<Option<JointId>> = vec![None; count];
        let mut way = lengths.clone();
        // Sources precede what they feed, so backwards every way is complete before it is compared.
        for index in (0..count).rev() {
            let joint = &circuit.joints[index];
            let Some(from) = joint.incoming.from else {
                continue;
            };
            let source = &circuit.joints[from.index()];
            let goes_on = matches!(source.hardware, JointHardware::Splice(_))
                && source.incoming.cable == joint.incoming.cable;
            let longest = next[from.index()].map_or(GridSteps(-1), |other| way[other.index()]);
            if goes_on && way[index] >= longest {
                next[from.index()] = Some(JointId::new(index));
                way[from.index()] = lengths[from.index()] + way[index];
            }
        }
        Self { lengths, next }
    }
    /// Pieces that continue no other, in plan order.
    fn starts(&self, circuit: &Circuit) -> Vec<JointId> {
        let all = (0..circuit.joints.len()).map(JointId::new);
        let starts = all.filter(|&joint| {
            let from = circuit.joints[joint.index()].incoming.from;
            from.is_none_or(|from| self.next[from.index()] != Some(joint))
        });
        starts.collect()
    }
    fn follow(&self, start: JointId) -> impl Iterator<Item = JointId> + '_ {
        std::iter::successors(Some(start), |joint| self.next[joint.index()])
    }
}

/// The cutting problems of a plan, one per cable that it uses, in catalogue order.
///
/// Spools and remnants are those of the catalogue; `shortest_useful` is the
/// shortest length worth keeping.
///
/// # Panics
/// When an id of the plan was made for another job.
#[must_use]
pub fn cut_jobs(job: &Job, plan: &Plan, shortest_useful: GridSteps) -> Vec<(CableId, CutJob)> {
    let mut lists: Vec<Vec<CutPiece>> = vec![Vec::new(); job.cables.len()];
    for pull in pulls(job, plan) {
        for (position, piece) in pull.pieces.into_iter().enumerate() {
            lists[pull.cable.index()].push(CutPiece {
                id: piece.id,
                length: piece.length,
                joined: position > 0,
            });
        }
    }
    let used = lists
        .into_iter()
        .enumerate()
        .filter(|(_, pieces)| !pieces.is_empty());
    used.map(|(index, pieces)| {
        let cable = CableId::new(index);
        let cut_job = CutJob {
            pieces,
            spools: job.cable(cable).spools.clone(),
            stock: job.cable(cable).stock.clone(),
            shortest_useful,
        };
        (cable, cut_job)
    })
    .collect()
}
