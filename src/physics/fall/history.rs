//! Time histories: the one place that calls the ODE library.
//!
//! Dormand-Prince 5(4) of the crate `differential-equations`, with its dense output. It is as quick here as a hand-written one and
//! its steps are watched through its own output trait, so that a history can stop, or take note, anywhere between steps.

use differential_equations::control::ControlFlag;
use differential_equations::interpolate::Interpolation;
use differential_equations::methods::ExplicitRungeKutta;
use differential_equations::ode::{ODE, solve_ode};
use differential_equations::solout::Solout;
use differential_equations::solution::Solution;
use thiserror::Error;

/// Relative tolerance of every history.
const RELATIVE: f64 = 1e-6;
/// Steps before giving up: ten times what a minute of a fluttering fly takes.
const MOST_STEPS: usize = 200_000;

/// Why a history could not be followed to its end.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum HistoryError {
    /// The steps became too many or too small.
    #[error("the motion could not be followed to {until} s ({reason})")]
    Lost {
        /// Time it should have reached, s.
        until: f64,
        /// What the integrator met.
        reason: &'static str,
    },
}

/// One step just taken.
pub(super) struct Step<'s, const N: usize> {
    /// Time before it, s.
    pub(super) from: f64,
    /// Time after it, s.
    pub(super) to: f64,
    /// State before it.
    pub(super) before: &'s [f64; N],
    /// State after it.
    pub(super) after: &'s [f64; N],
    between: &'s mut dyn FnMut(f64) -> Option<[f64; N]>,
}

impl<const N: usize> Step<'_, N> {
    /// State at a time inside the step.
    pub(super) fn at(&mut self, time: f64) -> [f64; N] {
        let time = time.clamp(self.from, self.to);
        (self.between)(time).unwrap_or(*self.after)
    }

    /// First time inside the step at which a quantity crosses zero upwards, if it does between the ends.
    pub(super) fn crossing(&mut self, quantity: impl Fn(&[f64; N]) -> f64) -> Option<f64> {
        let (low, high) = (quantity(self.before), quantity(self.after));
        if !(low < 0.0 && high >= 0.0) {
            return None;
        }
        let (from, to) = (self.from, self.to);
        crate::numeric::bracketed_root(|t| quantity(&self.at(t)), from, to, 1e-12).ok()
    }
}

/// What to do after a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Go {
    /// Go on.
    On,
    /// Stop here.
    Stop,
}

struct System<F>(F);

impl<F: Fn(&[f64; N]) -> [f64; N], const N: usize> ODE<f64, [f64; N]> for System<F> {
    fn diff(&self, _: f64, y: &[f64; N], rate: &mut [f64; N]) {
        *rate = (self.0)(y);
    }
}

struct Watched<W, const N: usize> {
    watch: W,
    last: (f64, [f64; N]),
}

impl<W: FnMut(Step<N>) -> Go, const N: usize> Solout<f64, [f64; N]> for Watched<W, N> {
    fn solout<I>(
        &mut self,
        t_curr: f64,
        t_prev: f64,
        y_curr: &[f64; N],
        y_prev: &[f64; N],
        interpolator: &mut I,
        _: &mut Solution<f64, [f64; N]>,
    ) -> ControlFlag<f64, [f64; N]>
    where
        I: Interpolation<f64, [f64; N]> + ?Sized,
    {
        self.last = (t_curr, *y_curr);
        if t_curr <= t_prev {
            return ControlFlag::Continue;
        }
        let mut between = |t: f64| interpolator.interpolate(t).ok();
        let step = Step { from: t_prev, to: t_curr, before: y_prev, after: y_curr, between: &mut between };
        match (self.watch)(step) {
            Go::On => ControlFlag::Continue,
            Go::Stop => ControlFlag::Terminate,
        }
    }
}

/// Follows y' = rate(y) from `start` for `duration` s, or until the watcher stops it; returns the last time and state.
///
/// `scale` holds, per component, the size below which it does not matter: absolute tolerance is a millionth of it.
pub(super) fn follow<const N: usize>(
    rate: impl Fn(&[f64; N]) -> [f64; N],
    start: [f64; N],
    duration: f64,
    scale: [f64; N],
    watch: impl FnMut(Step<N>) -> Go,
) -> Result<(f64, [f64; N]), HistoryError> {
    let absolute: Vec<f64> = scale.iter().map(|s| RELATIVE * s).collect();
    let mut method = ExplicitRungeKutta::dopri5().rtol(RELATIVE).atol(absolute).max_steps(MOST_STEPS);
    let mut watched = Watched { watch, last: (0.0, start) };
    let lost = |reason| HistoryError::Lost { until: duration, reason };
    if !(duration > 0.0 && duration.is_finite()) {
        return Err(lost("it has no duration"));
    }
    match solve_ode(&mut method, &System(rate), 0.0, duration, &start, &mut watched) {
        Ok(_) => Ok(watched.last),
        Err(differential_equations::error::Error::MaxSteps { .. }) => Err(lost("too many steps")),
        Err(differential_equations::error::Error::Stiffness { .. }) => Err(lost("too stiff")),
        Err(_) => Err(lost("a step too small")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A pendulum with friction, against fixed small steps of the classical Runge-Kutta rule: a second, plain route.
    #[test]
    fn agrees_with_a_plain_fixed_step_rule() {
        let rate = |y: &[f64; 2]| [y[1], -40.0 * y[0].sin() - 0.3 * y[1] * y[1].abs()];
        let (time, end) = follow(rate, [1.2, 0.0], 3.0, [1.0, 1.0], |_| Go::On).unwrap();
        let mut y = [1.2, 0.0];
        let h = 1e-4;
        let shift = |y: &[f64; 2], k: &[f64; 2], f: f64| [y[0] + f * k[0], y[1] + f * k[1]];
        for _ in 0..30_000 {
            let k1 = rate(&y);
            let k2 = rate(&shift(&y, &k1, 0.5 * h));
            let k3 = rate(&shift(&y, &k2, 0.5 * h));
            let k4 = rate(&shift(&y, &k3, h));
            for i in 0..2 {
                y[i] += h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]);
            }
        }
        assert!((time - 3.0).abs() < 1e-12);
        for i in 0..2 {
            assert!((end[i] - y[i]).abs() < 2e-5, "{end:?} {y:?}");
        }
    }

    #[test]
    fn stops_where_told_and_finds_the_crossing() {
        let mut crossed = None;
        let (time, _) = follow(
            |_| [2.0],
            [0.0],
            10.0,
            [1.0],
            |mut step| {
                crossed = crossed.or(step.crossing(|y| y[0] - 3.0));
                if crossed.is_some() { Go::Stop } else { Go::On }
            },
        )
        .unwrap();
        assert!((crossed.unwrap() - 1.5).abs() < 1e-9, "{crossed:?}");
        assert!((1.5..=10.0).contains(&time), "a straight line may be one step: {time}");
    }

    #[test]
    fn a_motion_that_is_no_number_is_lost_not_endless() {
        assert!(matches!(follow(|_| [f64::NAN], [0.0], 1.0, [1.0], |_| Go::On), Err(HistoryError::Lost { .. })));
        assert!(follow(|_| [1.0], [0.0], 0.0, [1.0], |_| Go::On).is_err());
    }
}
