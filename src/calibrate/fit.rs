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

use super::correction::Correction;
use super::model::{Model, Point};
use super::solve::{LEFT_OUT, Solved, WHOLE};
use crate::catalog::Catalog;
use crate::fly::UnknownPart;
use crate::jar_log::Entry;
use crate::numeric::least_squares::LeastSquaresError;
use nalgebra::{DMatrix, DVector};
use thiserror::Error;

/// A correction of which the log tells less than this share of the prior variance is left as it is.
pub const TOLD_LITTLE: f64 = 0.02;
/// Weight below which a reading looks misread: about three and a half of its own errors beside what its fly may scatter.
pub const MISREAD: f64 = 0.3;
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
