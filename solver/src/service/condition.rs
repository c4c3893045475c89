//! The condition in which an installation stands: its wiring and what no wire shows
//! (mains, switch, controls, trips), and what a meter shows in it.

use super::circuitry::Circuitry;
use super::flow::{State, solve};
use super::point::{Measurement, Point, Quantity};

/// Share of a window's low end below which a fixture is called dark.
const LIT_SHARE: f64 = 0.75;

/// Mains side and trips.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Supply {
    /// The receptacle is live.
    pub receptacle: bool,
    /// The transformer's cord is live as found.
    pub cord: bool,
    /// The cord is live when the sensor is covered.
    pub covered: bool,
    /// The cord is live when the clock is set on by hand.
    pub by_hand: bool,
    /// The cord stays as it is.
    pub steady: bool,
    /// The ground-fault device of the receptacle is tripped.
    pub ground_fault: bool,
    /// The primary winding conducts.
    pub primary: bool,
}

impl Supply {
    /// Everything on, at night.
    pub const ON: Self = Self {
        receptacle: true,
        cord: true,
        covered: true,
        by_hand: true,
        steady: true,
        ground_fault: false,
        primary: true,
    };
}

/// A secondary's breaker or thermal cut-out, as seen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Trip {
    /// Stands open.
    pub tripped: bool,
    /// Opens and closes by itself.
    pub cycles: bool,
}

/// An installation as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Condition {
    /// Wiring.
    pub circuitry: Circuitry,
    /// Mains side.
    pub supply: Supply,
    /// By secondary.
    pub trips: Vec<Trip>,
    /// For each circuit label the run whose home-run wires carry it at the transformer.
    pub labelled: Vec<usize>,
    /// Mains voltage at nominal line, V.
    pub nominal_v: f64,
    /// Factor of the line on nominal, whether or not it reaches the transformer.
    pub line: f64,
}

impl Condition {
    /// As planned and on.
    #[must_use]
    pub fn healthy(circuitry: Circuitry, nominal_v: f64) -> Self {
        Self {
            supply: Supply::ON,
            trips: vec![Trip::default(); circuitry.windings.len()],
            labelled: (0..circuitry.runs.len()).collect(),
            line: circuitry.line,
            circuitry,
            nominal_v,
        }
    }

    /// Solves the wiring under the supply that reaches it.
    #[must_use]
    pub fn solve(&mut self) -> State {
        let live = self.supply.receptacle && self.supply.cord && self.supply.primary;
        self.circuitry.line = if live { self.line } else { 0.0 };
        for (winding, trip) in self.circuitry.windings.iter_mut().zip(&self.trips) {
            winding.closed &= !trip.tripped;
        }
        solve(&self.circuitry)
    }

    /// What a perfect meter shows, in the quantity's unit, yes as 1.
    ///
    /// Apparent power on the mains side is that at the terminals over the efficiency,
    /// plus the no-load loss, as elsewhere in the program. The magnetising current is in
    /// no catalogue and left out: a meter there may well show more.
    ///
    /// # Panics
    /// When the point is none of this transformer's.
    #[must_use]
    pub fn reading(&self, state: &State, measurement: Measurement) -> f64 {
        let wiring = &self.circuitry;
        let mains = |live: bool| {
            if live {
                self.nominal_v * self.line
            } else {
                0.0
            }
        };
        let yes = |flag: bool| f64::from(u8::from(flag));
        let supply = &self.supply;
        match (measurement.point, measurement.quantity) {
            (Point::Receptacle, Quantity::Tripped) => yes(supply.ground_fault),
            (Point::Receptacle, _) => mains(supply.receptacle),
            (Point::Supply, Quantity::VoltAmperes) => self.mains_va(state),
            (Point::Supply, Quantity::Steady) => yes(supply.steady),
            (Point::Supply, _) => mains(supply.receptacle && supply.cord),
            (Point::SupplyCovered, _) => mains(supply.receptacle && supply.covered),
            (Point::SupplyByHand, _) => mains(supply.receptacle && supply.by_hand),
            (Point::Breaker(secondary), Quantity::Steady) => {
                yes(supply.steady && !self.trips[secondary].cycles)
            }
            (Point::Breaker(secondary), _) => yes(self.trips[secondary].tripped),
            (Point::Tap(secondary, tap), Quantity::VoltsUnloaded) => {
                self.unloaded_v(secondary, tap)
            }
            (Point::Tap(secondary, tap), _) => state.across(wiring.terminals(secondary, tap)),
            (Point::Common(secondary, common), _) => self.common_amps(state, secondary, common),
            (Point::HomeRun(run), quantity) => self.home_run(state, self.labelled[run], quantity),
            (Point::Joint(run, joint), _) => state.across(wiring.runs[run].joints[joint]),
            (Point::Piece(run, joint), Quantity::AmpsCommon) => {
                state.wire_amps(wiring, wiring.runs[run].pieces[joint].common)
            }
            (Point::Piece(run, joint), _) => {
                state.wire_amps(wiring, wiring.runs[run].pieces[joint].hot)
            }
            (Point::Fixture(run, lead), quantity) => self.fixture(state, run, lead, quantity),
        }
    }

    fn mains_va(&self, state: &State) -> f64 {
        let wiring = &self.circuitry;
        if wiring.line <= 0.0 {
            return 0.0;
        }
        state.apparent_va / wiring.efficiency + wiring.no_load_w * wiring.line * wiring.line
    }

    fn unloaded_v(&self, secondary: usize, tap: usize) -> f64 {
        let winding = &self.circuitry.windings[secondary];
        if !winding.closed {
            return 0.0;
        }
        winding.tap_v[tap] * (1.0 + self.circuitry.regulation) * self.circuitry.line
    }

    fn home_run(&self, state: &State, run: usize, quantity: Quantity) -> f64 {
        let wiring = &self.circuitry;
        let landed = &wiring.runs[run];
        let home = landed.pieces[0];
        match quantity {
            Quantity::Amps => state.wire_amps(wiring, home.hot),
            Quantity::AmpsCommon => state.wire_amps(wiring, home.common),
            _ => state.across(wiring.terminals(landed.secondary, landed.tap)),
        }
    }

    fn common_amps(&self, state: &State, secondary: usize, common: usize) -> f64 {
        let wiring = &self.circuitry;
        let landed = wiring.runs.iter();
        landed
            .filter(|run| run.secondary == secondary && run.common == common)
            .map(|run| state.wire_current(wiring, run.pieces[0].common))
            .sum::<num_complex::Complex64>()
            .norm()
    }

    fn fixture(&self, state: &State, run: usize, lead: usize, quantity: Quantity) -> f64 {
        let load = &self.circuitry.loads[self.circuitry.runs[run].loads[lead]];
        let volts = state.across(load.across);
        match quantity {
            Quantity::Amps => state.load_amps(load),
            Quantity::Lit => {
                let lit = load.connected
                    && volts >= LIT_SHARE / super::circuitry::KNEE_SHARE * load.knee_v;
                f64::from(u8::from(lit))
            }
            _ => volts,
        }
    }
}
