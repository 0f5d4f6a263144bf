//! What a log should show, given corrections and how each fly turned out.
//!
//! Two things move a prediction: the corrections, which all flies of a part share, and each fly's own scatter (its bead,
//! its cut, where its foam was bound). The scatter is what makes one reading worth less than its reading error says.

use super::correction::{BATCH_SHARE, Correction, Figure};
use super::course::{Course, follow, time};
use super::weighing::{weighed, weighed_spread};
use crate::catalog::Catalog;
use crate::fly::{AsTied, Deviation, Fly, UnknownPart, resolve};
use crate::jar_log::{Drop, Entry, FlyTest, Test};
use crate::part::Kind;
use crate::physics::statics::{Knot, Moments, Rest, Rides, hang};
use crate::spread::draws::{Source, Spread, spreads};
use crate::spread::turn_of_rest;
use crate::vice::stages::Stage;
use nalgebra::DVector;
use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::{PI, TAU};
use std::ops::Range;

/// Submerged weight by which a fly seen to sink may be predicted to float (and the other way) before it counts, N: that of
/// a few milligrams of water.
const FLOAT_ERROR: f64 = 2e-5;
/// One thing that was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// Hang: shank from horizontal, rad, and the side of the point if it was seen.
    Hang {
        /// Angle.
        angle: f64,
        /// Side.
        rides: Option<Rides>,
    },
    /// It sinks, or floats (`true`).
    Floats(bool),
    /// A timed drop.
    Drop(Drop),
    /// A mass, kg.
    Mass(f64),
}

/// One reading of an entry, with its standard error: rad; share of the time; kg; N.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// Place of the entry in the list.
    pub entry: usize,
    /// What was read.
    pub reading: Reading,
    /// Standard error of the reading.
    pub error: f64,
}

/// What is predicted for a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Predicted {
    /// How it hangs; a fly without weight hangs as it would with the least of it.
    Hang(Rest),
    /// Submerged weight, N.
    Weight(f64),
    /// Seconds; ten minutes where it never gets there.
    Time(f64),
    /// kg.
    Mass(f64),
}

/// Drops of the log that were followed, by observation.
#[derive(Debug, Clone, Default)]
pub(super) struct Courses(BTreeMap<usize, Course>);

/// Corrections and own scatter, in standard deviations of what was expected before the tests.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Point {
    /// One for each correction.
    pub(super) z: DVector<f64>,
    /// Own scatter, for each group of entries about one fly.
    pub(super) own: Vec<DVector<f64>>,
}

/// A log beside the parts that it is about.
#[derive(Debug, Clone)]
pub struct Model {
    catalog: Catalog,
    tests: Vec<Test>,
    corrections: Vec<Correction>,
    /// Which corrections a test may depend on.
    touched: Vec<Vec<bool>>,
    /// Group of each entry: entries about one and the same fly.
    groups: Vec<usize>,
    own: Vec<Own>,
    observations: Vec<Observation>,
    /// Which observations are those of an entry.
    of_entry: Vec<Range<usize>>,
}

/// What may differ in one fly, or one handful of parts.
#[derive(Debug, Clone)]
enum Own {
    Fly(Vec<Spread>),
    /// Share of the mass.
    Parts(f64),
}

impl Own {
    fn len(&self) -> usize {
        match self {
            Self::Fly(list) => list.len(),
            Self::Parts(_) => 1,
        }
    }
}

impl Model {
    /// Sets the entries of a log beside a catalog.
    ///
    /// # Errors
    /// A part that the catalog does not hold.
    pub fn new(catalog: &Catalog, entries: &[Entry]) -> Result<Self, UnknownPart> {
        let tests: Vec<Test> = entries.iter().map(|e| e.test.clone()).collect();
        let parts: Vec<BTreeSet<(Kind, &str)>> = tests.iter().map(parts_of).collect();
        let used: BTreeSet<(Kind, &str)> = parts.iter().flatten().copied().collect();
        let catalog = kept(catalog, &used);
        let corrections: Vec<Correction> =
            candidates(&used).into_iter().filter(|c| c.spread(&catalog).is_some()).collect();
        let touched = tests.iter().map(|test| corrections.iter().map(|c| touches(c, test)).collect()).collect();
        let (groups, first) = groups(&tests);
        let own = first.iter().map(|&i| own_of(&tests[i], &catalog)).collect::<Result<_, _>>()?;
        let mut all = Vec::new();
        let of_entry = (0..tests.len())
            .map(|i| {
                let first = all.len();
                all.extend(observations(i, &tests[i]));
                first..all.len()
            })
            .collect();
        for test in &tests {
            if let Test::Fly(test) = test {
                resolve(&test.recipe, &catalog)?;
            }
        }
        Ok(Self { catalog, tests, corrections, touched, groups, own, observations: all, of_entry })
    }

