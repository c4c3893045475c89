//! What can be bought: cables, fixture models, transformers, hubs, joints, and
//! the surfaces one digs through.

use crate::ids::CableId;
use crate::units::{
    Amperes, Celsius, GridSteps, Hours, Metres, Money, Ohms, OhmsPerMetre, PerCelsius,
    SquareMillimetres, VoltAmperes, Volts, Watts,
};

/// Range of conductor sizes that a lug, port, inlet or joint accepts, mm².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeRange {
    /// Smallest conductor that is held firmly.
    pub smallest: SquareMillimetres,
    /// Largest conductor that goes in.
    pub largest: SquareMillimetres,
}

impl SizeRange {
    /// Whether a conductor of this size fits; 0.1 % tolerance for AWG areas computed and typed.
    #[must_use]
    pub fn fits(&self, size: SquareMillimetres) -> bool {
        const TOLERANCE: f64 = 1e-3;
        size.value() <= self.largest.value() * (1.0 + TOLERANCE)
            && size.value() >= self.smallest.value() * (1.0 - TOLERANCE)
    }
}

/// Electrical constants of one conductor of a cable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conductor {
    /// Resistance of one conductor at `at`, ohm/m, > 0.
    pub resistance: OhmsPerMetre,
    /// Temperature at which `resistance` holds.
    pub at: Celsius,
    /// Temperature coefficient referred to `at`, 1/°C.
    pub coefficient: PerCelsius,
    /// Reactance of one conductor, ohm/m, >= 0; the loop has twice this.
    pub reactance: OhmsPerMetre,
}

/// Where a cable may be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CableUse {
    /// As a home run.
    pub home_run: bool,
    /// As a piece behind the first joint.
    pub branch: bool,
    /// As a fixture lead.
    pub lead: bool,
}

/// Price of cable by length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CablePrice {
    /// Money per length unit of the job (ft or m).
    pub per_unit: Money,
}

/// A spool on sale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spool {
    /// Length on the spool, rounded down to the grid, > 0.
    pub length: GridSteps,
    /// Price of the whole spool.
    pub price: Money,
}

/// Cable on hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Remnant {
    /// Length of one remnant, rounded down to the grid, > 0.
    pub length: GridSteps,
    /// How many of this length.
    pub count: u32,
}

/// A two-conductor cable type.
#[derive(Clone, Debug, PartialEq)]
pub struct Cable {
    /// Name in the catalogue, unique.
    pub tag: String,
    /// Gauge as the trade says it: `12 AWG`, `4 mm²`.
    pub gauge: String,
    /// Metallic cross-section of one conductor: decides lugs, ports, joints and the order of gauges.
    pub size: SquareMillimetres,
    /// Cross-section of the whole cable, jacket included; counts in a fill area.
    pub outer: SquareMillimetres,
    /// Resistance, its temperature, coefficient, reactance.
    pub conductor: Conductor,
    /// Price by length; `None` for a cable used only as a lead.
    pub price: Option<CablePrice>,
    /// Most current it may carry, low case.
    pub ampacity: Amperes,
    /// Where it may be used.
    pub allowed: CableUse,
    /// Spools on sale, in file order.
    pub spools: Vec<Spool>,
    /// Remnants on hand, in file order.
    pub stock: Vec<Remnant>,
}

/// Voltage window of a fixture at its terminals: `min < max`, both finite and > 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    min: Volts,
    max: Volts,
}

impl Window {
    /// Makes a window; `None` unless `0 < min < max` and both are finite.
    #[must_use]
    pub fn new(min: Volts, max: Volts) -> Option<Self> {
        let lawful = min.value() > 0.0 && min.value() < max.value() && max.value().is_finite();
        lawful.then_some(Self { min, max })
    }
    /// Lowest voltage at which the fixture works as it should.
    #[must_use]
    pub const fn min(self) -> Volts {
        self.min
    }
    /// Highest voltage it bears.
    #[must_use]
    pub const fn max(self) -> Volts {
        self.max
    }
}

/// Exponent `n >= 0` of the load law `S(V) = S_r (V / Vr)^n`, finite.
///
/// 0 is constant power, 1 constant current, 2 constant resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadExponent(f64);

impl LoadExponent {
    /// Makes an exponent; `None` unless finite and >= 0.
    #[must_use]
    pub fn new(exponent: f64) -> Option<Self> {
        (exponent.is_finite() && exponent >= 0.0).then_some(Self(exponent))
    }
    /// The bare exponent.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }
}

/// The cable a fixture comes with. Its full length is always in circuit and has no price.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lead {
    /// Cable type (allowed as a lead).
    pub cable: CableId,
    /// Length as delivered, m, >= 0.
    pub length: Metres,
}

/// A fixture model.
#[derive(Clone, Debug, PartialEq)]
pub struct FixtureModel {
    /// Name in the catalogue, unique.
    pub tag: String,
    /// Apparent power at rated voltage, > 0.
    pub apparent: VoltAmperes,
    /// Real power at rated voltage, 0 < W <= VA.
    pub real: Watts,
    /// True when the file gave only W (or only VA) and the default power factor made the other.
    pub power_factor_assumed: bool,
    /// Rated voltage `Vr`.
    pub rated: Volts,
    /// Load exponent `n`.
    pub exponent: LoadExponent,
    /// Voltage window at the terminals.
    pub window: Window,
    /// The lead; `None` when the run lands on the fixture's own terminals (a joint at its node, no added resistance).
    pub lead: Option<Lead>,
    /// Price of one fixture (in the bid, not in the optimisation).
    pub price: Money,
    /// Hours to set and aim one (in the bid, not in the optimisation).
    pub hours: Hours,
}

