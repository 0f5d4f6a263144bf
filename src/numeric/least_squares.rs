//! Nonlinear least squares with a checked answer: Levenberg-Marquardt as an argmin solver.
//!
//! argmin has no such solver, and its Gauss-Newton reports success at wrong answers; so the damped step is written here
//! and argmin runs it. What it returns is judged again by itself: see [`LeastSquares::offset`].

mod solver;

use nalgebra::{DMatrix, DVector};
use solver::LevenbergMarquardt;
use thiserror::Error;

/// A sum of squares to be made small.
pub trait Residuals {
    /// The residuals at a point. A value that is not finite means "not here"; the step that led there is shortened.
    fn residuals(&self, at: &DVector<f64>) -> DVector<f64>;

    /// Slopes of the residuals, one column a parameter. By default central differences with a step of 6e-6 of the
    /// parameter (its own size at least [`Residuals::scale`]): good to about ten digits for smooth residuals.
    fn jacobian(&self, at: &DVector<f64>) -> DMatrix<f64> {
        let columns: Vec<DVector<f64>> = (0..at.len())
            .map(|j| {
                let step = STEP_SHARE * at[j].abs().max(self.scale(j));
                let moved = |by: f64| {
                    let mut point = at.clone();
                    point[j] += by;
                    self.residuals(&point)
                };
                (moved(step) - moved(-step)) / (2.0 * step)
            })
            .collect();
        DMatrix::from_columns(&columns)
    }

    /// Smallest size of a parameter that matters, for the steps of the differences.
    fn scale(&self, _parameter: usize) -> f64 {
        f64::MIN_POSITIVE.sqrt()
    }
}

/// Cube root of the rounding error of f64: the best step of a central difference, as a share of the scale.
const STEP_SHARE: f64 = 6.055e-6;

/// When to stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Steps, accepted or not.
    pub iterations: u64,
    /// Offset at which the answer stands (see [`LeastSquares::offset`]).
    pub offset: f64,
    /// Offset above which a run that can go no further is called no minimum. Rounding of the residuals keeps a hard
    /// problem above `offset`; a kink in them can hold the minimum where the slopes are not level.
    pub worst_offset: f64,
}

impl Default for Limits {
    /// 5,000 steps and an offset of 1e-11, at worst 1e-4.
    fn default() -> Self {
        Self { iterations: 5_000, offset: 1e-11, worst_offset: 1e-4 }
    }
}

/// No answer.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum LeastSquaresError {
    /// Fewer residuals than parameters.
    #[error("{residuals} residuals cannot settle {parameters} parameters")]
    TooFew {
        /// Number of residuals.
        residuals: usize,
        /// Number of parameters.
        parameters: usize,
    },
    /// The residuals at the start are not finite.
    #[error("the sum of squares is not finite at the start")]
    Start,
    /// The slopes at some point on the way are not finite.
    #[error("the slopes of the residuals are not finite")]
    Slopes,
    /// The steps ran out, or became too small to matter, at a point that is no minimum.
    #[error("no minimum after {iterations} steps: the relative offset is still {offset:.1e}")]
    NoMinimum {
        /// Steps made.
        iterations: u64,
        /// How far from a minimum.
        offset: f64,
    },
    /// A parameter has lost its effect on the way: the sum of squares is level there, as on a plain, not at a minimum.
    #[error("no minimum: parameter {parameter} has lost all effect after {iterations} steps")]
    Plain {
        /// Which, from 0.
        parameter: usize,
        /// Steps made.
        iterations: u64,
    },
    /// The residuals can still be made smaller beside a point that is level: a saddle.
    #[error("no minimum after {iterations} steps: a saddle")]
    Saddle {
        /// Steps made.
        iterations: u64,
    },
    /// argmin gave up for a reason of its own.
    #[error("the least-squares run stopped early")]
    Run,
}

/// An answer that was checked.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastSquares {
    /// The parameters.
    pub parameters: DVector<f64>,
    /// Residuals there.
    pub residuals: DVector<f64>,
    /// Slopes there.
    pub jacobian: DMatrix<f64>,
    /// Relative offset: length of the part of the residual vector that a further step could remove, over that of the
    /// whole. It bounds how far the answer is from the minimum in units of its own standard errors, about
    /// offset x sqrt(degrees of freedom). (Bates & Watts 1981, *Technometrics* 23:179, from memory.)
    pub offset: f64,
    /// Steps made.
    pub iterations: u64,
}

/// Sine of the angle below which two parameters do the same.
const SAME_DIRECTION: f64 = 1e-13;
/// Residuals this small, as a share of the parameters' effect, are rounding: a perfect fit has no offset.
const ROUNDING: f64 = 1e-14;

/// Share of the largest effect that a parameter has had below which it has lost it.
const LOST: f64 = 1e-6;
/// How far beside a level point is looked, as a share of the parameters, and by how much the sum of squares must fall there
/// for the point to be a saddle.
const BESIDE: f64 = 1e-3;
const FALLS: f64 = 1e-9;

