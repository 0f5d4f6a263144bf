//! Levenberg-Marquardt as an argmin solver.
//!
//! Each step minimises |J d + r|^2 + l |D d|^2 by QR of J stacked on sqrt(l) D, D the largest length that each column
//! of J has had (Marquardt's scaling as kept by Moré 1978), so the answer does not depend on the units of the
//! parameters. The damping l follows the ratio of gained to foretold reduction (Nielsen 1999). Both from memory.

use super::{LeastSquaresError, Residuals};
use argmin::core::{
    ArgminError, Error, Executor, IterState, KV, Problem, Solver, State, TerminationReason, TerminationStatus,
};
use nalgebra::{DMatrix, DVector};

type Iteration = IterState<DVector<f64>, (), (), (), (), f64>;

/// Start of the damping: a first step close to Gauss-Newton's where that is any good.
const FIRST_DAMPING: f64 = 1e-3;
/// Share of the sum of squares below which a reduction drowns in its rounding: the offset then tells whether a step was
/// any good.
const DROWNS: f64 = 1e-11;
/// Damping beyond which steps are too short to change anything.
const LAST_DAMPING: f64 = 1e20;

pub(super) struct LevenbergMarquardt {
    damping: f64,
    raise: f64,
    offset: f64,
    scale: DVector<f64>,
    /// Largest effect that each parameter has had.
    reach: DVector<f64>,
    residuals: DVector<f64>,
    jacobian: DMatrix<f64>,
    /// Relative offset at the point.
    here: f64,
    done: bool,
}

impl LevenbergMarquardt {
    pub(super) fn new(offset: f64) -> Self {
        Self {
            damping: FIRST_DAMPING,
            raise: 2.0,
            offset,
            scale: DVector::zeros(0),
            reach: DVector::zeros(0),
            residuals: DVector::zeros(0),
            jacobian: DMatrix::zeros(0, 0),
            here: f64::INFINITY,
            done: false,
        }
    }

    /// Takes the slopes at a new point.
    fn arrive(&mut self, residuals: DVector<f64>, jacobian: DMatrix<f64>, at: &DVector<f64>) -> Result<(), Error> {
        let offset = super::relative_offset(&jacobian, &residuals, at);
        let Some(offset) = offset else { return Err(condition("slopes are not finite")) };
        self.done = offset <= self.offset;
        self.here = offset;
        for j in 0..jacobian.ncols() {
            let length = jacobian.column(j).norm();
            self.reach[j] = self.reach[j].max(length);
            // A parameter without effect so far is damped as if it had one of unit size.
            self.scale[j] = self.scale[j].max(if length > 0.0 { length } else { 1.0 });
        }
        self.residuals = residuals;
        self.jacobian = jacobian;
        Ok(())
    }

    fn step(&self) -> Option<DVector<f64>> {
        let (m, n) = self.jacobian.shape();
        let mut stacked = DMatrix::zeros(m + n, n);
        stacked.rows_mut(0, m).copy_from(&self.jacobian);
        for j in 0..n {
            stacked[(m + j, j)] = self.damping.sqrt() * self.scale[j];
        }
        let mut right = DVector::zeros(m + n);
        right.rows_mut(0, m).copy_from(&(-&self.residuals));
        let qr = stacked.qr();
        qr.q_tr_mul(&mut right);
        let triangle = qr.r();
        triangle.solve_upper_triangular(&right.rows(0, n)).filter(|d| d.iter().all(|v| v.is_finite()))
    }

    fn lower(&mut self, ratio: f64) {
        self.damping *= (1.0 - (2.0 * ratio - 1.0).powi(3)).clamp(1.0 / 3.0, 1.0);
        self.raise = 2.0;
    }

    fn raise(&mut self) {
        self.damping *= self.raise;
        self.raise *= 2.0;
        self.done = self.damping > LAST_DAMPING;
    }
}

fn condition(text: &str) -> Error {
    ArgminError::ConditionViolated { text: text.to_owned() }.into()
}

/// What argmin hands to the solver: it counts nothing here, so the problem is used as it is.
struct Borrowed<'a, R>(&'a R);

