//! What the search says of a whole set must hold for each of the set.

use super::cases;
use super::hang::sinking;
use super::random_catalog::{hook, target};
use super::random_fly::{parts, piece};
use counterpoise::assess::predict;
use counterpoise::fly::{FoamPiece, foam_part};
use counterpoise::physics::drag::{axial, cylinder, sphere};
use counterpoise::physics::statics::{Moments, hang};
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::search::bounds::foam_law::FoamLaw;
use counterpoise::search::bounds::range::Range;
use counterpoise::search::bounds::{Bounds, STEEPEST, Turn, Turning};
use counterpoise::wanted::Target;
use proptest::collection::vec;
use proptest::prelude::*;

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

/// What the bound of the margin rests on.
#[test]
fn no_drag_grows_faster_than_with_the_steepest_power_of_the_speed() {
    let water = Water::new(10.0, 0.0).unwrap();
    let width = 1e-3;
    let drags: [&dyn Fn(f64) -> f64; 3] = [
        &|v| sphere::DEFAULT.force(v, width, 1e-6, &water).value,
        &|v| cylinder::DEFAULT.force(v, width, 1e-6, &water).value,
        &|v| axial::friction_force(v, width, 20.0 * width, &water).value,
    ];
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
