//! Which test would teach most next.
//!
//! For each simple test that could be made with the parts of the log, the slopes of what it would show and the error of its
//! reading tell what it would leave of the covariance C of the corrections: C - C a a' C / (a' C a + R), a the slopes, R the
//! reading error and the scatter of the fly. A test is worth what it takes off the uncertainty of the log's recipes, fished at a
//! metre: mean variance of hang, in units of (5 deg)^2, plus that of the logarithm of the sink time, in units of (10 %)^2.

use super::fit::{Fit, FitError, slopes};
use super::model::{Reading, fly_test};
use crate::fly::{Conditions, State};
use crate::jar_log::{Drop, Entry, FlyTest, Line, Measured, PartTest, Test, reading_errors};
use crate::part::{Cut, Kind};
use crate::physics::statics::Knot;
use crate::quantity::Microns;
use crate::recipe::Recipe;
use crate::vice::stages::Stage;
use nalgebra::{DMatrix, DVector};

/// Hang that counts as much as [`TIME_UNIT`], rad.
const HANG_UNIT: f64 = 5.0 * std::f64::consts::PI / 180.0;
/// Share of the sink time that counts as much as [`HANG_UNIT`].
const TIME_UNIT: f64 = 0.1;
/// Depth at which the recipes are fished, m.
const FISHED: f64 = 1.0;
/// Distance over which a drop is timed, m.
const DROPPED: f64 = 0.3;
/// Pieces weighed together.
const PIECES: u32 = 10;
/// Length of wire or foam weighed, um.
const LENGTH: Microns = Microns::new(100_000);

/// A test that could be made.
#[derive(Debug, Clone, PartialEq)]
pub struct NextTest {
    /// The test; its readings are made up.
    pub test: Test,
    /// Standard deviation of the hangs of the log's recipes that the corrections leave: now, and after this test, rad.
    pub hang: [f64; 2],
    /// The same of their sink times, share.
    pub time: [f64; 2],
    /// What it takes off, in the unit of the ranking; 0 teaches nothing.
    pub worth: f64,
}

/// Tests that could be made with the parts of the log, the one that teaches most first.
///
/// # Errors
/// None for the parts of a log that was fitted.
pub fn next_tests(fit: &Fit, entries: &[Entry]) -> Result<Vec<NextTest>, FitError> {
    let recipes = recipes(entries);
    let fished: Vec<Test> = recipes
        .iter()
        .flat_map(|(recipe, test)| [hung(recipe, test, FISHED), dropped(recipe, test, Line::Tight)])
        .collect();
    let wanted = rows(fit, &fished)?;
    let now = spread(&fit.covariance, &wanted);
    let tests = candidates(entries, &recipes);
    let mut list: Vec<NextTest> = rows(fit, &tests)?
        .into_iter()
        .zip(tests)
        .map(|(row, test)| {
            let after = spread(&told(&fit.covariance, &row), &wanted);
            NextTest { test, hang: [now.0, after.0], time: [now.1, after.1], worth: worth(now) - worth(after) }
        })
        .collect();
    list.sort_by(|a, b| b.worth.total_cmp(&a.worth));
    Ok(list)
}

fn worth((hang, time): (f64, f64)) -> f64 {
    (hang / HANG_UNIT).powi(2) + (time / TIME_UNIT).powi(2)
}

/// What a test would show: slopes per correction, and its own variance.
struct Row {
    reading: Reading,
    slopes: DVector<f64>,
    variance: f64,
}

/// Rows of tests, each with its first reading.
fn rows(fit: &Fit, tests: &[Test]) -> Result<Vec<Row>, FitError> {
    let entries: Vec<Entry> =
        tests.iter().enumerate().map(|(i, test)| Entry { number: i + 1, date: None, test: test.clone() }).collect();
    let model = fit.model.with_tests(&entries)?;
    let at = super::model::Point { z: fit.point.z.clone(), ..model.start() };
    let slopes = slopes(&model, &at, model.courses(&at));
    let mut rows: Vec<Row> = Vec::with_capacity(tests.len());
    for (observation, slopes) in model.observations().iter().zip(slopes) {
        if observation.entry == rows.len() {
            let variance = observation.error.powi(2) + slopes.own.norm_squared();
            rows.push(Row { reading: observation.reading, slopes: slopes.shared, variance });
        }
    }
    Ok(rows)
}

