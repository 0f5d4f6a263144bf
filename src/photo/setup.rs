//! How a picture was taken.

use super::card::CardMap;
use super::lens::RoundJar;

/// How the picture was taken.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Setup {
    /// A round jar; `None` for a flat tank, or air.
    pub jar: Option<RoundJar>,
    /// Left and right edge of the water in the picture, pixels. Without them the fly is taken to be small and in the
    /// middle of the jar.
    pub edges: Option<[f64; 2]>,
    /// A card of squares that was photographed in the fly's place: then `jar` does not count.
    pub card: Option<CardMap>,
}
