//! Where a meter is held and what it shows: measuring points, quantities, their names.
//!
//! Names are those of the papers (`C1` a circuit, `C1-J3` a joint, `C1-P2` a piece), so
//! that a row of readings can be typed by hand.

use super::circuitry::Circuitry;
use crate::ids::{JointId, PlacedId};
use crate::job::Job;
use crate::plan::{JointHardware, Plan};
use crate::schedule::labels::Labels;

/// A measuring point of one transformer. Circuits by position among the transformer's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Point {
    /// The mains receptacle that feeds the transformer's switch or controls.
    Receptacle,
    /// The mains cord of the transformer, behind switch and controls, as found at night.
    Supply,
    /// The same with the light sensor covered.
    SupplyCovered,
    /// The same with the clock set on by hand.
    SupplyByHand,
    /// A tap (secondary, tap) against the commons of its secondary.
    Tap(usize, usize),
    /// A common (secondary, common).
    Common(usize, usize),
    /// The breaker of a secondary.
    Breaker(usize),
    /// The two home-run wires of a circuit at the transformer.
    HomeRun(usize),
    /// A joint (circuit, joint): both poles.
    Joint(usize, usize),
    /// The piece that feeds a joint (circuit, joint), at the hub it leaves.
    Piece(usize, usize),
    /// A fixture (circuit, lead), at its terminals or socket.
    Fixture(usize, usize),
}

/// What is read at a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Quantity {
    /// Volts, in operation.
    Volts,
    /// Volts with every circuit of the transformer taken off its lugs.
    VoltsUnloaded,
    /// Amps in one conductor; of a pair the one of the tap's side.
    Amps,
    /// Amps in the conductor of the common's side.
    AmpsCommon,
    /// Apparent power drawn from the mains.
    VoltAmperes,
    /// Whether it gives light (1 or 0).
    Lit,
    /// Whether it stays as it is for some minutes (1) or comes and goes (0).
    Steady,
    /// Whether it is tripped (1 or 0).
    Tripped,
}

impl Quantity {
    /// Every quantity.
    pub const ALL: [Self; 8] = [
        Self::Volts,
        Self::VoltsUnloaded,
        Self::Amps,
        Self::AmpsCommon,
        Self::VoltAmperes,
        Self::Lit,
        Self::Steady,
        Self::Tripped,
    ];
    /// The word in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Volts => "volts",
            Self::VoltsUnloaded => "volts unloaded",
            Self::Amps => "amps",
            Self::AmpsCommon => "amps common",
            Self::VoltAmperes => "VA",
            Self::Lit => "lit",
            Self::Steady => "steady",
            Self::Tripped => "tripped",
        }
    }
    /// The unit in files; empty for what is answered by yes or no.
    #[must_use]
    pub const fn unit(self) -> &'static str {
        match self {
            Self::Volts | Self::VoltsUnloaded => "V",
            Self::Amps | Self::AmpsCommon => "A",
            Self::VoltAmperes => "VA",
            Self::Lit | Self::Steady | Self::Tripped => "",
        }
    }
    /// Whether it is answered by yes or no.
    #[must_use]
    pub const fn is_seen(self) -> bool {
        matches!(self, Self::Lit | Self::Steady | Self::Tripped)
    }
}

/// One thing that can be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Measurement {
    /// Where.
    pub point: Point,
    /// What.
    pub quantity: Quantity,
}

impl Measurement {
    /// A measurement.
    #[must_use]
    pub const fn new(point: Point, quantity: Quantity) -> Self {
        Self { point, quantity }
    }
}

/// Everything that can be read on one transformer, in the order in which one walks.
///
/// Joints that are sealed splices are among them (they are open while they are made);
/// see [`is_reachable`].
#[must_use]
pub fn measurements(plan: &Plan, circuitry: &Circuitry) -> Vec<Measurement> {
    use Point as P;
    use Quantity as Q;
    let mut found = vec![
        Measurement::new(P::Receptacle, Q::Volts),
        Measurement::new(P::Receptacle, Q::Tripped),
        Measurement::new(P::Supply, Q::Volts),
        Measurement::new(P::Supply, Q::Steady),
        Measurement::new(P::SupplyCovered, Q::Volts),
        Measurement::new(P::SupplyByHand, Q::Volts),
        Measurement::new(P::Supply, Q::VoltAmperes),
    ];
    for (index, winding) in circuitry.windings.iter().enumerate() {
        let used = |run: &&super::circuitry::Run| run.secondary == index;
        if !circuitry.runs.iter().any(|run| used(&run)) {
            continue;
        }
        found.push(Measurement::new(P::Breaker(index), Q::Tripped));
        found.push(Measurement::new(P::Breaker(index), Q::Steady));
        for tap in 0..winding.taps.len() {
            if circuitry
                .runs
                .iter()
                .any(|run| used(&run) && run.tap == tap)
            {
                let point = P::Tap(index, tap);
                found.push(Measurement::new(point, Q::VoltsUnloaded));
                found.push(Measurement::new(point, Q::Volts));
            }
        }
        let mut commons: Vec<usize> = circuitry
            .runs
            .iter()
            .filter(used)
            .map(|run| run.common)
            .collect();
        commons.sort_unstable();
        commons.dedup();
        let amps = |common| Measurement::new(P::Common(index, common), Q::Amps);
        found.extend(commons.into_iter().map(amps));
    }
    for (index, run) in circuitry.runs.iter().enumerate() {
        found.extend(
            [Q::Volts, Q::Amps, Q::AmpsCommon].map(|q| Measurement::new(P::HomeRun(index), q)),
        );
        let circuit = &plan.circuits[run.id.index()];
        for (joint, built) in circuit.joints.iter().enumerate() {
            found.push(Measurement::new(P::Joint(index, joint), Q::Volts));
            let from = built.incoming.from;
            if from.is_some_and(|from| is_hub(plan, circuitry, index, from.index())) {
                found.push(Measurement::new(P::Piece(index, joint), Q::Amps));
                found.push(Measurement::new(P::Piece(index, joint), Q::AmpsCommon));
            }
        }
        for lead in 0..circuit.leads.len() {
            let seen = [Q::Volts, Q::Amps, Q::Lit];
            found.extend(seen.map(|q| Measurement::new(P::Fixture(index, lead), q)));
        }
    }
    found
}

