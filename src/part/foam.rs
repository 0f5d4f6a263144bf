//! Foam stock, whole or cut lengthwise, with the water that cut cells take up.

use super::row::Row;
use crate::material::Material;
use crate::shape::section;
use serde::{Deserialize, Serialize};
use std::f64::consts::{FRAC_PI_2, PI};
use std::fmt;
use std::sync::Arc;

/// Share of a cell's diameter by which a cut face floods, on average. Geometry of a plane through random spheres gives
/// 0.3 to 0.5 (derived, no published source); the design uses half a cell.
pub const FLOODED_SHARE_OF_CELL: f64 = 0.5;

/// Cross section of the stock as bought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FoamForm {
    /// Round rod, m.
    Rod {
        /// Outside diameter.
        diameter: f64,
    },
    /// Flat strip cut from a sheet, m. Its two wide faces are the sheet's, its edges are cut.
    Strip {
        /// Width of the strip.
        width: f64,
        /// Thickness of the sheet.
        thickness: f64,
    },
}

/// The stock's own surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Surface {
    /// Closed skin: no flooding.
    Skin,
    /// Cut through cells: floods like any cut face.
    Cut,
}

/// How the stock is cut lengthwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Cut {
    /// As bought.
    Whole,
    /// Half.
    Half,
    /// Quarter.
    Quarter,
    /// Eighth.
    Eighth,
    /// Sixteenth.
    Sixteenth,
}

impl Cut {
    /// All cuts.
    pub const ALL: [Self; 5] = [Self::Whole, Self::Half, Self::Quarter, Self::Eighth, Self::Sixteenth];

    /// How many such pieces one length of stock gives.
    #[must_use]
    pub fn pieces(self) -> u64 {
        match self {
            Self::Whole => 1,
            Self::Half => 2,
            Self::Quarter => 4,
            Self::Eighth => 8,
            Self::Sixteenth => 16,
        }
    }

    /// The word used in recipes and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Whole => "whole",
            Self::Half => "half",
            Self::Quarter => "quarter",
            Self::Eighth => "eighth",
            Self::Sixteenth => "sixteenth",
        }
    }

    /// The cut with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.word() == word)
    }
}

impl fmt::Display for Cut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Foam stock.
#[derive(Debug, Clone, PartialEq)]
pub struct Foam {
    /// Identity, pack (a length of stock), provenance.
    pub row: Row,
    /// Cross section.
    pub form: FoamForm,
    /// Density of the foam, kg/m3.
    pub density: f64,
    /// Standard deviation of the density between batches, kg/m3.
    pub density_sd: f64,
    /// The polymer.
    pub solid: Arc<Material>,
    /// Diameter of a cell, m.
    pub cell: f64,
    /// The stock's own surface.
    pub surface: Surface,
    /// Pressure that the skeleton carries before the gas is compressed, Pa; 0 is a pure gas spring.
    pub collapse_pressure: f64,
    /// Cuts that this stock stands.
    pub cuts: Vec<Cut>,
    /// Colours that it is sold in, all of one price; none where nobody says.
    pub colours: Vec<String>,
    /// Standard deviation of the cross section of a hand-cut piece, as a share of it, of cuts down to an eighth: see
    /// [`Self::spread_of_section`].
    pub section_spread: f64,
    /// Cross section as this tyer's pieces come out over the one that the dimensions give; 1 unless jar tests say otherwise.
    pub section_factor: f64,
}

/// The cross section of a piece: all of it, and the part whose cells are still closed.
///
/// Frame: the piece lies with its flat (cut) side on the shank; heights are measured from that side outwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SealedSection {
    /// Area of the whole section, m2.
    pub area: f64,
    /// Height of its centroid above the shank side, m.
    pub centroid_height: f64,
    /// Area with closed cells, m2.
    pub sealed_area: f64,
    /// Height of the centroid of the closed part, m.
    pub sealed_height: f64,
    /// Height of the piece above the shank, m.
    pub height: f64,
    /// Width across the plane of the hook, m.
    pub width: f64,
    /// Whether it has sharp edges, which a whole rod has not.
    pub sharp: bool,
}

impl SealedSection {
    /// A similar section of so many times the area.
    #[must_use]
    pub fn scaled(&self, area: f64) -> Self {
        let across = area.sqrt();
        Self {
            area: self.area * area,
            sealed_area: self.sealed_area * area,
            centroid_height: self.centroid_height * across,
            sealed_height: self.sealed_height * across,
            height: self.height * across,
            width: self.width * across,
            sharp: self.sharp,
        }
    }
}

