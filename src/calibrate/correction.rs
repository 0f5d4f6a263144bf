//! What a log can correct, and how far the catalog lets each figure be off before anything was tested.
//!
//! Each correction is a factor exp(s z) on one figure of one part (the wall pressure of foam, which may be 0, is shifted
//! by s z instead). z is standard normal before the first test, so s is the prior spread.
//!
//! A catalog's spread of a mass says how pieces differ, whoever sells them. Half of its variance is taken as what sets a
//! tyer's own bag or hand apart from the catalog, which tests can find out; the other half differs from piece to piece and
//! stays ([`BATCH_SHARE`]). Densities and diameters of rod and spool are the batch's alone.

use crate::catalog::Catalog;
use crate::material::Material;
use crate::part::{Component, Dressing, Foam, FoamForm, Kind, Pin, Wire};
use std::f64::consts::FRAC_PI_4;
use std::sync::Arc;

pub use crate::spread::draws::BATCH_SHARE;

/// Prior spread of the flooded layer behind cut faces: a quarter. From the 0.3 to 0.5 of a cell that geometry gives.
const FLOODED_SPREAD: f64 = 0.25;
/// Prior spread of the pressure that foam walls carry, Pa: the error budget's 5 kPa taken as two standard deviations.
const WALL_SPREAD: f64 = 2.5e3;
/// Prior spread of the wet diameter: the error budget's 20 % on the diameter and 30 % on the solidity, each taken as two
/// standard deviations.
const WET_SPREAD: f64 = 0.18;
/// Prior spread of the air in a fresh dressing: the error budget's 50 % taken as two standard deviations.
const AIR_SPREAD: f64 = 0.25;
/// Foam stays lighter than its solid by at least this factor.
const MOST_OF_SOLID: f64 = 0.99;

/// A figure that can be corrected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Figure {
    /// Mass of a hook, bead or pin, or of a length of wire.
    Mass,
    /// Mass of a moulded head.
    HeadMass,
    /// Density of foam.
    Density,
    /// Cross section of foam as cut: its lift.
    Section,
    /// Layer of cells that floods behind cut faces, of all foam.
    FloodedLayer,
    /// Pressure that foam walls carry before they give, of all foam.
    WallPressure,
    /// Amount of a dressing: its mass, and its weight in water with it.
    Amount,
    /// Wet diameters of a dressing, all by one factor: its drag.
    WetDiameter,
    /// Air in a fresh dressing.
    Air,
}

impl Figure {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Mass,
        Self::HeadMass,
        Self::Density,
        Self::Section,
        Self::FloodedLayer,
        Self::WallPressure,
        Self::Amount,
        Self::WetDiameter,
        Self::Air,
    ];

    /// The word used in calibration files and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Mass => "mass",
            Self::HeadMass => "head-mass",
            Self::Density => "density",
            Self::Section => "section",
            Self::FloodedLayer => "flooded-layer",
            Self::WallPressure => "wall-pressure",
            Self::Amount => "amount",
            Self::WetDiameter => "wet-diameter",
            Self::Air => "air",
        }
    }

    /// The figure with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|f| f.word() == word)
    }

    /// Figures that parts of a kind have each for themselves.
    #[must_use]
    pub fn of_kind(kind: Kind) -> &'static [Self] {
        match kind {
            Kind::Hook => &[Self::Mass, Self::HeadMass],
            Kind::Bead | Kind::Pin | Kind::Wire => &[Self::Mass],
            Kind::Foam => &[Self::Density, Self::Section],
            Kind::Dressing => &[Self::Amount, Self::WetDiameter, Self::Air],
        }
    }

    /// Figures that all foam shares: a log seldom tells stocks apart in them.
    pub const OF_ALL_FOAM: [Self; 2] = [Self::FloodedLayer, Self::WallPressure];
}

/// One figure of one part, or of all foam.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Correction {
    /// The part; `None`: all foam.
    pub part: Option<(Kind, String)>,
    /// The figure.
    pub figure: Figure,
}

impl Correction {
    /// What it is called.
    #[must_use]
    pub fn words(&self) -> String {
        let what = match self.figure {
            Figure::Mass => "mass",
            Figure::HeadMass => "head mass",
            Figure::Density => "density",
            Figure::Section => "section as cut (lift)",
            Figure::FloodedLayer => "flooded layer at cuts",
            Figure::WallPressure => "pressure the walls carry",
            Figure::Amount => "amount (mass)",
            Figure::WetDiameter => "widest wet diameter (drag)",
            Figure::Air => "most air when fresh",
        };
        match &self.part {
            Some((kind, id)) => format!("{kind} {id}: {what}"),
            None => format!("all foam: {what}"),
        }
    }

