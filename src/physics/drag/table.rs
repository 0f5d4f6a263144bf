//! Smooth functions of one positive variable, looked up.
//!
//! Correlations are sums of powers, and a fall asks for them some hundred thousand times. Between two numbers a sixteenth of an octave
//! apart each is replaced by the cubic with its values and slopes at both: continuous with its slope, and off by no more
//! than w^4 / 384 of its fourth derivative, w the width. For x^-0.89, the steepest there is, that is a share of 8e-7; the
//! tests hold every table to 2e-6.

use std::array::from_fn;

/// Bits of a number that tell its sixteenth of an octave: exponent and four bits of mantissa.
const KEPT_BITS: u32 = 52 - 4;

/// Cubics of `N` functions side by side.
#[derive(Debug)]
pub(super) struct Table<const N: usize> {
    first: u64,
    pieces: Vec<[[f64; 4]; N]>,
}

impl<const N: usize> Table<N> {
    /// Of functions between two powers of 2.
    pub(super) fn new(from: f64, to: f64, functions: impl Fn(f64) -> [f64; N]) -> Self {
        let key = |x: f64| x.to_bits() >> KEPT_BITS;
        let start = |key: u64| f64::from_bits(key << KEPT_BITS);
        // Central difference of five points: good to 1e-11 of a slope with this step.
        let slopes = |x: f64| -> [f64; N] {
            let h = 1e-3 * x;
            let [a, b, c, d] = [-2.0, -1.0, 1.0, 2.0].map(|k| functions(x + k * h));
            from_fn(|i| (a[i] - 8.0 * b[i] + 8.0 * c[i] - d[i]) / (12.0 * h))
        };
        let piece = |key: u64| -> [[f64; 4]; N] {
            let (x0, x1) = (start(key), start(key + 1));
            let width = x1 - x0;
            let (y0, y1, s0, s1) = (functions(x0), functions(x1), slopes(x0), slopes(x1));
            from_fn(|i| {
                let (rise, p, q) = (y1[i] - y0[i], s0[i] * width, s1[i] * width);
                [y0[i], p, 3.0 * rise - 2.0 * p - q, p + q - 2.0 * rise]
            })
        };
        Self { first: key(from), pieces: (key(from)..key(to)).map(piece).collect() }
    }

    /// All functions at `x`; `None` outside the table.
    #[inline]
    pub(super) fn at(&self, x: f64) -> Option<[f64; N]> {
        let bits = x.to_bits();
        let place = usize::try_from((bits >> KEPT_BITS).wrapping_sub(self.first)).ok()?;
        let piece = self.pieces.get(place)?;
        let t = (bits & ((1 << KEPT_BITS) - 1)) as f64 / (1_u64 << KEPT_BITS) as f64;
        Some(from_fn(|i| {
            let [a, b, c, d] = piece[i];
            a + t * (b + t * (c + t * d))
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_function_within_its_error() {
        let function = |x: f64| [x.powf(-0.89), x.powf(0.681), (-x).exp()];
        let table = Table::new(0.25, 64.0, function);
        for i in 0..20_000 {
            let x = 0.25 * 256.0_f64.powf(f64::from(i) / 20_000.0);
            let (found, wanted) = (table.at(x).unwrap(), function(x));
            assert!((found[0] / wanted[0] - 1.0).abs() < 1e-6 && (found[1] / wanted[1] - 1.0).abs() < 1e-7, "{x}");
            assert!((found[2] - wanted[2]).abs() < 2e-6, "{x}");
        }
        for outside in [0.2499, 64.0, -1.0, 0.0, f64::NAN, f64::INFINITY] {
            assert_eq!(table.at(outside), None);
        }
    }

    #[test]
    fn it_is_smooth_where_pieces_meet() {
        let table = Table::new(1.0, 4.0, |x| [x.powf(-0.89)]);
        let at = |x: f64| table.at(x).unwrap()[0];
        for sixteenth in 17..64 {
            let x = f64::from(sixteenth) / 16.0;
            let h = 1e-7;
            let (before, after) = ((at(x - h) - at(x - 2.0 * h)) / h, (at(x + 2.0 * h) - at(x + h)) / h);
            assert!((before / after - 1.0).abs() < 1e-5, "{x}: {before} {after}");
        }
    }
}
