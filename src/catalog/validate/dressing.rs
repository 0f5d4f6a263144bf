//! Dressings.

use super::{kilograms, metres};
use crate::catalog::check::{Materials, RowCheck, SoldBy};
use crate::catalog::raw::{RawComponent, RawDressing, RawRole};
use crate::part::{Component, ComponentRole, Dressing};

pub(in crate::catalog) fn dressing(
    raw: &RawDressing,
    materials: &Materials,
    check: &mut RowCheck<'_>,
) -> Option<Dressing> {
    check.within("reference_shank_mm", raw.reference_shank_mm, 2.0, 80.0);
    check.within("hides_tail", raw.hides_tail, 0.0, 10.0);
    // Collected before it is unwrapped, so that every component is checked.
    let components: Vec<Option<Component>> = raw
        .components
        .iter()
        .enumerate()
        .map(|(i, c)| component(c, materials, &mut check.entry("components", i)))
        .collect();
    Some(Dressing {
        row: check.row(&raw.id, &raw.name, &raw.pack, &raw.provenance, SoldBy::Piece)?,
        reference_shank: metres(raw.reference_shank_mm),
        hides_tail: raw.hides_tail,
        components: components.into_iter().collect::<Option<_>>()?,
    })
}

fn component(raw: &RawComponent, materials: &Materials, check: &mut RowCheck<'_>) -> Option<Component> {
    check.text("name", &raw.name);
    check.within("dry_mass_mg", raw.dry_mass_mg, 0.01, 5000.0);
    check.spread("mass_spread", raw.mass_spread);
    check.within("from", raw.from, -1.0, 10.0);
    check.within("to", raw.to, -1.0, 10.0);
    if raw.to <= raw.from {
        check.fault("to", &format!("is {}; it must be behind `from`, {}", raw.to, raw.from), None);
    }
    check.within_if_given("wet_diameter_mm", raw.wet_diameter_mm, 0.1, 80.0);
    check.within_if_given("solidity", raw.solidity, 0.0, 1.0);
    match (raw.wet_diameter_mm, raw.solidity) {
        (Some(_), None) => check.fault("solidity", "is missing: it goes with wet_diameter_mm", None),
        (None, Some(_)) => check.fault("wet_diameter_mm", "is missing: it goes with solidity", None),
        _ => {}
    }
    check.within("fresh_air_share", raw.fresh_air_share, 0.0, 20.0);
    Some(Component {
        name: raw.name.clone(),
        role: match raw.role {
            RawRole::Fibre => ComponentRole::Fibre,
            RawRole::Thread => ComponentRole::Thread,
            RawRole::Adhesive => ComponentRole::Adhesive,
        },
        material: check.material("material", &raw.material, materials)?,
        dry_mass: kilograms(raw.dry_mass_mg),
        mass_spread: raw.mass_spread,
        from: raw.from,
        to: raw.to,
        wet_diameter: raw.wet_diameter_mm.map(metres),
        solidity: raw.solidity.unwrap_or(0.0),
        fresh_air_share: raw.fresh_air_share,
    })
}
