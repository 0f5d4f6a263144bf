//! Wire for close-wound wraps around the shank.

use super::row::Row;
use crate::material::Material;
use std::f64::consts::FRAC_PI_4;
use std::sync::Arc;

/// A spool of wire.
#[derive(Debug, Clone, PartialEq)]
pub struct Wire {
    /// Identity, pack (a length), provenance.
    pub row: Row,
    /// What it is made of.
    pub material: Arc<Material>,
    /// Diameter, m.
    pub diameter: f64,
    /// Standard deviation of the diameter, as a share of it.
    pub diameter_spread: f64,
}

impl Wire {
    /// Mass per length, kg/m: rho pi d^2 / 4.
    #[must_use]
    pub fn mass_per_length(&self) -> f64 {
        self.material.density_kg_m3 * FRAC_PI_4 * self.diameter * self.diameter
    }
}
