//! Why nothing could be read.

use thiserror::Error;

/// Largest roll that is believed, rad (12 degrees): a camera held by hand against a table is straighter (estimate, no source).
pub(super) const MOST_ROLL: f64 = 0.2094;

/// Why nothing could be read.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PhotoError {
    /// Nothing stands out.
    #[error(
        "no fly found: nothing that stands clear of the edges of the picture differs clearly from what is behind it"
    )]
    NoFly,
    /// The fly has no straight middle.
    #[error("the fly's axis cannot be told")]
    NoAxis,
    /// Which end is the eye cannot be told.
    #[error("no tippet found above the fly, so neither its eye nor the camera's roll can be told")]
    NoTippet,
    /// Two lines may be the tippet.
    #[error("two upright lines end at the fly, and either may be the tippet")]
    TwoTippets,
    /// The line does not end where an eye can be.
    #[error("what looks like the tippet does not end at an end of the fly")]
    Unattached,
    /// The outline does not show where the shank lies.
    #[error("the fly's outline shows its shank to {error_deg:.0} degrees only, which says too little")]
    Ragged {
        /// Standard error of the axis, degrees.
        error_deg: f64,
    },
    /// The recipe's fly is not what is seen.
    #[error(
        "what is seen does not look like the recipe's fly in any attitude: {share_percent:.0} % of it agrees at best"
    )]
    NotThisFly {
        /// Area that agrees, percent.
        share_percent: f64,
    },
    /// The known fly fits in more ways than two.
    #[error("the recipe's fly fits the picture in more than two attitudes about as well")]
    ManyAttitudes,
    /// The two points are one.
    #[error("the two points are {distance:.1} pixels apart; at least 8 are needed")]
    SamePoint {
        /// Distance, pixels.
        distance: f64,
    },
    /// A point outside the picture.
    #[error("the point {x},{y} is outside the picture of {width} x {height} pixels")]
    Outside {
        /// Column.
        x: f64,
        /// Row.
        y: f64,
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
    /// What was taken for the tippet leans too far.
    #[error(
        "what looks like the tippet leans {lean_deg:.0} degrees: either it is none, or the camera was held askew; more than \
         {} degrees is not taken",
        MOST_ROLL.to_degrees().round()
    )]
    Askew {
        /// Lean, degrees.
        lean_deg: f64,
    },
    /// The fly is outside the jar's water.
    #[error("the fly lies outside the edges of the water that were given")]
    OutsideJar,
    /// The fly is not where the card was.
    #[error("the fly lies outside of where the card's squares were: hang the card in its place, or use a larger one")]
    OutsideCard,
}
