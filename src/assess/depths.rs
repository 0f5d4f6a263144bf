//! Hang and sink rate over a range of depths.
//!
//! On a free loop the moment vector of a soaked fly is M(c) = A + c B, with c the volume of its foam over that at the
//! surface, which falls steadily with depth: M moves along a straight line. The directions of one window of hang angles
//! on one side of the point (at most half a turn) make a convex cone, and a line between two points of a convex cone
//! stays in it. So if the fly hangs in the window, on the same side, at both ends of the range, it does so at every depth
//! between.
//!
//! A fresh fly also holds bubbles, b = 1 / (1 + p / p0). Where the foam's walls carry nothing (p_c = 0) c is linear in b and
//! the same holds. Where p_c is above 0, M is straight between the pressures at which the walls hold the foam; deeper, the moment
//! about a window's edge is f(q) = a + K / (q - p_c) + L / q with q = p0 + p, which has at most one extreme value, at
//! q / (q - p_c) = sqrt(-L / K), and shallower, where warm gas swells, the same with + p_c. The ends, the kinks and the extremes of
//! all edges then decide.
//!
//! On a snug knot no such rule holds: seventeen depths, even in depth, are tried, and a fly that leaves the window
//! between two of them is not noticed.
//!
//! Weight grows with depth, so a fly that sinks at the shallow end sinks everywhere. The sink rate is looked at at both
//! ends only.

use super::{Check, Requirement, at_most, hang_check};
use crate::fly::{self, Conditions, Fly};
use crate::physics::friction;
use crate::physics::lowered::lowered;
use crate::physics::sinking::{Gas, Sinking, Squeeze};
use crate::physics::statics::{Hang, Knot, Rest, Rides, hang};
use crate::physics::water::Water;
use crate::wanted::Target;
use std::f64::consts::PI;

/// Depths tried on a snug knot.
const SNUG_DEPTHS: usize = 17;

/// The checks that a range of depths adds to those at its deep end, where the fly rests in `deep`. Empty without a range.
pub(super) fn checks(fly: &Fly, target: &Target, deep: &Rest) -> Vec<Check> {
    if target.fall.shallow.is_none() {
        return Vec::new();
    }
    checks_of(&fly::sinking(fly, &target.conditions), fly.hook.neck_angle, target, deep, 0.0)
}

/// The same for a fly that has been placed, held in the eye with a lever of `held`, m.
pub(super) fn checks_of(sinking: &Sinking, neck_angle: f64, target: &Target, deep: &Rest, held: f64) -> Vec<Check> {
    let Some(shallow) = target.fall.shallow else { return Vec::new() };
    let conditions = &target.conditions;
    let mut checks = Vec::new();
    for depth in deciding_depths(sinking, target, shallow) {
        let moments = sinking.moments(depth, &conditions.water);
        checks.push(super::sinks_check(moments).at(depth));
        if let Hang::Taut { rest, .. } = hang(moments, conditions.knot, neck_angle) {
            let rest = friction::held(&rest, moments, held);
            checks.push(hang_check(&rest, target).at(depth));
            checks.push(same_side(rest.rides, deep.rides).at(depth));
        }
    }
    checks
}

/// Sink rate on a tight line at another depth, m/s; `None` for a fly that floats there.
pub(super) fn sink_rate(fly: &Fly, target: &Target, depth: f64) -> Option<f64> {
    let conditions = Conditions { depth, ..target.conditions };
    let body = fly::body(fly, &conditions);
    let moments = body.moments(conditions.water.density);
    let hang = hang(moments, conditions.knot, fly.hook.neck_angle);
    hang.rest().map(|_| lowered(&body, moments.weight, &hang, &conditions.water).0.sink_rate)
}

/// The point stays on the side on which it is at the deep end.
fn same_side(rides: Rides, deep: Rides) -> Check {
    Check::of(Requirement::Rides, if rides == deep { 0.0 } else { 1.0 }, at_most(0.0))
}

/// Depths that decide for the whole range, without its deep end.
fn deciding_depths(sinking: &Sinking, target: &Target, shallow: f64) -> Vec<f64> {
    let water = &target.conditions.water;
    let deep = target.conditions.depth;
    if matches!(target.conditions.knot, Knot::Snug(_)) {
        let step = (deep - shallow) / (SNUG_DEPTHS - 1) as f64;
        return (0..SNUG_DEPTHS - 1).map(|i| shallow + step * i as f64).collect();
    }
    let mut depths = vec![shallow];
    let bubbles = sinking.gas.iter().any(|g| g.squeeze == Squeeze::BUBBLE);
    let walls = sinking.gas.iter().map(|g| g.squeeze.collapse_pressure).find(|p| *p > 0.0);
    if let (true, Some(collapse)) = (bubbles, walls) {
        let per_metre = water.pressure_at_depth(1.0);
        let (low, high) = water.gas().held(collapse);
        depths.extend([low / per_metre, high / per_metre]);
        let extremes = edges(target).flat_map(|beta| {
            [collapse, -collapse].into_iter().filter_map(move |p| extreme_pressure(&sinking.gas, p, beta, water))
        });
        depths.extend(extremes.map(|pressure| pressure / per_metre));
        depths.retain(|d| (shallow..deep).contains(d));
    }
    depths
}

