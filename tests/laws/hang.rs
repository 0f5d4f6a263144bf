//! Laws of the hang on a free loop.

use super::cases;
use super::random_fly::{Parts, parts};
use counterpoise::fly::{Conditions, State, body};
use counterpoise::part::{BeadShape, Hook};
use counterpoise::physics::body::{Body, Label, Load};
use counterpoise::physics::statics::{Hang, Knot, Moments, Rest, hang};
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use proptest::collection::vec;
use proptest::prelude::*;

pub(super) fn still_water() -> Conditions {
    Conditions { water: Water::new(12.0, 0.0).unwrap(), depth: 0.0, state: State::Soaked, knot: Knot::Loop }
}

/// Loads of some milligrams to a gram, lighter or heavier than water, within 20 mm.
fn loads() -> impl Strategy<Value = Vec<Load>> {
    let place = (-20e-3..20e-3f64, -10e-3..10e-3f64);
    let one = (1e-6..1e-3f64, 0.0..3e-7f64, place).prop_map(|(mass, volume, (x, y))| Load {
        label: Label::Hook,
        mass,
        volume,
        centroid: [x, y],
        gyration_sq: 0.0,
    });
    vec(one, 1..9)
}

fn moments_of(loads: Vec<Load>) -> Moments {
    Body { loads, elements: Vec::new() }.moments(1000.0)
}

/// Moments of a fly that sinks and does not hang on a knife edge.
pub(super) fn sinking() -> impl Strategy<Value = Moments> {
    (0.2e-3..20e-3f64, -20e-3..20e-3f64, -10e-3..10e-3f64)
        .prop_map(|(weight, x, y)| Moments { weight, x: weight * x, y: weight * y })
        .prop_filter("hangs somewhere", |m| m.magnitude() > 1e-7)
}

pub(super) fn rest(moments: Moments, knot: Knot, neck_angle: f64) -> Rest {
    *hang(moments, knot, neck_angle).rest().unwrap()
}

