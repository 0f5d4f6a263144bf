//! Root of one continuous function inside a bracket.

use thiserror::Error;

/// Steps allowed before giving up. Plain halving of the widest possible `f64` bracket needs about 2100 steps only when the
/// root is near zero on a huge interval; everything here is scaled, and Brent's method takes 10 to 20.
const STEP_LIMIT: usize = 300;

/// Why no root was found.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum RootError {
    /// The ends of the interval, or the tolerance, are not usable numbers.
    #[error(
        "cannot search between {a} and {b} to a tolerance of {tolerance}: need finite ends and a tolerance of 0 or more"
    )]
    BadInterval {
        /// One end of the interval.
        a: f64,
        /// The other end.
        b: f64,
        /// Half-width asked for.
        tolerance: f64,
    },
    /// The function has the same sign at both ends.
    #[error("no sign change between {a} (value {value_at_a}) and {b} (value {value_at_b})")]
    NotBracketed {
        /// One end of the interval.
        a: f64,
        /// Value there.
        value_at_a: f64,
        /// The other end.
        b: f64,
        /// Value there.
        value_at_b: f64,
    },
    /// The function returned NaN or an infinity.
    #[error("the function is {value} at {x}")]
    NotFinite {
        /// Where.
        x: f64,
        /// What came back.
        value: f64,
    },
    /// The bracket is still too wide after the step limit.
    #[error("no root to within {tolerance} after {steps} steps; the bracket is still {width} wide")]
    TooManySteps {
        /// Steps taken.
        steps: usize,
        /// Width of the bracket that is left.
        width: f64,
        /// Half-width asked for.
        tolerance: f64,
    },
}

/// Root of `f` between `a` and `b` by Brent's method: inverse quadratic or secant steps, halving whenever those do not pay.
///
/// `f(a)` and `f(b)` must differ in sign (or one be zero). The ends may be given in either order. The answer is within
/// `tolerance + 2 eps |x|` of a sign change of `f`, in the units of x; `tolerance` may be 0, which asks for machine precision.
/// At most 300 evaluations, so a discontinuous `f` ends too. Same input, same bits.
///
/// For the inner loop. Slow outer problems go through argmin.
///
/// Source: Brent 1973, *Algorithms for Minimization without Derivatives*, ch. 4 (from memory).
///
/// # Errors
/// [`RootError`]: unusable interval, no sign change, a value that is not finite, or too many steps.
///
/// ```
/// use counterpoise::numeric::bracketed_root;
/// let root = bracketed_root(|x| x * x - 2.0, 0.0, 2.0, 0.0).unwrap();
/// assert!((root - 2f64.sqrt()).abs() < 1e-15);
/// ```
pub fn bracketed_root(mut f: impl FnMut(f64) -> f64, a: f64, b: f64, tolerance: f64) -> Result<f64, RootError> {
    let usable = a.is_finite() && b.is_finite() && (b - a).is_finite() && tolerance.is_finite() && tolerance >= 0.0;
    if !usable {
        return Err(RootError::BadInterval { a, b, tolerance });
    }
    let mut value = |x: f64| match f(x) {
        value if value.is_finite() => Ok(value),
        value => Err(RootError::NotFinite { x, value }),
    };
    // Brent's names: `best` is the latest and best guess, `last` the one before, `other` holds the opposite sign.
    let (mut last, mut f_last) = (a, value(a)?);
    let (mut best, mut f_best) = (b, value(b)?);
    if f_last != 0.0 && f_best != 0.0 && f_last.is_sign_positive() == f_best.is_sign_positive() {
        return Err(RootError::NotBracketed { a, value_at_a: f_last, b, value_at_b: f_best });
    }
    if f_last == 0.0 {
        return Ok(last);
    }
    let (mut other, mut f_other) = (last, f_last);
    let mut step = best - last;
    let mut step_before = step;
    for _ in 0..STEP_LIMIT {
        if f_best.is_sign_positive() == f_other.is_sign_positive() {
            (other, f_other) = (last, f_last);
            step = best - last;
            step_before = step;
        }
        if f_other.abs() < f_best.abs() {
            (last, f_last) = (best, f_best);
            (best, f_best) = (other, f_other);
            (other, f_other) = (last, f_last);
        }
        let reach = 2.0 * f64::EPSILON * best.abs() + tolerance;
        let half = 0.5 * (other - best);
        // A subnormal `half` cannot be halved any further.
        if f_best == 0.0 || half.abs() <= reach.max(f64::MIN_POSITIVE) {
            return Ok(best);
        }
        match open_step((last, f_last), (best, f_best), (other, f_other)) {
            Some(trial)
                if step_before.abs() >= reach
                    && f_last.abs() > f_best.abs()
                    && 2.0 * trial.abs() < (3.0 * half.abs() - reach).min(step_before.abs())
                    && trial * half > 0.0 =>
            {
                step_before = step;
                step = trial;
            }
            _ => {
                step = half;
                step_before = half;
            }
        }
        (last, f_last) = (best, f_best);
        best += if step.abs() > reach { step } else { reach.copysign(half) };
        f_best = value(best)?;
    }
    Err(RootError::TooManySteps { steps: STEP_LIMIT, width: (other - best).abs(), tolerance })
}