/// Makes the sum of squares small, from a start.
///
/// # Errors
/// [`LeastSquaresError`]; in particular where the solver stops at a point that is no minimum.
pub fn least_squares(
    problem: &impl Residuals,
    start: &DVector<f64>,
    limits: Limits,
) -> Result<LeastSquares, LeastSquaresError> {
    let residuals = problem.residuals(start);
    if residuals.len() < start.len() {
        return Err(LeastSquaresError::TooFew { residuals: residuals.len(), parameters: start.len() });
    }
    if !residuals.iter().all(|r| r.is_finite()) {
        return Err(LeastSquaresError::Start);
    }
    if start.is_empty() {
        let jacobian = DMatrix::zeros(residuals.len(), 0);
        return Ok(LeastSquares { parameters: start.clone(), residuals, jacobian, offset: 0.0, iterations: 0 });
    }
    let solver = LevenbergMarquardt::new(limits.offset);
    let (parameters, iterations, reach) = solver::run(problem, solver, start, limits.iterations)?;
    let residuals = problem.residuals(&parameters);
    let jacobian = problem.jacobian(&parameters);
    let offset = relative_offset(&jacobian, &residuals, &parameters).ok_or(LeastSquaresError::Slopes)?;
    if offset > limits.worst_offset {
        return Err(LeastSquaresError::NoMinimum { iterations, offset });
    }
    // Runs that were cut short on purpose are not asked where they are.
    if limits.worst_offset.is_finite() {
        let lost = |j: &usize| jacobian.column(*j).norm() < LOST * reach[*j];
        if let Some(parameter) = (0..parameters.len()).find(lost) {
            return Err(LeastSquaresError::Plain { parameter, iterations });
        }
        if falls_beside(problem, &parameters, &residuals, &jacobian) {
            return Err(LeastSquaresError::Saddle { iterations });
        }
    }
    Ok(LeastSquares { parameters, residuals, jacobian, offset, iterations })
}

/// Whether the sum of squares falls beside a level point, in the directions that it depends on least, parameters counted in
/// their own size.
fn falls_beside(
    problem: &impl Residuals,
    at: &DVector<f64>,
    residuals: &DVector<f64>,
    jacobian: &DMatrix<f64>,
) -> bool {
    let size = DVector::from_fn(at.len(), |j, _| at[j].abs().max(problem.scale(j)));
    let scaled = DMatrix::from_fn(jacobian.nrows(), at.len(), |i, j| jacobian[(i, j)] * size[j]);
    let directions = (scaled.transpose() * scaled).symmetric_eigen().eigenvectors;
    let here = residuals.norm_squared();
    directions.column_iter().any(|direction| {
        let step = direction.component_mul(&size) * BESIDE;
        [1.0, -1.0].into_iter().any(|way| {
            let there = problem.residuals(&(at + &step * way)).norm_squared();
            there < here * (1.0 - FALLS)
        })
    })
}

/// See [`LeastSquares::offset`]. `None` where slopes are not finite.
fn relative_offset(jacobian: &DMatrix<f64>, residuals: &DVector<f64>, parameters: &DVector<f64>) -> Option<f64> {
    if !jacobian.iter().all(|v| v.is_finite()) {
        return None;
    }
    let whole = residuals.norm();
    let effect: f64 = (0..parameters.len()).map(|j| (jacobian.column(j).norm() * parameters[j]).abs()).sum();
    if whole <= ROUNDING * effect {
        return Some(0.0);
    }
    // Columns to unit length, and directions without effect left out: neither units nor idle parameters count.
    let effective: Vec<DVector<f64>> = jacobian
        .column_iter()
        .filter_map(|column| {
            let length = column.norm();
            (length > 0.0).then(|| column / length)
        })
        .collect();
    if effective.is_empty() {
        return Some(0.0);
    }
    let qr = DMatrix::from_columns(&effective).col_piv_qr();
    let (directions, triangle) = (qr.q(), qr.r());
    let told = (0..effective.len()).filter(|j| triangle[(*j, *j)].abs() > SAME_DIRECTION);
    let removable = told.map(|j| directions.column(j).dot(residuals).powi(2)).sum::<f64>().sqrt();
    Some(removable / whole)
}

impl LeastSquares {
    /// Sum of squares.
    #[must_use]
    pub fn sum_of_squares(&self) -> f64 {
        self.residuals.norm_squared()
    }

    /// Inverse of J^T J: the covariance of the parameters for residuals of unit variance. By QR, so that J^T J is never
    /// formed. `None` where the residuals do not settle all parameters.
    #[must_use]
    pub fn unit_covariance(&self) -> Option<DMatrix<f64>> {
        let n = self.parameters.len();
        // Columns are brought to unit length first: their sizes say nothing about how well they are told apart.
        let lengths: Vec<f64> = (0..n).map(|j| self.jacobian.column(j).norm()).collect();
        if lengths.iter().any(|l| !(*l > 0.0 && l.is_finite())) {
            return None;
        }
        let scaled = DMatrix::from_fn(self.jacobian.nrows(), n, |i, j| self.jacobian[(i, j)] / lengths[j]);
        let inverse = scaled.qr().r().try_inverse()?;
        let covariance = &inverse * inverse.transpose();
        let unscaled = DMatrix::from_fn(n, n, |i, j| covariance[(i, j)] / (lengths[i] * lengths[j]));
        unscaled.iter().all(|v| v.is_finite()).then_some(unscaled)
    }

