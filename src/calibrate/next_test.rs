//! Which test would teach most next for its trouble, and what a hang in the hand and one in the jar tell apart.
//!
//! For each simple test that could be made with the parts of the log, the slopes of what it would show and the error of its
//! reading tell what it would leave of the covariance C of the corrections: C - C a a' C / (a' C a + R), a the slopes, R the
//! reading error and the scatter of the fly. A test is worth what it takes off the uncertainty of the log's recipes, fished at a
//! metre: mean variance of hang, in units of (5 deg)^2, plus that of the logarithm of the sink time, in units of (10 %)^2.

use super::applied::Wanted;
use super::correction::Correction;
use super::figures::{HANG_UNIT, Row, TIME_UNIT, dropped, hung, recipes, rows, without_reading};
use super::fit::{Fit, FitError};
use super::model::fly_test;
use crate::fly::Conditions;
use crate::jar_log::{Entry, FlyTest, Line, Measured, PartTest, Test, reading_errors};
use crate::numeric::normal_share_below;
use crate::part::{Cut, Kind};
use crate::physics::water::Water;
use crate::quantity::Microns;
use crate::recipe::Recipe;
use crate::vice::Stage;
use crate::vice::{JAR_CELSIUS, Medium};
use nalgebra::DMatrix;
use std::collections::BTreeMap;

/// Pieces weighed together.
const PIECES: u32 = 10;
/// Length of wire or foam weighed, um.
const LENGTH: Microns = Microns::new(100_000);

/// Tests worth less than this share of the one that teaches most are not proposed, however quick they are.
const LEAST_SHARE: f64 = 0.1;

/// Minutes that a test takes beside tying that goes on anyway. Common practice, no source.
mod minutes {
    /// Loose parts on a scale.
    pub(super) const WEIGH: f64 = 2.0;
    /// A piece of tippet through the eye, over the vice.
    pub(super) const HAND: f64 = 1.0;
    /// A half-tied fly in the jar, till it hangs still.
    pub(super) const JAR: f64 = 5.0;
    /// A finished one, till its bubbles are worked off.
    pub(super) const FINISHED: f64 = 10.0;
    /// Soaked the same, and dropped several times.
    pub(super) const DROP: f64 = 15.0;
}

/// A test that could be made.
#[derive(Debug, Clone, PartialEq)]
pub struct NextTest {
    /// The test; its readings are made up.
    pub test: Test,
    /// What would be unknown after it.
    pub then: Unknown,
    /// What it takes off, in the unit of the ranking; 0 teaches nothing.
    pub worth: f64,
    /// Minutes that it takes.
    pub minutes: f64,
    /// Chance, before it is made, that the hang of a recipe is nearer the truth with a calibration after it than without.
    pub helps: f64,
}

/// What a calibration is expected to do for the hangs of the log's recipes, fished at a metre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Help {
    /// How far off the catalog is by what the log says, rad, root mean square.
    pub without: f64,
    /// The same with the calibration.
    pub with: f64,
    /// Chance that a hang is nearer the truth with it; one half where it moves nothing.
    pub nearer: f64,
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
    /// What the calibration is expected to do; `None` for a log without flies.
    pub help: Option<Help>,
    /// Tests that could be made, the one that teaches most for its trouble first.
    pub tests: Vec<NextTest>,
    /// What one more hang would tell of each correction, in the order of the model's.
    pub separates: Vec<Separates>,
}

/// Share of what is left unknown of a correction (variance) that one more hang would take away, 0 to 1: in air masses alone
/// tell, in water masses and volumes.
#[derive(Debug, Clone, PartialEq)]
pub struct Separates {
    /// Of what.
    pub correction: Correction,
    /// A hang in the hand, with the metal on.
    pub air: f64,
    /// A hang in the jar, finished or with its foam just on.
    pub water: f64,
}

/// How a test is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Way {
    /// On a scale.
    Weigh,
    /// Hung in the hand.
    Hand,
    /// Hung in the jar.
    Jar,
    /// Dropped, and the time taken.
    Drop,
}

impl NextTest {
    /// How it is made.
    #[must_use]
    pub fn way(&self) -> Way {
        way(&self.test)
    }
}

