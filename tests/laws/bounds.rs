//! What the search says of a whole set must hold for each of the set.

use super::cases;
use super::hang::sinking;
use super::random_catalog::{hook, target};
use super::random_fly::{parts, piece};
use counterpoise::assess::predict;
use counterpoise::fly::{FoamPiece, foam_part};
use counterpoise::physics::body::{DragElement, DragShape, Label, Rod};
use counterpoise::physics::build_up::{drag_bounds, element_force};
use counterpoise::physics::drag::{axial, sphere};
use counterpoise::physics::statics::{Moments, hang};
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::search::bounds::foam_law::FoamLaw;
use counterpoise::search::bounds::range::Range;
use counterpoise::search::bounds::{Bounds, STEEPEST, Turn, Turning};
use counterpoise::wanted::Target;
use proptest::collection::vec;
use proptest::prelude::*;
use std::f64::consts::PI;

/// Ranges that just hold the turning moments and weights of some bodies.
fn hull(bounds: &Bounds, set: &[Moments]) -> (Turning, Range) {
    let mut turning = bounds.turning(set[0]);
    let mut weight = Range::point(set[0].weight);
    for more in &set[1..] {
        weight = weight.hull(Range::point(more.weight));
        for (sum, new) in turning.iter_mut().zip(bounds.turning(*more)) {
            *sum = std::array::from_fn(|i| sum[i].hull(new[i]));
        }
    }
    (turning, weight)
}

/// Margin of the hang of a body, if it hangs as wanted.
fn hang_margin(moments: Moments, target: &Target, neck_angle: f64, jig: &counterpoise::part::Hook) -> Option<f64> {
    let found = hang(moments, target.conditions.knot, neck_angle);
    let rest = found.rest()?;
    let right_side = target.rides.side(jig).is_none_or(|side| side == rest.rides);
    (right_side && target.hang_window().holds(rest.angle)).then(|| target.hang_window().margin(rest.angle))
}

fn any_rod() -> impl Strategy<Value = DragElement> {
    let sizes = (0.2e-3..8e-3f64, 0.5..30.0f64, 1.0..4.0f64, 0.3..=1.0f64);
    let kind = (0.2..=1.0f64, 0.0..1.0f64, -PI..PI, any::<bool>(), any::<bool>());
    (sizes, kind).prop_map(|((diameter, ratio, longer, breadth), (solidity, ends, angle, sharp, free))| {
        let length = diameter * ratio;
        let rod = Rod {
            diameter,
            breadth: breadth * diameter,
            length,
            span: length * longer,
            axis: [angle.cos(), angle.sin()],
            solidity,
            blunt_ends: if free { ends } else { 0.0 },
            sharp,
        };
        DragElement { label: Label::Foam, shape: DragShape::Slender(rod), centre: [0.0, 0.0] }
    })
}

/// Drag against the motion, N, at a speed with the way down at a turn.
fn drag_at(element: &DragElement, speed: f64, beta: f64, water: &Water) -> f64 {
    let down = [beta.sin(), -beta.cos()];
    let force = element_force(element, [speed * down[0], speed * down[1]], water);
    -(force[0] * down[0] + force[1] * down[1])
}

proptest! {
    #![proptest_config(cases(256))]

    /// What every bound of a sink rate rests on, and the bound of the margin.
    #[test]
    fn drag_of_every_shape_grows_with_speed_and_no_faster_than_with_the_steepest_power(
        element in any_rod(), beta in -PI..PI, slowest in 0.001..0.1f64
    ) {
        let water = Water::new(10.0, 0.0).unwrap();
        let mut last: Option<(f64, f64)> = None;
        for i in 0..120 {
            let speed = slowest * 1.06_f64.powi(i);
            let drag = drag_at(&element, speed, beta, &water);
            if let Some((slow, less)) = last {
                prop_assert!(drag > less * 0.999_999 * speed / slow, "{speed} m/s: {drag} after {less}");
                prop_assert!(drag <= less * (speed / slow).powf(STEEPEST), "{speed} m/s: {drag} after {less}");
            }
            last = Some((speed, drag));
        }
    }

    /// The drag of a rod is not monotone in its angle to the flow; its bounds hold and are close in a narrow window.
    #[test]
    fn drag_between_two_attitudes_is_within_its_bounds(
        element in any_rod(), speed in 0.005..1.5f64, from in -PI..PI, width in 0.0..2.0f64
    ) {
        let water = Water::new(10.0, 0.0).unwrap();
        let (low, high) = drag_bounds(&element, speed, (from, from + width), &water);
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for i in 0..=200 {
            let drag = drag_at(&element, speed, from + width * f64::from(i) / 200.0, &water);
            least = least.min(drag);
            most = most.max(drag);
        }
        prop_assert!(low <= least * (1.0 + 1e-12) && most <= high * (1.0 + 1e-12), "{low} {least} {most} {high}");
        prop_assert!(width > 0.02 || high - low < 0.15 * high, "{low} {high}");
    }

    /// Seen in a mirror the force is mirrored; turned about, it is turned.
    #[test]
    fn a_mirrored_rod_has_mirrored_drag(element in any_rod(), u in -1.0..1.0f64, w in -1.0..1.0f64) {
        let water = Water::new(10.0, 0.0).unwrap();
        let DragShape::Slender(rod) = element.shape else { unreachable!() };
        let flipped = DragElement { shape: DragShape::Slender(Rod { axis: [rod.axis[0], -rod.axis[1]], ..rod }), ..element };
        let turned = DragElement { shape: DragShape::Slender(Rod { axis: rod.axis.map(|a| -a), ..rod }), ..element };
        let [x, y] = element_force(&element, [u, w], &water);
        let size = x.hypot(y);
        let near = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]) <= 1e-12 * size;
        prop_assert!(near(element_force(&flipped, [u, -w], &water), [x, -y]));
        prop_assert!(near(element_force(&turned, [u, w], &water), [x, y]), "end for end");
    }
}

