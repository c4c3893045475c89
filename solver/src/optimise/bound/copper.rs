//! What a length of cable costs at least, given what it resists: straight
//! lines under the catalogue.

use super::planted::Planted;
use crate::job::{Cable, Job, Objective};

/// A line `price >= fixed + slope / resistance` under every allowed gauge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct CopperLine {
    /// Money per metre whatever the gauge, >= 0.
    pub fixed_per_metre: f64,
    /// Money times ohm per metre squared, >= 0.
    pub slope: f64,
}

/// Resistance and price of one gauge that pieces may use.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Gauge {
    /// Loop resistance per metre of drawn length, hot and grown as in the low case, ohm/m.
    pub loop_ohms_per_metre: f64,
    /// Least money per metre.
    pub price_per_metre: f64,
    /// Ampacity, A.
    pub ampacity: f64,
    /// Metres of it on hand.
    pub stock_metres: f64,
}

/// How cable on hand enters when whole spools are bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stock {
    /// Every gauge on hand costs nothing.
    Free,
    /// Every gauge has its spool price, and the value of the stock comes off the total.
    Deducted,
}

/// Loop resistance per metre of drawn length in the low case: both
/// conductors, hot, grown.
pub(crate) fn low_case_ohms_per_metre(job: &Job, cable: &Cable) -> f64 {
    let conductor = cable.conductor;
    let rise = job.rules.temperatures.low_case.value() - conductor.at.value();
    2.0 * conductor.resistance.value()
        * (1.0 + conductor.coefficient.value() * rise)
        * job.rules.length_growth
}

/// Least money per job unit of length of a cable, stock left aside.
fn price_per_unit(job: &Job, cable: &Cable) -> f64 {
    let by_length = cable
        .price
        .map_or(0.0, |price| price.per_unit.cost().value());
    match job.objective {
        Objective::Installed | Objective::WithLosses(_) => {
            by_length * (1.0 + job.rates.waste.value())
        }
        Objective::WholeSpools => {
            let grid = job.units.grid();
            cable
                .spools
                .iter()
                .map(|spool| {
                    let units = job.units.from_metres(grid.metres(spool.length));
                    spool.price.cost().value() / units
                })
                .fold(by_length, f64::min)
        }
    }
}

/// The gauges that pieces may use, with their least prices.
pub(crate) fn gauges(job: &Job, stock: Stock, planted: Planted) -> Vec<Gauge> {
    let grid = job.units.grid();
    let pieces = job
        .cables
        .iter()
        .filter(|cable| cable.allowed.home_run || cable.allowed.branch);
    pieces
        .map(|cable| {
            let stock_metres: f64 = match job.objective {
                Objective::WholeSpools => cable
                    .stock
                    .iter()
                    .map(|remnant| grid.metres(remnant.length).value() * f64::from(remnant.count))
                    .sum(),
                _ => 0.0,
            };
            let on_hand = stock_metres > 0.0;
            let free = on_hand && stock == Stock::Free && planted != Planted::StockHasAPrice;
            let per_unit = if free {
                0.0
            } else {
                price_per_unit(job, cable)
            };
            Gauge {
                loop_ohms_per_metre: low_case_ohms_per_metre(job, cable),
                price_per_metre: per_unit.max(0.0) / job.units.metres_per_unit(),
                ampacity: cable.ampacity.value(),
                stock_metres: if stock == Stock::Deducted {
                    stock_metres
                } else {
                    0.0
                },
            }
        })
        .collect()
}

/// Lines under the prices of the allowed gauges.
#[derive(Clone, Debug)]
pub(crate) struct PriceFrontier {
    /// `(1 / loop resistance per metre, price per metre)` of each gauge.
    points: Vec<(f64, f64)>,
    /// Slopes at which some line may be best: 0, between two gauges, through the origin.
    slopes: Vec<f64>,
    /// Least price per metre.
    pub cheapest: f64,
}