    /// What could be corrected.
    #[must_use]
    pub fn corrections(&self) -> &[Correction] {
        &self.corrections
    }

    /// Everything that was read, in the order of the entries.
    #[must_use]
    pub fn observations(&self) -> &[Observation] {
        &self.observations
    }

    /// The parts of the log, uncorrected.
    #[must_use]
    pub fn catalog(&self) -> &Catalog {
        &self.catalog
    }

    /// The same log with only some of the corrections.
    pub(super) fn with_corrections(&self, keep: &[bool]) -> Self {
        fn pick<T: Clone>(list: &[T], keep: &[bool]) -> Vec<T> {
            list.iter().zip(keep).filter(|(_, k)| **k).map(|(item, _)| item.clone()).collect()
        }
        Self {
            corrections: pick(&self.corrections, keep),
            touched: self.touched.iter().map(|row| pick(row, keep)).collect(),
            ..self.clone()
        }
    }

    /// The same catalog and corrections beside other tests.
    pub(super) fn with_tests(&self, entries: &[Entry]) -> Result<Self, UnknownPart> {
        let other = Self::new(&self.catalog, entries)?;
        let touched = entries.iter().map(|e| self.corrections.iter().map(|c| touches(c, &e.test)).collect()).collect();
        Ok(Self { corrections: self.corrections.clone(), touched, ..other })
    }

    pub(super) fn groups(&self) -> usize {
        self.own.len()
    }

    pub(super) fn entries(&self) -> usize {
        self.tests.len()
    }

    pub(super) fn group_of_entry(&self, entry: usize) -> usize {
        self.groups[entry]
    }

    pub(super) fn group_of(&self, observation: usize) -> usize {
        self.groups[self.observations[observation].entry]
    }

    pub(super) fn touches(&self, entry: usize, correction: usize) -> bool {
        self.touched[entry][correction]
    }

    pub(super) fn start(&self) -> Point {
        Point {
            z: DVector::zeros(self.corrections.len()),
            own: self.own.iter().map(|own| DVector::zeros(own.len())).collect(),
        }
    }

    /// The parts, corrected.
    pub(super) fn corrected(&self, z: &DVector<f64>) -> Catalog {
        let mut catalog = self.catalog.clone();
        for (correction, z) in self.corrections.iter().zip(z.iter()) {
            if *z != 0.0 {
                correction.apply(&mut catalog, *z, 1.0);
            }
        }
        catalog
    }

    /// Follows every drop down at a point.
    pub(super) fn courses(&self, at: &Point) -> Courses {
        let catalog = self.corrected(&at.z);
        let mut courses = Courses::default();
        for (i, observation) in self.observations.iter().enumerate() {
            let (Reading::Drop(drop), Test::Fly(test)) = (observation.reading, &self.tests[observation.entry]) else {
                continue;
            };
            let Ok(fly) = resolve(&test.recipe, &catalog) else { continue };
            let tied = AsTied::new(fly, &test.conditions);
            let deviation = self.deviation(self.groups[observation.entry], &at.own[self.group_of(i)]);
            courses.0.extend(follow(&tied, &deviation, &drop).map(|course| (i, course)));
        }
        courses
    }

    fn deviation(&self, group: usize, own: &DVector<f64>) -> Deviation {
        let mut deviation = Deviation::NONE;
        if let Own::Fly(list) = &self.own[group] {
            for (spread, z) in list.iter().zip(own.iter()) {
                spread.source.add(&mut deviation, spread.sd * z);
            }
        }
        deviation
    }

