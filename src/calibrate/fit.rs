//! The fit: corrections from a log, by nonlinear least squares with priors, robust to misread readings.
//!
//! Minimised is the sum over readings of rho((predicted - seen) / error), plus the square of every correction and of every
//! fly's own scatter, both in prior standard deviations. The priors are rows like any reading, so three tests already help and
//! nothing runs away. rho is that of Student's t with 4 degrees of freedom, by weights w = 5 / (4 + r^2) that are computed
//! anew until they stand still (iteratively reweighted least squares; Lange, Little & Taylor 1989, *JASA* 84:881, from
//! memory): a grossly misread angle ends up with next to no weight.
//!
//! A fly's own scatter has a dozen sources and few readings. To first order only its part along the slopes of those
//! readings moves at the minimum, so each fly gets as many unknowns as readings, along an orthonormal basis of these
//! slopes, which is renewed with the weights.
//!
//! Errors are those of the quadratic at the minimum: the inverse of J^T J with the weights and the prior rows in it.

use super::correction::{Correction, Figure};
use super::model::{Courses, Model, Point, Prepared};
use crate::catalog::Catalog;
use crate::fly::UnknownPart;
use crate::jar_log::Entry;
use crate::numeric::least_squares::{LeastSquares, LeastSquaresError, Limits, Residuals, least_squares};
use nalgebra::{DMatrix, DVector};
use thiserror::Error;

/// Degrees of freedom of Student's t.
const FREEDOM: f64 = 4.0;
/// Step of the differences, in prior standard deviations.
const STEP: f64 = 1e-3;
/// Rounds of weights, at most.
const ROUNDS: usize = 40;
/// A drop is followed down anew when anything moved by more than this since it was.
const NEARBY: f64 = 0.05;
/// A correction of which the log tells less than this share of the prior variance is left as it is.
pub const TOLD_LITTLE: f64 = 0.02;
/// Weight below which a reading looks misread: about three and a half of its own errors beside what its fly may scatter.
pub const MISREAD: f64 = 0.3;
/// How far a fit is driven.
#[derive(Debug, Clone, Copy)]
struct Effort {
    /// Least-squares steps between two looks at the weights.
    steps: u64,
    /// Done when no unknown and no weight moved by more than this.
    still: f64,
    /// Whether where it ends must be a minimum.
    checked: bool,
}

/// The fit itself.
const WHOLE: Effort = Effort { steps: 12, still: 3e-3, checked: true };
/// A fit with one fly left out: it starts at the minimum of the whole log and is wanted to a few hundredths.
const LEFT_OUT: Effort = Effort { steps: 2, still: 0.03, checked: false };
/// Steps of a last try where a fit has not come to a minimum.
const LAST_TRY: u64 = 200;
/// Cosine between the residuals and the effect of any one unknown above which a point is no minimum.
const LEVEL: f64 = 0.02;

/// Why there is no fit.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FitError {
    /// No reading.
    #[error("the log has no readings yet")]
    Empty,
    /// A part that the catalog does not hold.
    #[error(transparent)]
    Part(#[from] UnknownPart),
    /// No minimum was found.
    #[error("the jar tests could not be fitted: {0}")]
    NoMinimum(#[from] LeastSquaresError),
}

/// One correction, as found.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// What is corrected.
    pub correction: Correction,
    /// Prior spread: a share; of the wall pressure Pa.
    pub spread: f64,
    /// Estimate, in prior spreads.
    pub z: f64,
    /// What is left of the prior standard deviation, 0 to 1.
    pub left: f64,
}

impl Learned {
    /// exp(s z).
    #[must_use]
    pub fn factor(&self) -> f64 {
        (self.spread * self.z).exp()
    }

    /// s z: the logarithm of the factor; of the wall pressure its shift, Pa.
    #[must_use]
    pub fn shift(&self) -> f64 {
        self.spread * self.z
    }

    /// Standard error of the shift.
    #[must_use]
    pub fn standard_error(&self) -> f64 {
        self.spread * self.left
    }

    /// Share of the prior variance that the log took away.
    #[must_use]
    pub fn told(&self) -> f64 {
        (1.0 - self.left * self.left).max(0.0)
    }
}

/// The fit before anything was left as it is: all corrections, also those that the log says next to nothing about and that
/// are still uncertain.
#[derive(Debug, Clone)]
pub(super) struct Whole {
    pub(super) model: Model,
    pub(super) z: DVector<f64>,
    pub(super) covariance: DMatrix<f64>,
}

