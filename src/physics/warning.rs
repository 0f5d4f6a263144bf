//! What a prediction says about its own limits.

use std::fmt;

/// A limit of the model that was reached and matters.
#[derive(Debug, Clone, PartialEq)]
pub enum Warning {
    /// Much of the drag is taken from beyond what was measured or computed.
    OutsideRange {
        /// Share of the drag.
        share: f64,
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
    /// Cold water or thin air takes much of the room of the gas in foam.
    GasShrinks {
        /// Share of the room lost against 20 C by the sea, at the same depth; negative: gained.
        lost: f64,
        /// Temperature of the water, C.
        celsius: f64,
        /// Pressure of the air, Pa.
        air_pressure: f64,
    },
}

/// Share of the room of gas from which its loss is worth a sentence: as much as some 0.4 m of water takes.
const GAS_MATTERS: f64 = 0.04;

/// Share of the drag beyond its range from which a warning is given: were that part half as much again, the sink rate would
/// change by a twentieth.
const OUTSIDE_MATTERS: f64 = 0.2;

/// Adds a warning that is not there yet; of drag beyond its range the largest share is kept.
pub fn note_worst(warnings: &mut Vec<Warning>, new: Warning) {
    for known in warnings.iter_mut() {
        if let (Warning::OutsideRange { share: worst }, Warning::OutsideRange { share }) = (&mut *known, &new) {
            *worst = worst.max(*share);
            return;
        }
        if *known == new {
            return;
        }
        // Foams differ a little in this: one sentence will do.
        if let (Warning::GasShrinks { lost: most, .. }, Warning::GasShrinks { lost, .. }) = (&mut *known, &new) {
            if lost.abs() > most.abs() {
                *most = *lost;
            }
            return;
        }
    }
    warnings.push(new);
}

impl Warning {
    /// The warning of a share of the room of gas that is lost, where it matters.
    #[must_use]
    pub fn gas_lost(lost: f64, celsius: f64, air_pressure: f64) -> Option<Self> {
        (lost.abs() >= GAS_MATTERS).then_some(Self::GasShrinks { lost, celsius, air_pressure })
    }

    /// The warning of a share of the drag beyond its range, where it matters.
    #[must_use]
    pub fn outside_range(share: f64) -> Option<Self> {
        (share >= OUTSIDE_MATTERS).then_some(Self::OutsideRange { share })
    }

    /// A short stable code.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::OutsideRange { .. } => "outside-range",
            Self::SecondRest { .. } => "second-rest",
            Self::Floats => "floats",
            Self::NotFollowed => "not-followed",
            Self::GasShrinks { .. } => "foam-gas",
        }
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutsideRange { share } => write!(
                f,
                "{:.0} % of the drag is of parts slower, shorter or longer than any that were measured: time this fly in \
                 the jar and trust that more than this sink rate",
                100.0 * share
            ),
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
            Self::GasShrinks { lost, celsius, air_pressure } => write!(
                f,
                "in water at {celsius:.0} C under {:.0} kPa of air the gas in foam takes {:.0} % {} room than at 20 C by the sea: \
                 counted here, but a warm jar shows {} lift",
                air_pressure * 1e-3,
                100.0 * lost.abs(),
                if *lost > 0.0 { "less" } else { "more" },
                if *lost > 0.0 { "more" } else { "less" }
            ),
        }
    }
}
