//! Complex numbers and real 2x2 blocks, as far as nodal equations need them.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// A complex number: a phasor, an impedance, an admittance.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Phasor {
    /// Real part.
    pub re: f64,
    /// Imaginary part.
    pub im: f64,
}

impl Phasor {
    /// Zero.
    pub const ZERO: Self = Self { re: 0.0, im: 0.0 };
    /// Makes `re + j im`.
    #[must_use]
    pub const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }
    /// A real number.
    #[must_use]
    pub const fn real(re: f64) -> Self {
        Self { re, im: 0.0 }
    }
    /// Complex conjugate.
    #[must_use]
    pub const fn conj(self) -> Self {
        Self {
            re: self.re,
            im: -self.im,
        }
    }
    /// Square of the magnitude.
    #[must_use]
    pub const fn square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }
    /// Magnitude.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        self.square().sqrt()
    }
    /// `1 / self`.
    #[must_use]
    pub fn inverse(self) -> Self {
        let square = self.square();
        Self {
            re: self.re / square,
            im: -self.im / square,
        }
    }
}

impl Add for Phasor {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}
impl AddAssign for Phasor {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}
impl Sub for Phasor {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}
impl SubAssign for Phasor {
    fn sub_assign(&mut self, other: Self) {
        *self = *self - other;
    }
}
impl Neg for Phasor {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}
impl Mul for Phasor {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}
impl Mul<f64> for Phasor {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }
}
impl Div<f64> for Phasor {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self::new(self.re / divisor, self.im / divisor)
    }
}
impl std::iter::Sum for Phasor {
    fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
        values.fold(Self::ZERO, Add::add)
    }
}

/// A real 2x2 matrix acting on (real part, imaginary part).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Block {
    /// Rows of the matrix.
    pub rows: [[f64; 2]; 2],
}

impl Block {
    /// Multiplication by a complex number, as a matrix.
    #[must_use]
    pub const fn of(factor: Phasor) -> Self {
        Self {
            rows: [[factor.re, -factor.im], [factor.im, factor.re]],
        }
    }
    /// The outer product `column * row`, both read as (real, imaginary) pairs.
    #[must_use]
    pub const fn outer(column: Phasor, row: Phasor) -> Self {
        Self {
            rows: [
                [column.re * row.re, column.re * row.im],
                [column.im * row.re, column.im * row.im],
            ],
        }
    }
    /// Determinant.
    #[must_use]
    pub const fn determinant(&self) -> f64 {
        self.rows[0][0] * self.rows[1][1] - self.rows[0][1] * self.rows[1][0]
    }
    /// Matrix times vector.
    #[must_use]
    pub const fn apply(&self, vector: Phasor) -> Phasor {
        Phasor::new(
            self.rows[0][0] * vector.re + self.rows[0][1] * vector.im,
            self.rows[1][0] * vector.re + self.rows[1][1] * vector.im,
        )
    }
    /// Inverse; meaningless when the determinant is 0.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let determinant = self.determinant();
        let [[a, b], [c, d]] = self.rows;
        Self {
            rows: [
                [d / determinant, -b / determinant],
                [-c / determinant, a / determinant],
            ],
        }
    }
    fn zip(self, other: Self, combine: fn(f64, f64) -> f64) -> Self {
        let cell = |r: usize, c: usize| combine(self.rows[r][c], other.rows[r][c]);
        Self {
            rows: [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]],
        }
    }
}

impl Add for Block {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.zip(other, |x, y| x + y)
    }
}
impl Sub for Block {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.zip(other, |x, y| x - y)
    }
}
impl Mul<f64> for Block {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        let [[a, b], [c, d]] = self.rows;
        Self {
            rows: [[a * factor, b * factor], [c * factor, d * factor]],
        }
    }
}
impl Mul for Block {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let cell = |r: usize, c: usize| {
            self.rows[r][0] * other.rows[0][c] + self.rows[r][1] * other.rows[1][c]
        };
        Self {
            rows: [[cell(0, 0), cell(0, 1)], [cell(1, 0), cell(1, 1)]],
        }
    }
}
