//! Volume, centroid and second moments of a body.

/// A homogeneous body, symmetric about the plane of its two coordinates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solid {
    /// Volume, m3.
    pub volume: f64,
    /// Centroid, m.
    pub centroid: [f64; 2],
    /// Second moments of volume about the centroid, m5: the integrals of x^2, y^2 and x y.
    pub second: [f64; 3],
}

/// Integrals over a body about the origin of its frame: of 1, x, y, x^2, y^2, x y.
pub(super) type Integrals = [f64; 6];

impl Solid {
    /// Moves second moments from the origin to the centroid. A body without volume stands at the origin.
    pub(super) fn from_integrals([volume, x, y, xx, yy, xy]: Integrals) -> Self {
        if volume <= 0.0 {
            return Self { volume: 0.0, centroid: [0.0; 2], second: [0.0; 3] };
        }
        let centroid = [x / volume, y / volume];
        let second = [xx - x * centroid[0], yy - y * centroid[1], xy - x * centroid[1]];
        Self { volume, centroid, second }
    }

    /// Square of the radius of gyration about the centroid, for turning in the plane of the hook, m2:
    /// (integral of x^2 + y^2) / V. Zero for a body without volume.
    #[must_use]
    pub fn gyration_sq(&self) -> f64 {
        if self.volume > 0.0 { (self.second[0] + self.second[1]) / self.volume } else { 0.0 }
    }
}
