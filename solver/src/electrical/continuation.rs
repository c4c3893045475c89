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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::electrical::specimen::{load_on_12_v, one_load};

    /// The levels tried for a load of 1 VA, two passes each where `holds`, and the outcome.
    fn levels(holds: impl Fn(usize, f64) -> bool) -> (Vec<f64>, Result<u32, NoSolution>) {
        let (bus, feeder) = (1, one_load((1.0, 0.0), load_on_12_v(1.0, 0.0, 0.0)));
        let mut tried = Vec::new();
        // The level that the bus holds last must be the one that a failed one goes back to.
        let mut buses = vec![0.0];
        let outcome = follow_branch(&mut buses, &mut Feeder::new(), &feeder, |buses, scaled| {
            let level = scaled.loads[bus].apparent[0];
            assert!(buses[0] < level, "{buses:?} before {level}");
            tried.push(level);
            buses[0] = level;
            if holds(tried.len(), level) {
                Ok(2)
            } else {
                Err(NoSolution::Collapse { bus })
            }
        });
        (tried, outcome)
    }

    #[test]
    fn loads_are_raised_to_the_half_and_then_to_the_whole() {
        let (tried, outcome) = levels(|_, _| true);
        assert_eq!(tried, [0.5, 1.0]);
        assert_eq!(outcome, Ok(4));
    }

    /// The second raise, of 0.75 at most, fails: its quarter is tried from 0.5, then half as much
    /// more each time.
    #[test]
    fn a_level_that_fails_is_tried_at_a_quarter_of_the_raise() {
        let (tried, outcome) = levels(|count, _| count != 2);
        assert_eq!(tried, [0.5, 1.0, 0.6875, 0.96875, 1.0]);
        assert_eq!(outcome, Ok(8));
    }

    #[test]
    fn a_branch_that_ends_is_followed_to_its_end_and_no_further() {
        let (tried, outcome) = levels(|_, level| level <= 0.7);
        assert_eq!(outcome, Err(NoSolution::Collapse { bus: 1 }));
        let held = tried.iter().filter(|&&level| level <= 0.7);
        let highest = held.copied().fold(0.0, f64::max);
        assert!((0.7 - highest) < 1e-8, "{highest}");
        assert!(tried.len() < 200, "{} levels", tried.len());
    }
}
