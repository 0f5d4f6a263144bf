//! Wires.

use super::metres;
use crate::catalog::check::{Materials, RowCheck, SoldBy};
use crate::catalog::raw::RawWire;
use crate::part::Wire;

pub(in crate::catalog) fn wire(raw: &RawWire, materials: &Materials, check: &mut RowCheck<'_>) -> Option<Wire> {
    check.within("diameter_mm", raw.diameter_mm, 0.03, 3.0);
    check.spread("diameter_spread", raw.diameter_spread);
    let row = check.row(&raw.id, &raw.name, &raw.pack, &raw.provenance, SoldBy::Length);
    let material = check.material("material", &raw.material, materials);
    Some(Wire {
        row: row?,
        material: material?,
        diameter: metres(raw.diameter_mm),
        diameter_spread: raw.diameter_spread,
    })
}