    /// Prior spread s, a share (of the wall pressure: Pa). `None` where the catalog has no such part, or states the
    /// figure without a spread.
    #[must_use]
    pub fn spread(&self, catalog: &Catalog) -> Option<f64> {
        let batch = |spread: f64| BATCH_SHARE.sqrt() * spread;
        let Some((kind, id)) = &self.part else {
            return match self.figure {
                _ if catalog.foams.is_empty() => None,
                Figure::FloodedLayer => Some(FLOODED_SPREAD),
                Figure::WallPressure => Some(WALL_SPREAD),
                _ => None,
            };
        };
        let spread = match (kind, self.figure) {
            (Kind::Hook, Figure::Mass) => batch(catalog.hook(id)?.mass_spread),
            (Kind::Hook, Figure::HeadMass) => batch(catalog.hook(id)?.head.as_ref()?.mass_spread),
            (Kind::Bead, Figure::Mass) => batch(catalog.bead(id)?.mass_spread),
            (Kind::Pin, Figure::Mass) => batch(catalog.pin(id)?.mass_spread),
            (Kind::Wire, Figure::Mass) => wire_spread(catalog.wire(id)?),
            (Kind::Foam, Figure::Density) => catalog.foam(id).map(|f| f.density_sd / f.density)?,
            (Kind::Foam, Figure::Section) => batch(catalog.foam(id)?.section_spread),
            (Kind::Dressing, Figure::Amount) => batch(mean_spread(catalog.dressing(id)?)?),
            (Kind::Dressing, Figure::WetDiameter) => {
                let wet = |c: &Component| c.wet_diameter.is_some();
                catalog.dressing(id)?.components.iter().any(wet).then_some(WET_SPREAD)?
            }
            (Kind::Dressing, Figure::Air) => {
                let airy = |c: &Component| c.fresh_air_share > 0.0;
                catalog.dressing(id)?.components.iter().any(airy).then_some(AIR_SPREAD)?
            }
            _ => return None,
        };
        (spread > 0.0).then_some(spread)
    }

    /// The figure as the catalog has it, in its unit: mg, mg/m, kg/m3, mm2, mm, or a share; of the wet
    /// diameters and air shares of a dressing the greatest. `None` for all foam and where the catalog has no such part.
    #[must_use]
    pub fn catalog_figure(&self, catalog: &Catalog) -> Option<f64> {
        let (kind, id) = self.part.as_ref()?;
        let sum = |of: fn(&Component) -> f64| Some(catalog.dressing(id)?.components.iter().map(of).sum::<f64>());
        // Widths and shares do not add up: the greatest stands for all, which go with it.
        let most =
            |of: fn(&Component) -> f64| Some(catalog.dressing(id)?.components.iter().map(of).fold(0.0, f64::max));
        match (kind, self.figure) {
            (Kind::Hook, Figure::Mass) => Some(catalog.hook(id)?.mass() * 1e6),
            (Kind::Hook, Figure::HeadMass) => Some(catalog.hook(id)?.head.as_ref()?.mass * 1e6),
            (Kind::Bead, Figure::Mass) => Some(catalog.bead(id)?.mass() * 1e6),
            (Kind::Pin, Figure::Mass) => Some(pin_mass(catalog.pin(id)?) * 1e6),
            (Kind::Wire, Figure::Mass) => Some(catalog.wire(id)?.mass_per_length() * 1e6),
            (Kind::Foam, Figure::Density) => Some(catalog.foam(id)?.density),
            (Kind::Foam, Figure::Section) => Some(stock_area(catalog.foam(id)?) * 1e6),
            (Kind::Dressing, Figure::Amount) => sum(|c| c.dry_mass * 1e6),
            (Kind::Dressing, Figure::WetDiameter) => most(|c| c.wet_diameter.unwrap_or(0.0) * 1e3),
            (Kind::Dressing, Figure::Air) => most(|c| c.fresh_air_share),
            _ => None,
        }
    }

