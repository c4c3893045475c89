//! Rates, commercial terms, engineering rules, and what to minimise.

use crate::ids::CableId;
use crate::units::{
    Amperes, Celsius, Hours, Metres, Money, Ratio, SquareMillimetres, VoltAmperes, Volts,
};

/// Slack added at each end of a piece (and of a lead when its reach is judged), by kind of end.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Slack {
    /// At a transformer.
    pub transformer: Metres,
    /// At a fixture (the fixture's end of its lead).
    pub fixture: Metres,
    /// At a hub.
    pub hub: Metres,
    /// At a splice.
    pub splice: Metres,
}

/// Labour, waste and slack: what direct cost needs besides the catalogue.
#[derive(Clone, Debug, PartialEq)]
pub struct Rates {
    /// Loaded labour rate, money per hour.
    pub labour: Money,
    /// Cable waste as a share of the length, price only; left out where a cutting plan prices the spools.
    pub waste: Ratio,
    /// Slack by kind of end.
    pub slack: Slack,
    /// Shortest length of cable worth keeping, >= 0: what is left of a spool below it is waste.
    /// Changes no price of this job, only what is called waste and what later jobs find on hand.
    pub shortest_useful: Metres,
}

/// A named amount of money.
#[derive(Clone, Debug, PartialEq)]
pub struct LumpSum {
    /// What it is for.
    pub name: String,
    /// How much.
    pub amount: Money,
}

/// Classes of cost that a tax can apply to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TaxClass {
    /// Things bought.
    Material,
    /// Own labour.
    Labour,
    /// Work of others.
    Subcontract,
}

/// Commercial terms: in the bid, never in the optimisation.
#[derive(Clone, Debug, PartialEq)]
pub struct Bid {
    /// Small material as a share of material.
    pub sundries: Ratio,
    /// Overhead on material + labour + subcontract.
    pub overhead: Ratio,
    /// Markup on cost with overhead.
    pub markup: Ratio,
    /// Tax rate by class; classes not named are not taxed.
    pub tax: Vec<(TaxClass, Ratio)>,
    /// Permit fees.
    pub permit: Money,
    /// Mobilisation.
    pub mobilisation: Money,
    /// Least price of a job before tax.
    pub minimum_charge: Money,
    /// Subcontract lumps.
    pub lumps: Vec<LumpSum>,
    /// Timers, sensors, switches: material.
    pub controls: Vec<LumpSum>,
    /// Hours of the night visit in which fixtures are adjusted.
    pub night_visit: Hours,
}

/// Wiring layouts.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    serde::Serialize,
    serde::Deserialize,
    schemars::JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Layout {
    /// Each circuit one path of fixture joints, or a home run landing between the ends of one path.
    Chain,
    /// Home runs to hubs, each fixture from a hub.
    Hub,
    /// Anything the model allows.
    Mixed,
}

/// Which layouts a job allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layouts {
    /// Daisy chains.
    pub chain: bool,
    /// Hubs.
    pub hub: bool,
    /// General trees.
    pub mixed: bool,
}

/// Spare capacity kept free.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spare {
    /// Share of a transformer's permitted VA kept free, 0..1.
    pub fraction: f64,
    /// VA kept free on each transformer, besides the share.
    pub apparent: VoltAmperes,
    /// Amperes kept free on each secondary.
    pub current: Amperes,
    /// Ports kept free on each hub.
    pub ports: u32,
    /// Lug places kept free on each transformer (over all its taps).
    pub lugs: u32,
}

/// Factors on the tap voltage at the low and high end of the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineBand {
    /// Low end, 0 < low <= 1 (1 = nominal).
    pub low: f64,
    /// High end, >= 1 (1 = nominal).
    pub high: f64,
}

/// Distance kept from both ends of each window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// Above `Vmin`, low case.
    pub low: Volts,
    /// Below `Vmax`, high case.
    pub high: Volts,
}

/// Conductor temperatures of the cases.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temperatures {
    /// Low case (hot conductors).
    pub low_case: Celsius,
    /// High case (cold conductors).
    pub high_case: Celsius,
    /// Expected case, for the crew's meter.
    pub expected: Celsius,
}

/// Engineering rules.
#[derive(Clone, Debug, PartialEq)]
pub struct Rules {
    /// Share of a transformer's rated VA that may be loaded (default 0.8).
    pub loading_limit: f64,
    /// Share of a site's mains VA that may be used (0.8).
    pub mains_fraction: f64,
    /// Spare beyond the limits.
    pub spare: Spare,
    /// Most fixtures on one circuit.
    pub most_fixtures_per_circuit: Option<u32>,
    /// Most fixtures on one hub.
    pub most_fixtures_per_hub: Option<u32>,
    /// All home runs of the job use this cable, when given.
    pub home_run_cable: Option<CableId>,
    /// All home runs share one gauge, whichever is cheapest.
    pub common_home_run: bool,
    /// Joints only at fixture nodes and hubs (no bare tees).
    pub joints_at_fixtures_and_hubs: bool,
    /// Layouts allowed.
    pub layouts: Layouts,
    /// Smallest conductor behind a breaker: every piece on a secondary whose breaker is at least `.0` must be at least `.1`.
    pub smallest_behind_breaker: Vec<(Amperes, SquareMillimetres)>,
    /// Line band.
    pub line: LineBand,
    /// Voltage margins.
    pub margins: Margins,
    /// Factor on every length (pieces and leads) in the low case (default 1.05).
    pub length_growth: f64,
    /// Conductor temperatures.
    pub temperatures: Temperatures,
    /// Highest tap that may be used (default 15 V; higher only when the job allows it).
    pub highest_tap: Volts,
    /// Fixtures and transformers nearer than this to a pool, spa or fountain are cautioned
    /// about (default 10 ft or 3 m: the distance of NEC article 411 from memory, common practice).
    pub water_distance: Metres,
}

/// Terms of the present value of losses and energy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnergyTerms {
    /// Years counted, > 0.
    pub years: f64,
    /// Discount rate a year, >= 0.
    pub discount: Ratio,
    /// Price of energy, money per kWh.
    pub price_per_kwh: Money,
    /// Lighting hours a year.
    pub hours_per_year: Hours,
    /// Where the hours come from.
    pub hours_from: HoursFrom,
}

/// Where the lighting hours a year come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoursFrom {
    /// Stated by the job.
    Stated,
    /// From place, times and controls: those of each zone, weighted by the rated real
    /// power of its fixtures.
    Times,
}

/// What to minimise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Objective {
    /// Installed direct cost.
    Installed,
    /// Installed direct cost plus present value of line losses, no-load losses and fixture energy.
    WithLosses(EnergyTerms),
    /// Installed direct cost with cable paid by whole spools, stock drawn first.
    WholeSpools,
}

impl Objective {
    /// Its word, as a job states it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Installed => "installed",
            Self::WithLosses(_) => "with losses",
            Self::WholeSpools => "whole spools",
        }
    }
}
