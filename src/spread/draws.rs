//! What differs from fly to fly, by how much, and whole batches of flies drawn at random from it.
//!
//! Some of it is shared by a batch: all flies tied from one rod have that rod's foam density, and all wound from one
//! spool have its wire. The rest is each fly's own. All spreads are taken as normal and independent.
//!
//! A bead's mass spread counts everything; the part of it that comes with a bead's size moves its volume too, so it is
//! split in two: the size (mass and volume go with its cube) and the rest.

pub use super::source::{Nature, SOURCES, Source, Standard};
use crate::assess::predict;
use crate::fly::{COMPONENTS, Deviation, Fly, FrontMount, practice};
use crate::material::HowObtained;
use crate::physics::friction;
use crate::physics::statics::Knot;
use crate::wanted::Target;
use rand_distr::{Distribution, StandardNormal};
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::SeedableRng;

/// Share of the variance of a catalog spread that the pieces of one bag, rod or hand have in common; the rest differs from
/// piece to piece. An estimate.
pub const BATCH_SHARE: f64 = 0.5;

/// One source with its size on one recipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// What differs.
    pub source: Source,
    /// Standard deviation, in the deviation's unit: share, turns or m.
    pub sd: f64,
}

/// Every source of spread of a recipe, in a fixed order; those of size zero are left out.
#[must_use]
pub fn spreads(fly: &Fly) -> Vec<Spread> {
    let mut list = Vec::with_capacity(SOURCES);
    let mut add = |source: Source, sd: f64| {
        if sd > 0.0 {
            list.push(Spread { source, sd });
        }
    };
    add(Source::HookMass, fly.hook.mass_spread);
    let stand_in = if fly.hook.row.provenance.how == HowObtained::Measured { 0.0 } else { 1.0 };
    if fly.hook.is_jig() {
        add(Source::NeckLength, practice::NECK_SD.0.hypot(stand_in * practice::STAND_IN_NECK_SD.0));
        add(Source::NeckAngle, practice::NECK_SD.1.hypot(stand_in * practice::STAND_IN_NECK_SD.1));
    }
    add(Source::ShankLength, practice::SHANK_SHARE.hypot(stand_in * practice::STAND_IN_SHANK_SHARE));
    if let Some(head) = &fly.hook.head {
        add(Source::HeadMass, head.mass_spread);
    }
    if let Some((bead, mount)) = fly.bead {
        let size = bead.diameter_sd / bead.diameter;
        add(Source::BeadMass, (bead.mass_spread.powi(2) - (3.0 * size).powi(2)).max(0.0).sqrt());
        add(Source::BeadSize, size);
        // Anywhere within the play, on a pin for good, against the eye as far as the thread leaves it.
        let (carrier, left) = match mount {
            FrontMount::Pin(pin, _) => (pin.diameter, 1.0),
            FrontMount::Eye => (fly.hook.wire_diameter, practice::BEAD_PLAY_LEFT),
        };
        add(Source::BeadSeat, left * 0.5 * (bead.bore_diameter - carrier).max(0.0) / 3f64.sqrt());
        if let FrontMount::Pin(pin, _) = mount {
            add(Source::PinMass, pin.mass_spread);
            add(Source::PinPosition, practice::POSITION_SD);
        }
    }
    if let Some(wraps) = &fly.wraps {
        let material = &wraps.wire.material;
        add(Source::WireDensity, material.density_sd_kg_m3 / material.density_kg_m3);
        add(Source::WireDiameter, wraps.wire.diameter_spread);
        add(Source::Turns, practice::TURNS_SD);
        add(Source::WrapsPosition, practice::POSITION_SD);
    }
    if let Some(piece) = &fly.foam {
        add(Source::FoamDensity, piece.foam.density_sd / piece.foam.density);
        add(Source::FoamSection, piece.foam.spread_of_section(piece.cut));
        add(Source::FoamLength, practice::FOAM_LENGTH_SD);
        add(Source::FoamPosition, practice::POSITION_SD);
        let height = piece.foam.section(piece.cut).centroid_height;
        add(Source::FoamHeight, practice::FOAM_HEIGHT_SD.hypot(practice::FOAM_AROUND_SHARE * height));
    }
    for (i, component) in (0_u8..).zip(&fly.dressing.components) {
        if usize::from(i) < COMPONENTS {
            add(Source::Dressing(i), component.mass_spread);
        }
    }
    list
}

