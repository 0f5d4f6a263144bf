//! Rows that no hook of the catalog can carry: mostly a slip of the unit or of a digit.
//!
//! These are necessary conditions only, so a row that passes may still find no place on the hook that a target asks for.

use super::Catalog;
use super::check::tidy;
use crate::part::{Bead, Foam, Pin, Wire};

/// Why a row is of no use.
pub(super) struct Stranded {
    pub(super) key: &'static str,
    pub(super) text: String,
    pub(super) help: String,
}

fn mm(metres: f64) -> String {
    tidy(metres * 1e3)
}

fn least(lengths: impl Iterator<Item = f64>) -> f64 {
    lengths.fold(f64::INFINITY, f64::min)
}

fn most(lengths: impl Iterator<Item = f64>) -> f64 {
    lengths.fold(0.0, f64::max)
}

fn widest_gap(catalog: &Catalog) -> f64 {
    most(catalog.hooks.iter().map(|h| h.gap))
}

/// A bead goes over the wire of a hook, with its lower side above the point leg, or on a pin.
pub(super) fn beads(bead: &Bead, catalog: &Catalog) -> Option<Stranded> {
    let on_a_pin =
        catalog.pins.iter().any(|p| p.diameter <= bead.bore_diameter && bead.bore_diameter < p.head_diameter);
    let threads = |wire: f64| wire <= bead.bore_diameter;
    let on_a_hook = catalog.hooks.iter().any(|h| threads(h.wire_diameter) && 0.5 * bead.diameter < h.gap);
    if on_a_pin || on_a_hook {
        return None;
    }
    let thinnest = least(catalog.hooks.iter().map(|h| h.wire_diameter));
    if thinnest > bead.bore_diameter {
        return Some(Stranded {
            key: "bore_mm",
            text: format!(
                "no hook in this catalog can carry it: bore_mm is {}, and the thinnest hook wire is {} mm",
                mm(bead.bore_diameter),
                mm(thinnest)
            ),
            help: "measure the bore, or add the hook that it goes on".to_owned(),
        });
    }
    Some(Stranded {
        key: "diameter_mm",
        text: format!(
            "no hook in this catalog can carry it: diameter_mm is {}, and the widest gap is {} mm",
            mm(bead.diameter),
            mm(widest_gap(catalog))
        ),
        help: "half of the bead stands in the gap: measure it, or add the hook that it goes on".to_owned(),
    })
}

/// A pin holds a bead that slides on its stem and stops at its head.
pub(super) fn pins(pin: &Pin, catalog: &Catalog) -> Option<Stranded> {
    let holds = |b: &Bead| pin.diameter <= b.bore_diameter && b.bore_diameter < pin.head_diameter;
    if catalog.beads.iter().any(holds) {
        return None;
    }
    Some(Stranded {
        key: "diameter_mm",
        text: format!(
            "no bead in this catalog sits on it: no bore is between the stem, {} mm, and the head, {} mm",
            mm(pin.diameter),
            mm(pin.head_diameter)
        ),
        help: "measure the pin, or add the bead that goes on it".to_owned(),
    })
}

/// A wrap must find room on a shank and stay above the point leg.
pub(super) fn wires(wire: &Wire, catalog: &Catalog) -> Option<Stranded> {
    let room = |gap: f64, hook_wire: f64, shank: f64| wire.diameter <= shank && 0.5 * hook_wire + wire.diameter < gap;
    if catalog.hooks.iter().any(|h| room(h.gap, h.wire_diameter, h.shank_length)) {
        return None;
    }
    Some(Stranded {
        key: "diameter_mm",
        text: format!(
            "no hook in this catalog can carry it: diameter_mm is {}, and the widest gap is {} mm",
            mm(wire.diameter),
            mm(widest_gap(catalog))
        ),
        help: "measure the wire, or add the hook that it goes on".to_owned(),
    })
}

/// The lowest of its cuts must be lower than some gap.
pub(super) fn foams(foam: &Foam, catalog: &Catalog) -> Option<Stranded> {
    let lowest = least(foam.cuts.iter().map(|cut| foam.section(*cut).height));
    if lowest < widest_gap(catalog) {
        return None;
    }
    Some(Stranded {
        key: "cuts",
        text: format!(
            "no hook in this catalog can carry it: its lowest cut stands {} mm high, and the widest gap is {} mm",
            mm(lowest),
            mm(widest_gap(catalog))
        ),
        help: "allow a smaller cut, or add the hook that it goes on".to_owned(),
    })
}
