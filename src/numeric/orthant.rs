//! Shares of joint normal distributions: how often all of a few straight-line figures hold at once.
//!
//! Two figures: Owen's T function (Owen 1956, Ann. Math. Stat. 27, 1075, eq. 2.1 and 3.1, from memory), to about 1e-9. Three: one of
//! them integrated over by Gauss-Legendre. Four: two threes where two figures are the edges of one window. Else: the sequential conditioning of Genz 1992 (J. Comput. Graph. Stat. 1, 141, from memory) with the narrowest figure
//! first, on a fixed lattice of points, so that the same question always gives the same answer, to about 1e-3.

use super::normal_share_below;
use std::f64::consts::{FRAC_1_SQRT_2, PI, TAU};

/// Nodes and weights of the ten-point Gauss-Legendre rule on -1 to 1, one of each pair (Abramowitz & Stegun 25.4, from memory).
const LEGENDRE: [(f64, f64); 5] = [
    (0.148_874_338_981_631_2, 0.295_524_224_714_752_9),
    (0.433_395_394_129_247_2, 0.269_266_719_309_996_3),
    (0.679_409_568_299_024_4, 0.219_086_362_515_982),
    (0.865_063_366_688_984_5, 0.149_451_349_150_580_6),
    (0.973_906_528_517_171_7, 0.066_671_344_308_688_1),
];

/// Owen's T: the share of a pair of independent standard normals with X > h and 0 < Y < a X.
///
/// ```
/// use counterpoise::numeric::owens_t;
/// // T(h, 1) = Phi(h) (1 - Phi(h)) / 2.
/// assert!((owens_t(0.0, 1.0) - 0.125).abs() < 1e-12);
/// assert!((owens_t(1.0, 1.0) - 0.5 * 0.841_344_746 * 0.158_655_254).abs() < 1e-9);
/// ```
#[must_use]
pub fn owens_t(h: f64, a: f64) -> f64 {
    let (h, sign, a) = (h.abs(), a.signum(), a.abs());
    let value = if a <= 1.0 {
        owens_t_below_one(h, a)
    } else {
        let (near, far) = (normal_share_below(h), normal_share_below(a * h));
        0.5 * (near + far) - near * far - owens_t_below_one(a * h, 1.0 / a)
    };
    sign * value
}

fn owens_t_below_one(h: f64, a: f64) -> f64 {
    let half = -0.5 * h * h;
    let at = |x: f64| {
        let q = 1.0 + x * x;
        (half * q).exp() / q
    };
    let middle = 0.5 * a;
    let sum: f64 = LEGENDRE.iter().map(|(x, w)| w * (at(middle * (1.0 - x)) + at(middle * (1.0 + x)))).sum();
    middle * sum / TAU
}

/// Share of a pair of standard normals of this correlation with X <= h and Y <= k.
///
/// ```
/// use counterpoise::numeric::binormal_share_below;
/// // A quarter and asin(rho) / 2 pi at the origin (Sheppard).
/// assert!((binormal_share_below(0.0, 0.0, 0.5) - 1.0 / 3.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn binormal_share_below(h: f64, k: f64, correlation: f64) -> f64 {
    let (share_h, share_k) = (normal_share_below(h), normal_share_below(k));
    if correlation >= 1.0 - 1e-13 {
        return share_h.min(share_k);
    }
    if correlation <= -1.0 + 1e-13 {
        return (share_h + share_k - 1.0).max(0.0);
    }
    // At 0 the slope of the wedge is infinite; its share goes on without a step there.
    let off_zero = |x: f64| if x.abs() < 1e-14 { 1e-14 } else { x };
    let (h, k) = (off_zero(h), off_zero(k));
    let root = ((1.0 - correlation) * (1.0 + correlation)).sqrt();
    let wedges = owens_t(h, (k / h - correlation) / root) + owens_t(k, (h / k - correlation) / root);
    let across = if h * k < 0.0 { 0.5 } else { 0.0 };
    (0.5 * (share_h + share_k) - wedges - across).clamp(0.0, share_h.min(share_k))
}

