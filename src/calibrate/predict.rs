//! What the model predicts for its readings at a point.

use super::course::{Course, follow, time};
use super::habit::Habits;
use super::model::{Model, Own, Point};
use super::reading::{Observation, Predicted, Reading};
use super::weighing::weighed;
use crate::catalog::Catalog;
use crate::fly::{AsTied, Conditions, Deviation, Fly, State, resolve};
use crate::jar_log::Test;
use crate::physics::friction;
use crate::physics::statics::{Knot, Moments, Rest, Rides, hang};
use crate::vice::Stage;
use nalgebra::DVector;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Drops of the log that were followed, by observation.
#[derive(Debug, Clone, Default)]
pub(super) struct Courses(BTreeMap<usize, Course>);

/// The test of a set-up, ready for any own scatter.
pub(super) enum Prepared<'c> {
    /// A fly.
    Fly(Box<PreparedFly<'c>>),
    /// Mass of loose parts, kg.
    Parts(f64),
}

/// A fly, how far it is tied, and what the air of a fresh dressing would add.
pub(super) struct PreparedFly<'c> {
    tied: AsTied<'c>,
    stage: Stage,
    air: Moments,
}

impl Model {
    /// The parts, corrected.
    pub(super) fn corrected(&self, z: &DVector<f64>) -> Catalog {
        let mut catalog = self.catalog.clone();
        let count = self.corrections().len();
        // Sizes first: a corrected mass replaces the one that follows from the size.
        for (habit, z) in self.habits().iter().zip(z.iter().skip(count)) {
            habit.apply(habit.spread() * z, &mut catalog);
        }
        for (correction, z) in self.corrections().iter().zip(z.iter()) {
            if *z != 0.0 {
                correction.apply(&mut catalog, *z, 1.0);
            }
        }
        catalog
    }

    /// The habits of a point.
    pub(super) fn habits_at(&self, z: &DVector<f64>) -> Habits {
        let mut habits = Habits::NONE;
        for (habit, z) in self.habits().iter().zip(z.iter().skip(self.corrections().len())) {
            habit.add(habit.spread() * z, &mut habits);
        }
        habits
    }

    /// Follows every drop down at a point.
    pub(super) fn courses(&self, at: &Point) -> Courses {
        let entries: Vec<usize> = (0..self.entries()).collect();
        self.courses_of(&entries, at)
    }

    /// The same of some entries.
    pub(super) fn courses_of(&self, entries: &[usize], at: &Point) -> Courses {
        let catalog = self.corrected(&at.z);
        let habits = self.habits_at(&at.z);
        let course = |i: usize| -> Option<(usize, Course)> {
            let observation = &self.observations()[i];
            let (Reading::Drop(drop), Test::Fly(test)) = (observation.reading, &self.tests[observation.entry]) else {
                return None;
            };
            let fly = resolve(&test.as_tested(), &catalog).ok()?;
            let tied = AsTied::new(fly, &test.conditions);
            let deviation = self.deviation(self.group_of(i), &at.own[self.group_of(i)], &habits);
            follow(&tied, &deviation, &drop).map(|course| (i, course))
        };
        let drops: Vec<usize> = entries
            .iter()
            .flat_map(|entry| self.of_entry(*entry))
            .filter(|i| matches!(self.observations()[*i].reading, Reading::Drop(_)))
            .collect();
        Courses(drops.into_par_iter().filter_map(course).collect())
    }

    fn deviation(&self, group: usize, own: &DVector<f64>, habits: &Habits) -> Deviation {
        let mut deviation = habits.deviation;
        if let Own::Fly(list) = &self.own[group] {
            for (spread, z) in list.iter().zip(own.iter()) {
                spread.source.add(&mut deviation, spread.sd * z);
            }
        }
        deviation
    }

    /// How far friction in the eye may hold each fly off its hang when it is read, rad, one standard deviation: even over the
    /// band, by the catalog. Each time a fly is hung it comes to rest anew, so that this goes with the reading.
    pub(super) fn held(&self) -> Vec<f64> {
        let entries: Vec<usize> = (0..self.entries()).collect();
        let prepared = self.prepared(&self.catalog, &entries);
        let of_setup: Vec<f64> = prepared.iter().map(|ready| ready.as_ref().map_or(0.0, held_off)).collect();
        let held = |o: &Observation| if o.is_hang() { of_setup[self.setup(o.entry)] } else { 0.0 };
        self.observations().iter().map(held).collect()
    }

