//! Numbers of about 106 bits: the unevaluated sum of two `f64`.
//!
//! Where wavefronts of a real building meet, three and four lines pass through one point up to the rounding of the
//! drawing. With twice the digits the order of such events is decided as the coordinates given say, not as the rounding
//! of the solver says, and truly simultaneous events agree far closer than distinct ones can.
//!
//! # Source
//! The error-free sums and products of T. J. Dekker, "A floating-point technique for extending the available precision",
//! Numerische Mathematik 18 (1971), and the double-double operations of Y. Hida, X. S. Li and D. H. Bailey, "Library for
//! double-double and quad-double arithmetic" (2007), section 3; from memory. No fused multiply-add, whose speed depends on
//! the machine.

use std::cmp::Ordering;
use std::ops::{Add, Div, Mul, Neg, Sub};

/// A number `high + low` with `low` below half a unit in the last place of `high`.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Double {
    high: f64,
    low: f64,
}

/// The sum and its rounding error.
fn two_sum(a: f64, b: f64) -> Double {
    let high = a + b;
    let part = high - a;
    Double { high, low: (a - (high - part)) + (b - part) }
}

/// The same where `a` is the larger.
fn quick_sum(a: f64, b: f64) -> Double {
    let high = a + b;
    Double { high, low: b - (high - a) }
}

/// The product and its rounding error.
fn two_product(a: f64, b: f64) -> Double {
    /// 2^27 + 1: cuts 53 bits into 26 and 26.
    const CUT: f64 = 134_217_729.0;
    let halves = |x: f64| {
        let scaled = CUT * x;
        let upper = scaled - (scaled - x);
        (upper, x - upper)
    };
    let high = a * b;
    let ((a1, a2), (b1, b2)) = (halves(a), halves(b));
    Double { high, low: ((a1 * b1 - high) + a1 * b2 + a2 * b1) + a2 * b2 }
}

impl Double {
    /// Zero.
    pub(super) const ZERO: Self = Self { high: 0.0, low: 0.0 };

    /// The nearest `f64`.
    pub(super) fn value(self) -> f64 {
        self.high
    }

    /// Square root of a number that is not negative.
    pub(super) fn sqrt(self) -> Self {
        if self.high <= 0.0 {
            return Self::ZERO;
        }
        let inverse = 1.0 / self.high.sqrt();
        let root = self.high * inverse;
        let rest = (self - two_product(root, root)).high;
        two_sum(root, rest * (inverse * 0.5))
    }

    /// Without its sign.
    pub(super) fn abs(self) -> Self {
        if self.high < 0.0 { -self } else { self }
    }

    /// The larger.
    pub(super) fn max(self, other: Self) -> Self {
        if other > self { other } else { self }
    }
}

impl From<f64> for Double {
    fn from(high: f64) -> Self {
        Self { high, low: 0.0 }
    }
}

impl Add for Double {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let (sum, rest) = (two_sum(self.high, other.high), two_sum(self.low, other.low));
        let first = quick_sum(sum.high, sum.low + rest.high);
        quick_sum(first.high, first.low + rest.low)
    }
}

impl Neg for Double {
    type Output = Self;
    fn neg(self) -> Self {
        Self { high: -self.high, low: -self.low }
    }
}

impl Sub for Double {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for Double {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let product = two_product(self.high, other.high);
        quick_sum(product.high, product.low + (self.high * other.low + self.low * other.high))
    }
}

impl Mul<f64> for Double {
    type Output = Self;
    fn mul(self, other: f64) -> Self {
        let product = two_product(self.high, other);
        quick_sum(product.high, product.low + self.low * other)
    }
}

impl Div for Double {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let first = self.high / other.high;
        let rest = self - other * first;
        let second = rest.high / other.high;
        let rest = rest - other * second;
        let third = rest.high / other.high;
        quick_sum(first, second) + Self::from(third)
    }
}

impl PartialOrd for Double {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.total(*other))
    }
}

impl Double {
    /// Order of two finite numbers.
    pub(super) fn total(self, other: Self) -> Ordering {
        // Not `total_cmp`, to which -0 is less than 0.
        let order = |a: f64, b: f64| a.partial_cmp(&b).unwrap_or(Ordering::Equal);
        order(self.high, other.high).then(order(self.low, other.low))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keeps_twice_the_digits() {
        let third = Double::from(1.0) / Double::from(3.0);
        let off = third * 3.0 - Double::from(1.0);
        assert!(off.abs().value() < 1e-31, "{off:?}");
        let root = Double::from(2.0).sqrt();
        assert!((root * root - Double::from(2.0)).abs().value() < 1e-30);
        let small = Double::from(1.0) + Double::from(1e-25);
        assert_eq!((small - Double::from(1.0)).value(), 1e-25);
    }
}
