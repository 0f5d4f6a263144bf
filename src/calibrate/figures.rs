//! Figures of recipes that a calibration is for, and what a test of one would show.

use super::applied::Wanted;
use super::linear::slopes;
use super::model::{Model, Point};
use super::reading::Reading;
use crate::fly::{Conditions, State, UnknownPart};
use crate::jar_log::{Drop, Entry, FlyTest, Line, Measured, Test, reading_errors};
use crate::physics::statics::Knot;
use crate::physics::water::Water;
use crate::recipe::Recipe;
use crate::vice::{JAR_CELSIUS, Stage};
use nalgebra::DVector;
use std::collections::BTreeMap;

/// Hang that counts as much as [`TIME_UNIT`], rad.
pub(super) const HANG_UNIT: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// Share of the sink time that counts as much as [`HANG_UNIT`].
pub(super) const TIME_UNIT: f64 = 0.1;
/// Depth at which the recipes are fished, m.
pub(super) const FISHED: f64 = 1.0;
/// Distance over which a drop is timed, m.
pub(super) const DROPPED: f64 = 0.3;
/// Recipes that the outlook is about: those tested most often.
pub(super) const RECIPES: usize = 16;

/// The figures of a log's recipes that a calibration is for: hang and sink time, fished at a metre.
pub(super) fn wanted(model: &Model, z: &DVector<f64>) -> Result<Vec<Wanted>, UnknownPart> {
    let flies = model.tests.iter().filter_map(|test| match test {
        Test::Fly(fly) => Some(fly),
        Test::Part(_) => None,
    });
    let fished: Vec<Test> = recipes(flies)
        .iter()
        .flat_map(|(recipe, test)| [hung(recipe, test, FISHED), dropped(recipe, test, Line::Tight)])
        .collect();
    let of = |row: Row| {
        let is_hang = matches!(row.reading, Reading::Hang { .. });
        let mut slopes = row.slopes / if is_hang { HANG_UNIT } else { TIME_UNIT };
        without_reading(model, &mut slopes);
        Wanted { slopes, is_hang }
    };
    Ok(rows(model, z, &fished)?.into_iter().map(of).collect())
}

/// What a test would show: slopes per correction, and its own variance.
pub(super) struct Row {
    pub(super) reading: Reading,
    pub(super) slopes: DVector<f64>,
    pub(super) variance: f64,
}

/// Rows of tests, each with its first reading.
pub(super) fn rows(model: &Model, z: &DVector<f64>, tests: &[Test]) -> Result<Vec<Row>, UnknownPart> {
    let entries: Vec<Entry> =
        tests.iter().enumerate().map(|(i, test)| Entry { number: i + 1, date: None, test: test.clone() }).collect();
    let model = model.with_tests(&entries)?;
    let at = Point { z: z.clone(), ..model.start() };
    let mut rows: Vec<Row> = Vec::with_capacity(tests.len());
    for (i, (observation, slopes)) in model.observations().iter().zip(slopes(&model, &at)).enumerate() {
        if observation.entry == rows.len() {
            let variance = model.error(i).powi(2) + slopes.own.norm_squared();
            rows.push(Row { reading: observation.reading, slopes: slopes.shared, variance });
        }
    }
    Ok(rows)
}

/// Leaves habits of reading out of some slopes: they do not go with the flies.
pub(super) fn without_reading(model: &Model, slopes: &mut DVector<f64>) {
    for (k, _) in model.habits().iter().enumerate().filter(|(_, h)| !h.goes_with_flies()) {
        slopes[model.corrections().len() + k] = 0.0;
    }
}

/// The recipes of a log that were tested most often, each with the first test of it, in the order of the log.
pub(super) fn recipes<'a>(tests: impl Iterator<Item = &'a FlyTest>) -> Vec<(Recipe, FlyTest)> {
    let mut list: Vec<(usize, &FlyTest)> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for test in tests {
        let place = *known.entry(test.recipe.id()).or_insert(list.len());
        match list.get_mut(place) {
            Some((count, _)) => *count += 1,
            None => list.push((1, test)),
        }
    }
    let mut order: Vec<usize> = (0..list.len()).collect();
    order.sort_by_key(|i| (std::cmp::Reverse(list[*i].0), *i));
    order.truncate(RECIPES);
    order.sort_unstable();
    order.into_iter().map(|i| (list[i].1.recipe.clone(), list[i].1.clone())).collect()
}

pub(super) fn plain(recipe: &Recipe, like: &FlyTest, depth: f64) -> FlyTest {
    let water = if like.conditions.water.is_air() { Water::new(JAR_CELSIUS, 0.0).ok() } else { None };
    let like_conditions = Conditions { water: water.unwrap_or(like.conditions.water), ..like.conditions };
    let conditions = Conditions { depth, state: State::Soaked, knot: Knot::Loop, ..like_conditions };
    FlyTest {
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
        ..like.clone()
    }
}

pub(super) fn hung(recipe: &Recipe, like: &FlyTest, depth: f64) -> Test {
    let hang = Some(Measured { value: 0.0, error: reading_errors::HANG });
    Test::Fly(FlyTest { hang, ..plain(recipe, like, depth) })
}

pub(super) fn dropped(recipe: &Recipe, like: &FlyTest, line: Line) -> Test {
    let time = Measured { value: 1.0, error: reading_errors::TIME };
    let drops = vec![Drop { distance: DROPPED, time, line }];
    Test::Fly(FlyTest { drops, ..plain(recipe, like, like.conditions.depth) })
}
