//! The least cost known for each generated job, from any run of any effort and seed.
//!
//! The table is improved by hand whenever a run beats it: the regret of a run
//! says how far the search stays behind what it could find, which no bound can.

const TABLE: &str = include_str!("../best_known.csv");

/// The least cost known for a generated job; `None` where no run was kept.
#[must_use]
pub fn cost(fixtures: u64, seed: u64) -> Option<f64> {
    TABLE.lines().skip(1).find_map(|line| {
        let mut cells = line.split(',');
        let job = (cells.next()?.parse().ok()?, cells.next()?.parse().ok()?);
        let cost = cells.next()?.parse().ok()?;
        (job == (fixtures, seed)).then_some(cost)
    })
}

/// What a run's cost says beside it: the regret, or a new entry for the table.
#[must_use]
pub fn regret(fixtures: u64, seed: u64, found: f64) -> String {
    const SAME: f64 = 0.005;
    match cost(fixtures, seed) {
        Some(best) if found > best + SAME => format!("{:5.2} %", 100.0 * (found / best - 1.0)),
        Some(best) if found > best - SAME => " 0.00 %".to_owned(),
        Some(best) => format!("{:5.2} % NEW", 100.0 * (found / best - 1.0)),
        None => "      NEW".to_owned(),
    }
}