/// Standard normal below which a share lies: Acklam's rational fit (from memory, relative error 1.2e-9).
#[must_use]
pub fn normal_below_which(share: f64) -> f64 {
    const A: [f64; 6] = [
        -3.969_683_028_665_376e1,
        2.209_460_984_245_205e2,
        -2.759_285_104_469_687e2,
        1.383_577_518_672_69e2,
        -3.066_479_806_614_716e1,
        2.506_628_277_459_239,
    ];
    const B: [f64; 5] = [
        -5.447_609_879_822_406e1,
        1.615_858_368_580_409e2,
        -1.556_989_798_598_866e2,
        6.680_131_188_771_972e1,
        -1.328_068_155_288_572e1,
    ];
    const C: [f64; 6] = [
        -7.784_894_002_430_293e-3,
        -3.223_964_580_411_365e-1,
        -2.400_758_277_161_838,
        -2.549_732_539_343_734,
        4.374_664_141_464_968,
        2.938_163_982_698_783,
    ];
    const D: [f64; 4] =
        [7.784_695_709_041_462e-3, 3.224_671_290_700_398e-1, 2.445_134_137_142_996, 3.754_408_661_907_416];
    const TAIL: f64 = 0.024_25;
    let poly = |c: &[f64], x: f64| c.iter().fold(0.0, |sum, c| sum * x + c);
    let tail = |share: f64| {
        let q = (-2.0 * share.ln()).sqrt();
        poly(&C, q) / (poly(&D, q) * q + 1.0)
    };
    let share = share.clamp(1e-300, 1.0 - 1e-16);
    if share < TAIL {
        tail(share)
    } else if share > 1.0 - TAIL {
        -tail(1.0 - share)
    } else {
        let q = share - 0.5;
        let r = q * q;
        poly(&A, r) * q / (poly(&B, r) * r + 1.0)
    }
}

/// Most figures that [`normal_share_of_orthant`] takes.
pub const MOST_FIGURES: usize = 16;

/// Points of the lattice.
const POINTS: u32 = 200;

/// Share of joint normal figures that are all at or above zero: means, and the covariance of each pair.
///
/// Figures beyond [`MOST_FIGURES`] are left out (the share is then too large).
#[must_use]
pub fn normal_share_of_orthant(means: &[f64], covariance: impl Fn(usize, usize) -> f64) -> f64 {
    let mut ways = Ways::new();
    for (i, mean) in means.iter().enumerate().take(MOST_FIGURES) {
        let sd = covariance(i, i).max(0.0).sqrt();
        // A figure that is certain, or all but.
        if *mean >= SURE * sd && (sd > 0.0 || *mean >= 0.0) {
            continue;
        }
        // Nor is a figure that cannot be worked out, like the sink rate of a fly that floats.
        if *mean < -SURE * sd || mean.is_nan() || sd.is_nan() {
            return 0.0;
        }
        ways.add(i, mean / sd, |a, b| covariance(a, b) / (covariance(a, a) * covariance(b, b)).sqrt());
    }
    let (n, limits, index) = (ways.len, ways.limits, ways.index);
    let sd = |a: usize| covariance(index[a], index[a]).sqrt();
    let correlation = |a: usize, b: usize| (covariance(index[a], index[b]) / (sd(a) * sd(b))).clamp(-1.0, 1.0);
    match n {
        0 => 1.0,
        1 => normal_share_below(limits[0]),
        2 => binormal_share_below(limits[0], limits[1], correlation(0, 1)),
        3 => three(&[0, 1, 2].map(|i| limits[i]), correlation),
        4 => four(&limits[..4], correlation),
        _ => Sequence::new(&limits[..n], correlation).share(),
    }
}

/// Three figures: the one that hangs least on the others is integrated over, the other two given it are a pair.
fn three(limits: &[f64; 3], correlation: impl Fn(usize, usize) -> f64) -> f64 {
    let tied = |i: usize| (0..3).filter(|j| *j != i).map(|j| correlation(i, j).abs()).fold(0.0, f64::max);
    let free = (0..3).min_by(|a, b| tied(*a).total_cmp(&tied(*b))).unwrap_or(0);
    let (a, b) = ((free + 1) % 3, (free + 2) % 3);
    let (to_a, to_b) = (correlation(free, a), correlation(free, b));
    let (left_a, left_b) = ((1.0 - to_a * to_a).max(0.0).sqrt(), (1.0 - to_b * to_b).max(0.0).sqrt());
    if left_a < FOLLOWS || left_b < FOLLOWS {
        return Sequence::new(limits, correlation).share();
    }
    let pair = ((correlation(a, b) - to_a * to_b) / (left_a * left_b)).clamp(-1.0, 1.0);
    let given = |x: f64| {
        let (h, k) = ((limits[a] - to_a * x) / left_a, (limits[b] - to_b * x) / left_b);
        normal_density(x) * binormal_share_below(h, k, pair)
    };
    let (low, high) = (-FAR_OUT, limits[free].min(FAR_OUT));
    if high <= low {
        return 0.0;
    }
    // The density is smooth, but where a figure all but follows from x its share has a steep flank: panels meet there.
    let flank = |limit: f64, to: f64| if to == 0.0 { low } else { (limit / to).clamp(low, high) };
    let mut ends = [low, flank(limits[a], to_a), flank(limits[b], to_b), high];
    ends.sort_by(f64::total_cmp);
    ends.windows(2)
        .filter(|panel| panel[1] > panel[0])
        .map(|panel| {
            let (middle, half) = (0.5 * (panel[0] + panel[1]), 0.5 * (panel[1] - panel[0]));
            LEGENDRE.iter().map(|(x, w)| w * half * (given(middle - half * x) + given(middle + half * x))).sum::<f64>()
        })
        .sum()
}