fn way(test: &Test) -> Way {
    match test {
        Test::Part(_) => Way::Weigh,
        Test::Fly(fly) if !fly.drops.is_empty() => Way::Drop,
        Test::Fly(fly) if fly.hang.is_none() => Way::Weigh,
        Test::Fly(fly) if fly.conditions.water.is_air() => Way::Hand,
        Test::Fly(_) => Way::Jar,
    }
}

impl Way {
    /// The word used in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Weigh => "weigh",
            Self::Hand => Medium::Air.place(),
            Self::Jar => Medium::Water.place(),
            Self::Drop => "drop",
        }
    }
}

fn minutes_of(test: &Test) -> f64 {
    match (way(test), test) {
        (Way::Weigh, _) => minutes::WEIGH,
        (Way::Hand, _) => minutes::HAND,
        (Way::Jar, Test::Fly(fly)) if fly.stage < Stage::Finish => minutes::JAR,
        (Way::Jar, _) => minutes::FINISHED,
        (Way::Drop, _) => minutes::DROP,
    }
}

/// What is unknown of the recipes of a log, and which test with its parts would tell most of it. Of a log of many recipes those
/// that were tested most often.
///
/// # Errors
/// None for the parts of a log that was fitted.
pub fn outlook(fit: &Fit, entries: &[Entry]) -> Result<Outlook, FitError> {
    let recipes = recipes(entries.iter().filter_map(fly_test));
    let wanted = &fit.wanted;
    let count = fit.applied.error.nrows();
    let before = unknown(&DMatrix::identity(count, count), wanted);
    let now = unknown(&fit.applied.error, wanted);
    let tests = candidates(entries, &recipes);
    let rows = rows(&fit.model, &fit.estimate.z, &tests)?;
    let separates = separates(fit, &rows, &tests);
    let mut tests: Vec<NextTest> = rows
        .iter()
        .zip(tests)
        .map(|(row, test)| {
            let then = unknown(&told(&fit.applied.error, row), wanted);
            let moved = (before.hang.powi(2) - then.hang.powi(2)).max(0.0).sqrt();
            // Mean of P(|truth - moved| < |truth|) over what it may turn out to move.
            let helps = 0.5 + (moved / (2.0 * then.hang.max(1e-9))).atan() / std::f64::consts::PI;
            NextTest { minutes: minutes_of(&test), test, then, worth: weight(now) - weight(then), helps }
        })
        .collect();
    let most = tests.iter().map(|t| t.worth).fold(0.0, f64::max);
    tests.retain(|t| t.worth > 0.0 && t.worth >= LEAST_SHARE * most);
    tests.sort_by(|a, b| (b.worth / b.minutes).total_cmp(&(a.worth / a.minutes)));
    let known = !recipes.is_empty();
    Ok(Outlook { unknown: known.then_some([before, now]), help: known.then(|| help(fit)), tests, separates })
}

/// What the best hang in the hand, and the best in the jar, would tell of each correction.
fn separates(fit: &Fit, rows: &[Row], tests: &[Test]) -> Vec<Separates> {
    let error = &fit.applied.error;
    let mut best: BTreeMap<Way, Vec<f64>> = BTreeMap::new();
    for (row, test) in rows.iter().zip(tests) {
        let along = error * &row.slopes;
        let whole = row.slopes.dot(&along) + row.variance;
        let taken = best.entry(way(test)).or_insert_with(|| vec![0.0; along.len()]);
        for (i, taken) in taken.iter_mut().enumerate().filter(|(i, _)| error[(*i, *i)] > 0.0) {
            *taken = taken.max(along[i] * along[i] / (whole * error[(i, i)]));
        }
    }
    let share = |way: Way, i: usize| best.get(&way).map_or(0.0, |list| list[i]);
    let all = fit.model.corrections().iter().enumerate();
    all.map(|(i, c)| Separates { correction: c.clone(), air: share(Way::Hand, i), water: share(Way::Jar, i) }).collect()
}

