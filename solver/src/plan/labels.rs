//! Names that plans, papers and findings give to the parts of a plan: `T1`,
//! `C3`, `C3-P2`, `C3-J2`. Counted from 1 in plan order.

use crate::ids::{CircuitId, JointId, PlacedId};
use std::fmt::{Display, Formatter, Result};

impl Display for PlacedId {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        write!(f, "T{}", self.index() + 1)
    }
}

impl Display for CircuitId {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        write!(f, "C{}", self.index() + 1)
    }
}

/// Name of a joint of a circuit.
#[must_use]
pub fn joint_label(circuit: CircuitId, joint: JointId) -> String {
    format!("{circuit}-J{}", joint.index() + 1)
}

/// Name of the piece that feeds a joint.
#[must_use]
pub fn piece_label(circuit: CircuitId, joint: JointId) -> String {
    format!("{circuit}-P{}", joint.index() + 1)
}
