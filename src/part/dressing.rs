//! Dressing: what a pattern adds to hook, weight and foam, scaled to the hook it is tied on.

use super::row::Row;
use crate::material::Material;
use std::sync::Arc;

/// What a component is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ComponentRole {
    /// Fibre, hair, feather, chenille: holds water and, when fresh, air.
    Fibre,
    /// Tying thread.
    Thread,
    /// Adhesive or varnish.
    Adhesive,
}

impl ComponentRole {
    /// The word used in catalogs and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Fibre => "fibre",
            Self::Thread => "thread",
            Self::Adhesive => "adhesive",
        }
    }
}

/// One material of a pattern, spread evenly between two stations.
///
/// Stations are in shank lengths from the corner: 0 is the front of the shank, 1 the start of the bend, 2 one shank
/// length behind it. All figures hold at the pattern's reference shank.
#[derive(Debug, Clone, PartialEq)]
pub struct Component {
    /// Plain name ("tail", "body", "head").
    pub name: String,
    /// Fibre, thread or adhesive.
    pub role: ComponentRole,
    /// Fibre or polymer.
    pub material: Arc<Material>,
    /// Dry mass per fly at the reference shank, kg.
    pub dry_mass: f64,
    /// Standard deviation of the mass from fly to fly, as a share of it.
    pub mass_spread: f64,
    /// Front station, shank lengths.
    pub from: f64,
    /// Rear station, shank lengths.
    pub to: f64,
    /// Diameter when wet at the reference shank, m; `None` where it adds no drag of its own.
    pub wet_diameter: Option<f64>,
    /// Share of a solid cylinder's drag that the wet brush has, across and end on, 0 to 1.
    pub solidity: f64,
    /// Air held when fresh, as a share of the fibre's own volume.
    pub fresh_air_share: f64,
}

/// A pattern of generic type.
#[derive(Debug, Clone, PartialEq)]
pub struct Dressing {
    /// Identity, pack (flies' worth of material), provenance.
    pub row: Row,
    /// Shank length at which masses and diameters hold, m.
    pub reference_shank: f64,
    /// Length of foam that the tail hides behind the bend, shank lengths.
    pub hides_tail: f64,
    /// Materials.
    pub components: Vec<Component>,
}

impl Dressing {
    /// Linear scale of the pattern on a shank of this length: shank / reference shank. Lengths and diameters go with
    /// it; masses go with its square, since a tyer covers a surface.
    #[must_use]
    pub fn scale(&self, shank_length: f64) -> f64 {
        shank_length / self.reference_shank
    }
}