/// How far off the hang of a finished fly may be, apart from what flies scatter: by the catalog, and with the calibration;
/// rad, one standard deviation.
///
/// # Errors
/// A part that the log does not hold.
pub fn foreseen(fit: &Fit, recipes: &[Recipe], conditions: &Conditions) -> Result<Vec<[f64; 2]>, FitError> {
    let hang = Some(Measured { value: 0.0, error: reading_errors::HANG });
    let test = |recipe: &Recipe| {
        let (recipe, recipe_name) = (recipe.clone(), recipe.id());
        let (fly, foam, rides, floats, mass) = (None, None, None, None, None);
        let (stage, conditions, drops) = (Stage::Finish, *conditions, Vec::new());
        Test::Fly(FlyTest { recipe_name, recipe, fly, stage, foam, conditions, hang, rides, floats, drops, mass })
    };
    let rows = rows(&fit.model, &fit.estimate.z, &recipes.iter().map(test).collect::<Vec<_>>())?;
    let of = |mut row: Row| {
        without_reading(&fit.model, &mut row.slopes);
        [row.slopes.norm(), row.slopes.dot(&(&fit.applied.error * &row.slopes)).max(0.0).sqrt()]
    };
    Ok(rows.into_iter().map(of).collect())
}

/// What the calibration does for the wanted hangs, by the estimate and its errors.
fn help(fit: &Fit) -> Help {
    let (mut without, mut with, mut nearer, mut count) = (0.0, 0.0, 0.0, 0.0);
    for row in fit.wanted.iter().filter(|w| w.is_hang) {
        let variance = row.slopes.dot(&(&fit.estimate.covariance * &row.slopes)).max(0.0);
        let (off, moved) = (row.slopes.dot(&fit.estimate.z), row.slopes.dot(&fit.applied.z));
        without += off * off + variance;
        with += (off - moved).powi(2) + variance;
        let clear = off * moved.signum() - 0.5 * moved.abs();
        nearer += if moved.abs() < 1e-9 { 0.5 } else { normal_share_below(clear / variance.sqrt().max(1e-12)) };
        count += 1.0;
    }
    let count: f64 = f64::max(count, 1.0);
    let rms = |sum: f64| (sum / count).sqrt() * HANG_UNIT;
    Help { without: rms(without), with: rms(with), nearer: nearer / count }
}

fn weight(unknown: Unknown) -> f64 {
    (unknown.hang / HANG_UNIT).powi(2) + (unknown.time / TIME_UNIT).powi(2)
}

/// Covariance after one more reading.
fn told(covariance: &DMatrix<f64>, row: &Row) -> DMatrix<f64> {
    let along = covariance * &row.slopes;
    let whole = row.slopes.dot(&along) + row.variance;
    covariance - &along * along.transpose() / whole
}

/// What a covariance leaves unknown.
fn unknown(covariance: &DMatrix<f64>, wanted: &[Wanted]) -> Unknown {
    let mean = |hangs: bool| {
        let list: Vec<f64> = wanted
            .iter()
            .filter(|row| row.is_hang == hangs)
            .map(|row| row.slopes.dot(&(covariance * &row.slopes)).max(0.0))
            .collect();
        (list.iter().sum::<f64>() / list.len().max(1) as f64).sqrt()
    };
    Unknown { hang: mean(true) * HANG_UNIT, time: mean(false) * TIME_UNIT }
}

/// In the hand over the vice, with all the metal on: the quickest test that there is.
fn in_hand(recipe: &Recipe, like: &FlyTest) -> Option<Test> {
    let Test::Fly(test) = hung(recipe, like, 0.0) else { return None };
    let conditions = Conditions { water: Water::air(JAR_CELSIUS).ok()?, depth: 0.0, ..test.conditions };
    Some(Test::Fly(FlyTest { stage: Stage::Wire, conditions, ..test }))
}

/// Hang another fly of a recipe, finished or with its foam just bound in, time a drop of it, weigh its loose parts.
fn candidates(entries: &[Entry], recipes: &[(Recipe, FlyTest)]) -> Vec<Test> {
    let mut tests: Vec<Test> = Vec::new();
    for (recipe, like) in recipes {
        let depth = like.conditions.depth;
        tests.push(hung(recipe, like, depth));
        tests.extend(in_hand(recipe, like));
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
