//! Rounds of weights: least squares, new weights by what is left, until both stand still.

use super::model::{Courses, Model, Point};
use super::weighted::{Weighted, slopes};
use crate::numeric::least_squares::LeastSquaresError;
use nalgebra::{DMatrix, DVector};

/// Degrees of freedom of Student's t.
const FREEDOM: f64 = 4.0;
/// Rounds of weights, at most.
const ROUNDS: usize = 40;
/// A drop is followed down anew when anything moved by more than this since it was.
const NEARBY: f64 = 0.05;
/// How far a fit is driven.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Least-squares steps between two looks at the weights.
    steps: u64,
    /// Done when no unknown and no weight moved by more than this.
    still: f64,
    /// Whether where it ends must be a minimum.
    checked: bool,
}

/// The fit itself.
pub(super) const WHOLE: Effort = Effort { steps: 12, still: 3e-3, checked: true };
/// A fit with one fly left out: it starts at the minimum of the whole log and is wanted to a few hundredths.
pub(super) const LEFT_OUT: Effort = Effort { steps: 2, still: 0.03, checked: false };
/// Steps of a last try where a fit has not come to a minimum.
const LAST_TRY: u64 = 200;
/// Where a fit came to rest.
pub(super) struct Solved {
    pub(super) point: Point,
    /// Covariance of the corrections.
    pub(super) covariance: DMatrix<f64>,
    pub(super) weights: Vec<f64>,
    /// Whether that is a minimum.
    pub(super) level: bool,
}

impl Solved {
    /// Fits the groups that are used, from a start with its weights, or from the catalog.
    pub(super) fn new(
        model: &Model,
        used: &[bool],
        start: Option<(Point, Vec<f64>)>,
        effort: Effort,
    ) -> Result<Self, LeastSquaresError> {
        let (mut point, mut weights) = start.unwrap_or_else(|| {
            let point = model.start();
            let weights = first_weights(model, &point);
            (point, weights)
        });
        for (group, own) in point.own.iter_mut().enumerate() {
            if !used[group] {
                own.fill(0.0);
            }
        }
        let mut round = 0;
        let mut followed = (point.clone(), model.courses(&point));
        loop {
            if distance(&followed.0, &point) > NEARBY {
                followed = (point.clone(), model.courses(&point));
            }
            let problem = Weighted::new(model, used, &weights, &point, followed.1.clone());
            let mut found = problem.solved(&point, effort.steps)?;
            let next = problem.point(&found.parameters);
            let moved = distance(&point, &next);
            let reweighted = robust_weights(model, &next, &problem.courses);
            let turned = weights.iter().zip(&reweighted).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            (point, weights) = (next, reweighted);
            round += 1;
            let exact = distance(&followed.0, &point) <= NEARBY;
            if (moved < effort.still && turned < effort.still && exact) || round == ROUNDS {
                let mut level = !effort.checked || problem.is_minimum(&found);
                if !level {
                    found = problem.solved(&point, LAST_TRY)?;
                    point = problem.point(&found.parameters);
                    level = problem.is_minimum(&found);
                }
                let covariance = problem.covariance(&found);
                return Ok(Self { point, covariance, weights, level });
            }
        }
    }
}

/// Greatest difference of any unknown.
fn distance(a: &Point, b: &Point) -> f64 {
    let largest =
        |a: &DVector<f64>, b: &DVector<f64>| a.iter().zip(b.iter()).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    a.own.iter().zip(&b.own).map(|(a, b)| largest(a, b)).fold(largest(&a.z, &b.z), f64::max)
}

/// Before anything is known a miss is held against all that could be behind it, not the reading error alone: a common
/// miss is no misreading. A reading more than about four and a half such deviations off starts, and stays, without much
/// say; a nearer one is believed in the end.
fn first_weights(model: &Model, at: &Point) -> Vec<f64> {
    let courses = model.courses(at);
    let misses = misses(model, at, &courses);
    let slopes = slopes(model, at, courses);
    let weight = |i: usize| {
        let error = model.observations()[i].error.powi(2);
        let variance = error + slopes[i].shared.norm_squared() + slopes[i].own.norm_squared();
        student(misses[i] / variance.sqrt()) * error / variance
    };
    (0..misses.len()).map(weight).collect()
}

fn robust_weights(model: &Model, at: &Point, courses: &Courses) -> Vec<f64> {
    let misses = misses(model, at, courses);
    model.observations().iter().zip(misses).map(|(o, miss)| student(miss / o.error)).collect()
}

fn student(residual: f64) -> f64 {
    (FREEDOM + 1.0) / (FREEDOM + residual * residual)
}

fn misses(model: &Model, at: &Point, courses: &Courses) -> Vec<f64> {
    let catalog = model.corrected(&at.z);
    let mut misses = vec![0.0; model.observations().len()];
    for entry in 0..model.entries() {
        let own = &at.own[model.group_of_entry(entry)];
        let Some(test) = model.prepare(entry, &catalog) else { continue };
        for (i, predicted) in model.predict(entry, &test, own, courses) {
            misses[i] = model.observations()[i].miss(&predicted);
        }
    }
    misses
}
