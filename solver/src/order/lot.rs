//! The pieces of one cable over all jobs.

use super::model::{PieceLabel, PlannedJob};
use crate::cut::{CutOrder, CutPiece, Pull, pulls};
use crate::ids::JointId;
use crate::job::{Cable, Job};
use crate::plan::Plan;
use crate::schedule::Labels;
use crate::units::GridSteps;

/// A piece with its label.
#[derive(Clone, Debug)]
pub(super) struct LotPiece {
    /// What is written on it.
    pub(super) label: PieceLabel,
    /// Its length.
    pub(super) steps: GridSteps,
    /// Whether it continues the pull of the piece before it.
    pub(super) joined: bool,
}

/// All pieces of one cable.
#[derive(Clone, Debug)]
pub(super) struct Lot<'a> {
    /// The cable, as the first job that uses it states it.
    pub(super) cable: &'a Cable,
    /// Pieces of each job, pull by pull.
    pub(super) lists: Vec<Vec<LotPiece>>,
}

impl<'a> Lot<'a> {
    /// The lots of some jobs, by size of the cable, thinnest first.
    pub(super) fn all(jobs: &[PlannedJob<'a>]) -> Vec<Self> {
        let mut lots: Vec<Self> = Vec::new();
        for (index, &PlannedJob { job, plan }) in jobs.iter().enumerate() {
            let prefix = if jobs.len() > 1 {
                format!("{}:", index + 1)
            } else {
                String::new()
            };
            let namer = Namer {
                job,
                plan,
                labels: Labels::of(plan),
                prefix,
                number: u32::try_from(index + 1).expect("jobs are few"),
            };
            for pull in pulls(job, plan) {
                let cable = job.cable(pull.cable);
                let known = lots.iter().position(|lot| lot.cable.tag == cable.tag);
                let at = known.unwrap_or_else(|| {
                    lots.push(Self {
                        cable,
                        lists: vec![Vec::new(); jobs.len()],
                    });
                    lots.len() - 1
                });
                lots[at].lists[index].extend(namer.pieces(&pull));
            }
        }
        lots.sort_by(|a, b| a.cable.size.value().total_cmp(&b.cable.size.value()));
        lots
    }

    /// All pieces, one job after another.
    pub(super) fn pieces(&self) -> impl Iterator<Item = &LotPiece> {
        self.lists.iter().flatten()
    }

    /// The cutting problem over all jobs.
    pub(super) fn problem(&self, shortest_useful: GridSteps) -> CutOrder {
        let list = |pieces: &Vec<LotPiece>| {
            let cut = pieces.iter().map(|piece| CutPiece {
                id: piece.label.id.clone(),
                length: piece.steps,
                joined: piece.joined,
            });
            cut.collect()
        };
        CutOrder {
            lists: self.lists.iter().map(list).collect(),
            spools: self.cable.spools.clone(),
            stock: self.cable.stock.clone(),
            shortest_useful,
        }
    }
}

/// Names the pieces of one job as its papers do.
pub(super) struct Namer<'a> {
    pub(super) job: &'a Job,
    pub(super) plan: &'a Plan,
    pub(super) labels: Labels,
    /// Before each id.
    pub(super) prefix: String,
    /// Of the job.
    pub(super) number: u32,
}

impl Namer<'_> {
    /// The pieces of a pull, in laying order.
    pub(super) fn pieces(&self, pull: &Pull) -> Vec<LotPiece> {
        let (job, index) = (self.job, pull.circuit.index());
        let circuit = &self.plan.circuits[index];
        let joint = |id: JointId| {
            let node = circuit.joints[id.index()].node;
            format!("{} at {}", Labels::joint(index, id), job.node(node).tag)
        };
        let cable = job.cable(pull.cable);
        let pieces = pull.pieces.iter().enumerate().map(|(position, piece)| {
            let from = circuit.joints[piece.joint.index()].incoming.from;
            LotPiece {
                label: PieceLabel {
                    id: format!(
                        "{}{}",
                        self.prefix,
                        Labels::piece(index, piece.joint.index())
                    ),
                    job: self.number,
                    circuit: self.labels.circuits[index].clone(),
                    from: from.map_or_else(|| self.transformer(index), joint),
                    to: joint(piece.joint),
                    cable: cable.tag.clone(),
                    gauge: cable.gauge.clone(),
                    length: job.units.grid().decimal(piece.length),
                    cut: None,
                },
                steps: piece.length,
                joined: position > 0,
            }
        });
        pieces.collect()
    }

    /// Letter and site of a circuit's transformer.
    fn transformer(&self, circuit: usize) -> String {
        let placed = self.plan.circuits[circuit].transformer.index();
        let site = self.job.site(self.plan.transformers[placed].site);
        format!("{} ({})", self.labels.transformers[placed], site.tag)
    }
}