    /// Moves the figure by s z and leaves `left` of its prior standard deviation, 0 to 1 (1: as before the tests).
    pub fn apply(&self, catalog: &mut Catalog, z: f64, left: f64) {
        let Some(spread) = self.spread(catalog) else { return };
        let factor = (spread * z).exp();
        let narrowed = |whole: f64| whole * (1.0 - BATCH_SHARE * (1.0 - left * left)).sqrt();
        let Some((kind, id)) = &self.part else {
            for foam in &mut catalog.foams {
                match self.figure {
                    Figure::FloodedLayer => foam.cell *= factor,
                    _ => foam.collapse_pressure = (foam.collapse_pressure + spread * z).max(0.0),
                }
            }
            return;
        };
        match kind {
            Kind::Hook => {
                let hook = catalog.hooks.iter_mut().find(|h| h.row.id == *id);
                match (hook, self.figure) {
                    (Some(hook), Figure::HeadMass) => {
                        if let Some(head) = &mut hook.head {
                            head.mass *= factor;
                            head.mass_spread = narrowed(head.mass_spread);
                        }
                    }
                    (Some(hook), _) => {
                        hook.measured_mass = Some(hook.mass() * factor);
                        hook.mass_spread = narrowed(hook.mass_spread);
                    }
                    (None, _) => {}
                }
            }
            Kind::Bead => {
                if let Some(bead) = catalog.beads.iter_mut().find(|b| b.row.id == *id) {
                    bead.measured_mass = Some(bead.mass() * factor);
                    // The size is one of the things behind the mass: both are known better by as much.
                    bead.diameter_sd = narrowed(bead.diameter_sd);
                    bead.mass_spread = narrowed(bead.mass_spread);
                }
            }
            Kind::Pin => {
                if let Some(pin) = catalog.pins.iter_mut().find(|p| p.row.id == *id) {
                    pin.material = denser(&pin.material, factor, 1.0);
                    pin.mass_spread = narrowed(pin.mass_spread);
                }
            }
            Kind::Wire => {
                if let Some(wire) = catalog.wires.iter_mut().find(|w| w.row.id == *id) {
                    wire.material = denser(&wire.material, factor, left);
                    wire.diameter_spread *= left;
                }
            }
            Kind::Foam => {
                if let Some(foam) = catalog.foams.iter_mut().find(|f| f.row.id == *id) {
                    correct_foam(foam, self.figure, factor, left, narrowed);
                }
            }
            Kind::Dressing => {
                if let Some(dressing) = catalog.dressings.iter_mut().find(|d| d.row.id == *id) {
                    for component in &mut dressing.components {
                        correct_component(component, self.figure, factor, narrowed);
                    }
                }
            }
        }
    }
}

fn correct_foam(foam: &mut Foam, figure: Figure, factor: f64, left: f64, narrowed: impl Fn(f64) -> f64) {
    if figure == Figure::Density {
        let density = (foam.density * factor).min(MOST_OF_SOLID * foam.solid.density_kg_m3);
        foam.density_sd *= left * density / foam.density;
        foam.density = density;
        return;
    }
    foam.section_factor *= factor;
    foam.section_spread = narrowed(foam.section_spread);
}

fn correct_component(component: &mut Component, figure: Figure, factor: f64, narrowed: impl Fn(f64) -> f64) {
    match figure {
        Figure::Amount => {
            component.dry_mass *= factor;
            component.mass_spread = narrowed(component.mass_spread);
        }
        Figure::WetDiameter => component.wet_diameter = component.wet_diameter.map(|d| d * factor),
        _ => component.fresh_air_share *= factor,
    }
}

/// The same material, denser by a factor, with so much of its spread left.
fn denser(material: &Arc<Material>, factor: f64, left: f64) -> Arc<Material> {
    let mut corrected = Material::clone(material);
    corrected.density_kg_m3 *= factor;
    corrected.density_sd_kg_m3 *= factor * left;
    Arc::new(corrected)
}

/// Spread of the mass of a length of wire: density, and diameter squared.
fn wire_spread(wire: &Wire) -> f64 {
    (wire.material.density_sd_kg_m3 / wire.material.density_kg_m3).hypot(2.0 * wire.diameter_spread)
}

/// Spreads of the components weighted by their masses: a sparse or a generous hand goes through all of them.
fn mean_spread(dressing: &Dressing) -> Option<f64> {
    let mass: f64 = dressing.components.iter().map(|c| c.dry_mass).sum();
    (mass > 0.0).then(|| dressing.components.iter().map(|c| c.dry_mass * c.mass_spread).sum::<f64>() / mass)
}

/// Mass of a whole pin, kg.
pub(super) fn pin_mass(pin: &Pin) -> f64 {
    pin.material.density_kg_m3 * (pin.head_volume() + pin.stem_volume(pin.length - pin.head_length))
}

/// Cross section of the stock, m2.
fn stock_area(foam: &Foam) -> f64 {
    let nominal = match foam.form {
        FoamForm::Rod { diameter } => FRAC_PI_4 * diameter * diameter,
        FoamForm::Strip { width, thickness } => width * thickness,
    };
    nominal * foam.section_factor
}
