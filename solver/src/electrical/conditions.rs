//! The conditions of a load case: temperature, growth, line, and how loads add up.

use super::source::Physics;
use crate::job::Rules;
use crate::units::Celsius;

/// Under which conditions a plan is solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// How loads add up.
    pub physics: Physics,
    /// Conductor temperature.
    pub conductor: Celsius,
    /// Factor on every length, pieces and leads alike.
    pub length_factor: f64,
    /// Factor on every tap voltage.
    pub line_factor: f64,
}

impl Conditions {
    /// Lowest voltages: apparent loads added arithmetically, hot conductors, lengths
    /// grown, low end of the line band. To be solved with everything on.
    #[must_use]
    pub fn low(rules: &Rules) -> Self {
        Self {
            physics: Physics::Arithmetic,
            conductor: rules.temperatures.low_case,
            length_factor: rules.length_growth,
            line_factor: rules.line.low,
        }
    }
    /// Highest voltages: phasors, cold conductors, lengths as drawn, high end of the
    /// line band. To be solved for every switching.
    #[must_use]
    pub fn high(rules: &Rules) -> Self {
        Self {
            physics: Physics::Phasor,
            conductor: rules.temperatures.high_case,
            length_factor: 1.0,
            line_factor: rules.line.high,
        }
    }
    /// What the crew's meter should read: phasors, nominal line, lengths as drawn.
    #[must_use]
    pub fn expected(rules: &Rules) -> Self {
        Self {
            physics: Physics::Phasor,
            conductor: rules.temperatures.expected,
            length_factor: 1.0,
            line_factor: 1.0,
        }
    }
    /// The same with another line factor.
    #[must_use]
    pub fn with_line(self, line_factor: f64) -> Self {
        Self {
            line_factor,
            ..self
        }
    }
}
