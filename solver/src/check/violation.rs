//! What the checker can find: the rule, the place, and by how much.

use crate::ids::{CircuitId, FixtureId, JointId, PlacedId, SegmentId, SiteId};

/// Declares the rules with their stable codes and sentences.
macro_rules! rules {
    ($($(#[$doc:meta])* $name:ident = $code:literal, $says:literal;)*) => {
        /// A rule of the wiring model that a plan can break.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Rule {
            $($(#[$doc])* $name,)*
        }

        impl Rule {
            /// Every rule, in order of code.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];
            /// Stable code.
            #[must_use]
            pub const fn code(self) -> &'static str {
                match self { $(Self::$name => $code,)* }
            }
            /// The rule as a sentence.
            #[must_use]
            pub const fn sentence(self) -> &'static str {
                match self { $(Self::$name => $says,)* }
            }
        }
    };
}

rules! {
    /// An index of the plan points outside a table of the job or the plan.
    Reference = "K101", "every part of a plan exists in the job";
    /// A circuit without a home run, or with two.
    HomeRun = "K102", "a circuit has exactly one home run";
    /// A joint fed by a later joint.
    Tree = "K103", "a circuit is a tree: each joint is fed by one earlier joint";
    /// Two joints of a circuit at one node.
    OneJointPerNode = "K104", "a circuit has one joint per node";
    /// A route that is not a walk between its ends.
    RouteEnds = "K105", "a route joins its two ends";
    /// A joint where none may be.
    JointPlace = "K106", "joints are made only at nodes that allow them";
    /// A splice without a fixture at its node.
    BareTee = "K107", "splices are made only at fixtures";
    /// A fixture without, or with several, leads in the plan.
    ServedOnce = "K108", "each fixture is served exactly once";
    /// A lead too short for its route.
    LeadReach = "K109", "a lead reaches its joint with slack at both ends";
    /// A fixture without a lead whose joint is elsewhere.
    OwnTerminals = "K110", "a fixture without a lead is joined at its own node";
    /// No allowed layout fits.
    Layout = "K111", "the plan has an allowed layout";
    /// A bundle that no wire set of a splice holds.
    WireSet = "K201", "a splice holds its wires";
    /// The incoming piece does not go in the inlet.
    HubInlet = "K202", "a hub's inlet takes its incoming piece";
    /// The outgoing wires find no ports of their sizes.
    HubPorts = "K203", "a hub has a port for each outgoing wire";
    /// More ports in use than the hub allows.
    HubInUse = "K204", "a hub keeps its ports in use within its most, and the spare ones free";
    /// More home runs than lugs on a tap.
    TapLugs = "K205", "a tap has a lug for each home run";
    /// More home runs than lugs on a common.
    CommonLugs = "K206", "a common has a lug for each home run";
    /// A home run too thick or thin for its lug.
    LugSize = "K207", "a lug takes the conductor of its home run";
    /// Too few lug places free on a transformer.
    SpareLugs = "K208", "a transformer keeps its spare lug places free";
    /// A cable used as its catalogue entry forbids.
    CableUse = "K209", "a cable is used only as its catalogue entry allows";
    /// A piece thinner than its breaker asks for.
    SmallestGauge = "K210", "pieces are no thinner than the breaker before them asks for";
    /// Home runs of several gauges.
    CommonHomeRun = "K211", "all home runs share one gauge";
    /// A home run of another cable than the rules name.
    HomeRunCable = "K212", "home runs use the cable the rules name";
    /// Too many fixtures on one circuit.
    FixturesPerCircuit = "K301", "a circuit feeds no more fixtures than the rules allow";
    /// Too many fixtures on one hub.
    FixturesPerHub = "K302", "no more fixtures land in a hub than the rules allow";
    /// Different zones behind one switched thing.
    Zones = "K303", "fixtures of different zones never share what is switched";
    /// More transformers at a site than receptacles.
    Outlets = "K304", "a site has an outlet for each transformer";
    /// More transformers at a site than wall places.
    Places = "K305", "a site has a wall place for each transformer";
    /// More mains power at a site than it may use.
    MainsPower = "K306", "a site stays within its usable mains power";
    /// Further mains circuits that cannot be bought.
    FurtherCircuits = "K307", "further mains circuits are bought only where, and as many as, they are offered";
    /// A segment beyond a hard limit.
    SegmentLimit = "K308", "a segment holds no more cables or fill than its hard limit";
    /// A standing transformer used twice or moved.
    Standing = "K309", "a standing transformer is used once, where it stands";
    /// A tap above the highest allowed.
    HighestTap = "K310", "taps above the highest allowed are not used";
    /// The loads have no operating point.
    Collapse = "K401", "the loads have an operating point";
    /// A fixture below its window, low case.
    LowVoltage = "K402", "each fixture keeps its least voltage and the margin in the low case";
    /// A fixture above its window, high case.
    HighVoltage = "K403", "each fixture stays below its highest voltage and the margin in the high case";
    /// A piece above its ampacity.
    Ampacity = "K404", "a piece carries no more than its ampacity";
    /// A circuit above the continuous limit.
    CircuitCurrent = "K405", "a circuit stays within the continuous limit";
    /// A common above the continuous limit.
    CommonCurrent = "K406", "a common stays within the continuous limit";
    /// A secondary above the continuous limit.
    SecondaryCurrent = "K407", "a secondary stays within the continuous limit";
    /// A transformer above its permitted load.
    TransformerLoad = "K408", "a transformer stays within its permitted load";
    /// A figure in the plan file that differs from the computed one.
    StatedFigure = "K501", "the figures a plan states are those it has";
    /// A cutting plan that does not fit the plan or the tables.
    Cutting = "K502", "each piece is cut once, whole, from a spool of the tables that holds it";
}

/// Where a rule is broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The plan as a whole.
    Plan,
    /// A transformer of the plan.
    Transformer(PlacedId),
    /// A secondary (by position) of a transformer of the plan.
    Secondary(PlacedId, usize),
    /// A circuit.
    Circuit(CircuitId),
    /// The piece that feeds a joint of a circuit.
    Piece(CircuitId, JointId),
    /// A joint of a circuit.
    Joint(CircuitId, JointId),
    /// A fixture.
    Fixture(FixtureId),
    /// A segment.
    Segment(SegmentId),
    /// A site.
    Site(SiteId),
}

