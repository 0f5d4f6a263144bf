//! Whatever a log says, the fit comes to an end, stays finite, and nothing runs away.

use counterpoise::calibrate::{fit_entries, outcomes, outlook};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{Conditions, State};
use counterpoise::jar_log::{Drop, Entry, FlyTest, Line, Measured, Test};
use counterpoise::physics::statics::{Knot, Rides, Tippet};
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use counterpoise::spread::draws::stream;
use counterpoise::vice::Stage;
use rand_xoshiro::rand_core::RngCore;

/// Whole numbers at random.
struct Dice(rand_xoshiro::Xoshiro256PlusPlus);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.0.next_u64() % n as u64).unwrap()
    }

    fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }
}

fn recipe(catalog: &Catalog, dice: &mut Dice) -> Recipe {
    let pin = dice.of(&catalog.pins);
    let mount = if dice.one_in(3) {
        Mount::Pin { pin: pin.row.id.clone(), projection: pin.projections[0] }
    } else {
        Mount::Eye
    };
    let foam = dice.of(&catalog.foams);
    Recipe {
        hook: dice.of(&catalog.hooks).row.id.clone(),
        dressing: dice.of(&catalog.dressings).row.id.clone(),
        bead: (!dice.one_in(4)).then(|| BeadUse { id: dice.of(&catalog.beads).row.id.clone(), mount }),
        wire: dice.one_in(2).then(|| WireUse {
            id: dice.of(&catalog.wires).row.id.clone(),
            turns: 3 + u32::try_from(dice.below(8)).unwrap(),
            start: Microns::new(0),
        }),
        foam: (!dice.one_in(4)).then(|| FoamUse {
            id: foam.row.id.clone(),
            cut: *dice.of(&foam.cuts),
            length: Microns::new(5_000 + 500 * i32::try_from(dice.below(20)).unwrap()),
            seat: *dice.of(&Seat::ALL),
        }),
    }
}

fn conditions(dice: &mut Dice) -> Conditions {
    let snug = Knot::Snug(Tippet { diameter: 0.18e-3, modulus: 1.5e9 });
    Conditions {
        water: Water::new(15.0, if dice.one_in(3) { 35.0 } else { 0.0 }).unwrap(),
        depth: *dice.of(&[0.1, 0.1, 0.5, 2.0, 5.0]),
        state: if dice.one_in(3) { State::Fresh } else { State::Soaked },
        knot: if dice.one_in(4) { snug } else { Knot::Loop },
    }
}

/// A test with readings out of the air.
fn test(recipe: Recipe, dice: &mut Dice) -> FlyTest {
    let kind = dice.below(5);
    let drop = Drop {
        distance: 0.3 + 0.3 * dice.below(5) as f64,
        time: Measured { value: 0.5 + 0.2 * dice.below(20) as f64, error: 0.1 },
        line: if dice.one_in(2) { Line::Slack } else { Line::Tight },
    };
    FlyTest {
        recipe_name: recipe.id(),
        recipe,
        fly: dice.one_in(3).then(|| "A".to_owned()),
        stage: if kind == 3 { Stage::Finish } else { *dice.of(&Stage::ALL) },
        foam: None,
        conditions: conditions(dice),
        hang: (kind < 3).then(|| Measured { value: (dice.below(181) as f64 - 90.0).to_radians(), error: 0.05 }),
        rides: *dice.of(&[None, Some(Rides::PointUp), Some(Rides::PointDown)]),
        floats: (kind == 4).then(|| dice.one_in(2)),
        drops: if kind == 3 { vec![drop] } else { Vec::new() },
        mass: dice.one_in(4).then(|| Measured { value: 1e-4 * (1 + dice.below(10)) as f64, error: 1e-6 }),
    }
}

#[test]
fn readings_out_of_the_air_are_not_believed() {
    let catalog = Catalog::built_in().unwrap();
    for seed in 0..20 {
        let mut dice = Dice(stream(seed, 5, 0));
        let recipes: Vec<Recipe> = (0..3).map(|_| recipe(&catalog, &mut dice)).collect();
        let count = 1 + dice.below(9);
        let entries: Vec<Entry> = (0..count)
            .map(|i| {
                let test = test(dice.of(&recipes).clone(), &mut dice);
                Entry { number: i + 1, date: None, test: Test::Fly(test) }
            })
            .collect();
        let fit = fit_entries(&catalog, &entries).unwrap();
        for learned in fit.learned() {
            // A log that does not bear a calibration out is named, and none is written.
            assert!(
                learned.z.abs() < 8.0 || !fit.sound(),
                "seed {seed}, {}: {}",
                learned.correction.words(),
                learned.z
            );
            assert!(learned.left > 0.0 && learned.left <= 1.0);
        }
        for outcome in outcomes(&fit).unwrap() {
            assert!(outcome.expected.is_finite() && outcome.misses().iter().all(|m| m.is_finite()));
        }
        assert!(outlook(&fit, &entries).unwrap().tests.iter().all(|t| t.worth.is_finite()));
    }
}
