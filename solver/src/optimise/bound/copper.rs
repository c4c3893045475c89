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

/// Every line that can be best for some load: the flat one first, then steeper ones.
///
/// Each line is made valid by its own construction: for a slope, the fixed part
/// is the least of `price - slope / resistance` over the gauges.
pub(crate) fn lines(gauges: &[Gauge]) -> Vec<CopperLine> {
    let points: Vec<(f64, f64)> = gauges
        .iter()
        .map(|gauge| (1.0 / gauge.loop_ohms_per_metre, gauge.price_per_metre))
        .filter(|(conductance, _)| conductance.is_finite() && *conductance > 0.0)
        .collect();
    if points.len() < gauges.len() || points.is_empty() {
        let fixed_per_metre = gauges
            .iter()
            .map(|gauge| gauge.price_per_metre)
            .fold(f64::INFINITY, f64::min);
        let fixed_per_metre = if fixed_per_metre.is_finite() {
            fixed_per_metre
        } else {
            0.0
        };
        return vec![CopperLine {
            fixed_per_metre,
            slope: 0.0,
        }];
    }
    let steepest = points
        .iter()
        .map(|(g, p)| p / g)
        .fold(f64::INFINITY, f64::min);
    let mut slopes = vec![0.0, steepest];
    for (i, first) in points.iter().enumerate() {
        for second in &points[i + 1..] {
            let slope = (second.1 - first.1) / (second.0 - first.0);
            if slope.is_finite() && slope > 0.0 && slope < steepest {
                slopes.push(slope);
            }
        }
    }
    slopes.sort_by(f64::total_cmp);
    let mut lines: Vec<CopperLine> = Vec::new();
    for slope in slopes {
        let under = |slope: f64| {
            points
                .iter()
                .map(|(g, p)| p - slope * g)
                .fold(f64::INFINITY, f64::min)
        };
        // The steepest line passes through the origin; a hair less slope keeps
        // its fixed part from turning negative by rounding.
        let slope = if under(slope) < 0.0 {
            slope * (1.0 - 1e-9)
        } else {
            slope
        };
        let line = CopperLine {
            fixed_per_metre: under(slope).max(0.0),
            slope,
        };
        let valid = points
            .iter()
            .all(|(g, p)| line.fixed_per_metre + line.slope * g <= p * (1.0 + 1e-12));
        let dominated = lines.iter().any(|other| {
            other.fixed_per_metre >= line.fixed_per_metre && other.slope >= line.slope
        });
        if valid && !dominated {
            lines.push(line);
        }
    }
    lines
}
