//! The normal distribution.

use std::f64::consts::FRAC_1_SQRT_2;

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
    fn shares_within() {
        // One standard deviation either side holds 68.27 % (from memory).
        assert!((normal_share_within(3.0, 2.0, (1.0, 5.0)) - 0.682_689).abs() < 1e-6);
        assert_eq!(normal_share_within(1.0, 0.0, (1.0, 2.0)), 1.0);
        assert_eq!(normal_share_within(0.9, 0.0, (1.0, 2.0)), 0.0);
        assert!(normal_share_below(-40.0) >= 0.0 && normal_share_below(40.0) <= 1.0);
    }
}