    /// Sets up the tests of some entries with corrected parts, by set-up; `None` where a part is missing or nothing is asked.
    pub(super) fn prepared<'c>(&self, catalog: &'c Catalog, entries: &[usize]) -> Vec<Option<Prepared<'c>>> {
        let mut asked = vec![false; self.of_setup.len()];
        entries.iter().for_each(|e| asked[self.setup(*e)] = true);
        (0..asked.len())
            .into_par_iter()
            .map(|setup| asked[setup].then(|| self.prepare(self.of_setup[setup], catalog)).flatten())
            .collect()
    }

    fn prepare<'c>(&self, entry: usize, catalog: &'c Catalog) -> Option<Prepared<'c>> {
        match &self.tests[entry] {
            Test::Part(test) => Some(Prepared::Parts(weighed(test, catalog)?)),
            Test::Fly(test) => {
                let fly = resolve(&test.as_tested(), catalog).ok()?;
                let (tied, stage) = (AsTied::new(fly, &test.conditions), test.stage);
                let air = bubbles(&fly, &tied, stage);
                Some(Prepared::Fly(Box::new(PreparedFly { tied, stage, air })))
            }
        }
    }

    /// What is predicted for the readings of one entry, with some own scatter.
    pub(super) fn predict(
        &self,
        entry: usize,
        prepared: &Prepared,
        own: &DVector<f64>,
        habits: &Habits,
        courses: &Courses,
    ) -> Vec<(usize, Predicted)> {
        let group = self.group_of_entry(entry);
        let mine = self.of_entry(entry);
        match prepared {
            Prepared::Parts(mass) => {
                let share = match self.own[group] {
                    Own::Parts(share) => share * own[0],
                    Own::Fly(_) => 0.0,
                };
                mine.map(|i| (i, Predicted::Mass(mass * (1.0 + share)))).collect()
            }
            Prepared::Fly(ready) => {
                let PreparedFly { tied, stage, air } = &**ready;
                let deviation = self.deviation(group, own, habits);
                let holds = |label| Stage::of(label, &tied.fly) <= *stage;
                let firm = tied.moments_of(&deviation, holds);
                let Moments { weight, x, y } = *air;
                let share = habits.bubbles;
                let moments = firm.sum(Moments { weight: share * weight, x: share * x, y: share * y });
                mine.map(|i| {
                    let predicted = match self.observations()[i].reading {
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

    /// Predicted less read for the readings of one entry, the reader's bias counted.
    pub(super) fn misses(
        &self,
        entry: usize,
        prepared: &Prepared,
        own: &DVector<f64>,
        habits: &Habits,
        courses: &Courses,
    ) -> impl Iterator<Item = (usize, f64)> {
        self.predict(entry, prepared, own, habits, courses).into_iter().map(|(i, predicted)| {
            let observation = &self.observations()[i];
            let bias = if observation.is_hang() { habits.bias } else { 0.0 };
            (i, observation.miss(&predicted) + bias)
        })
    }

    /// What is predicted for every reading at a point; readings of entries that cannot be set up are left out.
    pub(super) fn predictions(&self, at: &Point) -> Vec<(usize, Predicted)> {
        let entries: Vec<usize> = (0..self.entries()).collect();
        self.predictions_of(&entries, at)
    }

    /// The same for some entries.
    pub(super) fn predictions_of(&self, entries: &[usize], at: &Point) -> Vec<(usize, Predicted)> {
        let (catalog, courses, habits) = (self.corrected(&at.z), self.courses_of(entries, at), self.habits_at(&at.z));
        let prepared = self.prepared(&catalog, entries);
        let of = |entry: &usize| {
            let own = &at.own[self.group_of_entry(*entry)];
            let ready = prepared[self.setup(*entry)].as_ref();
            ready.map(|ready| self.predict(*entry, ready, own, &habits, &courses)).unwrap_or_default()
        };
        entries.par_iter().flat_map_iter(of).collect()
    }
}

/// See [`Model::held`].
fn held_off(ready: &Prepared) -> f64 {
    let Prepared::Fly(ready) = ready else { return 0.0 };
    let PreparedFly { tied, stage, .. } = &**ready;
    if tied.conditions.knot != Knot::Loop {
        return 0.0;
    }
    let moments = tied.moments_of(&Deviation::NONE, |label| Stage::of(label, &tied.fly) <= *stage);
    let dry = tied.conditions.water.is_air();
    let coefficient = if dry { friction::DRY_COEFFICIENT } else { friction::COEFFICIENT };
    let lever = friction::lever(tied.fly.hook.eye_inner_diameter, coefficient);
    friction::band(moments, lever).min(friction::MOST_HELD) / 3f64.sqrt()
}

/// What the bubbles of a fresh dressing would add to weight and moments of a soaked one, as far as the fly is tied.
fn bubbles(fly: &Fly, soaked: &AsTied, stage: Stage) -> Moments {
    let dry = soaked.conditions.water.is_air();
    if dry
        || soaked.conditions.state != State::Soaked
        || fly.dressing.components.iter().all(|c| c.fresh_air_share <= 0.0)
    {
        return Moments::default();
    }
    let fresh = AsTied::new(*fly, &Conditions { state: State::Fresh, ..soaked.conditions });
    let holds = |label| Stage::of(label, fly) <= stage;
    let [with, without] = [&fresh, soaked].map(|tied| tied.moments_of(&Deviation::NONE, holds));
    Moments { weight: with.weight - without.weight, x: with.x - without.x, y: with.y - without.y }
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
