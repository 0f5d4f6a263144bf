//! Foam stock.

use super::metres;
use crate::catalog::check::{Materials, RowCheck, SoldBy};
use crate::catalog::raw::RawFoam;
use crate::part::{Cut, Foam, FoamForm};

pub(in crate::catalog) fn foam(raw: &RawFoam, materials: &Materials, check: &mut RowCheck<'_>) -> Option<Foam> {
    let form = form(raw, check);
    check.within("density_kg_m3", raw.density_kg_m3, 5.0, 700.0);
    check.within("density_sd_kg_m3", raw.density_sd_kg_m3, 0.0, 200.0);
    check.within("cell_mm", raw.cell_mm, 0.005, 3.0);
    check.within("collapse_pressure_kpa", raw.collapse_pressure_kpa, 0.0, 2000.0);
    check.spread("section_spread", raw.section_spread);
    let colours = check.colours(&raw.colours);
    let row = check.row(&raw.id, &raw.name, &raw.pack, &raw.provenance, SoldBy::Length);
    let solid = check.material("solid", &raw.solid, materials)?;
    if raw.density_kg_m3 >= solid.density_kg_m3 {
        let what = format!(
            "is {}; it must be below that of the solid `{}`, {}",
            raw.density_kg_m3, solid.id, solid.density_kg_m3
        );
        check.fault("density_kg_m3", &what, None);
    }
    let foam = Foam {
        row: row?,
        form: form?,
        density: raw.density_kg_m3,
        density_sd: raw.density_sd_kg_m3,
        solid,
        cell: metres(raw.cell_mm),
        surface: raw.surface.into(),
        collapse_pressure: raw.collapse_pressure_kpa * 1e3,
        cuts: raw.cuts.iter().map(|cut| Cut::from(*cut)).collect(),
        colours,
        section_spread: raw.section_spread,
        section_factor: 1.0,
    };
    cuts(&foam, check);
    Some(foam)
}

/// Rod or strip, by the dimensions that are given.
fn form(raw: &RawFoam, check: &mut RowCheck<'_>) -> Option<FoamForm> {
    check.within_if_given("diameter_mm", raw.diameter_mm, 0.5, 50.0);
    check.within_if_given("width_mm", raw.width_mm, 0.3, 100.0);
    check.within_if_given("thickness_mm", raw.thickness_mm, 0.2, 50.0);
    match (raw.diameter_mm, raw.width_mm, raw.thickness_mm) {
        (Some(diameter), None, None) => Some(FoamForm::Rod { diameter: metres(diameter) }),
        (None, Some(width), Some(thickness)) => {
            Some(FoamForm::Strip { width: metres(width), thickness: metres(thickness) })
        }
        (given, ..) => {
            let key = if given.is_some() { "diameter_mm" } else { "width_mm" };
            let what = "does not settle the cross section";
            let help = "give diameter_mm for a rod, or width_mm and thickness_mm for a strip".to_owned();
            check.fault(key, what, Some(help));
            None
        }
    }
}

/// Each cut named once, and each leaving cells that are still closed.
fn cuts(foam: &Foam, check: &mut RowCheck<'_>) {
    if foam.cuts.is_empty() {
        check.fault("cuts", "is empty", Some("list the cuts that it stands, like [whole, half]".to_owned()));
    }
    for (i, cut) in foam.cuts.iter().enumerate() {
        if foam.cuts[..i].contains(cut) {
            check.fault("cuts", &format!("holds {cut} twice"), None);
        }
        if foam.section(*cut).sealed_area <= 0.0 {
            let help = "leave it out: water fills the cells behind cut faces".to_owned();
            check.fault("cuts", &format!("holds {cut}, which leaves no closed cells"), Some(help));
        }
    }
}
