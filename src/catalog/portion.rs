//! What one piece of a part weighs, or ten millimetres of stock, in the hand and in water.

use super::Catalog;
use crate::part::{Bead, Cut, Dressing, Foam, FoamForm, Hook, Kind, Pin, Wire};

/// How much of a part it is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// One piece.
    Piece,
    /// Ten millimetres of stock, foam as bought.
    TenMillimetres,
    /// What one fly takes, at the pattern's reference shank.
    Fly,
}

impl Amount {
    /// The word in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Piece => "piece",
            Self::TenMillimetres => "10 mm",
            Self::Fly => "fly",
        }
    }
}

/// Ten millimetres, m.
const TEN_MM: f64 = 0.01;

/// One piece of a part, or some of its stock.
#[derive(Debug, Clone, PartialEq)]
pub struct Portion {
    /// Part id.
    pub id: String,
    /// Colours that it is sold in.
    pub colours: Vec<String>,
    /// Hook size.
    pub hook_size: Option<u8>,
    /// What it is sold by, m: diameter; thickness of a sheet.
    pub size: Option<f64>,
    /// Width of a strip, m.
    pub width: Option<f64>,
    /// Density of its material, kg/m3; of a foam with its cells, of a hook with its head.
    pub density: Option<f64>,
    /// How much of it the rest is about.
    pub amount: Amount,
    /// Mass, kg.
    pub mass: f64,
    /// Water that it displaces at the surface, m3: of foam that of the cells that stay closed, and of the polymer of the others.
    pub volume: f64,
}

impl Catalog {
    /// One portion of every part of a kind, in the order of their ids.
    #[must_use]
    pub fn portions(&self, kind: Kind) -> Vec<Portion> {
        match kind {
            Kind::Hook => self.hooks.iter().map(hook).collect(),
            Kind::Bead => self.beads.iter().map(bead).collect(),
            Kind::Pin => self.pins.iter().map(pin).collect(),
            Kind::Wire => self.wires.iter().map(wire).collect(),
            Kind::Foam => self.foams.iter().map(foam).collect(),
            Kind::Dressing => self.dressings.iter().map(dressing).collect(),
        }
    }
}

fn hook(hook: &Hook) -> Portion {
    let head = hook.head.as_ref().map(|head| (head.mass, head.volume()));
    let (head_mass, head_volume) = head.unwrap_or_default();
    let (mass, volume) = (hook.mass() + head_mass, hook.path().volume() + head_volume);
    let overall = hook.head.as_ref().map(|_| mass / volume);
    Portion {
        id: hook.row.id.clone(),
        colours: Vec::new(),
        hook_size: Some(hook.size),
        size: None,
        width: None,
        density: overall.or(Some(hook.material.density_kg_m3)),
        amount: Amount::Piece,
        mass,
        volume,
    }
}

fn bead(bead: &Bead) -> Portion {
    Portion {
        id: bead.row.id.clone(),
        colours: bead.colours.clone(),
        hook_size: None,
        size: Some(bead.diameter),
        width: None,
        density: Some(bead.material.density_kg_m3),
        amount: Amount::Piece,
        mass: bead.mass(),
        volume: bead.solid().volume,
    }
}

fn pin(pin: &Pin) -> Portion {
    let volume = pin.stem_volume(pin.length - pin.head_length) + pin.head_volume();
    Portion {
        id: pin.row.id.clone(),
        colours: Vec::new(),
        hook_size: None,
        size: Some(pin.diameter),
        width: None,
        density: Some(pin.material.density_kg_m3),
        amount: Amount::Piece,
        mass: volume * pin.material.density_kg_m3,
        volume,
    }
}

fn wire(wire: &Wire) -> Portion {
    let mass = wire.mass_per_length() * TEN_MM;
    Portion {
        id: wire.row.id.clone(),
        colours: Vec::new(),
        hook_size: None,
        size: Some(wire.diameter),
        width: None,
        density: Some(wire.material.density_kg_m3),
        amount: Amount::TenMillimetres,
        mass,
        volume: mass / wire.material.density_kg_m3,
    }
}

fn foam(foam: &Foam) -> Portion {
    let section = foam.section(Cut::Whole);
    let (size, width) = match foam.form {
        FoamForm::Rod { diameter } => (diameter, None),
        FoamForm::Strip { width, thickness } => (thickness, Some(width)),
    };
    let flooded = section.area - section.sealed_area;
    Portion {
        id: foam.row.id.clone(),
        colours: foam.colours.clone(),
        hook_size: None,
        size: Some(size),
        width,
        density: Some(foam.density),
        amount: Amount::TenMillimetres,
        mass: foam.density * section.area * TEN_MM,
        volume: (section.sealed_area + flooded * foam.relative_density()) * TEN_MM,
    }
}

fn dressing(dressing: &Dressing) -> Portion {
    let volume = dressing.components.iter().map(|part| part.dry_mass / part.material.density_kg_m3).sum();
    Portion {
        id: dressing.row.id.clone(),
        colours: Vec::new(),
        hook_size: None,
        size: None,
        width: None,
        density: None,
        amount: Amount::Fly,
        mass: dressing.components.iter().map(|part| part.dry_mass).sum(),
        volume,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn metal_sinks_foam_lifts_and_masses_are_those_of_the_parts() {
        let catalog = Catalog::built_in().unwrap();
        for kind in Kind::ALL {
            let portions = catalog.portions(kind);
            assert_eq!(portions.len(), catalog.rows(kind).len());
            // A dressing may be of nothing, or of fibre lighter than water.
            for portion in portions.into_iter().filter(|_| kind != Kind::Dressing) {
                let sinks = portion.mass > 1000.0 * portion.volume;
                assert_eq!(sinks, kind != Kind::Foam, "{}", portion.id);
                assert!(portion.mass > 0.0 && portion.volume > 0.0, "{}", portion.id);
            }
        }
        // A sphere of 3.5 mm of 17.5 g/cm3 has 393 mg; bore and countersink take some of it.
        let bead = catalog.portions(Kind::Bead).into_iter().find(|p| p.id == "tungsten-3.5").unwrap();
        assert!((0.25e-3..0.39e-3).contains(&bead.mass), "{}", bead.mass);
        assert_eq!(bead.mass, catalog.bead("tungsten-3.5").unwrap().mass());
    }
}