/// Turns at the edges of the windows of both sides.
fn edges(target: &Target) -> impl Iterator<Item = f64> {
    let (low, high) = (target.hang - target.tolerance, target.hang + target.tolerance);
    [low, high, PI - low, PI - high].into_iter()
}

/// Gauge pressure at which the moment about an edge is extreme, Pa, where the walls carry `collapse`: below 0 for gas that swells.
fn extreme_pressure(gas: &[Gas], collapse: f64, beta: f64, water: &Water) -> Option<f64> {
    let (sin, cos) = beta.sin_cos();
    let lift = |bubble: bool| -> f64 {
        let own = gas.iter().filter(|g| (g.squeeze == Squeeze::BUBBLE) == bubble);
        own.map(|g| {
            let arm = g.load.centroid[0] * cos + g.load.centroid[1] * sin;
            -water.density * g.load.volume * arm * (1.0 - g.squeeze.relative_density)
        })
        .sum()
    };
    let (foam, bubbles) = (lift(false) * water.gas().warmth, lift(true));
    let s = (-bubbles / foam).sqrt();
    let absolute = s * collapse / (s - 1.0);
    (absolute.is_finite() && absolute > 0.0).then_some(absolute - water.air_pressure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::resolve;
    use crate::part::Cut;
    use crate::quantity::Microns;
    use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat};
    use crate::wanted::TargetSpec;

    fn target(depth: &str, state: &str, catalog: &Catalog) -> Target {
        let spec = TargetSpec {
            depth: Some(depth.parse().unwrap()),
            state: Some(state.into()),
            hang: Some("60 deg".parse().unwrap()),
            tolerance: Some("20 deg".parse().unwrap()),
            rides: Some("either".into()),
            ..TargetSpec::default()
        };
        spec.resolve(catalog).unwrap().0
    }

    /// Walks down in small steps: hang inside the window and on one side all the way?
    fn walked(fly: &Fly, target: &Target, shallow: f64) -> bool {
        let sinking = fly::sinking(fly, &target.conditions);
        let mut side = None;
        (0..=400).all(|i| {
            let depth = shallow + (target.conditions.depth - shallow) * f64::from(i) / 400.0;
            let moments = sinking.moments(depth, &target.conditions.water);
            match hang(moments, target.conditions.knot, fly.hook.neck_angle).rest() {
                Some(rest) => *side.get_or_insert(rest.rides) == rest.rides && target.hang_window().holds(rest.angle),
                None => false,
            }
        })
    }

    #[test]
    fn the_deciding_depths_say_what_a_walk_down_says() {
        let catalog = Catalog::built_in().unwrap();
        let (mut held, mut failed) = (0, 0);
        for (foam, state) in [("pe-rod-1-4in", "soaked"), ("xpe-strip-3x5mm", "fresh"), ("eva-cylinder-5mm", "fresh")] {
            let target = target("0.3..4 m", state, &catalog);
            for seat in Seat::ALL {
                for um in (5_000..30_000).step_by(500) {
                    let recipe = Recipe {
                        hook: "streamer-6".into(),
                        dressing: "fur-leech".into(),
                        bead: Some(BeadUse { id: "tungsten-3.5".into(), mount: Mount::Eye }),
                        wire: None,
                        foam: Some(FoamUse { id: foam.into(), cut: Cut::Whole, length: Microns::new(um), seat }),
                    };
                    let fly = resolve(&recipe, &catalog).unwrap();
                    let sinking = fly::sinking(&fly, &target.conditions);
                    let moments = sinking.moments(4.0, &target.conditions.water);
                    let deep = hang(moments, Knot::Loop, fly.hook.neck_angle);
                    let Some(rest) = deep.rest() else { continue };
                    let ours = hang_check(rest, &target).met && checks(&fly, &target, rest).iter().all(|c| c.met);
                    let theirs = walked(&fly, &target, 0.3);
                    assert_eq!(ours, theirs, "{recipe}");
                    if ours { held += 1 } else { failed += 1 }
                }
            }
        }
        assert!(held > 10 && failed > 10, "{held} {failed}");
    }

    #[test]
    fn the_extreme_between_the_ends_is_found() {
        // Foam and bubbles that pull opposite ways: f goes one way and back again.
        let at = |x: f64, volume: f64, squeeze| Gas {
            load: crate::physics::body::Load {
                label: crate::physics::body::Label::Foam,
                mass: 0.0,
                volume,
                centroid: [x, 0.0],
                gyration_sq: 0.0,
            },
            squeeze,
        };
        let foam = Squeeze { collapse_pressure: 20e3, relative_density: 0.1 };
        let gas = [at(-10e-3, 3.0e-8, foam), at(10e-3, 3.3e-8, Squeeze::BUBBLE)];
        let water = Water::new(12.0, 0.0).unwrap();
        let found = extreme_pressure(&gas, 20e3, 0.0, &water).unwrap();
        let f = |p: f64| {
            gas.iter().map(|g| g.load.volume * g.squeeze.ratio(p, water.gas()) * g.load.centroid[0]).sum::<f64>()
        };
        assert!(found > 20e3);
        assert!((f(found) - f(0.9 * found)) * (f(found) - f(1.1 * found)) > 0.0, "{found}");
        assert_eq!(extreme_pressure(&gas[1..], 20e3, 0.0, &water), None);
    }
}
