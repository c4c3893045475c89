//! What the checker computed itself: voltages, currents, powers, lengths, cost.

use super::nodal::Collapse;
use crate::units::{Amperes, Cost, Metres, VoltAmperes, Volts, Watts};

/// Voltages at a fixture's terminals. `None`: not served, or its circuit has no operating point in that case.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FixtureFigures {
    /// Low case.
    pub low: Option<Volts>,
    /// High case, the highest over what can be on while the rest is off.
    pub high: Option<Volts>,
    /// Expected case.
    pub expected: Option<Volts>,
}

/// A piece: the one that feeds the joint of its position.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PieceFigures {
    /// Bought length.
    pub length: Metres,
    /// Current, low case; `None` without an operating point.
    pub low: Option<Amperes>,
    /// Current, expected case; `None` without an operating point.
    pub expected: Option<Amperes>,
}

/// A circuit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CircuitFigures {
    /// Pieces in the order of the circuit's joints.
    pub pieces: Vec<PieceFigures>,
    /// Current at the lugs, low case; `None` without an operating point.
    pub low: Option<Amperes>,
    /// Voltage at the lugs, low case; `None` without an operating point.
    pub low_source: Option<Volts>,
}

/// A transformer of the plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct TransformerFigures {
    /// Apparent power at its terminals, low case, present load included; `None` without an operating point.
    pub low: Option<VoltAmperes>,
    /// Most that it may carry.
    pub permitted: VoltAmperes,
    /// Current of each secondary, low case, present load included; empty without an operating point.
    pub secondaries: Vec<Amperes>,
    /// Real power of the plan's circuits at its terminals, expected case; `None` without an operating point.
    pub expected_real: Option<Watts>,
    /// Why there is no low case.
    pub collapse: Option<Collapse>,
}

/// A site.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SiteFigures {
    /// Mains power drawn, low case; `None` when a transformer there has no operating point.
    pub mains: Option<VoltAmperes>,
    /// Mains power that may be drawn, further circuits included.
    pub usable: VoltAmperes,
}

/// What a cost line is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CostKind {
    /// Opening segments, wider ones included.
    Trench,
    /// Work for each cable along the routes.
    PerCable,
    /// Cable with its waste.
    Cable,
    /// Splices.
    Joints,
    /// Hubs.
    Hubs,
    /// Transformers.
    Transformers,
    /// Sites and further mains circuits.
    Sites,
    /// Present value of losses and energy, when the objective counts it.
    Losses,
}

/// One line of the direct cost.
#[derive(Clone, Debug, PartialEq)]
pub struct CostLine {
    /// What kind of cost.
    pub kind: CostKind,
    /// Tag of the surface, cable, joint kind, hub kind, transformer model or site.
    pub tag: String,
    /// How much of it: metres for trench, work and cable; watts for energy; a count otherwise.
    pub quantity: f64,
    /// Unrounded cost.
    pub cost: Cost,
}

/// Everything the checker computed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Figures {
    /// By fixture of the job.
    pub fixtures: Vec<FixtureFigures>,
    /// By circuit of the plan.
    pub circuits: Vec<CircuitFigures>,
    /// By transformer of the plan.
    pub transformers: Vec<TransformerFigures>,
    /// By site of the job.
    pub sites: Vec<SiteFigures>,
    /// Direct cost, by kind, then by order of the job's tables.
    pub cost: Vec<CostLine>,
}

impl Figures {
    /// Direct cost of the plan: the sum of the lines.
    #[must_use]
    pub fn total(&self) -> Cost {
        self.cost.iter().map(|line| line.cost).sum()
    }
    /// Direct cost of one kind.
    #[must_use]
    pub fn of_kind(&self, kind: CostKind) -> Cost {
        let lines = self.cost.iter().filter(|line| line.kind == kind);
        lines.map(|line| line.cost).sum()
    }
}