proptest! {
    #![proptest_config(cases(256))]

    #[test]
    fn the_order_of_loads_does_not_matter(
        (loads, shuffled) in loads().prop_flat_map(|l| (Just(l.clone()), Just(l).prop_shuffle()))
    ) {
        let size: f64 = loads.iter().map(|l| (l.mass + 1000.0 * l.volume) * 9.8 * 20e-3).sum();
        let (a, b) = (moments_of(loads), moments_of(shuffled));
        prop_assert!((a.x - b.x).abs() <= 1e-13 * size && (a.y - b.y).abs() <= 1e-13 * size);
        prop_assume!(a.weight > 1e-6 && a.magnitude() > 1e-3 * size);
        let (a, b) = (rest(a, Knot::Loop, 0.0), rest(b, Knot::Loop, 0.0));
        prop_assert!((a.angle - b.angle).abs() < 1e-9 && a.rides == b.rides);
    }

    #[test]
    fn the_mirror_image_rides_the_other_way_at_the_same_angle(m in sinking()) {
        let image = Moments { y: -m.y, ..m };
        prop_assume!(m.y.abs() > 1e-12);
        let (a, b) = (rest(m, Knot::Loop, 0.0), rest(image, Knot::Loop, 0.0));
        prop_assert!((a.angle - b.angle).abs() < 1e-12 && (a.steadiness / b.steadiness - 1.0).abs() < 1e-12);
        prop_assert_ne!(a.rides, b.rides);
    }

    /// At rest the moment vector points straight down, so nothing turns the fly; any turn lifts it.
    #[test]
    fn at_rest_nothing_turns_the_fly(m in sinking(), turn in -3.0..3.0f64) {
        let rest = rest(m, Knot::Loop, 0.0);
        let [x, y] = rest.down;
        prop_assert!((x.hypot(y) - 1.0).abs() < 1e-12);
        prop_assert!((m.x * y - m.y * x).abs() < 1e-12 * m.magnitude());
        let turned = [x * turn.cos() - y * turn.sin(), x * turn.sin() + y * turn.cos()];
        let depth = |d: [f64; 2]| m.x * d[0] + m.y * d[1];
        prop_assert!(depth(turned) <= depth(rest.down));
        prop_assert!((rest.angle.sin() - x).abs() < 1e-12);
    }

    #[test]
    fn weight_aft_lowers_the_tail_and_lift_aft_raises_it(m in sinking(), more in 1e-6..5e-3f64, x in 1e-3..20e-3f64) {
        let now = rest(m, Knot::Loop, 0.0).angle;
        prop_assert!(rest(m.plus(more, [x, 0.0]), Knot::Loop, 0.0).angle >= now);
        prop_assert!(rest(m.plus(more, [-x, 0.0]), Knot::Loop, 0.0).angle <= now);
        let lift = more.min(0.5 * m.weight);
        prop_assert!(rest(m.plus(-lift, [x, 0.0]), Knot::Loop, 0.0).angle <= now);
    }

    #[test]
    fn sinkers_hang_and_floaters_float_whichever_end_is_heavy(m in sinking(), neck in 0.0..1.6f64) {
        let rest = rest(m, Knot::Loop, neck);
        prop_assert_eq!(rest.angle > 0.0, m.x > 0.0, "tail down when its weight is aft");
        let floater = Moments { weight: -m.weight, ..m };
        prop_assert_eq!(hang(floater, Knot::Loop, neck), Hang::Floats);
        prop_assert_eq!(hang(Moments { weight: 0.0, ..m }, Knot::Loop, neck), Hang::Floats);
    }

    /// Every length k times as long at the same densities: weights go with k^3, moments with k^4, the hang stays.
    #[test]
    fn a_fly_scaled_up_hangs_at_the_same_angle(mut parts in parts(), scale in 0.4..3.0f64) {
        parts.dressing.components.clear();
        parts.foam = None;
        let large = scaled(&parts, scale);
        let moments = |p: &Parts| body(&p.fly(), &still_water()).moments(still_water().water.density);
        let (a, b) = (moments(&parts), moments(&large));
        // Positions are whole micrometres, so a scaled position is off by half of one.
        prop_assert!((b.weight / a.weight / scale.powi(3) - 1.0).abs() < 2e-4);
        prop_assume!(a.magnitude() > 1e-3 * a.weight);
        let (a, b) = (rest(a, Knot::Loop, 0.0), rest(b, Knot::Loop, 0.0));
        prop_assert!((a.angle - b.angle).abs() < 5e-3 && (a.rides == b.rides || a.angle.abs() > 1.56));
        prop_assert!((b.steadiness / a.steadiness / scale.powi(4) - 1.0).abs() < 5e-3);
    }
}

fn scaled(parts: &Parts, k: f64) -> Parts {
    let mut large = parts.clone();
    let um = |length: Microns| Microns::from_mm(length.mm() * k).unwrap();
    scale_hook(&mut large.hook, k);
    if let Some((bead, pin)) = &mut large.bead {
        bead.diameter *= k;
        bead.bore_diameter *= k;
        bead.shape = match bead.shape {
            BeadShape::Drilled => BeadShape::Drilled,
            BeadShape::Countersunk { diameter, depth } => {
                BeadShape::Countersunk { diameter: k * diameter, depth: k * depth }
            }
            BeadShape::Slotted { width, length_share } => BeadShape::Slotted { width: k * width, length_share },
        };
        if let Some((pin, at)) = pin {
            pin.diameter *= k;
            pin.length *= k;
            pin.head_diameter *= k;
            pin.head_length *= k;
            *at = um(*at);
        }
    }
    if let Some((wire, _, start)) = &mut large.wire {
        wire.diameter *= k;
        *start = um(*start);
    }
    large
}

fn scale_hook(hook: &mut Hook, k: f64) {
    for length in [
        &mut hook.wire_diameter,
        &mut hook.eye_inner_diameter,
        &mut hook.neck_length,
        &mut hook.shank_length,
        &mut hook.gap,
        &mut hook.point_length,
    ] {
        *length *= k;
    }
    if let Some(head) = &mut hook.head {
        head.mass *= k.powi(3);
        head.centre_aft_of_corner *= k;
    }
}