/// Covariance after one more reading.
fn told(covariance: &DMatrix<f64>, row: &Row) -> DMatrix<f64> {
    let along = covariance * &row.slopes;
    let whole = row.slopes.dot(&along) + row.variance;
    covariance - &along * along.transpose() / whole
}

/// Root mean variance of hangs and of times that a covariance leaves.
fn spread(covariance: &DMatrix<f64>, wanted: &[Row]) -> (f64, f64) {
    let mean = |hangs: bool| {
        let list: Vec<f64> = wanted
            .iter()
            .filter(|row| matches!(row.reading, Reading::Hang { .. }) == hangs)
            .map(|row| row.slopes.dot(&(covariance * &row.slopes)).max(0.0))
            .collect();
        (list.iter().sum::<f64>() / list.len().max(1) as f64).sqrt()
    };
    (mean(true), mean(false))
}

/// The recipes of a log, each with the first test of it.
fn recipes(entries: &[Entry]) -> Vec<(Recipe, FlyTest)> {
    let mut list: Vec<(Recipe, FlyTest)> = Vec::new();
    for test in entries.iter().filter_map(fly_test) {
        if !list.iter().any(|(recipe, _)| *recipe == test.recipe) {
            list.push((test.recipe.clone(), test.clone()));
        }
    }
    list
}

fn plain(recipe: &Recipe, like: &FlyTest, depth: f64) -> FlyTest {
    let conditions = Conditions { depth, state: State::Soaked, knot: Knot::Loop, ..like.conditions };
    FlyTest {
        recipe: recipe.clone(),
        fly: None,
        stage: Stage::Finish,
        conditions,
        hang: None,
        rides: None,
        floats: None,
        drops: Vec::new(),
        mass: None,
        ..like.clone()
    }
}

fn hung(recipe: &Recipe, like: &FlyTest, depth: f64) -> Test {
    let hang = Some(Measured { value: 0.0, error: reading_errors::HANG });
    Test::Fly(FlyTest { hang, ..plain(recipe, like, depth) })
}

fn dropped(recipe: &Recipe, like: &FlyTest, line: Line) -> Test {
    let time = Measured { value: 1.0, error: reading_errors::TIME };
    let drops = vec![Drop { distance: DROPPED, time, line }];
    Test::Fly(FlyTest { drops, ..plain(recipe, like, like.conditions.depth) })
}

/// Hang another fly of a recipe, finished or with its foam just bound in, time a drop of it, weigh its loose parts.
fn candidates(entries: &[Entry], recipes: &[(Recipe, FlyTest)]) -> Vec<Test> {
    let mut tests: Vec<Test> = Vec::new();
    for (recipe, like) in recipes {
        let depth = like.conditions.depth;
        tests.push(hung(recipe, like, depth));
        if recipe.foam.is_some()
            && let Test::Fly(half) = hung(recipe, like, depth)
        {
            tests.push(Test::Fly(FlyTest { stage: Stage::Foam, ..half }));
        }
        tests.push(dropped(recipe, like, Line::Tight));
    }
    let mut parts: Vec<PartTest> = Vec::new();
    for (recipe, _) in recipes {
        for (kind, id) in recipe.part_ids() {
            let cut = recipe.foam.as_ref().filter(|f| f.id == id).map_or(Cut::Whole, |f| f.cut);
            parts.extend(weighed(kind, id, cut));
        }
    }
    for entry in entries {
        if let Test::Part(test) = &entry.test {
            parts.extend(weighed(test.kind, &test.id, test.cut));
        }
    }
    parts.sort_by(|a, b| (a.kind, &a.id, a.cut).cmp(&(b.kind, &b.id, b.cut)));
    parts.dedup();
    tests.extend(parts.into_iter().map(Test::Part));
    tests
}

fn weighed(kind: Kind, id: &str, cut: Cut) -> Option<PartTest> {
    let by_length = matches!(kind, Kind::Wire | Kind::Foam);
    (kind != Kind::Dressing).then(|| PartTest {
        kind,
        id: id.to_owned(),
        count: if by_length { 1 } else { PIECES },
        length: by_length.then_some(LENGTH),
        cut: if kind == Kind::Foam { cut } else { Cut::Whole },
        mass: Measured { value: 1e-3, error: reading_errors::MASS },
    })
}
