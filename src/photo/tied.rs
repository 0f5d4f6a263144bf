//! The side view of a recipe's fly.

use super::known::{Shape, SideView};
use crate::fly::{Fly, FrontMount, bead_centre, foam_span, pin_span, wrap_core, wraps_span};
use crate::part::{ComponentRole, Hook};
use crate::recipe::Seat;
use crate::shape::wire_path::Segment;

const MM: f64 = 1e3;
/// Points that stand for a bend.
const CURVE: usize = 16;
/// A component at least so solid that lies along the shank is sure to be seen over this share of its wet diameter
/// (estimates, no source).
const SOLID: f64 = 0.35;
const SURE: f64 = 0.7;
/// Loose hair spreads so far on each side, mm for each mm of length, and so much beyond its nominal length and the wet
/// diameter of a body (estimates, no source).
const SPREAD: f64 = 0.4;
const LONGER: f64 = 1.2;

fn mm(p: [f64; 2]) -> [f64; 2] {
    p.map(|v| v * MM)
}

impl SideView {
    /// What a recipe's fly looks like from the side.
    #[must_use]
    pub fn of(fly: &Fly) -> Self {
        let mut view =
            Self { firm: hook(fly.hook), soft: Vec::new(), bend: mm([fly.hook.bend_x(), fly.hook.shank_y()]) };
        front(fly, &mut view);
        wraps(fly, &mut view);
        foam(fly, &mut view);
        dressing(fly, &mut view);
        view
    }
}

fn hook(hook: &Hook) -> Vec<Shape> {
    let mut points = Vec::new();
    for segment in hook.path().segments() {
        match segment {
            Segment::Ring { .. } => {}
            Segment::Line { from, to } => points.extend([mm(*from), mm(*to)]),
            Segment::Arc { .. } => points.extend((0..=CURVE).map(|i| mm(segment.point_at(i as f64 / CURVE as f64)))),
        }
    }
    let mut firm = vec![
        Shape::Stroke { points, half: 0.5 * hook.wire_diameter * MM },
        Shape::Disc { at: [0.0, 0.0], radius: 0.5 * hook.eye_outer_diameter() * MM },
    ];
    firm.extend(hook.head.as_ref().map(|head| Shape::Disc {
        at: mm([hook.corner()[0] + head.centre_aft_of_corner, hook.shank_y()]),
        radius: 0.5 * head.diameter() * MM,
    }));
    firm
}

fn front(fly: &Fly, view: &mut SideView) {
    let Some((bead, mount)) = fly.bead else { return };
    let at = mm(bead_centre(fly.hook, bead, mount));
    view.firm.push(Shape::Disc { at, radius: 0.5 * bead.diameter * MM });
    if let FrontMount::Pin(pin, projection) = mount {
        let (front, rear) = pin_span(fly.hook, pin, projection);
        let points = vec![[front * MM, at[1]], [rear * MM, at[1]]];
        view.firm.push(Shape::Stroke { points, half: 0.5 * pin.diameter * MM });
    }
}

fn wraps(fly: &Fly, view: &mut SideView) {
    let Some(wraps) = &fly.wraps else { return };
    let (front, rear) = wraps_span(fly.hook, fly.bead, wraps);
    let half = 0.5 * wrap_core(fly.hook, fly.bead) + wraps.wire.diameter;
    let y = fly.hook.shank_y();
    view.firm.push(Shape::Block { from: mm([front, y - half]), to: mm([rear, y + half]) });
}

fn foam(fly: &Fly, view: &mut SideView) {
    let Some(piece) = &fly.foam else { return };
    let (front, rear) = foam_span(fly.hook, piece);
    let (y, away) = (fly.hook.shank_y(), 0.5 * fly.hook.wire_diameter);
    let height = away + piece.foam.section(piece.cut).height;
    let (near, far) = match piece.seat {
        Seat::Tail | Seat::Back => (y - away, y - height),
        Seat::TailAlong => (y - 0.5 * (height - away), y + 0.5 * (height - away)),
        Seat::TailUnder | Seat::Belly => (y + away, y + height),
    };
    // Pale foam before a pale wall may not be seen at all.
    view.soft.push(Shape::Block { from: mm([front, near]), to: mm([rear, far]) });
}

fn dressing(fly: &Fly, view: &mut SideView) {
    let (corner, shank) = (fly.hook.corner(), fly.hook.shank_length);
    let scale = fly.dressing.scale(shank);
    for part in fly.dressing.components.iter().filter(|c| c.role == ComponentRole::Fibre) {
        let Some(diameter) = part.wet_diameter else { continue };
        let half = 0.5 * diameter * scale;
        let (from, to) = (corner[0] + part.from * shank, corner[0] + part.to * shank);
        let block = |share: f64| Shape::Block {
            from: mm([from, corner[1] - share * half]),
            to: mm([to, corner[1] + share * half]),
        };
        if part.solidity >= SOLID && part.to <= LONGER {
            view.firm.push(block(SURE));
            view.soft.push(block(LONGER + 0.2));
        } else {
            let root = mm([from, corner[1]]);
            view.soft.push(Shape::Fan { root, length: LONGER * (to - from) * MM, half: half * MM, spread: SPREAD });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::resolve;
    use crate::recipe::{BeadUse, Mount, Recipe};

    #[test]
    fn the_side_view_has_hook_and_bead_where_the_recipe_has_them() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = Recipe {
            hook: "jig60-12".into(),
            dressing: "light-body".into(),
            bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
            wire: None,
            foam: None,
        };
        let fly = resolve(&recipe, &catalog).unwrap();
        let view = SideView::of(&fly);
        let discs: Vec<f64> = view
            .firm
            .iter()
            .filter_map(|s| match s {
                Shape::Disc { radius, .. } => Some(*radius),
                _ => None,
            })
            .collect();
        assert!(discs.iter().any(|r| (r - 1.75).abs() < 1e-9), "the bead: {discs:?}");
        assert!((view.bend[0] - 1e3 * fly.hook.bend_x()).abs() < 1e-9 && view.bend[1] < 0.0);
        let lowest = view.firm.iter().filter_map(|s| match s {
            Shape::Stroke { points, .. } => points.iter().map(|p| p[1]).reduce(f64::max),
            _ => None,
        });
        // The point leg is a gap from the shank.
        let leg = 1e3 * (fly.hook.shank_y() + fly.hook.gap);
        assert!((lowest.reduce(f64::max).unwrap() - leg).abs() < 1e-9);
    }
}
