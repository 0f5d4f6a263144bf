//! "Go on between" as a rule, judged by a simulated tyer who follows it: tie on, mend by what `correct` says, or start anew.
//!
//! The tyer works with the stated spreads and makes the mistakes that those do not hold: one fly in seven has six turns too few
//! or too many, its wraps 2.5 mm off, or a brass bead for a tungsten one. Every reading errs as stated. The table in
//! DEVELOPERS.md: `RULE_FLIES=2000 cargo test --test suite laws::vice_rule -- --nocapture`.

use super::shares::cut_by_chart;
use counterpoise::assess::{first_miss, predict};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{AsTied, Deviation, practice, resolve};
use counterpoise::part::{Bead, Cut};
use counterpoise::quantity::{Angle, Microns};
use counterpoise::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use counterpoise::spread::angle_and_side;
use counterpoise::spread::draws::{Draws, Plan, SOURCES, Source, deviation, stream};
use counterpoise::spread::trimming::{SNIP_SD, Trimming};
use counterpoise::vice::correct::{Change, Seen};
use counterpoise::vice::{Bench, HangTest, Jar};
use counterpoise::vice::{Stage, stages::StageView};
use counterpoise::wanted::TargetSpec;
use rand_distr::{Distribution, StandardNormal};
use rand_xoshiro::rand_core::RngCore;
use rayon::prelude::*;

/// Where the tyer looks.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Looks {
    Never,
    /// In the hand, when the metal is on.
    Hand,
    /// At every stage, by the test that says more.
    Everywhere,
}

/// Flies begun for one finished fly, at most.
const MOST_BEGUN: u32 = 6;

struct Tyer<'b> {
    bench: &'b Bench<'b>,
    views: &'b [StageView],
    bead: &'b [Bead],
    looks: Looks,
    luck: rand_xoshiro::Xoshiro256PlusPlus,
}

impl<'b> Tyer<'b> {
    fn normal(&mut self) -> f64 {
        StandardNormal.sample(&mut self.luck)
    }

