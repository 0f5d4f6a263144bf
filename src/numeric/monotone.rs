//! A smooth monotone curve through a table.

/// Piecewise cubic through `N` points that keeps the shape of the data: where the table rises the curve rises, so it never
/// overshoots a row. The slope is continuous.
///
/// Slopes: weighted harmonic mean inside, one-sided three-point at the ends. Source: Fritsch & Butland 1984, *SIAM J. Sci.
/// Stat. Comput.* 5:300 (from memory); the scheme known as PCHIP.
///
/// ```
/// use counterpoise::numeric::MonotoneCurve;
/// const CURVE: MonotoneCurve<3> = MonotoneCurve::through([(0.0, 0.0), (1.0, 1.0), (3.0, 2.0)]);
/// assert_eq!(CURVE.at(1.0), 1.0);
/// assert!(CURVE.at(0.5) > 0.5 && CURVE.at(2.0) < 2.0);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonotoneCurve<const N: usize> {
    points: [(f64, f64); N],
    slopes: [f64; N],
}

impl<const N: usize> MonotoneCurve<N> {
    /// The curve through `points` (x, y), x strictly rising, at least three of them. Meant for constants: a table that breaks
    /// this rule does not compile.
    pub const fn through(points: [(f64, f64); N]) -> Self {
        assert!(N >= 3, "a monotone curve needs three points");
        let mut slopes = [0.0; N];
        let mut i = 1;
        while i < N {
            assert!(points[i].0 > points[i - 1].0, "x must rise strictly");
            i += 1;
        }
        let mut i = 1;
        while i + 1 < N {
            slopes[i] = inner_slope(points[i - 1], points[i], points[i + 1]);
            i += 1;
        }
        slopes[0] = end_slope(points[0], points[1], points[2]);
        slopes[N - 1] = end_slope(points[N - 1], points[N - 2], points[N - 3]);
        Self { points, slopes }
    }

    /// First and last x of the table.
    pub const fn range(&self) -> (f64, f64) {
        (self.points[0].0, self.points[N - 1].0)
    }

    /// y at `x`. Outside the table the end value is held: callers compare with [`range`](Self::range) and say so. NaN gives NaN.
    pub fn at(&self, x: f64) -> f64 {
        let (first, last) = self.range();
        if x <= first {
            return self.points[0].1;
        }
        if x >= last {
            return self.points[N - 1].1;
        }
        let i = self.points[1..N - 1].partition_point(|p| p.0 <= x);
        let ((x0, y0), (x1, y1)) = (self.points[i], self.points[i + 1]);
        let h = x1 - x0;
        let t = (x - x0) / h;
        let rise = y1 - y0;
        let (from, to) = (self.slopes[i] * h - rise, rise - self.slopes[i + 1] * h);
        y0 + t * rise + t * (1.0 - t) * ((1.0 - t) * from + t * to)
    }
}

const fn chord(a: (f64, f64), b: (f64, f64)) -> f64 {
    (b.1 - a.1) / (b.0 - a.0)
}

const fn inner_slope(a: (f64, f64), b: (f64, f64), c: (f64, f64)) -> f64 {
    let (before, after) = (chord(a, b), chord(b, c));
    if before * after <= 0.0 {
        return 0.0;
    }
    let (h0, h1) = (b.0 - a.0, c.0 - b.0);
    let (w0, w1) = (2.0 * h1 + h0, h1 + 2.0 * h0);
    (w0 + w1) / (w0 / before + w1 / after)
}

/// Slope at `end`, from it and its two neighbours going inwards.
const fn end_slope(end: (f64, f64), next: (f64, f64), third: (f64, f64)) -> f64 {
    let (h0, h1) = (next.0 - end.0, third.0 - next.0);
    let (near, far) = (chord(end, next), chord(next, third));
    let slope = ((2.0 * h0 + h1) * near - h0 * far) / (h0 + h1);
    if slope * near <= 0.0 {
        0.0
    } else if near * far <= 0.0 && slope.abs() > 3.0 * near.abs() {
        3.0 * near
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FALLING: MonotoneCurve<4> = MonotoneCurve::through([(0.0, 1.0), (0.1, 0.4), (0.5, 0.39), (2.0, 0.0)]);

    #[test]
    fn passes_through_every_point_and_holds_the_ends() {
        for (x, y) in FALLING.points {
            assert!((FALLING.at(x) - y).abs() < 1e-15);
        }
        assert_eq!((FALLING.at(-1.0), FALLING.at(3.0)), (1.0, 0.0));
        assert!(FALLING.at(f64::NAN).is_nan());
    }

    #[test]
    fn never_turns_back() {
        let mut last = f64::INFINITY;
        for i in 0..=2000 {
            let y = FALLING.at(f64::from(i) * 1e-3);
            assert!(y <= last, "at {i}");
            last = y;
        }
    }

    #[test]
    fn a_straight_table_gives_a_straight_line() {
        let line = MonotoneCurve::through([(0.0, 1.0), (1.0, 3.0), (4.0, 9.0)]);
        for x in [0.2, 0.9, 1.7, 3.9] {
            assert!((line.at(x) - (1.0 + 2.0 * x)).abs() < 1e-14);
        }
    }
}