fn is_hub(plan: &Plan, circuitry: &Circuitry, run: usize, joint: usize) -> bool {
    let circuit = &plan.circuits[circuitry.runs[run].id.index()];
    matches!(circuit.joints[joint].hardware, JointHardware::Hub(_))
}

/// Whether a technician can get at a point of a finished installation: terminals, hubs,
/// fixtures; never inside a sealed splice. A splice at which a run lands on a fixture's
/// own terminals is reached as that fixture.
#[must_use]
pub fn is_reachable(plan: &Plan, circuitry: &Circuitry, point: Point) -> bool {
    match point {
        Point::Joint(run, joint) => is_hub(plan, circuitry, run, joint),
        _ => true,
    }
}

/// Names of the points of one transformer.
#[derive(Debug)]
pub struct Names<'a> {
    job: &'a Job,
    plan: &'a Plan,
    circuitry: &'a Circuitry,
    transformer: PlacedId,
    labels: Labels,
}

impl<'a> Names<'a> {
    /// Names for a transformer of a plan.
    #[must_use]
    pub fn of(
        job: &'a Job,
        plan: &'a Plan,
        transformer: PlacedId,
        circuitry: &'a Circuitry,
    ) -> Self {
        let labels = Labels::of(plan);
        Self {
            job,
            plan,
            circuitry,
            transformer,
            labels,
        }
    }

    /// The transformer's label.
    #[must_use]
    pub fn transformer(&self) -> &str {
        &self.labels.transformers[self.transformer.index()]
    }
    /// A circuit's label.
    #[must_use]
    pub fn circuit(&self, run: usize) -> &str {
        &self.labels.circuits[self.circuitry.runs[run].id.index()]
    }
    /// A joint's id.
    #[must_use]
    pub fn joint(&self, run: usize, joint: usize) -> String {
        let id = self.circuitry.runs[run].id.index();
        Labels::joint(id, JointId::new(joint))
    }
    /// The id of the piece that feeds a joint.
    #[must_use]
    pub fn piece(&self, run: usize, joint: usize) -> String {
        let id = self.circuitry.runs[run].id.index();
        Labels::piece(id, joint)
    }
    /// A fixture's tag.
    #[must_use]
    pub fn fixture(&self, run: usize, lead: usize) -> &str {
        let circuit = &self.plan.circuits[self.circuitry.runs[run].id.index()];
        &self.job.fixture(circuit.leads[lead].fixture).tag
    }
    /// The secondary on which a circuit is planned.
    #[must_use]
    pub fn secondary_of(&self, run: usize) -> usize {
        self.plan.circuits[self.circuitry.runs[run].id.index()].secondary
    }
    /// A secondary's tag.
    #[must_use]
    pub fn secondary(&self, secondary: usize) -> &str {
        &self.model().secondaries[secondary].tag
    }
    /// A tap's tag.
    #[must_use]
    pub fn tap(&self, secondary: usize, tap: usize) -> &str {
        &self.model().secondaries[secondary].taps[tap].tag
    }
    /// A common's tag.
    #[must_use]
    pub fn common(&self, secondary: usize, common: usize) -> &str {
        &self.model().secondaries[secondary].commons[common].tag
    }
    fn model(&self) -> &crate::job::TransformerModel {
        let placed = &self.plan.transformers[self.transformer.index()];
        self.job.transformer(placed.model(self.job))
    }
    /// A point, as it stands in a file of readings.
    #[must_use]
    pub fn point(&self, point: Point) -> String {
        let letter = self.transformer();
        match point {
            Point::Receptacle => format!("{letter} receptacle"),
            Point::Supply => format!("{letter} supply"),
            Point::SupplyCovered => format!("{letter} supply, sensor covered"),
            Point::SupplyByHand => format!("{letter} supply, clock on by hand"),
            Point::Tap(secondary, tap) => format!(
                "{letter} tap {}/{}",
                self.secondary(secondary),
                self.tap(secondary, tap)
            ),
            Point::Common(secondary, common) => format!(
                "{letter} common {}/{}",
                self.secondary(secondary),
                self.common(secondary, common)
            ),
            Point::Breaker(secondary) => format!("{letter} breaker {}", self.secondary(secondary)),
            Point::HomeRun(run) => format!("{} home run", self.circuit(run)),
            Point::Joint(run, joint) => format!("joint {}", self.joint(run, joint)),
            Point::Piece(run, joint) => format!("piece {}", self.piece(run, joint)),
            Point::Fixture(run, lead) => format!("fixture {}", self.fixture(run, lead)),
        }
    }
}