/// A log that was fitted.
#[derive(Debug, Clone)]
pub struct Fit {
    pub(super) whole: Whole,
    pub(super) model: Model,
    pub(super) point: Point,
    /// Covariance of the corrections, prior spreads squared.
    covariance: DMatrix<f64>,
    weights: Vec<f64>,
    learned: Vec<Learned>,
    untold: Vec<Correction>,
    settled: bool,
}

/// Slopes of one reading at a point.
#[derive(Debug, Clone)]
pub(super) struct Slopes {
    /// Per prior spread of each correction.
    pub(super) shared: DVector<f64>,
    /// Per standard deviation of each source of own scatter.
    pub(super) own: DVector<f64>,
}

/// Fits a log.
///
/// # Errors
/// [`FitError`].
pub fn fit(model: &Model) -> Result<Fit, FitError> {
    if model.observations().is_empty() {
        return Err(FitError::Empty);
    }
    let first = Solved::new(model, &vec![true; model.groups()], None, WHOLE)?;
    let told = |solved: &Solved, i: usize| 1.0 - solved.covariance[(i, i)];
    let keep: Vec<bool> = (0..model.corrections().len()).map(|i| told(&first, i) >= TOLD_LITTLE).collect();
    let untold = model.corrections().iter().zip(&keep).filter(|(_, k)| !**k).map(|(c, _)| c.clone()).collect();
    let kept = model.with_corrections(&keep);
    let z = first.point.z.iter().zip(&keep).filter(|(_, k)| **k).map(|(z, _)| *z);
    let z = DVector::from_iterator(kept.corrections().len(), z);
    let start = (Point { z, own: first.point.own }, first.weights);
    let whole = Whole { model: model.clone(), z: first.point.z, covariance: first.covariance };
    let solved = Solved::new(&kept, &vec![true; kept.groups()], Some(start), WHOLE)?;
    let learned = kept.corrections().iter().enumerate().filter_map(|(i, correction)| {
        Some(Learned {
            correction: correction.clone(),
            spread: correction.spread(kept.catalog())?,
            z: solved.point.z[i],
            left: solved.covariance[(i, i)].clamp(0.0, 1.0).sqrt(),
        })
    });
    let learned = learned.collect();
    let settled = solved.level;
    Ok(Fit {
        whole,
        point: solved.point,
        covariance: solved.covariance,
        weights: solved.weights,
        model: kept,
        learned,
        untold,
        settled,
    })
}

/// Fits the entries of a log beside a catalog.
///
/// # Errors
/// [`FitError`].
pub fn fit_entries(catalog: &Catalog, entries: &[Entry]) -> Result<Fit, FitError> {
    fit(&Model::new(catalog, entries)?)
}

impl Fit {
    /// The corrections.
    #[must_use]
    pub fn learned(&self) -> &[Learned] {
        &self.learned
    }

    /// Whether the fit came to rest at a minimum. It cannot where a hang jumps with the least change: a fly about to float,
    /// or one that a snug knot holds in either of two rests.
    #[must_use]
    pub fn settled(&self) -> bool {
        self.settled
    }

    /// Corrections that the log says next to nothing about; they are left as the catalog has them.
    #[must_use]
    pub fn untold(&self) -> &[Correction] {
        &self.untold
    }

    /// Weights of the readings, at most 1.25: near 1 where all is well, near 0 for one that looks misread.
    #[must_use]
    pub fn weights(&self) -> &[f64] {
        &self.weights
    }

    /// Correlation of two corrections.
    #[must_use]
    pub fn correlation(&self, i: usize, j: usize) -> f64 {
        let c = &self.covariance;
        (c[(i, j)] / (c[(i, i)] * c[(j, j)]).sqrt()).clamp(-1.0, 1.0)
    }

    /// The point with every fly as written.
    pub(super) fn as_written(&self) -> Point {
        Point { z: self.point.z.clone(), ..self.model.start() }
    }

    /// The same fit without the flies of one group.
    pub(super) fn without(&self, group: usize) -> Result<Point, LeastSquaresError> {
        let used: Vec<bool> = (0..self.model.groups()).map(|g| g != group).collect();
        let start = (self.point.clone(), self.weights.clone());
        Ok(Solved::new(&self.model, &used, Some(start), LEFT_OUT)?.point)
    }
}

struct Solved {
    point: Point,
    covariance: DMatrix<f64>,
    weights: Vec<f64>,
    level: bool,
}

