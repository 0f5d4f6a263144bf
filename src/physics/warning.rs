//! What a prediction says about its own limits.

use std::fmt;

/// A correlation used outside its range, or a limit of the model that was reached.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// A drag correlation outside its Reynolds numbers.
    OutsideRange {
        /// Correlation.
        correlation: &'static str,
        /// Reynolds number at which it was used.
        reynolds: f64,
        /// Its range.
        range: (f64, f64),
    },
    /// A snug knot has another stable rest.
    SecondRest {
        /// Its hang angle, rad.
        angle: f64,
    },
    /// The fly floats.
    Floats,
}

impl Warning {
    /// A short stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutsideRange { .. } => "outside-range",
            Self::SecondRest { .. } => "second-rest",
            Self::Floats => "floats",
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutsideRange { correlation, reynolds, range } => write!(
                f,
                "{correlation} is used at Reynolds number {reynolds:.3}, outside its range {} to {}",
                range.0, range.1
            ),
            Self::SecondRest { angle } => write!(
                f,
                "the snug knot can also hold this fly at {:.0} degrees ({}); shake the line and look again",
                angle.to_degrees().abs(),
                if *angle >= 0.0 { "tail down" } else { "head down" }
            ),
            Self::Floats => write!(f, "this fly floats: it never pulls the line tight"),
        }
    }
}