/// The sources of a recipe under the conditions of a target: those of [`spreads`], and friction in the eye on a loop.
///
/// Where in its band a fly comes to rest is anybody's guess: even over the band, taken as a normal of the same variance,
/// lever / sqrt 3, since the bob of the line works it towards the middle.
#[must_use]
pub fn spreads_for(fly: &Fly, target: &Target) -> Vec<Spread> {
    let mut list = spreads(fly);
    if target.conditions.knot == Knot::Loop {
        let lever = friction::lever(fly.hook.eye_inner_diameter, target.hands.eye_friction);
        if lever > 0.0 {
            list.push(Spread { source: Source::Friction, sd: lever / 3f64.sqrt() });
        }
    }
    list
}

/// All that the share of flies that come out right counts: the sources of [`spreads_for`], and how sure the sink rate is, where the
/// target asks for one, or for a time to a depth.
///
/// Finding the second takes the sink rate itself; `super::forms` counts the same without it.
#[must_use]
pub fn counted(fly: &Fly, target: &Target) -> Vec<Spread> {
    let mut list = spreads_for(fly, target);
    list.extend(sink_rate_known(fly, target));
    list
}

/// How sure the sink rate is, where a target asks for one or for a time to a depth.
pub(super) fn sink_rate_known(fly: &Fly, target: &Target) -> Option<Spread> {
    if target.sink.is_none() && target.fall.reach.is_none() {
        return None;
    }
    let sd = predict(fly, &target.conditions).sink_sd(&target.conditions.water);
    (sd > 0.0).then_some(Spread { source: Source::SinkRate, sd })
}

/// The deviation that standard normal numbers stand for.
#[must_use]
pub fn deviation(spreads: &[Spread], standard: &Standard) -> Deviation {
    let mut deviation = Deviation::NONE;
    for spread in spreads {
        spread.source.add(&mut deviation, spread.sd * standard[spread.source.index()]);
    }
    deviation
}

/// How many flies to draw, and from which seed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plan {
    /// Flies drawn.
    pub samples: u32,
    /// Seed.
    pub seed: u64,
}

impl Default for Plan {
    /// 2,000 flies, seed 1: a chance near one half is known to about one hundredth.
    fn default() -> Self {
        Self { samples: 2_000, seed: 1 }
    }
}

/// A stream of random numbers that depends on its seed, what it is for, and a number, and on nothing else.
///
/// The seed and the purpose are hashed first: seeds that differ by one, and streams that follow each other, must not
/// begin with overlapping words.
#[must_use]
pub fn stream(seed: u64, purpose: u64, number: u64) -> Xoshiro256PlusPlus {
    let mixed = scatter(scatter(scatter(seed) ^ purpose) ^ number);
    Xoshiro256PlusPlus::seed_from_u64(mixed)
}

/// Finaliser of MurmurHash3 (Appleby, public domain; from memory), offset so that zero does not stay zero: a bijection
/// of 64 bits in which every bit depends on all.
fn scatter(value: u64) -> u64 {
    let mut x = value.wrapping_add(0x9e37_79b9_7f4a_7c15);
    x = (x ^ (x >> 33)).wrapping_mul(0xff51_afd7_ed55_8ccd);
    x = (x ^ (x >> 33)).wrapping_mul(0xc4ce_b9fe_1a85_ec53);
    x ^ (x >> 33)
}

const OF_FLY: u64 = 1;
const OF_BATCH: u64 = 2;

/// Flies drawn from the spreads, as standard normal numbers: the same for every recipe (common random numbers).
#[derive(Debug, Clone, PartialEq)]
pub struct Draws {
    plan: Plan,
    flies: Vec<Standard>,
}

impl Draws {
    /// Flies that share nothing: each from a batch of its own. Their mean estimates a chance with the least error.
    #[must_use]
    pub fn new(plan: Plan) -> Self {
        Self::in_batches(plan, 1)
    }

