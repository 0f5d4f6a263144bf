//! A tyer whose materials differ from the catalog by what the catalog lets them, who ties, hangs, drops and weighs.

use counterpoise::calibrate::{BATCH_SHARE, Correction, Model};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{AsTied, Conditions, Deviation, State, resolve};
use counterpoise::jar_log::{Drop, Entry, FlyTest, Line, Measured, PartTest, Test};
use counterpoise::part::{Cut, Kind};
use counterpoise::physics::fall::{Fall, lowered_countdown};
use counterpoise::physics::statics::{Knot, hang};
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use counterpoise::spread::draws::{Nature, Source, spreads, stream};
use counterpoise::vice::stages::Stage;
use rand_distr::{Distribution, StandardNormal};
use rand_xoshiro::Xoshiro256PlusPlus;

/// Reading errors of this tyer.
pub(crate) const HANG_SD: f64 = 3.0 * std::f64::consts::PI / 180.0;
pub(crate) const TIME_SD: f64 = 0.05;
pub(crate) const SCALE_SD: f64 = 1e-6;

pub(crate) struct Tyer {
    /// The catalog as it really is for this tyer.
    pub(crate) truth: Catalog,
    /// How far each correction really is from the catalog, in prior spreads.
    pub(crate) z: Vec<(Correction, f64)>,
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
        let plain = Self { truth: catalog.clone(), z: Vec::new(), random: stream(seed, 77, 0), count: 0 };
        let mut tyer = plain;
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

    pub(crate) fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.random)
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
        let deviation = fly.map_or_else(|| self.scatter(recipe), |(_, d)| *d);
        let catalog = self.truth.clone();
        let real = resolve(recipe, &catalog).unwrap();
        let tied = AsTied::new(real, &conditions);
        let moments = tied.moments_of(&deviation, |label| Stage::of(label, &real) <= stage);
        let rest = *hang(moments, Knot::Loop, real.hook.neck_angle).rest()?;
        let read = rest.angle + HANG_SD * self.normal();
        let quarter = std::f64::consts::FRAC_PI_2;
        let read = read.clamp(-quarter, quarter);
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
        conditions,
        hang: None,
        rides: None,
        floats: None,
        drops: Vec::new(),
        mass: None,
    }
}
