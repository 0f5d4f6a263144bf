//! Stiff pins that carry a bead ahead of the eye.

use super::row::Row;
use crate::material::Material;
use crate::quantity::Microns;
use std::f64::consts::FRAC_PI_4;
use std::sync::Arc;

/// A straight pin with a head that stops the bead.
#[derive(Debug, Clone, PartialEq)]
pub struct Pin {
    /// Identity, pack, provenance.
    pub row: Row,
    /// What it is made of.
    pub material: Arc<Material>,
    /// Diameter of the stem, m.
    pub diameter: f64,
    /// Length over all, as bought, m; the tail end is cut to what the shank takes.
    pub length: f64,
    /// Diameter of the head, m.
    pub head_diameter: f64,
    /// Length of the head along the pin, m.
    pub head_length: f64,
    /// Distances that the pin may stand out ahead of the tie point, front of the head included.
    pub projections: Vec<Microns>,
    /// Standard deviation of the mass, as a share of it.
    pub mass_spread: f64,
}

impl Pin {
    /// Volume of a piece of stem, m3.
    #[must_use]
    pub fn stem_volume(&self, length: f64) -> f64 {
        FRAC_PI_4 * self.diameter * self.diameter * length
    }

    /// Volume of the head, m3: a cylinder.
    #[must_use]
    pub fn head_volume(&self) -> f64 {
        FRAC_PI_4 * self.head_diameter * self.head_diameter * self.head_length
    }
}
