//! The hang in air: the same model in a fluid of next to no density.

use super::hang::rest;
use super::random_fly::parts;
use super::shares::drawn_recipe;
use super::{cases, hang};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{AsTied, Conditions, Deviation, Limits, State, body, resolve};
use counterpoise::physics::GRAVITY;
use counterpoise::physics::body::{Body, Label, Load};
use counterpoise::physics::statics::{Knot, Moments};
use counterpoise::physics::water::Water;
use counterpoise::recipe::Seat;
use counterpoise::report::RecipeReport;
use counterpoise::spread::draws::stream;
use counterpoise::vice::Stage;
use counterpoise::vice::{Bench, HangTest, Jar};
use counterpoise::wanted::{Line, TargetSpec};
use proptest::collection::vec;
use proptest::prelude::*;
use std::f64::consts::PI;

fn in_air() -> Conditions {
    Conditions { water: Water::air(20.0).unwrap(), ..hang::still_water() }
}

/// Turn between two directions down, rad.
fn apart(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] * b[1] - a[1] * b[0]).atan2(a[0] * b[0] + a[1] * b[1]).abs()
}

/// Loads of any density.
fn loads() -> impl Strategy<Value = Vec<Load>> {
    let one = (1e-6..1e-3f64, 1e-10..3e-7f64, -20e-3..20e-3f64, -10e-3..10e-3f64)
        .prop_map(|(mass, volume, x, y)| Load { label: Label::Hook, mass, volume, centroid: [x, y], gyration_sq: 0.0 });
    vec(one, 1..9)
}

fn moments(loads: &[Load], density: f64) -> Moments {
    Body { loads: loads.to_vec(), elements: Vec::new() }.moments(density)
}

proptest! {
    #![proptest_config(cases(200))]

    /// In a fluid of density 0 the centre of mass hangs below the tie point, whatever the volumes.
    #[test]
    fn without_density_it_is_the_centre_of_mass(parts in parts()) {
        let fly = parts.fly();
        let nothing = Water { density: 0.0, ..in_air().water };
        let loads = body(&fly, &Conditions { water: nothing, ..in_air() }).loads;
        let centre = [0, 1].map(|k| loads.iter().map(|l| l.mass * l.centroid[k]).sum::<f64>());
        let size = centre[0].hypot(centre[1]);
        prop_assume!(size > 1e-10);
        let hung = rest(AsTied::new(fly, &Conditions { water: nothing, ..in_air() }).moments(&Deviation::NONE), Knot::Loop, 0.0);
        prop_assert!(apart(hung.down, [centre[0] / size, centre[1] / size]) < 1e-9);
        // Air moves that by its buoyancy alone.
        let air = in_air().water.density;
        let lift: f64 = loads.iter().map(|l| air * l.volume * l.centroid[0].hypot(l.centroid[1])).sum();
        prop_assume!(lift < 0.5 * size);
        let in_air = rest(AsTied::new(fly, &in_air()).moments(&Deviation::NONE), Knot::Loop, 0.0);
        prop_assert!(apart(in_air.down, hung.down) <= (lift / size).asin() + 1e-9);
    }

    /// A body of one density hangs alike in air and in water.
    #[test]
    fn one_density_hangs_alike_in_both(mut loads in loads(), density in 1_050.0..19_000.0f64) {
        loads.iter_mut().for_each(|l| l.volume = l.mass / density);
        let [air, water] = [1.2, 998.0].map(|fluid| moments(&loads, fluid));
        let size: f64 = loads.iter().map(|l| l.mass * GRAVITY * 20e-3).sum();
        prop_assume!(air.magnitude() > 1e-3 * size);
        let [air, water] = [air, water].map(|m| rest(m, Knot::Loop, 0.0));
        prop_assert!(apart(air.down, water.down) < 1e-8);
    }

    /// In air only the mass of foam counts: with its density, mass kept, it turns the fly by the buoyancy of air at most.
    #[test]
    fn the_density_of_foam_does_not_show_in_air(loads in loads(), times in 0.1..10.0f64) {
        let mut other = loads.clone();
        other[0].volume *= times;
        let (a, b) = (moments(&loads, 1.2), moments(&other, 1.2));
        let arm = loads[0].centroid[0].hypot(loads[0].centroid[1]);
        let lift = 1.2 * GRAVITY * (other[0].volume - loads[0].volume).abs() * arm;
        prop_assume!(lift < 0.5 * a.magnitude() && a.weight > 0.0 && b.weight > 0.0);
        let turned = apart(rest(a, Knot::Loop, 0.0).down, rest(b, Knot::Loop, 0.0).down);
        prop_assert!(turned <= (lift / a.magnitude()).asin() + 1e-9, "{turned}");
    }

    /// Order does not matter, and what is mirrored across the shank rides on the other side at the same angle.
    #[test]
    fn order_and_mirror_as_in_water(
        (loads, shuffled) in loads().prop_flat_map(|l| (Just(l.clone()), Just(l).prop_shuffle()))
    ) {
        let flipped: Vec<Load> =
            shuffled.iter().map(|l| Load { centroid: [l.centroid[0], -l.centroid[1]], ..*l }).collect();
        let (plain, mirrored) = (moments(&loads, 1.2), moments(&flipped, 1.2));
        prop_assume!(plain.magnitude() > 1e-9 && plain.y.abs() > 1e-12);
        let (plain, mirrored) = (rest(plain, Knot::Loop, 0.0), rest(mirrored, Knot::Loop, 0.0));
        prop_assert!((plain.angle - mirrored.angle).abs() < 1e-7 && plain.rides != mirrored.rides);
    }
}