impl Foam {
    /// Density over that of the solid polymer.
    #[must_use]
    pub fn relative_density(&self) -> f64 {
        self.density / self.solid.density_kg_m3
    }

    /// Thickness of the flooded layer behind a cut face, m.
    #[must_use]
    pub fn flooded_layer(&self) -> f64 {
        FLOODED_SHARE_OF_CELL * self.cell
    }

    /// Standard deviation of the cross section of a piece cut as told, as a share of it. A blade that slips by as much as in an
    /// eighth takes twice the share off a sixteenth. Common practice, no source.
    #[must_use]
    pub fn spread_of_section(&self, cut: Cut) -> f64 {
        self.section_spread * (cut.pieces() as f64 / 8.0).max(1.0)
    }

    /// Cross section of a piece cut as told.
    #[must_use]
    pub fn section(&self, cut: Cut) -> SealedSection {
        let layer = self.flooded_layer();
        let section = match self.form {
            FoamForm::Rod { diameter } => rod_section(0.5 * diameter, cut, layer, self.surface),
            FoamForm::Strip { width, thickness } => {
                strip_section(width / cut.pieces() as f64, thickness, layer, self.surface)
            }
        };
        if self.section_factor == 1.0 { section } else { section.scaled(self.section_factor) }
    }

    /// Greatest width or height of a piece cut as told, m.
    #[must_use]
    pub fn across(&self, cut: Cut) -> f64 {
        match self.form {
            FoamForm::Rod { diameter } => {
                let half = PI / cut.pieces() as f64;
                // A wedge is as wide as its chord and as high as its radius.
                if half >= FRAC_PI_2 { diameter } else { (diameter * half.sin()).max(0.5 * diameter) }
            }
            FoamForm::Strip { width, thickness } => (width / cut.pieces() as f64).max(thickness),
        }
    }
}

fn rod_section(radius: f64, cut: Cut, layer: f64, surface: Surface) -> SealedSection {
    let opening = 2.0 * PI / cut.pieces() as f64;
    let rim = if surface == Surface::Cut { layer } else { 0.0 };
    let whole = section::sector(radius, opening);
    let sealed = section::inset_sector(radius, opening, layer, rim);
    // The wedge's edge or flat lies on the shank and the round side points away from it; a whole rod is tied on beside
    // the shank, so its centre stands one radius off.
    let (base, height) = match cut {
        Cut::Whole => (radius, 2.0 * radius),
        Cut::Half | Cut::Quarter | Cut::Eighth | Cut::Sixteenth => (0.0, radius),
    };
    SealedSection {
        area: whole.area,
        centroid_height: base + whole.centroid,
        sealed_area: sealed.area,
        sealed_height: base + sealed.centroid,
        height,
        width: 2.0 * radius * (0.5 * opening).min(FRAC_PI_2).sin(),
        sharp: cut != Cut::Whole,
    }
}

fn strip_section(width: f64, thickness: f64, layer: f64, surface: Surface) -> SealedSection {
    let face = if surface == Surface::Cut { layer } else { 0.0 };
    let sealed_area = (width - 2.0 * layer).max(0.0) * (thickness - 2.0 * face).max(0.0);
    SealedSection {
        area: width * thickness,
        centroid_height: 0.5 * thickness,
        sealed_area,
        sealed_height: 0.5 * thickness,
        height: thickness,
        width,
        sharp: true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    #[test]
    fn across_is_the_widest_way_over_the_piece() {
        let catalog = Catalog::built_in().unwrap();
        let rod = catalog.foam("pe-rod-3-8in").unwrap();
        let across = Cut::ALL.map(|cut| (rod.across(cut) * 1e5).round() / 1e2);
        // Whole and half are as wide as the rod, a quarter as its chord, less than that is higher than it is wide.
        assert_eq!(across, [9.53, 9.53, 6.74, 4.76, 4.76]);
        let spread = [Cut::Quarter, Cut::Eighth, Cut::Sixteenth].map(|cut| rod.spread_of_section(cut));
        assert_eq!(spread, [0.08, 0.08, 0.16]);
        let strip = catalog.foam("xpe-strip-3x5mm").unwrap();
        assert_eq!([strip.across(Cut::Whole), strip.across(Cut::Half)], [5e-3, 3e-3]);
    }
}
