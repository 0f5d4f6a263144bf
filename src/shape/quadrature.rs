//! Gauss-Legendre quadrature for the shapes without a closed form.

use std::f64::consts::PI;
use std::sync::LazyLock;

const POINTS: usize = 24;

/// Nodes and weights on -1 to 1: roots of the Legendre polynomial by Newton's method (Abramowitz & Stegun 1964,
/// 25.4.29; from memory).
static RULE: LazyLock<[(f64, f64); POINTS]> = LazyLock::new(|| {
    std::array::from_fn(|i| {
        let n = POINTS as f64;
        let mut x = (PI * (i as f64 + 0.75) / (n + 0.5)).cos();
        let mut slope = 1.0;
        for _ in 0..8 {
            let (mut below, mut here) = (1.0, x);
            for k in 2..=POINTS {
                let k = k as f64;
                (below, here) = (here, ((2.0 * k - 1.0) * x * here - (k - 1.0) * below) / k);
            }
            slope = n * (x * here - below) / (x * x - 1.0);
            x -= here / slope;
        }
        (x, 2.0 / ((1.0 - x * x) * slope * slope))
    })
});

/// Integral of `f` from `a` to `b`, component by component.
///
/// The variable is bent, x = middle + half sin(pi t / 2), so that a square root starting at either end does no harm.
pub(super) fn integrate<const N: usize>(a: f64, b: f64, f: impl Fn(f64) -> [f64; N]) -> [f64; N] {
    let (middle, half) = (0.5 * (a + b), 0.5 * (b - a));
    let mut sum = [0.0; N];
    for (t, weight) in RULE.iter() {
        let bend = 0.5 * PI * t;
        let scale = weight * half * 0.5 * PI * bend.cos();
        for (total, value) in sum.iter_mut().zip(f(middle + half * bend.sin())) {
            *total += scale * value;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn smooth_and_rooted_integrands() {
        let [cube, root] = integrate(1.0, 3.0, |x| [x * x * x, ((x - 1.0) * (3.0 - x)).sqrt()]);
        assert!((cube - 20.0).abs() < 1e-13);
        assert!((root - 0.5 * PI).abs() < 1e-13, "half a disc of radius 1: {root}");
        let weights: f64 = RULE.iter().map(|(_, w)| w).sum();
        assert!((weights - 2.0).abs() < 1e-14);
    }
}