#[test]
fn no_sphere_or_friction_grows_faster_than_with_the_steepest_power_of_the_speed() {
    let water = Water::new(10.0, 0.0).unwrap();
    let width = 1e-3;
    let drags: [&dyn Fn(f64) -> f64; 2] = [&|v| sphere::DEFAULT.force(v, width, 1e-6, &water).value, &|v| {
        axial::friction_force(v, width, 20.0 * width, &water).value
    }];
    for drag in drags {
        // Reynolds numbers up to 2e5 on the width.
        for i in -400..560 {
            let (slow, fast) = (1.02_f64.powi(i), 1.02_f64.powi(i + 1));
            let most = drag(slow) * (fast / slow).powf(STEEPEST);
            assert!(drag(fast) <= most && drag(fast) >= drag(slow), "{slow} m/s");
        }
    }
}

proptest! {
    #![proptest_config(cases(512))]

    #[test]
    fn no_set_is_ruled_out_that_holds_a_fly_which_hangs_as_wanted(
        set in vec(sinking(), 1..4), target in target(), hook in hook(0)
    ) {
        let bounds = Bounds::new(&target, &hook);
        let (turning, weight) = hull(&bounds, &set);
        for moments in &set {
            let Some(margin) = hang_margin(*moments, &target, hook.neck_angle, &hook) else { continue };
            prop_assert!(!bounds.hang_impossible(&turning, weight));
            prop_assert!(!bounds.hang_narrowed_out(&turning, weight, &bounds.narrowed(margin)));
        }
    }

    #[test]
    fn the_law_of_a_foam_holds_every_length(
        foam in piece(), hook in hook(0), target in target(), a in 4_000..30_000i32, width in 0..12_000i32, part in 0.0..1.0f64
    ) {
        let um = a + (part * f64::from(width)) as i32;
        let piece = |um| FoamPiece { foam: &foam.0, cut: foam.1, length: Microns::new(um), seat: foam.3 };
        let law = FoamLaw::new(&hook, piece(a), &target.conditions);
        let placed = foam_part(&hook, &piece(um), &target.conditions);
        let moments = placed.moments(target.conditions.water.density);
        let (from, to) = (f64::from(a) * 1e-6, f64::from(a + width) * 1e-6);
        let holds = |range: Range, value: f64, slack: f64| range.low - slack <= value && value <= range.high + slack;
        let mass: f64 = placed.loads.iter().map(|l| l.mass).sum();
        prop_assert!(holds(law.weight(from, to), moments.weight, 1e-12), "{:?} {}", law.weight(from, to), moments.weight);
        prop_assert!(holds(law.mass(from, to), mass, 1e-15));
        for beta in [-1.2, -0.3, 0.0, 0.8, 1.5, 2.9_f64] {
            let value = moments.x * beta.cos() + moments.y * beta.sin();
            prop_assert!(holds(law.turning(Turn::new(beta), from, to), value, 0.0), "{beta}");
        }
        if width == 0 {
            prop_assert!((law.weight(from, to).low / moments.weight - 1.0).abs() < 1e-9);
        }
    }

    /// A sink rate that a fly has is never ruled out from the drag of its elements.
    #[test]
    fn drag_bounds_never_rule_out_the_sink_rate_of_a_fly(parts in parts(), target in target()) {
        let fly = parts.fly();
        let found = predict(&fly, &target.conditions);
        let margin = hang_margin(found.moments, &target, fly.hook.neck_angle, fly.hook);
        let meets = target.sink.is_none_or(|window| window.holds(found.lowered.sink_rate));
        if margin.is_none() || !meets {
            return Ok(());
        }
        let bounds = Bounds::new(&target, fly.hook);
        let weight = Range::point(found.moments.weight);
        prop_assert!(!bounds.sink_impossible(weight, bounds.drag(&found.body.elements)));
    }
}
