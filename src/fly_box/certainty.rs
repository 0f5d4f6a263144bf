//! How sure it is that enough flies of a need come out right, when each does with the share of its recipe.
//!
//! Flies are tied one by one and each comes out right or not by itself, so the number of right ones is a sum of independent
//! trials (Poisson's binomial; of one recipe, the binomial). What flies of one rod or one bag have in common makes the
//! truth wider: then they come out right together, or wrong together.

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
#[must_use]
pub fn flies_for(right: u32, share: f64, sure: f64, most: u32) -> Option<u32> {
    (right..=most).find(|flies| certainty(right, &[(*flies, share)]) >= sure)
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
        assert_eq!((flies_for(6, 1.0, 0.9, 20), flies_for(6, 0.0, 0.9, 20)), (Some(6), None));
    }
}
