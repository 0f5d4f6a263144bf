//! Where a simpler formula holds, ours must give the same.

use super::cases;
use super::hang::{rest, still_water};
use super::random_catalog::{bead, conditions, dressing, foam, hook, material, wire};
use counterpoise::fly::{
    Conditions, Fly, FoamPiece, FrontMount, State, Wraps, bead_centre, body, dressing_parts, foam_part, practice,
};
use counterpoise::part::{Cut, Dressing, FoamForm, Surface};
use counterpoise::physics::statics::Knot;
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::recipe::Seat;
use proptest::prelude::*;

const G: f64 = 9.806_65;

/// The dressing without its materials.
fn bare(mut dressing: Dressing) -> Dressing {
    dressing.components.clear();
    dressing
}

proptest! {
    #![proptest_config(cases(128))]

    /// A hook as heavy as water weighs nothing: the bead hangs straight below the eye.
    #[test]
    fn a_bead_on_a_weightless_hook_hangs_along_the_line(mut hook in hook(0), bead in bead(0), dressing in dressing()) {
        hook.head = None;
        hook.material = material(still_water().water.density);
        let dressing = bare(dressing);
        let fly = Fly { hook: &hook, dressing: &dressing, bead: Some((&bead, FrontMount::Eye)), wraps: None, foam: None };
        let moments = body(&fly, &still_water()).moments(still_water().water.density);
        let rest = rest(moments, Knot::Loop, 0.0);
        let [x, y] = bead_centre(&hook, &bead, FrontMount::Eye);
        let across = (rest.down[0] * y - rest.down[1] * x).abs();
        // Countersinks and slots move the metal a little off the centre of the sphere.
        let shift = bead.solid().centroid;
        prop_assert!(across <= shift[0].hypot(shift[1]) * (1.0 + 1e-9) + 1e-12, "{across}");
        prop_assert!(rest.down[0] * x + rest.down[1] * y > 0.0);
    }

    /// Straight wire wrapped on a weightless straight hook hangs below the eye, tail straight down.
    #[test]
    fn wraps_on_a_weightless_straight_hook_hang_straight_down(mut hook in hook(0), wire in wire(0), dressing in dressing(), turns in 3u32..9) {
        hook.head = None;
        (hook.neck_length, hook.neck_angle) = (0.0, 0.0);
        hook.material = material(still_water().water.density);
        let dressing = bare(dressing);
        let wraps = Some(Wraps { wire: &wire, turns, start: Microns::new(500) });
        let fly = Fly { hook: &hook, dressing: &dressing, bead: None, wraps, foam: None };
        let moments = body(&fly, &still_water()).moments(still_water().water.density);
        prop_assert!((rest(moments, Knot::Loop, 0.0).angle - std::f64::consts::FRAC_PI_2).abs() < 1e-6);
    }

    /// Without cells to flood and near the surface, foam lifts by Archimedes, less what the thread squeezes out.
    #[test]
    fn ideal_foam_lifts_by_archimedes(mut foam in foam(0), hook in hook(0), um in 4_000..25_000i32) {
        foam.cell = 0.0;
        foam.surface = Surface::Skin;
        let piece = FoamPiece { foam: &foam, cut: Cut::Half, length: Microns::new(um), seat: Seat::Tail };
        // At the temperature at which foam is measured.
        let conditions = Conditions { water: Water::new(20.0, 0.0).unwrap(), ..still_water() };
        let water = conditions.water.density;
        let weight = foam_part(&hook, &piece, &conditions).moments(water).weight;
        let area = match foam.form {
            FoamForm::Rod { diameter } => std::f64::consts::FRAC_PI_4 * diameter * diameter / 2.0,
            FoamForm::Strip { width, thickness } => width * thickness / 2.0,
        };
        let squeezed = practice::FOAM_SQUEEZE * practice::FOAM_BOUND_LENGTH * area;
        let whole = area * piece.length.m();
        let expected = (foam.density * whole - water * (whole - squeezed)) * G;
        prop_assert!((weight / expected - 1.0).abs() < 1e-12, "{weight} {expected}");
    }

    #[test]
    fn a_soaked_dressing_weighs_what_its_fibre_does_and_a_fresh_one_less(
        hook in hook(0), dressing in dressing(), conditions in conditions()
    ) {
        let weight = |state| {
            let conditions = Conditions { state, ..conditions };
            dressing_parts(&hook, &dressing, &conditions).moments(conditions.water.density).weight
        };
        let scale = hook.shank_length / dressing.reference_shank;
        let fibre: f64 = dressing
            .components
            .iter()
            .map(|c| c.dry_mass * scale * scale * (1.0 - conditions.water.density / c.material.density_kg_m3) * G)
            .sum();
        prop_assert!((weight(State::Soaked) - fibre).abs() < 1e-15);
        prop_assert!(dressing.components.is_empty() || weight(State::Fresh) < weight(State::Soaked));
    }

    /// Parts add up: a fly is its parts, each placed alone.
    #[test]
    fn a_fly_is_the_sum_of_its_parts(hook in hook(0), bead in bead(0), dressing in dressing(), conditions in conditions()) {
        let water = conditions.water.density;
        let none = bare(dressing.clone());
        let fly = |dressing, bead| Fly { hook: &hook, dressing, bead, wraps: None, foam: None };
        let of = |f: Fly| body(&f, &conditions).moments(water);
        let front = Some((&bead, FrontMount::Eye));
        let all = of(fly(&dressing, front));
        let (hook_alone, with_bead, dressed) = (of(fly(&none, None)), of(fly(&none, front)), of(fly(&dressing, None)));
        for (whole, sum) in [
            (all.weight, with_bead.weight + dressed.weight - hook_alone.weight),
            (all.x, with_bead.x + dressed.x - hook_alone.x),
            (all.y, with_bead.y + dressed.y - hook_alone.y),
        ] {
            prop_assert!((whole - sum).abs() < 1e-15, "{whole} {sum}");
        }
    }
}
