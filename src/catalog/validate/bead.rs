//! Beads.

use super::{kilograms, metres};
use crate::catalog::check::{Materials, RowCheck, SoldBy};
use crate::catalog::raw::{RawBead, RawCountersink, RawSlot};
use crate::part::{Bead, BeadShape};

pub(in crate::catalog) fn bead(raw: &RawBead, materials: &Materials, check: &mut RowCheck<'_>) -> Option<Bead> {
    let believable = check.within("diameter_mm", raw.diameter_mm, 0.5, 25.0);
    check.within("diameter_sd_mm", raw.diameter_sd_mm, 0.0, 1.0);
    check.within("bore_mm", raw.bore_mm, 0.1, 10.0);
    if believable && raw.bore_mm >= raw.diameter_mm {
        let what = format!("is {}; it must be below the diameter, {}", raw.bore_mm, raw.diameter_mm);
        check.fault("bore_mm", &what, None);
    }
    check.within_if_given("measured_mass_mg", raw.measured_mass_mg, 0.1, 50_000.0);
    check.spread("mass_spread", raw.mass_spread);
    let shape = match (&raw.countersink, &raw.slot) {
        (None, None) => BeadShape::Drilled,
        (Some(sink), None) => countersink(raw, sink, &mut check.inside("countersink")),
        (None, Some(cut)) => slot(raw, cut, &mut check.inside("slot")),
        (Some(_), Some(_)) => {
            let help = "keep one: a slot takes the place of the countersink".to_owned();
            check.fault("slot", "and countersink are both given", Some(help));
            BeadShape::Drilled
        }
    };
    let colours = check.colours(&raw.colours);
    let row = check.row(&raw.id, &raw.name, &raw.pack, &raw.provenance, SoldBy::Piece);
    let material = check.material("material", &raw.material, materials);
    let bead = Bead {
        row: row?,
        material: material?,
        diameter: metres(raw.diameter_mm),
        diameter_sd: metres(raw.diameter_sd_mm),
        bore_diameter: metres(raw.bore_mm),
        shape,
        colours,
        measured_mass: raw.measured_mass_mg.map(kilograms),
        mass_spread: raw.mass_spread,
    };
    check.weighed("measured_mass_mg", bead.measured_mass, || bead.solid().volume, &bead.material);
    Some(bead)
}

fn countersink(bead: &RawBead, raw: &RawCountersink, check: &mut RowCheck<'_>) -> BeadShape {
    if raw.diameter_mm <= bead.bore_mm || raw.diameter_mm >= bead.diameter_mm {
        let what = format!(
            "is {}; it must be between the bore, {}, and the bead's diameter, {}",
            raw.diameter_mm, bead.bore_mm, bead.diameter_mm
        );
        check.fault("diameter_mm", &what, None);
    }
    if raw.depth_mm <= 0.0 || raw.depth_mm > 0.5 * bead.diameter_mm {
        let what = format!("is {}; it must be above 0 and at most half the bead's diameter", raw.depth_mm);
        check.fault("depth_mm", &what, None);
    }
    BeadShape::Countersunk { diameter: metres(raw.diameter_mm), depth: metres(raw.depth_mm) }
}

fn slot(bead: &RawBead, raw: &RawSlot, check: &mut RowCheck<'_>) -> BeadShape {
    if raw.width_mm <= 0.0 || raw.width_mm > bead.bore_mm {
        let what = format!("is {}; it must be above 0 and at most the bore, {}", raw.width_mm, bead.bore_mm);
        check.fault("width_mm", &what, None);
    }
    check.within("length_share", raw.length_share, 0.05, 1.0);
    BeadShape::Slotted { width: metres(raw.width_mm), length_share: raw.length_share }
}