/// Standard deviations beyond which hardly a hundred-millionth lies.
const FAR_OUT: f64 = 5.5;

/// Four figures. Where two of them are the two edges of one window, they cannot both be missed, and the share is that of
/// the other two with the first edge, less what then misses the second.
fn four(limits: &[f64], correlation: impl Fn(usize, usize) -> f64) -> f64 {
    const OPPOSED: f64 = -0.9;
    const NEVER: f64 = 1e-6;
    for (i, j, a, b) in [(2, 3, 0, 1), (0, 1, 2, 3), (0, 2, 1, 3), (0, 3, 1, 2), (1, 2, 0, 3), (1, 3, 0, 2)] {
        let opposed = correlation(i, j);
        if opposed < OPPOSED && binormal_share_below(-limits[i], -limits[j], opposed) < NEVER {
            let with_first = three(&[limits[a], limits[b], limits[i]], |x, y| {
                let at = [a, b, i];
                correlation(at[x], at[y])
            });
            let second_missed = three(&[limits[a], limits[b], -limits[j]], |x, y| {
                let at = [a, b, j];
                let sign = if (x == 2) != (y == 2) { -1.0 } else { 1.0 };
                sign * correlation(at[x], at[y])
            });
            return (with_first - second_missed).max(0.0);
        }
    }
    Sequence::new(limits, correlation).share()
}

/// Standard deviations beyond which a figure counts as certain.
const SURE: f64 = 6.5;

/// Figures that may go either way.
struct Ways {
    len: usize,
    index: [usize; MOST_FIGURES],
    limits: [f64; MOST_FIGURES],
}

impl Ways {
    fn new() -> Self {
        Self { len: 0, index: [0; MOST_FIGURES], limits: [0.0; MOST_FIGURES] }
    }

    /// Of two figures one of which holds wherever the other does, all but surely, the other is kept.
    fn add(&mut self, index: usize, limit: f64, correlation: impl Fn(usize, usize) -> f64) {
        // Given that the other is above zero, this figure is no less than what follows from it, with what is left to chance.
        let implied = |limit: f64, by: f64, tied: f64| {
            tied > 0.0 && limit - tied * by >= NEVER_FALLS * (1.0 - tied * tied).max(0.0).sqrt()
        };
        let tied = |known: usize| correlation(self.index[known], index).clamp(-1.0, 1.0);
        if (0..self.len).any(|known| implied(limit, self.limits[known], tied(known))) {
            return;
        }
        let mut left = Self::new();
        for known in (0..self.len).filter(|known| !implied(self.limits[*known], limit, tied(*known))) {
            left.push(self.index[known], self.limits[known]);
        }
        left.push(index, limit);
        *self = left;
    }

    fn push(&mut self, index: usize, limit: f64) {
        (self.index[self.len], self.limits[self.len]) = (index, limit);
        self.len += 1;
    }
}

/// Standard deviations that chance exceeds once in a million.
const NEVER_FALLS: f64 = 4.75;

/// Figures in the order in which they are drawn, each given those before it.
struct Sequence {
    len: usize,
    limits: [f64; MOST_FIGURES],
    factor: [[f64; MOST_FIGURES]; MOST_FIGURES],
}

/// Below this a figure follows from those before it.
const FOLLOWS: f64 = 1e-6;