impl Solved {
    /// Fits the groups that are used, from a start with its weights, or from the catalog.
    fn new(
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

/// Slopes of every reading at a point.
pub(super) fn slopes(model: &Model, at: &Point, courses: Courses) -> Vec<Slopes> {
    let problem = Weighted::unweighted(model, at, courses);
    let jacobian = problem.jacobian(&problem.start(at));
    let p = model.corrections().len();
    let own = problem.own_slopes(at, &jacobian);
    own.into_iter()
        .enumerate()
        .map(|(i, own)| {
            let shared = jacobian.row(i).columns(0, p).transpose() * model.observations()[i].error;
            Slopes { shared, own }
        })
        .collect()
}

/// The least-squares problem at given weights and bases.
struct Weighted<'m> {
    model: &'m Model,
    used: Vec<bool>,
    /// Square roots of the weights; 0 for readings that are left out.
    roots: Vec<f64>,
    bases: Vec<DMatrix<f64>>,
    courses: Courses,
}

impl<'m> Weighted<'m> {
    /// All readings with their plain errors, every source of own scatter an unknown.
    fn unweighted(model: &'m Model, at: &Point, courses: Courses) -> Self {
        Self {
            model,
            used: vec![true; model.groups()],
            roots: vec![1.0; model.observations().len()],
            bases: at.own.iter().map(|own| DMatrix::identity(own.len(), own.len())).collect(),
            courses,
        }
    }

    /// Slopes of each reading per standard deviation of each source of its fly, from the columns of an unweighted
    /// problem.
    fn own_slopes(&self, at: &Point, jacobian: &DMatrix<f64>) -> Vec<DVector<f64>> {
        let offsets = self.offsets();
        let slopes = self.model.observations().iter().enumerate().map(|(i, observation)| {
            let group = self.model.group_of(i);
            jacobian.row(i).columns(offsets[group], at.own[group].len()).transpose() * observation.error
        });
        slopes.collect()
    }

    fn new(model: &'m Model, used: &[bool], weights: &[f64], at: &Point, courses: Courses) -> Self {
        let plain = Self::unweighted(model, at, courses);
        let mut columns = DMatrix::zeros(model.observations().len(), plain.unknowns());
        plain.own_columns(at, &mut columns);
        let slopes = plain.own_slopes(at, &columns);
        let courses = plain.courses;
        let bases = (0..model.groups())
            .map(|group| {
                let mine: Vec<DVector<f64>> = (0..slopes.len())
                    .filter(|i| used[group] && model.group_of(*i) == group)
                    .map(|i| slopes[i].clone())
                    .collect();
                basis(at.own[group].len(), &mine)
            })
            .collect();
        let roots =
            weights.iter().enumerate().map(|(i, w)| if used[model.group_of(i)] { w.sqrt() } else { 0.0 }).collect();
        Self { model, used: used.to_vec(), roots, bases, courses }
    }

    /// Where the unknowns of each group begin.
    fn offsets(&self) -> Vec<usize> {
        let first = self.model.corrections().len();
        self.bases
            .iter()
            .scan(first, |at, basis| {
                let here = *at;
                *at += basis.ncols();
                Some(here)
            })
            .collect()
    }

    fn unknowns(&self) -> usize {
        self.model.corrections().len() + self.bases.iter().map(DMatrix::ncols).sum::<usize>()
    }

    fn start(&self, at: &Point) -> DVector<f64> {
        let own =
            self.bases.iter().zip(&at.own).flat_map(|(basis, own)| (basis.transpose() * own).data.as_vec().clone());
        DVector::from_iterator(self.unknowns(), at.z.iter().copied().chain(own))
    }

    fn point(&self, at: &DVector<f64>) -> Point {
        let own = self.bases.iter().zip(self.offsets()).map(|(basis, offset)| basis * at.rows(offset, basis.ncols()));
        Point { z: at.rows(0, self.model.corrections().len()).into_owned(), own: own.collect() }
    }

    /// Hands on the scaled misses of an entry with some own scatter.
    fn each_miss(&self, entry: usize, test: &Prepared, own: &DVector<f64>, mut out: impl FnMut(usize, f64)) {
        for (i, predicted) in self.model.predict(entry, test, own, &self.courses) {
            let observation = &self.model.observations()[i];
            out(i, self.roots[i] * observation.miss(&predicted) / observation.error);
        }
    }

    fn is_used(&self, entry: usize) -> bool {
        self.used[self.model.group_of_entry(entry)]
    }

