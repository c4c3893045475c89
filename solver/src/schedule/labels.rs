//! The names of a plan ([`crate::plan::piece_label`] and its siblings) as the papers
//! use them: transformers `T1`, circuits `C1`, pieces `C1-P1`, joints `C1-J1`.

use crate::ids::{CircuitId, JointId, PlacedId};
use crate::plan::{Plan, joint_label, piece_label};

/// Names of one plan, and the order in which its papers go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Labels {
    /// By transformer of the plan: T1, T2, ...
    pub(crate) transformers: Vec<String>,
    /// By circuit of the plan: C1, C2, ...
    pub(crate) circuits: Vec<String>,
    /// Circuits of the plan in the order of the papers: by transformer, then as in the plan.
    pub(crate) order: Vec<usize>,
}

impl Labels {
    /// Names everything in a plan.
    pub(crate) fn of(plan: &Plan) -> Self {
        let transformers = 0..plan.transformers.len();
        let circuits = 0..plan.circuits.len();
        let mut order: Vec<usize> = circuits.clone().collect();
        order.sort_by_key(|&index| plan.circuits[index].transformer);
        Self {
            transformers: transformers
                .map(|index| PlacedId::new(index).to_string())
                .collect(),
            circuits: circuits
                .map(|index| CircuitId::new(index).to_string())
                .collect(),
            order,
        }
    }

    /// Position on paper of each circuit of the plan.
    pub(crate) fn positions(&self) -> Vec<usize> {
        let mut positions = vec![0; self.order.len()];
        for (position, &index) in self.order.iter().enumerate() {
            positions[index] = position;
        }
        positions
    }

    /// Labels of circuits given by position in the plan, in the order of the papers.
    pub(crate) fn sorted(&self, circuits: &[usize]) -> Vec<String> {
        let on_paper = self.order.iter().filter(|index| circuits.contains(index));
        on_paper
            .map(|&index| self.circuits[index].clone())
            .collect()
    }

    /// `C1-P3`: the piece that feeds joint `C1-J3`; the home run is number 1.
    pub(crate) fn piece(circuit: usize, joint: usize) -> String {
        piece_label(CircuitId::new(circuit), JointId::new(joint))
    }

    /// `C1-J3`: a joint.
    pub(crate) fn joint(circuit: usize, joint: JointId) -> String {
        joint_label(CircuitId::new(circuit), joint)
    }
}
