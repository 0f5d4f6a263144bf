//! The normal distribution.

use std::f64::consts::FRAC_1_SQRT_2;
use std::sync::LazyLock;

/// Share of a standard normal that lies below `x`: erfc(-x / sqrt 2) / 2.
///
/// ```
/// use counterpoise::numeric::normal_share_below;
/// assert_eq!(normal_share_below(0.0), 0.5);
/// // 1.959964 standard deviations leave 2.5 % above (from memory).
/// assert!((normal_share_below(1.959_964) - 0.975).abs() < 1e-7);
/// ```
#[must_use]
pub fn normal_share_below(x: f64) -> f64 {
    0.5 * libm::erfc(-x * FRAC_1_SQRT_2)
}

/// Beyond so many standard deviations a share is 0 or 1, to 1e-10.
const CERTAIN: f64 = 6.5;
/// Entries of the table per standard deviation.
const PER_SD: usize = 256;

static SHARES: LazyLock<Vec<f64>> = LazyLock::new(|| {
    let entries = (2.0 * CERTAIN) as usize * PER_SD + 2;
    (0..entries).map(|i| normal_share_below(i as f64 / PER_SD as f64 - CERTAIN)).collect()
});

/// [`normal_share_below`] to 5e-7, by a straight line between the entries of a table, which errs by no more than an eighth of
/// the square of their distance times the greatest second derivative, 0.242; a fraction of the work.
#[must_use]
pub fn normal_share_below_quick(x: f64) -> f64 {
    let at = (x + CERTAIN) * PER_SD as f64;
    if at.is_nan() || at <= 0.0 {
        return 0.0;
    }
    let entry = at as usize;
    match SHARES.get(entry..entry.saturating_add(2)) {
        Some([low, high]) => low + (at - entry as f64) * (high - low),
        _ => 1.0,
    }
}

/// Share of a normal of this mean and standard deviation that lies from `low` to `high`; 0 or 1 for no spread at all.
#[must_use]
pub fn normal_share_within(mean: f64, sd: f64, (low, high): (f64, f64)) -> f64 {
    if sd > 0.0 {
        normal_share_below((high - mean) / sd) - normal_share_below((low - mean) / sd)
    } else if (low..=high).contains(&mean) {
        1.0
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_as_good_as_it_says() {
        for i in -70_000..=70_000 {
            let x = f64::from(i) * 1e-4;
            let (exact, quick) = (normal_share_below(x), normal_share_below_quick(x));
            assert!((exact - quick).abs() < 5e-7, "{x}: {exact} {quick}");
        }
    }

    #[test]
    fn shares_within() {
        // One standard deviation either side holds 68.27 % (from memory).
        assert!((normal_share_within(3.0, 2.0, (1.0, 5.0)) - 0.682_689).abs() < 1e-6);
        assert_eq!(normal_share_within(1.0, 0.0, (1.0, 2.0)), 1.0);
        assert_eq!(normal_share_within(0.9, 0.0, (1.0, 2.0)), 0.0);
        assert!(normal_share_below(-40.0) >= 0.0 && normal_share_below(40.0) <= 1.0);
    }
}
