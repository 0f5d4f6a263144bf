//! Loose parts on a scale.

use super::correction::{BATCH_SHARE, pin_mass};
use crate::catalog::Catalog;
use crate::jar_log::PartTest;
use crate::part::Kind;

/// Mass of loose parts, kg.
pub(super) fn weighed(test: &PartTest, catalog: &Catalog) -> Option<f64> {
    let id = test.id.as_str();
    let one = match test.kind {
        Kind::Hook => {
            let hook = catalog.hook(id)?;
            hook.mass() + hook.head.as_ref().map_or(0.0, |head| head.mass)
        }
        Kind::Bead => catalog.bead(id)?.mass(),
        Kind::Pin => pin_mass(catalog.pin(id)?),
        Kind::Wire => catalog.wire(id)?.mass_per_length() * test.length?.m(),
        Kind::Foam => {
            let foam = catalog.foam(id)?;
            foam.density * foam.section(test.cut).area * test.length?.m()
        }
        Kind::Dressing => return None,
    };
    Some(one * f64::from(test.count))
}

/// By how much one loose part differs from the next of the same bag, share.
pub(super) fn weighed_spread(test: &PartTest, catalog: &Catalog) -> Option<f64> {
    let id = test.id.as_str();
    let piece = (1.0 - BATCH_SHARE).sqrt();
    Some(match test.kind {
        Kind::Hook => {
            let hook = catalog.hook(id)?;
            let head = hook.head.as_ref().map_or(0.0, |h| h.mass * h.mass_spread);
            let whole = hook.mass() + hook.head.as_ref().map_or(0.0, |h| h.mass);
            piece * (hook.mass() * hook.mass_spread).hypot(head) / whole
        }
        Kind::Bead => piece * catalog.bead(id)?.mass_spread,
        Kind::Pin => piece * catalog.pin(id)?.mass_spread,
        Kind::Foam => piece * catalog.foam(id)?.section_spread,
        Kind::Wire | Kind::Dressing => 0.0,
    })
}