    /// Sets up the test of an entry with corrected parts; `None` where one is missing.
    pub(super) fn prepare<'c>(&self, entry: usize, catalog: &'c Catalog) -> Option<Prepared<'c>> {
        match &self.tests[entry] {
            Test::Part(test) => Some(Prepared::Parts(weighed(test, catalog)?)),
            Test::Fly(test) => {
                let fly = resolve(&test.recipe, catalog).ok()?;
                Some(Prepared::Fly(Box::new(AsTied::new(fly, &test.conditions)), test.stage))
            }
        }
    }

    /// What is predicted for the readings of one entry, with some own scatter.
    pub(super) fn predict(
        &self,
        entry: usize,
        prepared: &Prepared,
        own: &DVector<f64>,
        courses: &Courses,
    ) -> Vec<(usize, Predicted)> {
        let group = self.groups[entry];
        let mine = self.of_entry[entry].clone();
        match prepared {
            Prepared::Parts(mass) => {
                let share = match self.own[group] {
                    Own::Parts(share) => share * own[0],
                    Own::Fly(_) => 0.0,
                };
                mine.map(|i| (i, Predicted::Mass(mass * (1.0 + share)))).collect()
            }
            Prepared::Fly(tied, stage) => {
                let deviation = self.deviation(group, own);
                let holds = |label| Stage::of(label, &tied.fly) <= *stage;
                let moments = tied.moments_of(&deviation, holds);
                mine.map(|i| {
                    let predicted = match self.observations[i].reading {
                        Reading::Hang { .. } => Predicted::Hang(rest(moments, tied.conditions.knot, &tied.fly)),
                        Reading::Floats(_) => Predicted::Weight(moments.weight),
                        Reading::Drop(drop) => Predicted::Time(time(tied, &deviation, &drop, courses.0.get(&i))),
                        Reading::Mass(_) => {
                            let mut mass = 0.0;
                            tied.each_load(&deviation, |load| mass += if holds(load.label) { load.mass } else { 0.0 });
                            Predicted::Mass(mass)
                        }
                    };
                    (i, predicted)
                })
                .collect()
            }
        }
    }
}

/// The test of an entry, ready for any own scatter.
pub(super) enum Prepared<'c> {
    /// A fly, and how far it is tied.
    Fly(Box<AsTied<'c>>, Stage),
    /// Mass of loose parts, kg.
    Parts(f64),
}

impl Observation {
    /// Predicted less seen, in the unit of the error. Angles are wrapped: the shorter way round, counted on past the
    /// vertical; without a side that was seen, the nearer of the two that show this angle. Of times, the logarithm.
    #[must_use]
    pub fn miss(&self, predicted: &Predicted) -> f64 {
        match (self.reading, predicted) {
            (Reading::Hang { angle, rides: Some(side) }, Predicted::Hang(rest)) => {
                wrapped(turn_of_rest(rest, side) - angle)
            }
            (Reading::Hang { angle, rides: None }, Predicted::Hang(rest)) => {
                let same = wrapped(rest.angle - angle);
                let other = wrapped(if rest.angle >= 0.0 { PI - rest.angle } else { -PI - rest.angle } - angle);
                if other.abs() < same.abs() { other } else { same }
            }
            (Reading::Floats(false), Predicted::Weight(weight)) => weight.min(0.0),
            (Reading::Floats(true), Predicted::Weight(weight)) => weight.max(0.0),
            (Reading::Drop(drop), Predicted::Time(time)) => (time / drop.time.value).ln(),
            (Reading::Mass(seen), Predicted::Mass(mass)) => mass - seen,
            _ => 0.0,
        }
    }
}

/// An angle brought into (-pi, pi].
fn wrapped(angle: f64) -> f64 {
    let turn = (angle + PI).rem_euclid(TAU) - PI;
    if turn == -PI { PI } else { turn }
}

fn parts_of(test: &Test) -> BTreeSet<(Kind, &str)> {
    match test {
        Test::Fly(test) => test.recipe.part_ids().into_iter().collect(),
        Test::Part(test) => BTreeSet::from([(test.kind, test.id.as_str())]),
    }
}

/// A catalog of these parts alone.
fn kept(catalog: &Catalog, parts: &BTreeSet<(Kind, &str)>) -> Catalog {
    let mut kept = catalog.clone();
    kept.hooks.retain(|p| parts.contains(&(Kind::Hook, p.row.id.as_str())));
    kept.beads.retain(|p| parts.contains(&(Kind::Bead, p.row.id.as_str())));
    kept.pins.retain(|p| parts.contains(&(Kind::Pin, p.row.id.as_str())));
    kept.wires.retain(|p| parts.contains(&(Kind::Wire, p.row.id.as_str())));
    kept.foams.retain(|p| parts.contains(&(Kind::Foam, p.row.id.as_str())));
    kept.dressings.retain(|p| parts.contains(&(Kind::Dressing, p.row.id.as_str())));
    kept
}

/// All corrections that these parts have, in a fixed order.
fn candidates(parts: &BTreeSet<(Kind, &str)>) -> Vec<Correction> {
    let of_parts = parts.iter().flat_map(|(kind, id)| {
        Figure::of_kind(*kind)
            .iter()
            .map(|figure| Correction { part: Some((*kind, (*id).to_owned())), figure: *figure })
    });
    of_parts.chain(Figure::OF_ALL_FOAM.map(|figure| Correction { part: None, figure })).collect()
}

