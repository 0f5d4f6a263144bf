//! Fixed constants: by definition (values from memory), and one limit.

/// Standard gravity, m/s2 (CGPM 1901, exact by definition).
pub const GRAVITY: f64 = 9.80665;

/// Standard atmosphere, Pa (exact by definition).
pub const ATMOSPHERE: f64 = 101_325.0;

/// No fly moves through water faster, m/s: some fifteen times a 6 mm tungsten ball. An estimate, no source.
pub const FASTEST: f64 = 30.0;
