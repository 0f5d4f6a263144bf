//! Laws of foam, depth and sinking.

use super::cases;
use super::random_catalog::conditions;
use super::random_fly::{parts, piece};
use counterpoise::assess::predict;
use counterpoise::fly::{Conditions, FoamPiece, State, body, foam_part};
use counterpoise::part::FoamForm;
use counterpoise::physics::lowered::vertical_drag;
use counterpoise::physics::statics::{Hang, Knot};
use counterpoise::quantity::Microns;
use counterpoise::recipe::Seat;
use proptest::prelude::*;

fn lift(parts: &super::random_fly::Parts, um: i32, conditions: &Conditions) -> f64 {
    let fly = parts.fly();
    let piece = FoamPiece { length: Microns::new(um), ..fly.foam.unwrap() };
    -foam_part(fly.hook, &piece, conditions).moments(conditions.water.density).weight
}

proptest! {
    #![proptest_config(cases(128))]

    #[test]
    fn longer_foam_lifts_more(
        mut parts in parts(), foam in piece(), conditions in conditions(), a in 4_000..25_000i32, more in 1..5_000i32
    ) {
        parts.foam = Some(foam);
        prop_assert!(lift(&parts, a + more, &conditions) > lift(&parts, a, &conditions));
    }

    #[test]
    fn deeper_foam_lifts_less(
        mut parts in parts(), foam in piece(), conditions in conditions(), a in 0.0..20.0f64, more in 0.0..20.0f64
    ) {
        parts.foam = Some(foam);
        let at = |depth| lift(&parts, 10_000, &Conditions { depth, ..conditions });
        prop_assert!(at(a + more) <= at(a));
        prop_assert!(at(a) > 0.0, "a solid lighter than water still floats");
    }

    /// No piece lifts more than its whole volume could.
    #[test]
    fn foam_lifts_no_more_than_archimedes_allows(mut parts in parts(), foam in piece(), conditions in conditions()) {
        parts.foam = Some(foam);
        let (foam, cut, length, _) = parts.foam.as_ref().unwrap();
        let section = match foam.form {
            FoamForm::Rod { diameter } => std::f64::consts::FRAC_PI_4 * diameter * diameter,
            FoamForm::Strip { width, thickness } => width * thickness,
        } / cut.pieces() as f64;
        let most = (conditions.water.density - foam.density) * 9.806_65 * section * length.m();
        let found = lift(&parts, length.micrometres(), &conditions);
        prop_assert!(found <= most * (1.0 + 1e-9), "{found} {most}");
    }

    /// A level fly with foam at the tail goes tail-down as it goes deeper.
    #[test]
    fn a_level_fly_with_tail_foam_goes_tail_down_with_depth(
        mut parts in parts(), foam in piece(), conditions in conditions(), more in 0.5..10.0f64
    ) {
        parts.foam = Some((foam.0, foam.1, foam.2, Seat::Tail));
        let shallow = Conditions { depth: 0.3, state: State::Soaked, knot: Knot::Loop, ..conditions };
        let deep = Conditions { depth: 0.3 + more, ..shallow };
        let fly = parts.fly();
        let hang = |c: &Conditions| predict(&fly, c).hang.rest().map(|r| (r.angle, r.rides));
        if let (Some((a, up)), Some((b, still))) = (hang(&shallow), hang(&deep)) {
            prop_assert!(a.abs() > 0.3 || up != still || b >= a, "{a} {b}");
        }
    }

    /// At the sink rate found, drag carries the weight; slower it is less, faster it is more.
    #[test]
    fn at_the_sink_rate_drag_carries_the_weight(parts in parts(), conditions in conditions()) {
        let found = predict(&parts.fly(), &conditions);
        let weight = found.moments.weight;
        let Hang::Taut { rest, .. } = found.hang else {
            prop_assert!(found.lowered.sink_rate <= 0.0 && weight <= 0.0);
            return Ok(());
        };
        let rate = found.lowered.sink_rate;
        let drag = |v: f64| vertical_drag(&found.body, rest.down, v, &conditions.water);
        prop_assert!(rate > 0.0);
        prop_assert!((drag(rate) / weight - 1.0).abs() < 1e-5);
        let mut last = 0.0;
        for i in 1..=40 {
            let now = drag(2.0 * rate * f64::from(i) / 40.0);
            prop_assert!(now > last);
            last = now;
        }
    }

    #[test]
    fn masses_and_volumes_are_never_negative(parts in parts(), conditions in conditions()) {
        for load in body(&parts.fly(), &conditions).loads {
            prop_assert!(load.mass >= 0.0 && load.volume >= 0.0 && load.gyration_sq >= 0.0, "{:?}", load);
            prop_assert!(load.centroid.iter().all(|c| c.is_finite() && c.abs() < 0.1), "{:?}", load);
        }
    }
}
