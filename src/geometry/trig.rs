//! Transcendental functions that reach the output, from `libm` so that every machine gives the same bits.

/// Arc tangent in radians.
#[must_use]
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}
/// Angle of the vector `(x, y)` in radians, -pi..=pi.
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}
/// Sine of an angle in radians.
#[must_use]
pub fn sin(angle: f64) -> f64 {
    libm::sin(angle)
}
/// Cosine of an angle in radians.
#[must_use]
pub fn cos(angle: f64) -> f64 {
    libm::cos(angle)
}
/// Tangent of an angle in radians.
#[must_use]
pub fn tan(angle: f64) -> f64 {
    libm::tan(angle)
}
/// Arc cosine in radians.
#[must_use]
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}
/// Hyperbolic cosine.
#[must_use]
pub fn cosh(x: f64) -> f64 {
    libm::cosh(x)
}
/// Hyperbolic sine.
#[must_use]
pub fn sinh(x: f64) -> f64 {
    libm::sinh(x)
}
/// Hyperbolic tangent.
#[must_use]
pub fn tanh(x: f64) -> f64 {
    libm::tanh(x)
}
/// Natural exponential.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}
/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}
/// `x` to the power `y`.
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}