/// Secant step, or inverse quadratic when the three points differ; `None` when it is not a number.
fn open_step(last: (f64, f64), best: (f64, f64), other: (f64, f64)) -> Option<f64> {
    let s = best.1 / last.1;
    let (p, q) = if last.0 == other.0 {
        ((other.0 - best.0) * s, s - 1.0)
    } else {
        let q = last.1 / other.1;
        let r = best.1 / other.1;
        let p = s * ((other.0 - best.0) * q * (q - r) - (best.0 - last.0) * (r - 1.0));
        (p, -(q - 1.0) * (r - 1.0) * (s - 1.0))
    };
    let step = p / q;
    step.is_finite().then_some(step)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_simple_roots_to_machine_precision() {
        let cos = bracketed_root(|x| x.cos() - x, 0.0, 1.0, 0.0).unwrap();
        assert!((cos - 0.739_085_133_215_160_6).abs() < 4e-16);
        let cube = bracketed_root(|x| x * x * x - 27.0, -100.0, 1e4, 0.0).unwrap();
        assert!((cube - 3.0).abs() < 4e-15);
    }

    #[test]
    fn takes_the_ends_in_either_order_and_an_end_that_is_the_root() {
        let f = |x: f64| x.exp() - 2.0;
        let there = bracketed_root(f, 0.0, 1.0, 0.0).unwrap();
        let back = bracketed_root(f, 1.0, 0.0, 0.0).unwrap();
        assert!((there - back).abs() < 4e-16);
        assert_eq!(bracketed_root(|x| x, 0.0, 1.0, 0.0), Ok(0.0));
        assert_eq!(bracketed_root(|x| x - 1.0, 0.0, 1.0, 0.0), Ok(1.0));
    }

    #[test]
    fn survives_flat_steep_and_broken_functions() {
        let ninth = bracketed_root(|x| (x - 0.3).powi(9), -1.0, 1.0, 1e-6).unwrap();
        assert!((ninth - 0.3).abs() < 1e-4, "{ninth}");
        let steep = bracketed_root(|x| (1e4 * (x - 0.123)).atan(), -1e6, 1e6, 0.0).unwrap();
        assert!((steep - 0.123).abs() < 1e-12, "{steep}");
        let jump = bracketed_root(|x| if x < 0.7 { -1.0 } else { 2.0 }, 0.0, 1.0, 1e-9).unwrap();
        assert!((jump - 0.7).abs() < 3e-9, "{jump}");
    }

    #[test]
    fn takes_few_steps_on_a_smooth_function() {
        let mut calls = 0;
        let count = |x: f64| {
            calls += 1;
            x.powi(3) - 2.0 * x - 5.0
        };
        let root = bracketed_root(count, 2.0, 3.0, 0.0).unwrap();
        assert!((root - 2.094_551_481_542_326_5).abs() < 1e-15);
        assert!(calls <= 12, "{calls}");
    }

    #[test]
    fn refuses_what_it_cannot_solve() {
        assert!(matches!(bracketed_root(|x| x * x + 1.0, -1.0, 1.0, 0.0), Err(RootError::NotBracketed { .. })));
        assert!(matches!(bracketed_root(|x| x, f64::NAN, 1.0, 0.0), Err(RootError::BadInterval { .. })));
        assert!(matches!(bracketed_root(|x| x, -f64::MAX, f64::MAX, 0.0), Err(RootError::BadInterval { .. })));
        assert!(matches!(bracketed_root(|x| x, -1.0, 1.0, -1e-9), Err(RootError::BadInterval { .. })));
        let hole = |x: f64| if x.abs() < 0.5 { f64::NAN } else { x };
        assert!(matches!(bracketed_root(hole, -1.0, 1.0, 0.0), Err(RootError::NotFinite { .. })));
    }
}
