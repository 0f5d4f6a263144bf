//! How sure it is that enough flies of a need come out right, when each does with the share of its recipe; and how many to
//! tie for that.
//!
//! Flies are tied one by one and each comes out right or not by itself, so the number of right ones is a sum of independent
//! trials (Poisson's binomial; of one recipe, the binomial). What flies of one rod or one bag have in common makes the
//! truth wider: then they come out right together, or wrong together.
//!
//! Flies of several recipes for one need are counted as if all had the least of their shares: so many are then right at
//! least as surely as is said.

/// Chance that at least `right` of these flies come out right; `ties`: flies and share of each recipe.
#[must_use]
pub fn certainty(right: u32, ties: &[(u32, f64)]) -> f64 {
    let mut chances = vec![1.0];
    for (flies, share) in ties {
        for _ in 0..*flies {
            chances.resize(chances.len() + 1, 0.0);
            for n in (0..chances.len()).rev() {
                let before = if n > 0 { chances[n - 1] } else { 0.0 };
                chances[n] = chances[n] * (1.0 - share) + before * share;
            }
        }
    }
    chances.iter().skip(right as usize).sum::<f64>().min(1.0)
}

/// Fewest flies of one recipe of which at least `right` come out right with some certainty; `None` beyond `most`.
///
/// The chance that exactly n flies are tied until `right` are right is C(n - 1, right - 1) share^right (1 - share)^(n - right)
/// (negative binomial); summed from n = `right` on.
#[must_use]
pub fn flies_for(right: u32, share: f64, sure: f64, most: u32) -> Option<u32> {
    if right == 0 {
        return Some(0);
    }
    if share <= 0.0 || right > most {
        return None;
    }
    if share >= 1.0 {
        return Some(right);
    }
    let mut log_chance = f64::from(right) * share.ln();
    let mut sum = 0.0;
    for flies in right..=most {
        sum += log_chance.exp();
        if sum >= sure {
            return Some(flies);
        }
        log_chance += (f64::from(flies) / f64::from(flies + 1 - right)).ln() + (-share).ln_1p();
    }
    None
}

/// The least share of which so many flies are enough for `right` right ones: a little less, by far more than rounding.
pub(super) fn share_for(right: u32, flies: u32, sure: f64) -> f64 {
    let enough = |share: f64| flies_for(right, share, sure, flies).is_some();
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if enough(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    low
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Binomial tails by hand: of 7 flies at 0.8, six or seven are right with 7 x 0.8^6 x 0.2 + 0.8^7 = 0.5767.
    #[test]
    fn equals_the_binomial() {
        assert!((certainty(6, &[(7, 0.8)]) - (7.0 * 0.8_f64.powi(6) * 0.2 + 0.8_f64.powi(7))).abs() < 1e-12);
        assert!((certainty(6, &[(3, 0.8), (4, 0.8)]) - certainty(6, &[(7, 0.8)])).abs() < 1e-12);
        assert!((certainty(0, &[(2, 0.1)]) - 1.0).abs() < 1e-12 && certainty(3, &[(2, 1.0)]) == 0.0);
        // One sure fly and one of a half: two are right half the time.
        assert!((certainty(2, &[(1, 1.0), (1, 0.5)]) - 0.5).abs() < 1e-12);
        assert_eq!(flies_for(6, 0.8, 0.9, 20), Some(9));
        let four = |share: f64| flies_for(4, share, 0.9, 20);
        assert_eq!((four(0.8), four(0.9), four(0.98)), (Some(6), Some(5), Some(4)));
        assert_eq!((flies_for(6, 1.0, 0.9, 20), flies_for(6, 0.0, 0.9, 20)), (Some(6), None));
    }

    /// The sum from the front equals the tail of the binomial, and the least share for a number of flies turns it round.
    #[test]
    fn both_ways_to_count_agree() {
        for right in [1, 4, 6, 40] {
            for share in [0.8, 0.87, 0.93, 0.99] {
                let flies = flies_for(right, share, 0.9, 200).unwrap();
                assert!(certainty(right, &[(flies, share)]) >= 0.9 - 1e-12, "{right} {share}");
                assert!(flies == right || certainty(right, &[(flies - 1, share)]) < 0.9, "{right} {share}");
                let least = share_for(right, flies, 0.9);
                assert!(least <= share && flies_for(right, least + 1e-6, 0.9, 200) == Some(flies), "{right} {share}");
            }
        }
        assert!(flies_for(1000, 0.8, 0.9, 2000).is_some_and(|n| (1250..1290).contains(&n)));
    }
}
