//! Ranges of numbers as typed.

/// Largest magnitude of any number in a job: far above anything real, far below overflow of money.
pub(in crate::job) const LARGEST: f64 = 1e8;

/// An interval; the low end may be left out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::job) struct Range {
    low: f64,
    low_excluded: bool,
    high: f64,
}

/// Any number.
pub(in crate::job) const fn any() -> Range {
    between(-LARGEST, LARGEST)
}
/// 0 or more.
pub(in crate::job) const fn at_least_zero() -> Range {
    between(0.0, LARGEST)
}
/// More than 0.
pub(in crate::job) const fn above_zero() -> Range {
    positive_up_to(LARGEST)
}
/// From 0 to `high`.
pub(in crate::job) const fn up_to(high: f64) -> Range {
    between(0.0, high)
}
/// From `low` to `high`.
pub(in crate::job) const fn between(low: f64, high: f64) -> Range {
    Range {
        low,
        low_excluded: false,
        high,
    }
}
/// More than 0, at most `high`.
pub(in crate::job) const fn positive_up_to(high: f64) -> Range {
    Range {
        low: 0.0,
        low_excluded: true,
        high,
    }
}

impl Range {
    /// Least number, whether it is itself left out, and greatest.
    pub const fn ends(&self) -> (f64, bool, f64) {
        (self.low, self.low_excluded, self.high)
    }
    /// Whether `number` lies inside; false for what is not a number.
    pub fn holds(&self, number: f64) -> bool {
        number <= self.high && (number > self.low || (number == self.low && !self.low_excluded))
    }
    /// The range in words, the bound of everything that is read as a number included.
    pub fn in_full(&self) -> String {
        if self.low_excluded {
            format!("a number above {}, at most {}", self.low, self.high)
        } else {
            format!("a number from {} to {}", self.low, self.high)
        }
    }
    /// The range in words.
    pub fn in_words(&self) -> String {
        let open_above = self.high >= LARGEST;
        match (open_above, self.low_excluded) {
            (true, true) => format!("a number above {}", self.low),
            (true, false) if self.low <= -LARGEST => "a number".to_owned(),
            (true, false) => format!("a number, {} or more", self.low),
            (false, true) => format!("a number above {}, at most {}", self.low, self.high),
            (false, false) => format!("a number from {} to {}", self.low, self.high),
        }
    }
}
