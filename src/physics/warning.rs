//! What a prediction says about its own limits.

use std::fmt;

/// A correlation used outside its range, or a limit of the model that was reached.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// A drag correlation outside the range of one of the quantities that it was fitted over.
    OutsideRange {
        /// Correlation.
        correlation: &'static str,
        /// The quantity that left its range, in words, like "Reynolds number".
        quantity: &'static str,
        /// What it was.
        value: f64,
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
    /// A fall on a slack line could not be followed.
    NotFollowed,
}

/// Adds a warning; a quantity of a correlation outside its range is listed once, with the value farthest out.
pub fn note_worst(warnings: &mut Vec<Warning>, new: Warning) {
    let how_far = |at: f64, range: (f64, f64)| (range.0 / at.max(f64::MIN_POSITIVE)).max(at / range.1);
    if let Warning::OutsideRange { correlation, quantity, value, range } = new {
        for known in warnings.iter_mut() {
            if let Warning::OutsideRange { correlation: name, quantity: of, value: worst, .. } = known
                && *name == correlation
                && *of == quantity
            {
                if how_far(value, range) > how_far(*worst, range) {
                    *worst = value;
                }
                return;
            }
        }
    } else if warnings.contains(&new) {
        return;
    }
    warnings.push(new);
}

impl Warning {
    /// A short stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutsideRange { .. } => "outside-range",
            Self::SecondRest { .. } => "second-rest",
            Self::Floats => "floats",
            Self::NotFollowed => "not-followed",
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutsideRange { correlation, quantity, value, range } => {
                write!(
                    f,
                    "{correlation} is used at {quantity} {value:.3}, outside its range {} to {}",
                    range.0, range.1
                )
            }
            Self::SecondRest { angle } => write!(
                f,
                "the snug knot can also hold this fly at {:.0} degrees ({}); shake the line and look again",
                angle.to_degrees().abs(),
                if *angle >= 0.0 { "tail down" } else { "head down" }
            ),
            Self::Floats => write!(f, "this fly floats: it never pulls the line tight"),
            Self::NotFollowed => {
                write!(f, "the fall on a slack line could not be followed: the figures are those of a tight line")
            }
        }
    }
}
