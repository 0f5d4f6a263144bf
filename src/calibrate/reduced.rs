//! The least-squares problem in the shared unknowns, at given weights and slopes of the flies' own scatter.

use super::linear::{Around, FlyRows};
use nalgebra::{DMatrix, DVector};
use std::cell::RefCell;

use crate::numeric::least_squares::{LeastSquares, LeastSquaresError, Limits, Residuals, least_squares};

/// Residuals: what is left of each fly's readings (see [`super::linear`]), and the unknowns themselves.
pub(super) struct Reduced<'m> {
    around: &'m Around<'m>,
    flies: &'m [FlyRows],
    count: usize,
    /// Slopes where they were last asked for: the solver asks twice.
    last: RefCell<Option<(DVector<f64>, DMatrix<f64>)>>,
}

impl<'m> Reduced<'m> {
    pub(super) fn new(around: &'m Around<'m>, flies: &'m [FlyRows]) -> Self {
        let count = flies.iter().map(|f| f.rows.len()).sum();
        Self { around, flies, count, last: RefCell::new(None) }
    }

    /// The least squares from a point.
    pub(super) fn solved(&self, from: &DVector<f64>, steps: u64) -> Result<LeastSquares, LeastSquaresError> {
        let limits = Limits { iterations: steps, offset: 1e-5, worst_offset: f64::INFINITY };
        least_squares(self, from, limits)
    }

    fn slopes(&self, at: &DVector<f64>) -> DMatrix<f64> {
        let shared = self.around.shared_slopes(at);
        let mut jacobian = DMatrix::zeros(self.count + at.len(), at.len());
        let mut first = 0;
        for fly in self.flies {
            jacobian.rows_mut(first, fly.rows.len()).copy_from(&fly.whitened(&fly.slopes(&shared)));
            first += fly.rows.len();
        }
        jacobian.rows_mut(first, at.len()).fill_with_identity();
        jacobian
    }
}

impl Residuals for Reduced<'_> {
    fn residuals(&self, at: &DVector<f64>) -> DVector<f64> {
        let misses = self.around.misses(at);
        let mut residuals = DVector::zeros(self.count + at.len());
        let mut first = 0;
        for fly in self.flies {
            residuals.rows_mut(first, fly.rows.len()).copy_from(&fly.residuals(&misses));
            first += fly.rows.len();
        }
        residuals.rows_mut(first, at.len()).copy_from(at);
        residuals
    }

    fn jacobian(&self, at: &DVector<f64>) -> DMatrix<f64> {
        let mut last = self.last.borrow_mut();
        if let Some((known, slopes)) = last.as_ref()
            && known == at
        {
            return slopes.clone();
        }
        let slopes = self.slopes(at);
        *last = Some((at.clone(), slopes.clone()));
        slopes
    }
}
