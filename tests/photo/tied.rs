//! The fly of a recipe, as this tracer shows it.

use super::tracer::dice::Dice;
use super::tracer::fly::{Block, ModelFly, Wire};
use super::tracer::sets::{FUR, TUNGSTEN};
use counterpoise::fly::{Fly, FrontMount, bead_centre, foam_span, pin_span, wraps_span};
use counterpoise::recipe::Seat;

/// The fly of a recipe, dressed by this tracer's own idea of hair and fur.
pub(crate) fn model(fly: &Fly, dice: &mut Dice, down: [f64; 2]) -> ModelFly {
    let mm = |m: f64| 1e3 * m;
    let hook = fly.hook;
    let wire = Wire {
        shank: mm(hook.shank_length),
        gap: mm(hook.gap),
        thick: mm(hook.wire_diameter),
        ring: mm(hook.eye_outer_diameter()) / 2.0,
        neck: (mm(hook.neck_length), hook.neck_angle.to_degrees()),
        point: mm(hook.point_length),
    };
    let mut model = ModelFly::bare(wire);
    let corner = wire.corner();
    if let Some((bead, mount)) = fly.bead {
        model.bead = Some((
            bead_centre(hook, bead, mount).map(mm),
            mm(bead.diameter),
            dice.pick(&[TUNGSTEN, [0.7, 0.55, 0.25], [0.1; 3]]),
        ));
        if let FrontMount::Pin(pin, projection) = mount {
            let (front, rear) = pin_span(hook, pin, projection);
            model.pin = Some(([mm(front), corner[1]], [mm(rear), corner[1]], mm(pin.diameter)));
        }
    }
    if let Some(head) = &hook.head {
        model.bead =
            Some(([corner[0] + mm(head.centre_aft_of_corner), corner[1]], mm(head.diameter()), [0.4, 0.41, 0.43]));
    }
    if let Some(wraps) = &fly.wraps {
        let (from, to) = wraps_span(hook, fly.bead, wraps);
        let half = 0.5 * wire.thick + mm(wraps.wire.diameter);
        model.wraps = Some(Block {
            from: [mm(from), corner[1] - half],
            to: [mm(to), corner[1] + half],
            colour: [0.4, 0.41, 0.43],
        });
    }
    if let Some(piece) = &fly.foam {
        let (from, to) = foam_span(hook, piece);
        let height = mm(piece.foam.section(piece.cut).height);
        let half = 0.5 * wire.thick;
        let (low, high) = match piece.seat {
            Seat::Tail | Seat::Back => (corner[1] - half - height, corner[1] - half),
            Seat::TailAlong => (corner[1] - 0.5 * height, corner[1] + 0.5 * height),
            Seat::TailUnder | Seat::Belly => (corner[1] + half, corner[1] + half + height),
        };
        let colour = dice.pick(&[[0.93, 0.92, 0.88], [0.8, 0.78, 0.7], [0.2, 0.2, 0.2], [0.75, 0.6, 0.4]]);
        model.foam = Some(Block { from: [mm(from), low], to: [mm(to), high], colour });
    }
    let colour = dice.pick(&FUR);
    let scale = fly.dressing.scale(hook.shank_length);
    for part in &fly.dressing.components {
        let Some(wet) = part.wet_diameter else { continue };
        let wide = mm(wet) * scale;
        let (from, to) = (corner[0] + part.from * wire.shank, corner[0] + part.to * wire.shank);
        if part.to <= 1.15 && part.solidity >= 0.35 {
            model = model.with_body(dice, from, to, wide, colour);
        } else {
            let scatter = (0.35 * wide / (to - from)).atan().to_degrees();
            let thin = (dice.pick(&FUR), dice.between(0.4, 0.8));
            let count = (12.0 + 120.0 * part.solidity) as usize;
            let droop = dice.between(0.0, 15.0);
            model = model.with_lock(dice, [from, corner[1]], to - from, 0.0, scatter, (down, droop), thin, count);
        }
    }
    model
}
