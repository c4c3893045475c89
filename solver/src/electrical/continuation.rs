//! Raises the loads of a feeder from zero, step by step, along the branch of solutions
//! that grows out of the unloaded feeder.

use super::feeder::Feeder;
use super::sweep::NoSolution;

/// Load levels tried before giving up.
const MOST_LEVELS: u32 = 400;
/// Smallest raise of the load level, as a share of the full load: far below the loading
/// margin of 1e-6 at which existence is decided.
const LEAST_RAISE: f64 = 1e-9;

/// Follows the branch until all loads are on; returns the passes made.
///
/// `buses` hold the unloaded feeder. `settle` finds the solution of a feeder near the
/// voltages it is given, or says why not; a level that fails is tried again at a quarter of
/// the raise, from the last level that held.
///
/// # Errors
/// The reason of the last failure once the raise has shrunk to nothing: no operating point.
pub(super) fn follow_branch<B: Clone>(
    buses: &mut Vec<B>,
    scaled: &mut Feeder,
    feeder: &Feeder,
    mut settle: impl FnMut(&mut [B], &Feeder) -> Result<u32, NoSolution>,
) -> Result<u32, NoSolution> {
    let mut passes = 0;
    let (mut level, mut raise) = (0.0_f64, 0.5);
    let mut kept = buses.clone();
    for _ in 0..MOST_LEVELS {
        let next = (level + raise).min(1.0);
        scaled.copy_scaled(feeder, next);
        match settle(buses, scaled) {
            Ok(made) => {
                passes += made;
                if next >= 1.0 {
                    return Ok(passes);
                }
                kept.clone_from(buses);
                level = next;
                raise *= 1.5;
            }
            Err(reason) if raise < LEAST_RAISE => return Err(reason),
            Err(_) => {
                buses.clone_from(&kept);
                raise *= 0.25;
            }
        }
    }
    Err(NoSolution::PassLimit {
        passes: MOST_LEVELS,
    })
}
