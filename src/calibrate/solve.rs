//! Rounds of weights: least squares in the shared unknowns, new scatter of each fly, new weights by what is left, until all
//! stand still.

use super::correction::Figure;
use super::linear::{Around, FlyLine, FlyRows};
use super::model::{Model, Point};
use super::predict::Courses;
use super::reduced::Reduced;
use crate::numeric::least_squares::LeastSquaresError;
use nalgebra::{DMatrix, DVector};

/// Degrees of freedom of Student's t.
const FREEDOM: f64 = 4.0;
/// Rounds of weights, at most.
const ROUNDS: usize = 40;
/// A drop is followed down anew when anything moved by more than this since it was.
const NEARBY: f64 = 0.05;
/// Decrease of the objective that another full step would still bring, above which a point is no minimum: a tenth of a
/// standard error.
const LEVEL: f64 = 0.01;

/// How far a fit is driven.
#[derive(Debug, Clone, Copy)]
pub(super) struct Effort {
    /// Least-squares steps between two looks at the weights.
    steps: u64,
    /// Rounds at most.
    rounds: usize,
    /// Done when no unknown and no weight moved by more than this.
    still: f64,
}

/// The fit itself.
pub(super) const WHOLE: Effort = Effort { steps: 6, rounds: ROUNDS, still: 3e-3 };
/// A look from another start.
pub(super) const LOOK: Effort = Effort { steps: 3, rounds: 12, still: 0.02 };
/// A fit with one fly left out: it starts at the minimum of the whole log and is wanted to a few hundredths.
pub(super) const LEFT_OUT: Effort = Effort { steps: 2, rounds: 12, still: 0.03 };

/// Where a fit starts.
pub(super) enum Start {
    /// From the catalog; what is far off has little say at first.
    Wary,
    /// From a point, with the weights that its misses give.
    At(Point),
    /// From a point, every reading believed at first.
    Trusting(Point),
}

/// Where a fit came to rest.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub(super) point: Point,
    /// Covariance of the shared unknowns.
    pub(super) covariance: DMatrix<f64>,
    pub(super) weights: Vec<f64>,
    /// What was minimised: twice the negative logarithm of the likelihood with its priors, less a constant.
    pub(super) objective: f64,
    /// Whether that is a minimum.
    pub(super) level: bool,
}

/// Some entries of a model on their way to a fit.
struct Way<'m> {
    model: &'m Model,
    entries: &'m [usize],
}

impl Solved {
    /// Fits some entries.
    pub(super) fn new(
        model: &Model,
        entries: &[usize],
        start: Start,
        effort: Effort,
    ) -> Result<Self, LeastSquaresError> {
        let way = Way { model, entries };
        let mut courses;
        let (mut point, mut weights, mut doubted) = match start {
            Start::Wary => {
                let point = model.start();
                courses = model.courses_of(entries, &point);
                let weights = way.first_weights(&point, &courses);
                (point, weights, true)
            }
            Start::At(point) => {
                courses = model.courses_of(entries, &point);
                let weights = way.judged(&point, &courses).1;
                (point, weights, false)
            }
            Start::Trusting(point) => {
                courses = model.courses_of(entries, &point);
                (point, way.equal_weights(), true)
            }
        };
        let mut followed = point.clone();
        let mut found = None;
        for round in 0..effort.rounds {
            let exact = distance(&followed, &point) <= NEARBY;
            if !exact {
                courses = model.courses_of(entries, &point);
                followed = point.clone();
            }
            let next = way.round(&point, &weights, &courses, effort.steps, doubted)?;
            let moved = distance(&point, &next.point);
            let turned = weights.iter().zip(&next.weights).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            (point, weights, doubted) = (next.point.clone(), next.weights.clone(), false);
            let exact = distance(&followed, &point) <= NEARBY;
            found = Some(next);
            if round > 0 && moved < effort.still && turned < effort.still && exact {
                break;
            }
        }
        match found {
            Some(found) => way.closed(found, &courses),
            None => Err(LeastSquaresError::Start),
        }
    }

    /// Each fly near the solution: its group, what is left of its readings, whitened, and the slopes of that.
    pub(super) fn lines(&self, model: &Model, entries: &[usize]) -> Vec<FlyLine> {
        let courses = model.courses_of(entries, &self.point);
        let around = Around { model, entries, own: &self.point.own, courses: &courses };
        around.lines(&self.point.z, &self.weights)
    }
}

/// A point with its weights and objective.
struct Stop {
    point: Point,
    weights: Vec<f64>,
    objective: f64,
}

