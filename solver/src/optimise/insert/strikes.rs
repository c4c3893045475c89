//! Runs that have no room left are not asked again and again.
//!
//! A full circuit refuses at every joint and every point along its pieces. Without a count,
//! nearly all work went into such answers in jobs of 120 fixtures, and what lay behind the
//! full circuits was never looked at.

/// How often each run refused what is to be put in, in the present search for places.
#[derive(Default)]
pub(in crate::optimise) struct Strikes(Vec<u32>);

impl Strikes {
    /// Strikes after which no other place in a run is looked at.
    const OUT: u32 = 4;

    /// None yet.
    pub fn clear(&mut self) {
        self.0.clear();
    }

    /// Whether a run has refused often enough.
    pub fn is_out(&self, run: usize) -> bool {
        self.0.get(run).is_some_and(|&count| count >= Self::OUT)
    }

    /// So many more against a run.
    pub fn add(&mut self, run: usize, count: u32) {
        if self.0.len() <= run {
            self.0.resize(run + 1, 0);
        }
        self.0[run] += count;
    }
}

#[cfg(test)]
mod tests {
    use super::Strikes;

    #[test]
    fn a_run_is_out_after_its_own_strikes_until_they_are_cleared() {
        let mut strikes = Strikes::default();
        strikes.add(2, Strikes::OUT - 1);
        strikes.add(0, Strikes::OUT);
        assert_eq!(
            [0, 1, 2, 9].map(|run| strikes.is_out(run)),
            [true, false, false, false]
        );
        strikes.add(2, 1);
        assert!(strikes.is_out(2));
        strikes.clear();
        assert!(!strikes.is_out(0) && !strikes.is_out(2));
    }
}
