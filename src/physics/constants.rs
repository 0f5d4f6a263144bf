//! Fixed constants, by definition (values from memory).

/// Standard gravity, m/s2 (CGPM 1901, exact by definition).
pub const GRAVITY: f64 = 9.80665;

/// Standard atmosphere, Pa (exact by definition).
pub const ATMOSPHERE: f64 = 101_325.0;