/// How far a figure is beyond its limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Excess {
    /// What was found.
    pub found: f64,
    /// What is allowed: most or least, as the rule says.
    pub limit: f64,
    /// Unit of both; empty for counts.
    pub unit: &'static str,
}

impl Excess {
    /// By how much the limit is missed, >= 0.
    #[must_use]
    pub fn by(&self) -> f64 {
        (self.found - self.limit).abs()
    }
}

/// One broken rule at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Violation {
    /// The rule.
    pub rule: Rule,
    /// The place.
    pub place: Place,
    /// The place in the words of the job and the plan: tags and labels.
    pub named: String,
    /// By how much, where the rule has a figure.
    pub excess: Option<Excess>,
    /// What was found, where the figure does not say it.
    pub detail: String,
}

impl std::fmt::Display for Violation {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{}: {}; {}",
            self.rule.code(),
            self.rule.sentence(),
            self.named
        )?;
        if !self.detail.is_empty() {
            write!(f, ": {}", self.detail)?;
        }
        if let Some(excess) = self.excess {
            let unit = match excess.unit {
                "" => String::new(),
                unit => format!(" {unit}"),
            };
            let (found, allowed) = match self.rule {
                Rule::StatedFigure => ("stated", "computed"),
                _ => ("found", "allowed"),
            };
            write!(
                f,
                ": {found} {:.6}{unit}, {allowed} {:.6}{unit}, off by {:.6}{unit}",
                excess.found,
                excess.limit,
                excess.by()
            )?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::Rule;

    #[test]
    fn codes_are_distinct_and_ascending() {
        let codes: Vec<&str> = Rule::ALL.iter().map(|rule| rule.code()).collect();
        assert!(codes.is_sorted_by(|a, b| a < b));
    }
}
