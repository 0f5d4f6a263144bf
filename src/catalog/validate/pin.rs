//! Pins.

use super::metres;
use crate::catalog::check::{Materials, RowCheck, SoldBy};
use crate::catalog::raw::RawPin;
use crate::part::Pin;

pub(in crate::catalog) fn pin(raw: &RawPin, materials: &Materials, check: &mut RowCheck<'_>) -> Option<Pin> {
    let believable = check.within("diameter_mm", raw.diameter_mm, 0.1, 3.0);
    check.within("length_mm", raw.length_mm, 5.0, 100.0);
    check.within("head_diameter_mm", raw.head_diameter_mm, 0.2, 10.0);
    check.within("head_length_mm", raw.head_length_mm, 0.05, 10.0);
    if believable && raw.head_diameter_mm <= raw.diameter_mm {
        let what = format!("is {}; it must be above the stem's diameter, {}", raw.head_diameter_mm, raw.diameter_mm);
        check.fault("head_diameter_mm", &what, None);
    }
    check.spread("mass_spread", raw.mass_spread);
    projections(raw, check);
    let row = check.row(&raw.id, &raw.name, &raw.pack, &raw.provenance, SoldBy::Piece);
    let material = check.material("material", &raw.material, materials);
    Some(Pin {
        row: row?,
        material: material?,
        diameter: metres(raw.diameter_mm),
        length: metres(raw.length_mm),
        head_diameter: metres(raw.head_diameter_mm),
        head_length: metres(raw.head_length_mm),
        projections: raw.projections_mm.clone(),
        mass_spread: raw.mass_spread,
    })
}

/// A list of distances, rising, each leaving some of the pin on the shank.
fn projections(raw: &RawPin, check: &mut RowCheck<'_>) {
    let list = &raw.projections_mm;
    if list.is_empty() {
        let help = "list how far it may stand out, like [4, 5, 6]".to_owned();
        check.fault("projections_mm", "is empty", Some(help));
    }
    if list.windows(2).any(|pair| pair[0] >= pair[1]) {
        check.fault("projections_mm", "is not in rising order", None);
    }
    let limits = raw.head_length_mm..raw.length_mm;
    if let Some(bad) = list.iter().map(|p| p.mm()).find(|p| *p <= limits.start || *p >= limits.end) {
        let what = format!(
            "holds {bad}; a distance must be above the head's length, {}, and below the pin's, {}",
            raw.head_length_mm, raw.length_mm
        );
        check.fault("projections_mm", &what, None);
    }
}