    /// The least squares from a point; where it ends is judged by [`Weighted::is_minimum`].
    fn solved(&self, from: &Point, steps: u64) -> Result<LeastSquares, LeastSquaresError> {
        let limits = Limits { iterations: steps, offset: 1e-5, worst_offset: f64::INFINITY };
        least_squares(self, &self.start(from), limits)
    }

    /// Whether a run ended at a minimum: no unknown could still take away anything that matters. Foam walls give way all at
    /// once, so there a minimum may lie on a kink, where slopes are not level; that unknown is not asked.
    fn is_minimum(&self, found: &LeastSquares) -> bool {
        let whole = found.residuals.norm();
        let level = |j: usize| {
            let column = found.jacobian.column(j);
            column.dot(&found.residuals).abs() <= LEVEL * column.norm() * whole
        };
        let kinked = |j: usize| self.model.corrections().get(j).is_some_and(|c| c.figure == Figure::WallPressure);
        (0..found.parameters.len()).all(|j| level(j) || kinked(j))
    }

    /// Covariance of the corrections: the block of the inverse that belongs to them.
    fn covariance(&self, found: &LeastSquares) -> DMatrix<f64> {
        let p = self.model.corrections().len();
        // The prior rows make every unknown settled.
        let whole = found.unit_covariance().unwrap_or_else(|| DMatrix::identity(self.unknowns(), self.unknowns()));
        whole.view((0, 0), (p, p)).into_owned()
    }
}

/// An orthonormal basis of what some slopes span.
fn basis(sources: usize, slopes: &[DVector<f64>]) -> DMatrix<f64> {
    if slopes.is_empty() || sources == 0 {
        return DMatrix::zeros(sources, 0);
    }
    if slopes.len() >= sources {
        return DMatrix::identity(sources, sources);
    }
    DMatrix::from_columns(slopes).qr().q()
}

impl Residuals for Weighted<'_> {
    fn residuals(&self, at: &DVector<f64>) -> DVector<f64> {
        let point = self.point(at);
        let catalog = self.model.corrected(&point.z);
        let n = self.model.observations().len();
        let mut residuals = DVector::zeros(n + at.len());
        for entry in (0..self.model.entries()).filter(|e| self.is_used(*e)) {
            let own = &point.own[self.model.group_of_entry(entry)];
            if let Some(test) = self.model.prepare(entry, &catalog) {
                self.each_miss(entry, &test, own, |i, value| residuals[i] = value);
            }
        }
        residuals.rows_mut(n, at.len()).copy_from(at);
        residuals
    }

    fn jacobian(&self, at: &DVector<f64>) -> DMatrix<f64> {
        let point = self.point(at);
        let n = self.model.observations().len();
        let mut jacobian = DMatrix::zeros(n + at.len(), at.len());
        for j in 0..at.len() {
            jacobian[(n + j, j)] = 1.0;
        }
        self.shared_columns(&point, &mut jacobian);
        self.own_columns(&point, &mut jacobian);
        jacobian
    }
}

impl Weighted<'_> {
    /// Slopes per correction.
    fn shared_columns(&self, point: &Point, jacobian: &mut DMatrix<f64>) {
        for j in 0..self.model.corrections().len() {
            for way in [-1.0, 1.0] {
                let mut z = point.z.clone();
                z[j] += way * STEP;
                let catalog = self.model.corrected(&z);
                for entry in (0..self.model.entries()).filter(|e| self.is_used(*e) && self.model.touches(*e, j)) {
                    let own = &point.own[self.model.group_of_entry(entry)];
                    let Some(test) = self.model.prepare(entry, &catalog) else { continue };
                    self.each_miss(entry, &test, own, |i, v| jacobian[(i, j)] += way * v / (2.0 * STEP));
                }
            }
        }
    }

    /// Slopes per unknown of each fly's own scatter.
    fn own_columns(&self, point: &Point, jacobian: &mut DMatrix<f64>) {
        let catalog = self.model.corrected(&point.z);
        let offsets = self.offsets();
        for entry in (0..self.model.entries()).filter(|e| self.is_used(*e)) {
            let group = self.model.group_of_entry(entry);
            let Some(test) = self.model.prepare(entry, &catalog) else { continue };
            for c in 0..self.bases[group].ncols() {
                let j = offsets[group] + c;
                for way in [-1.0, 1.0] {
                    let own = &point.own[group] + self.bases[group].column(c) * (way * STEP);
                    self.each_miss(entry, &test, &own, |i, v| jacobian[(i, j)] += way * v / (2.0 * STEP));
                }
            }
        }
    }
}