    fn even(&mut self) -> f64 {
        (self.luck.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    fn begun(&mut self) -> Deviation {
        let z: [f64; SOURCES] = std::array::from_fn(|_| self.normal());
        let mut fly = deviation(self.bench.spreads(), &z);
        if self.even() < 1.0 / 7.0 {
            let way = if self.even() < 0.5 { -1.0 } else { 1.0 };
            match (self.even() * 3.0) as u32 {
                0 if self.bench.fly.wraps.is_some() => fly.turns += 6.0 * way,
                1 if self.bench.fly.wraps.is_some() => fly.wraps_position += 2.5e-3 * way,
                _ => fly.bead_mass -= 0.45,
            }
        }
        fly
    }

    fn tests(&self) -> Vec<HangTest> {
        let all = self.views.iter();
        match self.looks {
            Looks::Never => Vec::new(),
            Looks::Hand => {
                let metal = all.rev().find(|v| v.stage <= Stage::Wire);
                metal.map(|v| HangTest::in_hand(v.stage)).into_iter().collect()
            }
            Looks::Everywhere => all.map(|v| v.better().test).collect(),
        }
    }

    /// A reading, if it can be taken, and whether the rule says to tie on.
    fn look(&mut self, test: HangTest, fly: &Deviation) -> Option<(f64, bool)> {
        let view = self.views.iter().find(|v| v.stage == test.stage)?.view(test.medium);
        let (low, high) = view.forecast?.go_on;
        let turn = self.bench.turn_at(test, fly, view.rides)?;
        // The middle of three.
        let mut three = [0; 3].map(|_| turn + self.bench.reading_error(test) * self.normal());
        three.sort_by(f64::total_cmp);
        let read = three[1];
        Some((read, (low..=high).contains(&read)))
    }

    /// Does what `correct` says; false where that is nothing.
    fn mend(&mut self, test: HangTest, read: f64, fly: &mut Deviation) -> bool {
        let side = self.bench.side_at(test);
        let (angle, rides) = angle_and_side(read, side);
        let Ok(advice) = self.bench.correct(&Seen { test, angle, rides: Some(rides) }, self.bead) else { return false };
        let Some(best) = advice.best() else { return false };
        match best.change {
            Change::Nothing => return false,
            Change::Trim { cut } | Change::ByChart { cut } => fly.foam_length -= cut.m() + SNIP_SD * self.normal(),
            Change::Wraps { more } => fly.turns += f64::from(more),
            Change::Move { aft } => fly.wraps_position += aft.m() + practice::POSITION_SD * self.normal(),
            Change::Bead(_) => self.anew(fly, &[Source::BeadMass, Source::BeadSize, Source::BeadSeat]),
            Change::Foam { length } | Change::FoamToTrim { length } => {
                let foam = [Source::FoamSection, Source::FoamLength, Source::FoamPosition, Source::FoamHeight];
                self.anew(fly, &foam);
                let on = self.bench.fly.foam.map_or(0.0, |f| f.length.m()) + self.bench.surplus(Stage::Foam);
                fly.foam_length += length.m() - on;
            }
        }
        true
    }

    /// Other pieces of some parts.
    fn anew(&mut self, fly: &mut Deviation, sources: &[Source]) {
        let spreads: Vec<_> = self.bench.spreads().iter().filter(|s| sources.contains(&s.source)).copied().collect();
        for spread in spreads {
            spread.source.set(fly, spread.sd * self.normal());
        }
    }

    /// One finished fly, and flies begun for it.
    fn finished(&mut self) -> (Deviation, u32) {
        for begun in 1.. {
            let mut fly = self.begun();
            let last = begun == MOST_BEGUN;
            let mut given_up = false;
            for test in self.tests() {
                let Some((read, goes_on)) = self.look(test, &fly) else { continue };
                if goes_on || last {
                    continue;
                }
                if !self.mend(test, read, &mut fly) || self.look(test, &fly).is_none_or(|r| !r.1) {
                    given_up = true;
                    break;
                }
            }
            if !given_up {
                return (fly, begun);
            }
        }
        unreachable!()
    }

    fn right(&mut self) -> (bool, u32) {
        let (mut fly, begun) = self.finished();
        let bench = self.bench;
        let (in_jar, at_depth) =
            (AsTied::new(bench.fly, &bench.jar.conditions()), AsTied::new(bench.fly, &bench.target.conditions));
        fly.foam_length += bench.surplus(Stage::Finish);
        if bench.trim().is_some()
            && let Some(trimming) = Trimming::for_target(&bench.fly, &bench.target)
        {
            let mut luck = self.luck.clone();
            let mut normal = || -> f64 { StandardNormal.sample(&mut luck) };
            cut_by_chart(&trimming, &in_jar, &bench.target, &mut fly, &mut normal);
        }
        (first_miss(&at_depth, &fly, &bench.target).is_none(), begun)
    }
}

/// A fly: recipe, tolerance, and the hang wanted; its own where none is.
fn flies() -> Vec<(&'static str, Recipe, f64, Option<f64>)> {
    let jig = |foam: Option<(i32, Cut, Seat)>| Recipe {
        hook: "jig60-12".into(),
        dressing: "light-body".into(),
        bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
        wire: Some(WireUse { id: "lead-0.010in".into(), turns: 12, start: Microns::new(1000) }),
        foam: foam.map(|(um, cut, seat)| FoamUse { id: "pe-rod-1-4in".into(), cut, length: Microns::new(um), seat }),
    };
    let streamer = Recipe {
        hook: "streamer-6".into(),
        dressing: "fur-leech".into(),
        bead: Some(BeadUse {
            id: "tungsten-3.5".into(),
            mount: Mount::Pin { pin: "pin-0.6x22".into(), projection: Microns::new(8000) },
        }),
        wire: Some(WireUse { id: "lead-0.020in".into(), turns: 6, start: Microns::new(2000) }),
        foam: None,
    };
    vec![
        ("jig, tungsten and lead", jig(None), 5.0, None),
        ("the same with foam, trimmed", jig(Some((13_000, Cut::Quarter, Seat::Tail))), 10.0, Some(0.0)),
        ("the same with foam on its back", jig(Some((5_000, Cut::Half, Seat::Back))), 8.0, None),
        ("weight on a pin, and wire", streamer, 8.0, None),
    ]
}

#[test]
fn a_tyer_who_follows_the_rule() {
    let catalog = Catalog::built_in().unwrap();
    let count = std::env::var("RULE_FLIES").ok().and_then(|n| n.parse().ok()).unwrap_or(300_u64);
    println!("| fly | no test | hand, metal on | every stage |\n|---|---|---|---|");
    for (name, recipe, tolerance, hang) in flies() {
        let fly = resolve(&recipe, &catalog).unwrap();
        let spec = TargetSpec {
            pattern: Some(recipe.dressing.clone()),
            tolerance: Some(Angle::from_deg(tolerance)),
            rides: Some("either".into()),
            ..TargetSpec::default()
        };
        let mut target = spec.resolve(&catalog).unwrap().0.hang_only();
        let own = predict(&fly, &target.conditions).hang.rest().unwrap().angle;
        target.hang = hang.map_or(own, f64::to_radians);
        let bench = Bench::new(fly, &target, Jar::at(20.0, 101_325.0).unwrap());
        assert_eq!(bench.trim().is_some(), name.ends_with("trimmed"), "{name}");
        let views = bench.stages(&Draws::new(Plan { samples: 50, seed: 1 }));
        let bead: Vec<Bead> = fly.bead.iter().map(|(bead, _)| (*bead).clone()).collect();
        let of = |looks: Looks| {
            let done: Vec<(bool, u32)> = (0..count)
                .into_par_iter()
                .map(|number| {
                    let luck = stream(41, 3, number);
                    Tyer { bench: &bench, views: &views, bead: &bead, looks, luck }.right()
                })
                .collect();
            let right = done.iter().filter(|d| d.0).count() as f64 / count as f64;
            (right, done.iter().map(|d| f64::from(d.1)).sum::<f64>() / count as f64)
        };
        let [never, hand, all] = [Looks::Never, Looks::Hand, Looks::Everywhere].map(of);
        let cell = |(right, begun): (f64, f64)| format!("{:.0} %, {begun:.2}", 100.0 * right);
        println!("| {name} | {:.0} % | {} | {} |", 100.0 * never.0, cell(hand), cell(all));
        // A count errs by up to 3 points with 300 flies.
        assert!(hand.0 > never.0 - 0.04 && all.0 > never.0 - 0.04, "{name}: {never:?} {hand:?} {all:?}");
        assert!(hand.1 < 2.0 && all.1 < 3.0, "{name}: {hand:?} {all:?}");
    }
}