impl Sequence {
    /// Cholesky factor with the figure least likely to hold first, given the expected values of those before it.
    fn new(limits: &[f64], correlation: impl Fn(usize, usize) -> f64) -> Self {
        let n = limits.len();
        let mut order: [usize; MOST_FIGURES] = std::array::from_fn(|i| i);
        let mut factor = [[0.0; MOST_FIGURES]; MOST_FIGURES];
        let mut expected = [0.0; MOST_FIGURES];
        for step in 0..n {
            let look = |row: &[f64; MOST_FIGURES], figure: usize| {
                let left = (1.0 - row[..step].iter().map(|c| c * c).sum::<f64>()).max(0.0).sqrt();
                let shift: f64 = row[..step].iter().zip(&expected[..step]).map(|(c, y)| c * y).sum();
                let above = limits[figure] - shift;
                let limit = if left > FOLLOWS { above / left } else { f64::INFINITY.copysign(above) };
                (limit, left)
            };
            let narrowest = (step..n)
                .min_by(|a, b| look(&factor[*a], order[*a]).0.total_cmp(&look(&factor[*b], order[*b]).0))
                .unwrap_or(step);
            order.swap(step, narrowest);
            factor.swap(step, narrowest);
            let (limit, left) = look(&factor[step], order[step]);
            factor[step][step] = if left > FOLLOWS { left } else { 0.0 };
            // Mean of a standard normal that lies below the limit.
            let share = normal_share_below(limit).max(1e-300);
            expected[step] = if limit.is_finite() { -(-0.5 * limit * limit).exp() / (TAU.sqrt() * share) } else { 0.0 };
            for row in step + 1..n {
                let (done, rest) = factor.split_at_mut(row);
                let known: f64 = rest[0][..step].iter().zip(&done[step][..step]).map(|(a, b)| a * b).sum();
                let pivot = done[step][step];
                rest[0][step] = if pivot > 0.0 { (correlation(order[row], order[step]) - known) / pivot } else { 0.0 };
            }
        }
        let limits = std::array::from_fn(|i| if i < n { limits[order[i]] } else { 0.0 });
        Self { len: n, limits, factor }
    }

    /// The mean over the lattice of the product of conditional shares: Richtmyer's points, roots of primes, each folded
    /// (baker) and taken with its mirror image.
    fn share(&self) -> f64 {
        const PRIMES: [f64; MOST_FIGURES] =
            [2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0, 19.0, 23.0, 29.0, 31.0, 37.0, 41.0, 43.0, 47.0, 53.0];
        let roots = PRIMES.map(f64::sqrt);
        let mut sum = 0.0;
        for point in 1..=POINTS {
            let at = |i: usize| {
                let u = (f64::from(point) * roots[i]).fract();
                (2.0 * u - 1.0).abs()
            };
            sum += self.product(at) + self.product(|i| 1.0 - at(i));
        }
        sum / f64::from(2 * POINTS)
    }

    fn product(&self, at: impl Fn(usize) -> f64) -> f64 {
        let mut drawn = [0.0; MOST_FIGURES];
        let mut product = 1.0;
        for step in 0..self.len {
            let row = &self.factor[step];
            let shift: f64 = row[..step].iter().zip(&drawn[..step]).map(|(c, y)| c * y).sum();
            let above = self.limits[step] - shift;
            if row[step] == 0.0 {
                if above < 0.0 {
                    return 0.0;
                }
                continue;
            }
            let share = normal_share_below(above / row[step]);
            product *= share;
            if product < 1e-12 {
                return 0.0;
            }
            if step + 1 < self.len {
                drawn[step] = normal_below_which(at(step) * share);
            }
        }
        product
    }
}