    /// Flies tied so many to a batch.
    #[must_use]
    pub fn in_batches(plan: Plan, per_batch: u32) -> Self {
        let flies = (0..plan.samples).map(|i| draw(plan.seed, i / per_batch.max(1), i)).collect();
        Self { plan, flies }
    }

    /// How many, from which seed.
    #[must_use]
    pub fn plan(&self) -> Plan {
        self.plan
    }

    /// The flies.
    #[must_use]
    pub fn flies(&self) -> &[Standard] {
        &self.flies
    }
}

impl Default for Draws {
    fn default() -> Self {
        Self::new(Plan::default())
    }
}

fn draw(seed: u64, batch: u32, fly: u32) -> Standard {
    let mut own = stream(seed, OF_FLY, u64::from(fly));
    let mut shared = stream(seed, OF_BATCH, u64::from(batch));
    let mut standard: Standard = std::array::from_fn(|_| StandardNormal.sample(&mut own));
    for source in Source::OF_A_BATCH {
        standard[source.index()] = StandardNormal.sample(&mut shared);
    }
    standard
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_are_standard_normal_and_independent() {
        let draws = Draws::new(Plan { samples: 20_000, seed: 3 });
        let n = 20_000.0;
        let column = |j: usize| draws.flies().iter().map(move |z| z[j]);
        for j in 0..SOURCES {
            let mean = column(j).sum::<f64>() / n;
            let variance = column(j).map(|z| z * z).sum::<f64>() / n;
            let fourth = column(j).map(|z| z.powi(4)).sum::<f64>() / n;
            assert!(mean.abs() < 0.03, "source {j}: mean {mean}");
            assert!((variance - 1.0).abs() < 0.04, "source {j}: variance {variance}");
            assert!((fourth - 3.0).abs() < 0.4, "source {j}: fourth moment {fourth}");
            let with_next = column(j).zip(column((j + 1) % SOURCES)).map(|(a, b)| a * b).sum::<f64>() / n;
            assert!(with_next.abs() < 0.03, "sources {j} and next: {with_next}");
            let follow = column(j).zip(column(j).skip(1)).map(|(a, b)| a * b).sum::<f64>() / n;
            assert!(follow.abs() < 0.03, "source {j} from fly to fly: {follow}");
        }
    }

    #[test]
    fn a_batch_shares_its_rod_and_spool_and_nothing_else() {
        let draws = Draws::in_batches(Plan { samples: 20, seed: 5 }, 10);
        let shared = Source::OF_A_BATCH.map(Source::index);
        for j in 0..SOURCES {
            let z = |fly: usize| draws.flies()[fly][j];
            assert_eq!(z(0) == z(9), shared.contains(&j), "source {j}");
            assert_ne!(z(9), z(10), "source {j}: the next batch");
        }
    }

    #[test]
    fn a_fly_is_the_same_whatever_the_number_drawn() {
        let few = Draws::new(Plan { samples: 5, seed: 9 });
        let many = Draws::new(Plan { samples: 500, seed: 9 });
        assert_eq!(few.flies(), &many.flies()[..5]);
        assert_ne!(few.flies(), Draws::new(Plan { samples: 5, seed: 10 }).flies());
    }

    #[test]
    fn every_source_has_its_own_place() {
        let mut seen = [0; SOURCES];
        let plain = [
            Source::HookMass,
            Source::HeadMass,
            Source::BeadMass,
            Source::BeadSize,
            Source::PinMass,
            Source::PinPosition,
            Source::WireDensity,
            Source::WireDiameter,
            Source::Turns,
            Source::WrapsPosition,
            Source::FoamDensity,
            Source::FoamSection,
            Source::FoamLength,
            Source::FoamPosition,
            Source::Friction,
            Source::NeckLength,
            Source::NeckAngle,
            Source::ShankLength,
            Source::BeadSeat,
            Source::FoamHeight,
            Source::SinkRate,
        ];
        for source in plain.into_iter().chain((0..COMPONENTS as u8).map(Source::Dressing)) {
            seen[source.index()] += 1;
            let mut deviation = Deviation::NONE;
            source.add(&mut deviation, 0.5);
            assert_ne!(deviation, Deviation::NONE);
        }
        assert!(seen.iter().all(|n| *n == 1));
    }
}
