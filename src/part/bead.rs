//! Beads: a sphere less its bore, and less a countersink or slot where it has one.

use super::row::Row;
use crate::material::Material;
use crate::shape::{Solid, sphere};
use std::sync::Arc;

/// How the bead is drilled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BeadShape {
    /// Straight bore.
    Drilled,
    /// Bore with a conical countersink at the rear, m.
    Countersunk {
        /// Diameter of the cone at the surface.
        diameter: f64,
        /// Depth of the cone along the bore.
        depth: f64,
    },
    /// Bore with a slot from the bore to the surface, m: goes over a jig neck.
    Slotted {
        /// Width of the slot.
        width: f64,
        /// Share of the bead's length that the slot runs, 0 to 1.
        length_share: f64,
    },
}

/// A bead.
#[derive(Debug, Clone, PartialEq)]
pub struct Bead {
    /// Identity, pack, provenance.
    pub row: Row,
    /// What it is made of.
    pub material: Arc<Material>,
    /// Outside diameter, m.
    pub diameter: f64,
    /// Standard deviation of the diameter, m.
    pub diameter_sd: f64,
    /// Bore diameter, m.
    pub bore_diameter: f64,
    /// Drilled, countersunk or slotted.
    pub shape: BeadShape,
    /// Colours that it is sold in, all of one price; none where nobody says.
    pub colours: Vec<String>,
    /// Mass on a scale, kg; replaces the computed one.
    pub measured_mass: Option<f64>,
    /// Standard deviation of the mass, as a share of it.
    pub mass_spread: f64,
}

impl Bead {
    /// Volume and centroid of the metal. Own frame: origin at the centre of the sphere, x along the bore with the
    /// countersink at +x, y towards the slot.
    #[must_use]
    pub fn solid(&self) -> Solid {
        match self.shape {
            BeadShape::Drilled => sphere::drilled(self.diameter, self.bore_diameter),
            BeadShape::Countersunk { diameter, depth } => {
                sphere::countersunk(self.diameter, self.bore_diameter, diameter, depth)
            }
            BeadShape::Slotted { width, length_share } => {
                sphere::slotted(self.diameter, self.bore_diameter, width, length_share)
            }
        }
    }

    /// Mass, kg.
    #[must_use]
    pub fn mass(&self) -> f64 {
        self.measured_mass.unwrap_or_else(|| self.solid().volume * self.material.density_kg_m3)
    }

    /// Length of the bead along its bore, m: the height of the ring that the bore leaves.
    #[must_use]
    pub fn length(&self) -> f64 {
        (self.diameter * self.diameter - self.bore_diameter * self.bore_diameter).max(0.0).sqrt()
    }

    /// Whether it goes over a jig neck.
    #[must_use]
    pub fn is_slotted(&self) -> bool {
        matches!(self.shape, BeadShape::Slotted { .. })
    }
}
