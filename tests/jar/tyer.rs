//! A tyer whose materials differ from the catalog by what the catalog lets them, who ties, hangs, drops and weighs.

use counterpoise::calibrate::{BATCH_SHARE, Correction, Habit, Model};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{AsTied, Conditions, Deviation, State, resolve};
use counterpoise::jar_log::{Drop, Entry, FlyTest, Line, Measured, PartTest, Test};
use counterpoise::part::{Cut, Kind};
use counterpoise::physics::fall::{Fall, lowered_countdown};
use counterpoise::physics::statics::{Knot, Moments, Rides, hang};
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use counterpoise::spread::draws::{Nature, Source, spreads, stream};
use counterpoise::spread::turn;
use counterpoise::vice::Stage;
use rand_distr::{Distribution, StandardNormal};
use rand_xoshiro::Xoshiro256PlusPlus;

/// Reading errors of this tyer.
pub(crate) const HANG_SD: f64 = 3.0 * std::f64::consts::PI / 180.0;
pub(crate) const TIME_SD: f64 = 0.05;
pub(crate) const SCALE_SD: f64 = 1e-6;

/// How a tyer works and reads that no figure of a part says.
#[derive(Clone, Copy, Default)]
pub(crate) struct Ways {
    /// What every fly deviates by.
    pub(crate) deviation: Deviation,
    /// Angles read too high, rad.
    pub(crate) bias: f64,
    /// Friction of the loop in the eye.
    pub(crate) friction: f64,
    /// Whether reading errors have long tails: Student's t with 2 degrees of freedom instead of a normal.
    pub(crate) long_tails: bool,
    /// Share of a fresh dressing's bubbles left when it is called soaked.
    pub(crate) bubbles: f64,
    /// Share of the angles that are written down with the wrong sign.
    pub(crate) turned: f64,
}

pub(crate) struct Tyer {
    /// The catalog as it really is for this tyer.
    pub(crate) truth: Catalog,
    /// How far each correction really is from the catalog, in prior spreads.
    pub(crate) z: Vec<(Correction, f64)>,
    pub(crate) ways: Ways,
    random: Xoshiro256PlusPlus,
    count: usize,
}

pub(crate) fn jig(foam_um: i32) -> Recipe {
    Recipe {
        hook: "jig60-12".into(),
        dressing: "light-body".into(),
        bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
        wire: Some(WireUse { id: "lead-0.010in".into(), turns: 12, start: Microns::new(0) }),
        foam: (foam_um > 0).then(|| FoamUse {
            id: "pe-rod-1-4in".into(),
            cut: Cut::Quarter,
            length: Microns::new(foam_um),
            seat: Seat::Tail,
        }),
    }
}

pub(crate) fn jar(depth: f64) -> Conditions {
    Conditions { water: Water::new(20.0, 0.0).unwrap(), depth, state: State::Soaked, knot: Knot::Loop }
}

impl Tyer {
    /// One drawn from the priors of all that recipes like these can be corrected in.
    pub(crate) fn drawn(catalog: &Catalog, seed: u64) -> Self {
        let random = stream(seed, 77, 0);
        let ways = Ways::default();
        let mut tyer = Self { truth: catalog.clone(), z: Vec::new(), ways, random, count: 0 };
        let probe = [tyer.hang(&jig(9_000), Stage::Finish, None).unwrap()];
        let corrections = Model::new(catalog, &probe).unwrap().corrections().to_vec();
        for correction in corrections {
            let z = tyer.normal();
            correction.apply(&mut tyer.truth, z, 1.0);
            tyer.z.push((correction, z));
        }
        tyer.count = 0;
        tyer
    }

    /// The same with habits drawn from their priors, too.
    pub(crate) fn drawn_with_habits(catalog: &Catalog, seed: u64) -> Self {
        let mut tyer = Self::drawn(catalog, seed);
        let mut draw = |habit: Habit| habit.spread() * tyer.normal();
        let deviation = Deviation {
            foam_length: draw(Habit::FoamLength),
            foam_position: draw(Habit::FoamPosition),
            wraps_position: draw(Habit::WrapsPosition),
            ..Deviation::NONE
        };
        let (shank, bias, bubbles) = (draw(Habit::Shank), draw(Habit::ReadingBias), draw(Habit::BubblesLeft));
        tyer.ways = Ways { deviation, bias, bubbles, ..Ways::default() };
        tyer.longer_shanks(shank);
        tyer
    }

    /// Makes the shanks of all hooks longer by a share.
    pub(crate) fn longer_shanks(&mut self, share: f64) {
        self.truth.hooks.iter_mut().for_each(|hook| hook.shank_length *= 1.0 + share);
    }

    /// How a fly of this tyer really hangs, tied as this tyer ties, without the scatter of a single fly.
    pub(crate) fn truly(&self, recipe: &Recipe, conditions: &Conditions) -> Option<f64> {
        let fly = resolve(recipe, &self.truth).unwrap();
        let moments = AsTied::new(fly, conditions).moments(&self.ways.deviation);
        turn(&hang(moments, conditions.knot, fly.hook.neck_angle), Rides::PointUp)
    }