/// Mass and volume of each part and where they pull, out of what the program prints for a fly in water: what a part pulls with
/// is a straight line in the density of the water, so two waters tell both.
struct Part {
    kind: String,
    /// (weight, x moment, y moment) per g, at density 0 and per unit of density.
    at: [[f64; 3]; 2],
}

fn printed(recipe: &counterpoise::recipe::Recipe, catalog: &Catalog, salinity: f64) -> (f64, serde_json::Value) {
    let fly = resolve(recipe, catalog).unwrap();
    let water = Water::new(20.0, salinity).unwrap();
    let conditions = Conditions { water, depth: 0.0, state: State::Soaked, knot: Knot::Loop };
    let report = RecipeReport::predicted(&fly, &conditions, &Limits::default(), Line::Tight, &catalog.currency);
    (water.density, serde_json::to_value(&report).unwrap()["parts"].clone())
}

fn parts_of(recipe: &counterpoise::recipe::Recipe, catalog: &Catalog) -> Vec<Part> {
    let ((fresh, a), (salt, b)) = (printed(recipe, catalog, 0.0), printed(recipe, catalog, 40.0));
    let keys = ["submerged_weight_mN", "moment_x_mN_mm", "moment_y_mN_mm"];
    let part = |(a, b): (&serde_json::Value, &serde_json::Value)| {
        let both = keys.map(|key| (a[key].as_f64().unwrap(), b[key].as_f64().unwrap()));
        let per = both.map(|(a, b)| (b - a) / (salt - fresh));
        let at = [0, 1, 2].map(|k| both[k].0 - per[k] * fresh);
        // The mass is printed, too: the first of the two must be it.
        let mass = a["mass_mg"].as_f64().unwrap() * GRAVITY * 1e-3;
        assert!((at[0] / mass - 1.0).abs() < 1e-5, "{} {mass}", at[0]);
        Part { kind: a["kind"].as_str().unwrap().to_owned(), at: [at, per] }
    };
    a.as_array().unwrap().iter().zip(b.as_array().unwrap()).map(part).collect()
}

/// Tail down is counted from what is printed in water, by arithmetic of this test alone, for 200 recipes: finished, and with the
/// metal on only.
#[test]
fn another_route_from_the_printed_parts() {
    let catalog = Catalog::built_in().unwrap();
    let jar = Jar::at(20.0, 101_325.0).unwrap();
    let (mut done, mut largest) = (0, 0.0_f64);
    for case in 0.. {
        if done == 200 {
            break;
        }
        let mut luck = stream(31, 1, case);
        let recipe = drawn_recipe(&catalog, &mut luck, &Seat::ALL);
        let Ok(fly) = resolve(&recipe, &catalog) else { continue };
        let spec = TargetSpec { pattern: Some(recipe.dressing.clone()), ..TargetSpec::default() };
        let target = spec.resolve(&catalog).unwrap().0.hang_only();
        let bench = Bench::new(fly, &target, jar);
        let bench = recipe.foam.as_ref().map_or(bench.clone(), |foam| bench.with_foam_on(foam.length));
        let parts = parts_of(&recipe, &catalog);
        for (stage, metal) in [(Stage::Wire, true), (Stage::Finish, false)] {
            if !Stage::of_fly(&fly).contains(&stage) {
                continue;
            }
            let on = |p: &&Part| !metal || !["foam", "dressing"].contains(&p.kind.as_str());
            let sum =
                |k: usize| parts.iter().filter(on).map(|p| p.at[0][k] + jar.air.density * p.at[1][k]).sum::<f64>();
            let theirs = sum(1).atan2(-sum(2));
            let test = HangTest::in_hand(stage);
            let side = bench.side_at(test);
            let turn = bench.turn_at(test, &Deviation::NONE, side).unwrap();
            let ours = match side {
                counterpoise::physics::statics::Rides::PointUp => turn,
                counterpoise::physics::statics::Rides::PointDown => PI - turn,
            };
            let off = (ours - theirs + PI).rem_euclid(2.0 * PI) - PI;
            largest = largest.max(off.abs().to_degrees());
            assert!(off.abs().to_degrees() < 0.01, "{recipe}: {} {}", ours.to_degrees(), theirs.to_degrees());
        }
        done += 1;
    }
    println!("{done} recipes: at most {largest:.5} degrees apart");
}