impl PriceFrontier {
    /// The frontier of some gauges. A gauge without resistance leaves only the flat line.
    pub(crate) fn new(gauges: &[Gauge]) -> Self {
        let cheapest = gauges
            .iter()
            .map(|gauge| gauge.price_per_metre)
            .fold(f64::INFINITY, f64::min);
        let cheapest = if cheapest.is_finite() { cheapest } else { 0.0 };
        let points: Vec<(f64, f64)> = gauges
            .iter()
            .map(|gauge| (1.0 / gauge.loop_ohms_per_metre, gauge.price_per_metre))
            .collect();
        let lawful = points
            .iter()
            .all(|(conductance, _)| conductance.is_finite() && *conductance > 0.0);
        if !lawful || points.is_empty() {
            return Self {
                points: Vec::new(),
                slopes: vec![0.0],
                cheapest,
            };
        }
        // A hair below the line through the origin keeps the fixed part from
        // turning negative by rounding.
        let steepest = points
            .iter()
            .map(|(g, p)| p / g)
            .fold(f64::INFINITY, f64::min)
            * (1.0 - 1e-9);
        let mut slopes = vec![0.0, steepest];
        for (i, first) in points.iter().enumerate() {
            for second in &points[i + 1..] {
                let slope = (second.1 - first.1) / (second.0 - first.0);
                if slope.is_finite() && slope > 0.0 && slope < steepest {
                    slopes.push(slope);
                }
            }
        }
        Self {
            points,
            slopes,
            cheapest,
        }
    }

    /// Slopes at which some line may be best.
    pub(crate) fn slopes(&self) -> &[f64] {
        &self.slopes
    }

    /// `(loop resistance per metre, price per metre)` of each gauge.
    pub(crate) fn gauges(&self) -> Vec<(f64, f64)> {
        let each = self.points.iter();
        each.map(|(conductance, price)| (1.0 / conductance, *price))
            .collect()
    }

    /// The most money per metre that may be added to `slope / resistance` without being above
    /// any gauge; negative where the slope is too steep.
    pub(crate) fn under(&self, slope: f64) -> f64 {
        if self.points.is_empty() {
            return self.cheapest;
        }
        let under = self.points.iter().map(|(g, p)| p - slope * g);
        under.fold(f64::INFINITY, f64::min)
    }

    /// The line of a slope; its fixed part is the least of `price - slope /
    /// resistance` over the gauges, so it lies under all of them.
    fn line(&self, slope: f64) -> Option<CopperLine> {
        let fixed_per_metre = self.under(slope);
        (fixed_per_metre >= 0.0).then_some(CopperLine {
            fixed_per_metre,
            slope,
        })
    }

    /// The line that is best where the drops priced through a segment amount to
    /// `load = sqrt(P L)`: the one of largest `fixed + 2 load sqrt(slope)`.
    pub(crate) fn best_line(&self, load: f64) -> CopperLine {
        let at_gauges = self.points.iter().map(|(g, _)| (load / g) * (load / g));
        let worth = |line: &CopperLine| line.fixed_per_metre + 2.0 * load * line.slope.sqrt();
        self.slopes
            .iter()
            .copied()
            .chain(at_gauges)
            .filter_map(|slope| self.line(slope))
            .max_by(|left, right| worth(left).total_cmp(&worth(right)))
            .unwrap_or(CopperLine {
                fixed_per_metre: 0.0,
                slope: 0.0,
            })
    }

    /// The flat line: every metre costs at least the cheapest gauge.
    pub(crate) fn flat(&self) -> CopperLine {
        CopperLine {
            fixed_per_metre: self.cheapest,
            slope: 0.0,
        }
    }

    /// The steepest line; `None` when only the flat one exists.
    pub(crate) fn steepest(&self) -> Option<CopperLine> {
        let slope = self.slopes.iter().copied().fold(0.0, f64::max);
        if slope > 0.0 { self.line(slope) } else { None }
    }
}