/// Density of the standard normal.
#[must_use]
pub fn normal_density(x: f64) -> f64 {
    (-0.5 * x * x).exp() * FRAC_1_SQRT_2 / PI.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_follows_from_another_figure_changes_nothing() {
        // Edges of two windows, one within the other but for chance.
        let per = [[1.0, 0.0, 0.0], [-1.0, 0.02, 0.0], [1.0, 0.05, 0.0], [-1.0, 0.0, 0.03], [0.9, 0.3, 0.1]];
        let covariance = |a: usize, b: usize| -> f64 { per[a].iter().zip(&per[b]).map(|(x, y)| x * y).sum() };
        let means = [0.9, 1.4, 1.2, 1.1, 2.6];
        let two = normal_share_of_orthant(&[0.9, 1.1], |a, b| covariance([0, 3][a], [0, 3][b]));
        for figures in [[0, 1, 2, 3].as_slice(), &[3, 2, 1, 0], &[2, 0, 3, 1], &[1, 2, 3, 0]] {
            let means: Vec<f64> = figures.iter().map(|i| means[*i]).collect();
            let all = normal_share_of_orthant(&means, |a, b| covariance(figures[a], figures[b]));
            assert!((all - two).abs() < 2e-6, "{figures:?}: {all} {two}");
        }
        // One that may fail by itself still counts.
        let three = normal_share_of_orthant(&[0.9, 1.1, 1.2], |a, b| covariance([0, 3, 4][a], [0, 3, 4][b]));
        assert!(three < two - 1e-3, "{three} {two}");
    }

    /// Phi2 by one integral over X.
    fn by_hand(h: f64, k: f64, rho: f64) -> f64 {
        let n = 40_000;
        let (low, step) = (-9.0, (h + 9.0) / f64::from(n));
        let root = (1.0 - rho * rho).sqrt();
        (0..n)
            .map(|i| {
                let x = low + (f64::from(i) + 0.5) * step;
                normal_density(x) * normal_share_below((k - rho * x) / root) * step
            })
            .sum()
    }

    #[test]
    fn pairs_by_another_route() {
        for (h, k) in [(0.0, 0.0), (1.0, -0.5), (-1.2, -0.3), (2.5, 0.7), (-2.0, 3.0), (0.0, 1.0), (3.5, 4.0)] {
            for rho in [-0.99, -0.6, -0.1, 0.0, 0.3, 0.8, 0.995] {
                let (ours, theirs) = (binormal_share_below(h, k, rho), by_hand(h, k, rho));
                assert!((ours - theirs).abs() < 3e-8, "{h} {k} {rho}: {ours} {theirs}");
            }
        }
    }

    #[test]
    fn the_quantile_is_the_inverse() {
        for x in [-6.0, -3.0, -2.0, -0.5, 0.0, 0.1, 1.0, 1.9, 2.2, 4.0] {
            assert!((normal_below_which(normal_share_below(x)) - x).abs() < 1e-6, "{x}");
        }
    }

    #[test]
    fn four_figures_of_two_causes_and_of_four() {
        // Independent ones multiply.
        let means = [0.5, 1.0, -0.2, 1.5];
        let free = normal_share_of_orthant(&means, |a, b| if a == b { 1.0 } else { 0.0 });
        let product: f64 = means.iter().map(|m| normal_share_below(*m)).product();
        assert!((free - product).abs() < 1e-3, "{free} {product}");
        // A strip of X and a strip of Y, twice told: the share of a box.
        let box_means = [1.0, 0.5, 0.7, 0.9];
        let tied = |a: usize, b: usize| {
            if a / 2 != b / 2 {
                0.0
            } else if a == b {
                1.0
            } else {
                -1.0
            }
        };
        let strip = |low: f64, high: f64| normal_share_below(high) - normal_share_below(-low);
        let wanted = strip(1.0, 0.5) * strip(0.7, 0.9);
        let found = normal_share_of_orthant(&box_means, tied);
        assert!((found - wanted).abs() < 1e-3, "{found} {wanted}");
        // Equally correlated at one half, three at the origin: 1/4 (Sheppard; n + 1 equal causes).
        let half = normal_share_of_orthant(&[0.0; 3], |a, b| if a == b { 1.0 } else { 0.5 });
        assert!((half - 0.25).abs() < 1e-6, "{half}");
        // A figure that all but follows from another, and one that all but excludes it.
        for leading in [0.999, -0.999, 0.97] {
            let three = normal_share_of_orthant(&[0.3, 0.4, 1.0], |a, b| match (a.min(b), a.max(b)) {
                (a, b) if a == b => 1.0,
                (0, 1) => leading,
                _ => 0.0,
            });
            let pair = binormal_share_below(0.3, 0.4, leading) * normal_share_below(1.0);
            assert!((three - pair).abs() < 1e-6, "{leading}: {three} {pair}");
            let mixed = three_of([0.3, 0.4, 0.8], [leading, 0.5 * leading, 0.5]);
            let lattice = Sequence::new(&[0.3, 0.4, 0.8], of([leading, 0.5 * leading, 0.5])).share();
            assert!((mixed - lattice).abs() < 4e-3, "{leading}: {mixed} {lattice}");
        }
        // Both routes to four.
        let lattice = Sequence::new(&[1.0, 0.5, 0.7, 0.9], leaning).share();
        let panels = four(&[1.0, 0.5, 0.7, 0.9], leaning);
        assert!((lattice - panels).abs() < 2e-3, "{lattice} {panels}");
    }

    fn of([ab, ac, bc]: [f64; 3]) -> impl Fn(usize, usize) -> f64 {
        move |a, b| match (a.min(b), a.max(b)) {
            (a, b) if a == b => 1.0,
            (0, 1) => ab,
            (0, _) => ac,
            _ => bc,
        }
    }

    fn three_of(limits: [f64; 3], correlations: [f64; 3]) -> f64 {
        three(&limits, of(correlations))
    }

    /// Two windows whose figures hang together by 0.4, edges not quite opposed.
    fn leaning(a: usize, b: usize) -> f64 {
        let sign = if (a + b).is_multiple_of(2) { 1.0 } else { -1.0 };
        let size = if a == b {
            1.0
        } else if a / 2 == b / 2 {
            0.98
        } else {
            0.4
        };
        sign * size
    }
}
