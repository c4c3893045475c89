//! Quantities that cannot be mixed up: electrical, length, temperature, money.
//!
//! Inside the solver everything is SI; feet, AWG and percent exist only at the
//! border. A quantity is a newtype over `f64`; only lawful arithmetic exists
//! (`Amperes * Ohms -> Volts`). Inner loops may take the bare number out with
//! `value()` and name the unit in the variable.

mod electric;
mod length;
mod money;

pub use electric::{
    Amperes, Celsius, Hours, KilowattHours, Ohms, OhmsPerMetre, PerCelsius, SquareMillimetres,
    VoltAmperes, Volts, Watts,
};
pub use length::{GridSteps, LengthGrid, Metres, UnitSystem};
pub use money::{Cost, Money, Ratio};

/// Declares an `f64` quantity with its own addition and scaling.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Zero of this quantity.
            pub const ZERO: Self = Self(0.0);
            /// Wraps a bare number given in the unit of this type.
            #[must_use]
            pub const fn new(value: f64) -> Self {
                Self(value)
            }
            /// The bare number, in the unit of this type.
            #[must_use]
            pub const fn value(self) -> f64 {
                self.0
            }
            /// The larger of two quantities (total order, NaN last).
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                if self.0.total_cmp(&other.0).is_lt() { other } else { self }
            }
            /// The smaller of two quantities (total order, NaN last).
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                if other.0.total_cmp(&self.0).is_lt() { other } else { self }
            }
        }
        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                std::fmt::Display::fmt(&self.0, f)?;
                f.write_str(concat!(" ", $unit))
            }
        }
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self { Self(self.0 + other.0) }
        }
        impl std::ops::AddAssign for $name {
            fn add_assign(&mut self, other: Self) { self.0 += other.0; }
        }
        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self { Self(self.0 - other.0) }
        }
        impl std::ops::SubAssign for $name {
            fn sub_assign(&mut self, other: Self) { self.0 -= other.0; }
        }
        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self { Self(self.0 * factor) }
        }
        impl std::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self { Self(self.0 / divisor) }
        }
        impl std::ops::Div for $name {
            type Output = f64;
            fn div(self, divisor: Self) -> f64 { self.0 / divisor.0 }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
                values.fold(Self(0.0), |total, value| total + value)
            }
        }
    };
}
pub(crate) use quantity;

/// Declares `$left * $right -> $out` in both orders.
macro_rules! product {
    ($left:ident * $right:ident = $out:ident) => {
        impl std::ops::Mul<$right> for $left {
            type Output = $out;
            fn mul(self, other: $right) -> $out {
                $out::new(self.value() * other.value())
            }
        }
        impl std::ops::Mul<$left> for $right {
            type Output = $out;
            fn mul(self, other: $left) -> $out {
                $out::new(self.value() * other.value())
            }
        }
    };
}
pub(crate) use product;