    pub(crate) fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.random)
    }

    /// Between 0 and 1, neither of them.
    fn even(&mut self) -> f64 {
        rand_distr::Open01.sample(&mut self.random)
    }

    fn entry(&mut self, test: Test) -> Entry {
        self.count += 1;
        Entry { number: self.count, date: None, test }
    }

    /// How one fly turns out: what is left of the catalog's spreads when the tyer's own materials are given.
    pub(crate) fn scatter(&mut self, recipe: &Recipe) -> Deviation {
        let catalog = self.truth.clone();
        let fly = resolve(recipe, &catalog).unwrap();
        let mut deviation = Deviation::NONE;
        for spread in spreads(&fly) {
            let hands = matches!(
                spread.source,
                Source::Turns | Source::PinPosition | Source::WrapsPosition | Source::FoamLength | Source::FoamPosition
            );
            let own = match (spread.source.nature(), hands) {
                (Nature::Batch, _) => 0.0,
                (Nature::Fly, true) => 1.0,
                (Nature::Fly, false) => (1.0 - BATCH_SHARE).sqrt(),
            };
            let z = self.normal();
            spread.source.add(&mut deviation, own * spread.sd * z);
        }
        deviation
    }

    /// Hangs a fly, tied anew, or with a scatter that is known. `None` if it floats.
    pub(crate) fn hang(&mut self, recipe: &Recipe, stage: Stage, fly: Option<(&str, &Deviation)>) -> Option<Entry> {
        self.hang_at(jar(0.1), recipe, stage, fly)
    }

    /// The same elsewhere.
    pub(crate) fn hang_at(
        &mut self,
        conditions: Conditions,
        recipe: &Recipe,
        stage: Stage,
        fly: Option<(&str, &Deviation)>,
    ) -> Option<Entry> {
        let mut deviation = fly.map_or_else(|| self.scatter(recipe), |(_, d)| *d);
        let ways = self.ways;
        deviation.foam_length += ways.deviation.foam_length;
        deviation.foam_position += ways.deviation.foam_position;
        deviation.wraps_position += ways.deviation.wraps_position;
        let catalog = self.truth.clone();
        let real = resolve(recipe, &catalog).unwrap();
        let of = |state: State| {
            let tied = AsTied::new(real, &Conditions { state, ..conditions });
            tied.moments_of(&deviation, |label| Stage::of(label, &real) <= stage)
        };
        let (wet, fresh) = (of(conditions.state), of(State::Fresh));
        let between = |a: f64, b: f64| a + ways.bubbles * (b - a);
        let moments = Moments {
            weight: between(wet.weight, fresh.weight),
            x: between(wet.x, fresh.x),
            y: between(wet.y, fresh.y),
        };
        let rest = *hang(moments, Knot::Loop, real.hook.neck_angle).rest()?;
        // The loop slides in the eye only once the fly has turned far enough to overcome friction.
        let held = ways.friction * 0.5 * real.hook.eye_inner_diameter * moments.weight / moments.magnitude();
        let stuck = held.min(0.5) * (2.0 * self.even() - 1.0);
        let error =
            HANG_SD * if ways.long_tails { self.normal() / self.even().ln().abs().sqrt() } else { self.normal() };
        let read = rest.angle + stuck + ways.bias + error;
        let quarter = std::f64::consts::FRAC_PI_2;
        let turned = self.even() < ways.turned;
        let read = read.clamp(-quarter, quarter) * if turned { -1.0 } else { 1.0 };
        Some(self.entry(Test::Fly(FlyTest {
            hang: Some(Measured { value: read, error: HANG_SD }),
            rides: Some(rest.rides),
            fly: fly.map(|(name, _)| name.to_owned()),
            stage,
            ..plain(recipe, conditions)
        })))
    }

    /// Lowers a fly, tied anew, over half a metre and takes the time.
    pub(crate) fn drop(&mut self, recipe: &Recipe) -> Option<Entry> {
        let deviation = self.scatter(recipe);
        let conditions = jar(0.1);
        let catalog = self.truth.clone();
        let real = resolve(recipe, &catalog).unwrap();
        let sinking = AsTied::new(real, &conditions).sinking(&deviation);
        let fall = Fall::with(&sinking, &conditions.water, None, Default::default());
        let down = lowered_countdown(&fall, (Knot::Loop, real.hook.neck_angle), &[0.5]).ok()?;
        let time = down.passings[0]?.time + TIME_SD * self.normal();
        let time = Measured { value: time.max(0.1), error: TIME_SD };
        let drops = vec![Drop { distance: 0.5, time, line: Line::Tight }];
        Some(self.entry(Test::Fly(FlyTest { drops, ..plain(recipe, conditions) })))
    }

    /// Weighs so many beads together.
    pub(crate) fn weigh_beads(&mut self, id: &str, count: u32) -> Entry {
        let bead = self.truth.bead(id).unwrap();
        let (one, spread) = (bead.mass(), bead.mass_spread * (1.0 - BATCH_SHARE).sqrt());
        let shares: f64 = (0..count).map(|_| 1.0 + spread * self.normal()).sum();
        let value = one * shares + SCALE_SD * self.normal();
        self.entry(Test::Part(PartTest {
            kind: Kind::Bead,
            id: id.to_owned(),
            count,
            length: None,
            cut: Cut::Whole,
            mass: Measured { value, error: SCALE_SD },
        }))
    }
}

fn plain(recipe: &Recipe, conditions: Conditions) -> FlyTest {
    FlyTest {
        recipe_name: recipe.id(),
        recipe: recipe.clone(),
        fly: None,
        stage: Stage::Finish,
        foam: None,
        conditions,
        hang: None,
        rides: None,
        floats: None,
        drops: Vec::new(),
        mass: None,
    }
}
