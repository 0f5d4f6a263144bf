//! Whether parts are still what they were: a short text that depends on every figure of theirs that physics sees.

use crate::catalog::{Catalog, fnv};
use crate::part::{BeadShape, FoamForm, Kind, Surface};
use std::collections::BTreeSet;

/// Sixteen hexadecimal digits (64-bit FNV-1a) of the figures of some parts.
pub(super) fn fingerprint(catalog: &Catalog, parts: &BTreeSet<(Kind, &str)>) -> String {
    let mut bytes = Vec::new();
    let mut add = |more: &[u8]| bytes.extend_from_slice(more);
    for (kind, id) in parts {
        add(kind.word().as_bytes());
        add(id.as_bytes());
        for figure in figures(catalog, *kind, id).unwrap_or_default() {
            // Twelve digits: what reading a file in other units may round is no change.
            add(format!("{figure:.11e}").as_bytes());
        }
    }
    fnv(bytes)
}

fn figures(catalog: &Catalog, kind: Kind, id: &str) -> Option<Vec<f64>> {
    Some(match kind {
        Kind::Hook => {
            let h = catalog.hook(id)?;
            let mut list = vec![
                h.wire_diameter,
                h.eye_inner_diameter,
                h.neck_length,
                h.neck_angle,
                h.shank_length,
                h.gap,
                h.point_length,
                h.mass(),
                h.mass_spread,
            ];
            if let Some(head) = &h.head {
                list.extend([head.mass, head.mass_spread, head.centre_aft_of_corner, head.material.density_kg_m3]);
            }
            list
        }
        Kind::Bead => {
            let b = catalog.bead(id)?;
            let mut list = vec![b.diameter, b.diameter_sd, b.bore_diameter, b.mass(), b.mass_spread];
            match b.shape {
                BeadShape::Drilled => {}
                BeadShape::Countersunk { diameter, depth } => list.extend([1.0, diameter, depth]),
                BeadShape::Slotted { width, length_share } => list.extend([2.0, width, length_share]),
            }
            list
        }
        Kind::Pin => {
            let p = catalog.pin(id)?;
            let density = p.material.density_kg_m3;
            vec![p.diameter, p.length, p.head_diameter, p.head_length, density, p.mass_spread]
        }
        Kind::Wire => {
            let w = catalog.wire(id)?;
            vec![w.diameter, w.diameter_spread, w.material.density_kg_m3, w.material.density_sd_kg_m3]
        }
        Kind::Foam => {
            let f = catalog.foam(id)?;
            let mut list = match f.form {
                FoamForm::Rod { diameter } => vec![diameter],
                FoamForm::Strip { width, thickness } => vec![width, thickness],
            };
            let skin = if f.surface == Surface::Skin { 1.0 } else { 0.0 };
            list.extend([f.density, f.density_sd, f.solid.density_kg_m3, f.cell, skin]);
            list.extend([f.collapse_pressure, f.section_spread, f.section_factor]);
            list
        }
        Kind::Dressing => {
            let d = catalog.dressing(id)?;
            let mut list = vec![d.reference_shank];
            for c in &d.components {
                list.extend([c.material.density_kg_m3, c.dry_mass, c.mass_spread, c.from, c.to]);
                list.extend([c.wet_diameter.unwrap_or(0.0), c.solidity, c.fresh_air_share]);
            }
            list
        }
    })
}