    /// Variance of the residuals: sum of squares over degrees of freedom; `None` where there are none.
    #[must_use]
    pub fn variance(&self) -> Option<f64> {
        let freedom = self.residuals.len().checked_sub(self.parameters.len()).filter(|f| *f > 0)?;
        Some(self.sum_of_squares() / freedom as f64)
    }

    /// Standard errors of the parameters, with the variance taken from the residuals.
    #[must_use]
    pub fn standard_errors(&self) -> Option<DVector<f64>> {
        let variance = self.variance()?;
        Some(self.unit_covariance()?.diagonal().map(|v| (v * variance).sqrt()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Line;

    impl Residuals for Line {
        fn residuals(&self, at: &DVector<f64>) -> DVector<f64> {
            let data = [(0.0, 1.1), (1.0, 2.9), (2.0, 5.2), (3.0, 6.8)];
            DVector::from_iterator(4, data.iter().map(|(x, y)| at[0] + at[1] * x - y))
        }

        fn scale(&self, _: usize) -> f64 {
            1.0
        }
    }

    #[test]
    fn a_straight_line_has_its_textbook_answer() {
        let fit = least_squares(&Line, &DVector::from_vec(vec![0.0, 0.0]), Limits::default()).unwrap();
        // By hand: slope 1.94, intercept 1.09, sum of squares 0.082, variance 0.041, slope error sqrt(0.041 / 5).
        assert!((fit.parameters[0] - 1.09).abs() < 1e-8 && (fit.parameters[1] - 1.94).abs() < 1e-8);
        assert!((fit.sum_of_squares() - 0.082).abs() < 1e-10);
        let errors = fit.standard_errors().unwrap();
        assert!((errors[1] - (0.041f64 / 5.0).sqrt()).abs() < 1e-8);
        assert!((errors[0] - (0.041f64 * 14.0 / 20.0).sqrt()).abs() < 1e-8);
    }

    struct Valley;

    impl Residuals for Valley {
        fn residuals(&self, at: &DVector<f64>) -> DVector<f64> {
            DVector::from_vec(vec![10.0 * (at[1] - at[0] * at[0]), 1.0 - at[0]])
        }

        fn scale(&self, _: usize) -> f64 {
            1.0
        }
    }

    #[test]
    fn a_bent_valley_is_followed_to_its_end() {
        let fit = least_squares(&Valley, &DVector::from_vec(vec![-1.2, 1.0]), Limits::default()).unwrap();
        assert!((fit.parameters[0] - 1.0).abs() < 1e-10 && (fit.parameters[1] - 1.0).abs() < 1e-10);
        assert!(fit.iterations < 60, "{}", fit.iterations);
    }

    struct Edge;

    impl Residuals for Edge {
        fn residuals(&self, at: &DVector<f64>) -> DVector<f64> {
            DVector::from_vec(vec![at[0].ln() - 1.0, 1e-3])
        }
    }

    #[test]
    fn not_a_number_shortens_the_step() {
        let fit = least_squares(&Edge, &DVector::from_vec(vec![40.0]), Limits::default()).unwrap();
        assert!((fit.parameters[0] - std::f64::consts::E).abs() < 1e-8);
    }

    #[test]
    fn refuses_what_cannot_be_settled() {
        let from = |v: Vec<f64>| least_squares(&Edge, &DVector::from_vec(v), Limits::default());
        assert_eq!(from(vec![-1.0]).unwrap_err(), LeastSquaresError::Start);
        let short = Limits { iterations: 1, ..Limits::default() };
        let far = least_squares(&Valley, &DVector::from_vec(vec![-1.2, 1.0]), short);
        assert!(matches!(far, Err(LeastSquaresError::NoMinimum { .. })));
        let wide = least_squares(&Edge, &DVector::from_vec(vec![1.0; 3]), Limits::default());
        assert_eq!(wide.unwrap_err(), LeastSquaresError::TooFew { residuals: 2, parameters: 3 });
    }

    struct Flat;

    impl Residuals for Flat {
        fn residuals(&self, at: &DVector<f64>) -> DVector<f64> {
            DVector::from_vec(vec![at[0] - 1.0, at[0] + 1.0, 0.5])
        }
    }

    #[test]
    fn a_parameter_without_effect_has_no_error() {
        let fit = least_squares(&Flat, &DVector::from_vec(vec![0.3, 7.0]), Limits::default()).unwrap();
        assert!(fit.parameters[0].abs() < 1e-6, "{}", fit.parameters[0]);
        assert!((fit.parameters[1] - 7.0).abs() < 1e-12);
        assert!(fit.unit_covariance().is_none());
    }
}