impl Way<'_> {
    fn around<'a>(&'a self, own: &'a [DVector<f64>], courses: &'a Courses) -> Around<'a> {
        Around { model: self.model, entries: self.entries, own, courses }
    }

    fn equal_weights(&self) -> Vec<f64> {
        let mut weights = vec![0.0; self.model.observations().len()];
        for i in self.entries.iter().flat_map(|e| self.model.of_entry(*e)) {
            weights[i] = 1.0;
        }
        weights
    }

    /// Objective and robust weights at a point.
    fn judged(&self, at: &Point, courses: &Courses) -> (f64, Vec<f64>) {
        let misses = self.around(&at.own, courses).misses(&at.z);
        let mut weights = self.equal_weights();
        let mut objective = at.z.norm_squared() + at.own.iter().map(DVector::norm_squared).sum::<f64>();
        for i in 0..weights.len() {
            if weights[i] > 0.0 {
                weights[i] = student(misses[i]);
                objective += (FREEDOM + 1.0) * (1.0 + misses[i].powi(2) / FREEDOM).ln();
            }
        }
        (objective, weights)
    }

    /// Least squares at given weights, then the scatter of each fly. Unless the weights are only a first guess, no step is
    /// taken that makes the objective larger.
    fn round(
        &self,
        at: &Point,
        weights: &[f64],
        courses: &Courses,
        steps: u64,
        doubted: bool,
    ) -> Result<Stop, LeastSquaresError> {
        let around = self.around(&at.own, courses);
        let flies = FlyRows::all(&around, &around.own_slopes(&at.z), weights);
        let found = Reduced::new(&around, &flies).solved(&at.z, steps)?;
        let misses = around.misses(&found.parameters);
        let mut own: Vec<DVector<f64>> = at.own.iter().map(|own| DVector::zeros(own.len())).collect();
        for fly in &flies {
            own[self.model.group_of(fly.rows[0])] = fly.scatter(&misses);
        }
        let aim = Point { z: found.parameters, own };
        let before = if doubted { f64::INFINITY } else { self.judged(at, courses).0 };
        let mut share = 1.0;
        loop {
            let point = between(at, &aim, share);
            let (objective, weights) = self.judged(&point, courses);
            if objective <= before * (1.0 + 1e-12) + 1e-12 {
                return Ok(Stop { point, weights, objective });
            }
            share *= 0.5;
            if share < 1e-3 {
                let weights = self.judged(at, courses).1;
                return Ok(Stop { point: at.clone(), weights, objective: before });
            }
        }
    }

    /// Covariance at the end, and whether that is a minimum.
    fn closed(&self, stop: Stop, courses: &Courses) -> Result<Solved, LeastSquaresError> {
        let Stop { point, weights, objective } = stop;
        let count = point.z.len();
        let (mut normal, mut slope) = (DMatrix::identity(count, count), point.z.clone());
        for (_, residuals, slopes) in self.around(&point.own, courses).lines(&point.z, &weights) {
            normal += slopes.transpose() * &slopes;
            slope += slopes.transpose() * residuals;
        }
        // The prior makes it positive definite.
        let covariance = normal.clone().try_inverse().ok_or(LeastSquaresError::Slopes)?;
        // Foam walls give way all at once, so there a minimum may lie on a kink, where slopes are not level; that unknown
        // is not asked.
        for (j, correction) in self.model.corrections().iter().enumerate() {
            if correction.figure == Figure::WallPressure {
                slope[j] = 0.0;
            }
        }
        let level = slope.dot(&(&covariance * &slope)) < LEVEL;
        Ok(Solved { point, covariance, weights, objective, level })
    }

    /// Before anything is known a miss is held against all that could be behind it, not the reading error alone: a common
    /// miss is no misreading. A reading more than about four and a half such deviations off starts, and stays, without much
    /// say; a nearer one is believed in the end.
    fn first_weights(&self, at: &Point, courses: &Courses) -> Vec<f64> {
        let around = self.around(&at.own, courses);
        let (misses, shared, own) = (around.misses(&at.z), around.shared_slopes(&at.z), around.own_slopes(&at.z));
        let mut weights = self.equal_weights();
        for (i, weight) in weights.iter_mut().enumerate().filter(|(_, w)| **w > 0.0) {
            let variance = 1.0 + shared.row(i).norm_squared() + own[i].norm_squared();
            *weight = student(misses[i] / variance.sqrt()) / variance;
        }
        weights
    }
}

fn between(from: &Point, to: &Point, share: f64) -> Point {
    let mix = |a: &DVector<f64>, b: &DVector<f64>| a + (b - a) * share;
    Point { z: mix(&from.z, &to.z), own: from.own.iter().zip(&to.own).map(|(a, b)| mix(a, b)).collect() }
}

/// Greatest difference of any unknown.
fn distance(a: &Point, b: &Point) -> f64 {
    let largest =
        |a: &DVector<f64>, b: &DVector<f64>| a.iter().zip(b.iter()).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    a.own.iter().zip(&b.own).map(|(a, b)| largest(a, b)).fold(largest(&a.z, &b.z), f64::max)
}

fn student(residual: f64) -> f64 {
    (FREEDOM + 1.0) / (FREEDOM + residual * residual)
}