fn inner<'p, 'a, R>(problem: &'p Problem<Borrowed<'a, R>>) -> Result<&'p Borrowed<'a, R>, Error> {
    problem.problem.as_ref().ok_or_else(|| condition("the problem is missing"))
}

impl<R: Residuals> Solver<Borrowed<'_, R>, Iteration> for LevenbergMarquardt {
    fn name(&self) -> &str {
        "Levenberg-Marquardt"
    }

    fn init(
        &mut self,
        problem: &mut Problem<Borrowed<'_, R>>,
        mut state: Iteration,
    ) -> Result<(Iteration, Option<KV>), Error> {
        let at = state.take_param().ok_or_else(|| condition("the start is missing"))?;
        let residuals = inner(problem)?.0.residuals(&at);
        let jacobian = inner(problem)?.0.jacobian(&at);
        self.scale = DVector::zeros(at.len());
        self.reach = DVector::zeros(at.len());
        let cost = residuals.norm_squared();
        self.arrive(residuals, jacobian, &at)?;
        Ok((state.param(at).cost(cost), None))
    }

    fn next_iter(
        &mut self,
        problem: &mut Problem<Borrowed<'_, R>>,
        mut state: Iteration,
    ) -> Result<(Iteration, Option<KV>), Error> {
        let at = state.take_param().ok_or_else(|| condition("the point is missing"))?;
        let cost = self.residuals.norm_squared();
        let Some(step) = self.step() else {
            self.raise();
            return Ok((state.param(at).cost(cost), None));
        };
        let next = &at + &step;
        let residuals = inner(problem)?.0.residuals(&next);
        let next_cost = residuals.norm_squared();
        let along = (&self.jacobian * &step).norm_squared();
        let damped = self.scale.component_mul(&step).norm_squared();
        let foretold = along + 2.0 * self.damping * damped;
        let ratio = (cost - next_cost) / foretold;
        if next == at || foretold <= 0.0 {
            self.done = true;
            return Ok((state.param(at).cost(cost), None));
        }
        let drowned = foretold < DROWNS * cost && next_cost <= cost * (1.0 + DROWNS);
        // NaN fails the comparison, so a step to where there are no residuals is refused.
        if !((ratio > 1e-4 || drowned) && next_cost.is_finite()) {
            self.raise();
            return Ok((state.param(at).cost(cost), None));
        }
        let jacobian = inner(problem)?.0.jacobian(&next);
        if drowned {
            let offset = super::relative_offset(&jacobian, &residuals, &next);
            if offset.is_none_or(|o| o >= self.here) {
                // As near as rounding lets it come.
                self.done = true;
                return Ok((state.param(at).cost(cost), None));
            }
        }
        self.lower(if drowned { 1.0 } else { ratio });
        self.arrive(residuals, jacobian, &next)?;
        Ok((state.param(next).cost(next_cost), None))
    }

    fn terminate(&mut self, _state: &Iteration) -> TerminationStatus {
        if self.done {
            TerminationStatus::Terminated(TerminationReason::SolverConverged)
        } else {
            TerminationStatus::NotTerminated
        }
    }
}

/// Runs the solver; its own verdict is not taken, only the point where it stopped, the steps made, and the largest effect
/// that each parameter had on the way.
pub(super) fn run<R: Residuals>(
    problem: &R,
    solver: LevenbergMarquardt,
    start: &DVector<f64>,
    iterations: u64,
) -> Result<(DVector<f64>, u64, DVector<f64>), LeastSquaresError> {
    let outcome = Executor::new(Borrowed(problem), solver)
        .configure(|state| state.param(start.clone()).max_iters(iterations))
        .timer(false)
        .ctrlc(false)
        .run();
    let (mut state, solver) = match outcome {
        Ok(result) => (result.state, result.solver),
        Err(_) => return Err(LeastSquaresError::Slopes),
    };
    let made = state.get_iter();
    // The last point, not the best: steps are accepted only downhill, to the rounding of the sum of squares.
    let last = state.take_param().or_else(|| state.take_best_param()).ok_or(LeastSquaresError::Run)?;
    Ok((last, made, solver.reach))
}
