//! What things are called on paper: transformers by letter, circuits by letter
//! and number, pieces and joints by their circuit.

use crate::ids::JointId;
use crate::job::Job;
use crate::plan::{Circuit, Plan};

/// Letters and labels of one plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Labels {
    /// By transformer of the plan: A, B, .. Z, AA, ...
    pub(crate) letters: Vec<String>,
    /// By circuit of the plan: A1, A2, B1, ...
    pub(crate) circuits: Vec<String>,
    /// Circuits of the plan in the order of the papers: by transformer, then as in the plan.
    pub(crate) order: Vec<usize>,
}

impl Labels {
    /// Names everything in a plan.
    pub(crate) fn of(plan: &Plan) -> Self {
        let letters: Vec<String> = (0..plan.transformers.len()).map(letter).collect();
        let mut counts = vec![0_u32; letters.len()];
        let circuits = plan
            .circuits
            .iter()
            .map(|circuit| {
                let transformer = circuit.transformer.index();
                counts[transformer] += 1;
                format!("{}{}", letters[transformer], counts[transformer])
            })
            .collect();
        let mut order: Vec<usize> = (0..plan.circuits.len()).collect();
        order.sort_by_key(|&index| plan.circuits[index].transformer);
        Self {
            letters,
            circuits,
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

    /// `A1-3`: the piece that feeds a joint; the home run is number 1.
    pub(crate) fn piece(&self, circuit: usize, joint: usize) -> String {
        format!("{}-{}", self.circuits[circuit], joint + 1)
    }

    /// `A1/F3`: a joint by its circuit and node, of which a circuit has one each.
    pub(crate) fn joint(
        &self,
        job: &Job,
        index: usize,
        circuit: &Circuit,
        joint: JointId,
    ) -> String {
        let node = circuit.joints[joint.index()].node;
        format!("{}/{}", self.circuits[index], job.node(node).tag)
    }
}

/// The letter of the transformer at a position: 0 is A, 25 is Z, 26 is AA.
fn letter(position: usize) -> String {
    let mut letters = Vec::new();
    let mut left = position + 1;
    while left > 0 {
        left -= 1;
        letters.push(char::from(
            b'A' + u8::try_from(left % 26).expect("below 26"),
        ));
        left /= 26;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::letter;

    #[test]
    fn letters_go_on_after_z() {
        let named = [0, 1, 25, 26, 51, 52, 701, 702].map(letter);
        assert_eq!(named, ["A", "B", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]);
    }
}