/// Depth from which the pressure that foam walls carry shows at all, m.
const DEEP: f64 = 1.0;

fn touches(correction: &Correction, test: &Test) -> bool {
    let parts = parts_of(test);
    let deep = |drop: &Drop| drop.distance >= DEEP;
    match &correction.part {
        Some((kind, id)) => parts.contains(&(*kind, id.as_str())),
        None if !parts.iter().any(|(kind, _)| *kind == Kind::Foam) => false,
        None if correction.figure == Figure::WallPressure => match test {
            Test::Fly(test) => test.conditions.depth >= DEEP || test.drops.iter().any(deep),
            Test::Part(_) => false,
        },
        None => matches!(test, Test::Fly(_)),
    }
}

/// The group of each test, and the first test of each group: tests of one named fly of one recipe belong together.
fn groups(tests: &[Test]) -> (Vec<usize>, Vec<usize>) {
    let mut first: Vec<usize> = Vec::new();
    let groups = (0..tests.len())
        .map(|i| {
            let same = first.iter().position(|&j| one_fly(&tests[j], &tests[i]));
            same.unwrap_or_else(|| {
                first.push(i);
                first.len() - 1
            })
        })
        .collect();
    (groups, first)
}

fn one_fly(a: &Test, b: &Test) -> bool {
    match (a, b) {
        (Test::Fly(a), Test::Fly(b)) => a.fly.is_some() && a.fly == b.fly && a.recipe == b.recipe,
        _ => false,
    }
}

fn own_of(test: &Test, catalog: &Catalog) -> Result<Own, UnknownPart> {
    match test {
        Test::Fly(test) => Ok(Own::Fly(own_spreads(&resolve(&test.recipe, catalog)?))),
        Test::Part(test) => {
            let spread = weighed_spread(test, catalog).unwrap_or(0.0);
            Ok(Own::Parts(spread / f64::from(test.count).sqrt()))
        }
    }
}

/// What differs from fly to fly of one tyer: the catalog's spreads without what the tyer's own materials share.
fn own_spreads(fly: &Fly) -> Vec<Spread> {
    let own = |spread: Spread| match spread.source {
        Source::FoamDensity | Source::WireDensity | Source::WireDiameter => None,
        Source::Turns | Source::PinPosition | Source::WrapsPosition | Source::FoamLength | Source::FoamPosition => {
            Some(spread)
        }
        _ => Some(Spread { sd: spread.sd * (1.0 - BATCH_SHARE).sqrt(), ..spread }),
    };
    spreads(fly).into_iter().filter_map(own).collect()
}

fn observations(entry: usize, test: &Test) -> Vec<Observation> {
    let of = |reading, error| Observation { entry, reading, error };
    match test {
        Test::Part(test) => vec![of(Reading::Mass(test.mass.value), test.mass.error)],
        Test::Fly(test) => {
            let mut list = Vec::new();
            if let Some(seen) = test.hang {
                list.push(of(Reading::Hang { angle: seen.value, rides: test.rides }, seen.error));
            }
            for drop in &test.drops {
                list.push(of(Reading::Drop(*drop), drop.time.error / drop.time.value));
            }
            if let Some(seen) = test.mass {
                list.push(of(Reading::Mass(seen.value), seen.error));
            }
            // What hangs taut or goes down sinks, whether it was written down or not.
            let sinks = test.hang.is_some() || !test.drops.is_empty();
            if let Some(floats) = test.floats.or(sinks.then_some(false)) {
                list.push(of(Reading::Floats(floats), FLOAT_ERROR));
            }
            list
        }
    }
}

/// How it hangs. Without weight no line is taut; the moment still tells which way it would tip, so that a fit can find
/// its way back.
fn rest(moments: Moments, knot: Knot, fly: &Fly) -> Rest {
    let neck = fly.hook.neck_angle;
    let fallback = Rest { angle: 0.0, rides: Rides::PointUp, steadiness: 0.0, down: [0.0, -1.0] };
    let taut = hang(moments, knot, neck);
    let barely = || hang(Moments { weight: 1.0, ..moments }, Knot::Loop, neck).rest().copied();
    taut.rest().copied().or_else(barely).unwrap_or(fallback)
}

/// The fly test of an entry, if it is about a fly.
pub(super) fn fly_test(entry: &Entry) -> Option<&FlyTest> {
    match &entry.test {
        Test::Fly(test) => Some(test),
        Test::Part(_) => None,
    }
}
