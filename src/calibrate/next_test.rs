//! Which test would teach most next.
//!
//! For each simple test that could be made with the parts of the log, the slopes of what it would show and the error of its
//! reading tell what it would leave of the covariance C of the corrections: C - C a a' C / (a' C a + R), a the slopes, R the
//! reading error and the scatter of the fly. A test is worth what it takes off the uncertainty of the log's recipes, fished at a
//! metre: mean variance of hang, in units of (5 deg)^2, plus that of the logarithm of the sink time, in units of (10 %)^2.

use super::fit::{Fit, FitError};
use super::model::{Point, Reading, fly_test};
use super::weighted::slopes;
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
    /// What would be unknown after it.
    pub then: Unknown,
    /// What it takes off, in the unit of the ranking; 0 teaches nothing.
    pub worth: f64,
}

/// What the corrections leave unknown of the log's recipes, fished at a metre: standard deviations, root mean square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unknown {
    /// Of the hangs, rad.
    pub hang: f64,
    /// Of the sink times, share.
    pub time: f64,
}

/// What is unknown, and what would tell most of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// By the catalog alone, and with the log; `None` for a log without flies.
    pub unknown: Option<[Unknown; 2]>,
    /// Tests that could be made, the one that teaches most first.
    pub tests: Vec<NextTest>,
}

/// What is unknown of the recipes of a log, and which test with its parts would tell most of it.
///
/// # Errors
/// None for the parts of a log that was fitted.
pub fn outlook(fit: &Fit, entries: &[Entry]) -> Result<Outlook, FitError> {
    let recipes = recipes(entries);
    let fished: Vec<Test> = recipes
        .iter()
        .flat_map(|(recipe, test)| [hung(recipe, test, FISHED), dropped(recipe, test, Line::Tight)])
        .collect();
    let wanted = rows(fit, &fished)?;
    let count = fit.whole.covariance.nrows();
    let before = unknown(&DMatrix::identity(count, count), &wanted);
    let now = unknown(&fit.whole.covariance, &wanted);
    let tests = candidates(entries, &recipes);
    let mut tests: Vec<NextTest> = rows(fit, &tests)?
        .into_iter()
        .zip(tests)
        .map(|(row, test)| {
            let then = unknown(&told(&fit.whole.covariance, &row), &wanted);
            NextTest { test, then, worth: weight(now) - weight(then) }
        })
        .collect();
    tests.sort_by(|a, b| b.worth.total_cmp(&a.worth));
    Ok(Outlook { unknown: (!recipes.is_empty()).then_some([before, now]), tests })
}

fn weight(unknown: Unknown) -> f64 {
    (unknown.hang / HANG_UNIT).powi(2) + (unknown.time / TIME_UNIT).powi(2)
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
    let model = fit.whole.model.with_tests(&entries)?;
    let at = Point { z: fit.whole.z.clone(), ..model.start() };
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

/// What a covariance leaves unknown.
fn unknown(covariance: &DMatrix<f64>, wanted: &[Row]) -> Unknown {
    let mean = |hangs: bool| {
        let list: Vec<f64> = wanted
            .iter()
            .filter(|row| matches!(row.reading, Reading::Hang { .. }) == hangs)
            .map(|row| row.slopes.dot(&(covariance * &row.slopes)).max(0.0))
            .collect();
        (list.iter().sum::<f64>() / list.len().max(1) as f64).sqrt()
    };
    Unknown { hang: mean(true), time: mean(false) }
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