/// A tap of a secondary.
#[derive(Clone, Debug, PartialEq)]
pub struct Tap {
    /// Name printed on the terminal, unique within the secondary.
    pub tag: String,
    /// Volts at rated load.
    pub volts: Volts,
    /// Lug places; one home-run conductor each.
    pub lugs: u32,
    /// Conductor sizes that a lug takes.
    pub takes: SizeRange,
}

/// A common of a secondary.
#[derive(Clone, Debug, PartialEq)]
pub struct Common {
    /// Name printed on the terminal, unique within the secondary.
    pub tag: String,
    /// Lug places; one home-run conductor each.
    pub lugs: u32,
    /// Conductor sizes that a lug takes.
    pub takes: SizeRange,
}

/// One secondary winding with its own taps, commons and breaker.
#[derive(Clone, Debug, PartialEq)]
pub struct Secondary {
    /// Name, unique within the transformer.
    pub tag: String,
    /// Taps, in file order, at least one.
    pub taps: Vec<Tap>,
    /// Commons, in file order, at least one.
    pub commons: Vec<Common>,
    /// Breaker rating.
    pub breaker: Amperes,
    /// Continuous limit: fraction of the breaker (default 0.8) that each circuit, each common and the whole secondary may carry.
    pub continuous_fraction: f64,
}

impl Secondary {
    /// Most current that a circuit, a common or the whole secondary may carry continuously.
    #[must_use]
    pub fn continuous_limit(&self) -> Amperes {
        self.breaker * self.continuous_fraction
    }
}

/// A transformer model (mains frequency, magnetic).
#[derive(Clone, Debug, PartialEq)]
pub struct TransformerModel {
    /// Name in the catalogue, unique.
    pub tag: String,
    /// Rated apparent power.
    pub rated: VoltAmperes,
    /// Price of one.
    pub price: Money,
    /// Hours to mount and connect one.
    pub hours: Hours,
    /// No-load loss.
    pub no_load_loss: Watts,
    /// Efficiency at load, 0 < eta <= 1; the no-load loss comes on top.
    pub efficiency: f64,
    /// Regulation: a tap stands at `V_tap (1 + regulation (1 - L))`, `L` the load fraction.
    pub regulation: f64,
    /// Secondaries, in file order, at least one.
    pub secondaries: Vec<Secondary>,
}

/// A group of equal outgoing ports of a hub.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PortGroup {
    /// How many.
    pub count: u32,
    /// Conductor sizes that each takes.
    pub takes: SizeRange,
}

/// Contact resistance of one wire end. A piece or lead has two wire ends (two conductors) at each joint.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ContactResistance(pub Ohms);

/// A hub kind: a joint box with a separate inlet and outgoing ports.
#[derive(Clone, Debug, PartialEq)]
pub struct HubKind {
    /// Name in the catalogue, unique.
    pub tag: String,
    /// Outgoing port groups.
    pub ports: Vec<PortGroup>,
    /// Sizes the inlet takes.
    pub inlet: SizeRange,
    /// Most outgoing ports in use (spare port rule), <= sum of ports.
    pub most_in_use: u32,
    /// Price of one.
    pub price: Money,
    /// Hours to place one.
    pub hours: Hours,
    /// Contact resistance per wire end.
    pub contact: ContactResistance,
}

/// One set of wires a joint kind holds on each pole: slots, largest first.
///
/// A bundle of wires fits when, both sorted largest first, every wire fits its
/// slot and there are at least as many slots as wires.
#[derive(Clone, Debug, PartialEq)]
pub struct WireSet {
    /// Largest size of each slot, descending.
    pub slots: Vec<SquareMillimetres>,
}

/// A joint kind (splice connectors for both poles).
#[derive(Clone, Debug, PartialEq)]
pub struct JointKind {
    /// Name in the catalogue, unique.
    pub tag: String,
    /// Alternative wire sets; any one may serve.
    pub holds: Vec<WireSet>,
    /// Price for both poles.
    pub price: Money,
    /// Hours to make one (both poles).
    pub hours: Hours,
    /// Contact resistance per wire end.
    pub contact: ContactResistance,
}

/// Work per length or per opening: own labour as hours, subcontract as money.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SurfaceWork {
    /// Hours per length unit of the job.
    pub hours_per_unit: f64,
    /// Money per length unit of the job.
    pub money_per_unit: Money,
}

/// A kind of ground or hard surface a segment lies in.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Name in the catalogue, unique.
    pub tag: String,
    /// Opening the trench (or bore), once per segment.
    pub open: SurfaceWork,
    /// Fixed money for opening one segment (set-up of a bore), once.
    pub open_fixed: Money,
    /// Work for each cable piece laid along it (pulling, stapling).
    pub per_cable: SurfaceWork,
    /// Added once per segment as soon as its limit is exceeded (a wider trench); `None`: the limit is hard.
    pub beyond_limit: Option<SurfaceWork>,
    /// Whether joints may be made in this ground by default (beds yes; lawn, hard surfaces, sleeves no).
    pub joints: bool,
}
