//! Drag of a round cylinder across the flow, coefficient on diameter x length, Re on the diameter.

use super::Correlation;
use crate::numeric::MonotoneCurve;

/// 1.18 + 6.8/Re^0.89 + 1.96/Re^0.5 - 0.0004 Re / (1 + 3.64e-7 Re^2): 3.3 % rms off Wieselsberger's measurements for Re 3
/// to 1.8e5, where White's fit is 13 % and Cheng's 4.9 % off; but 13 to 17 % low at Re 1 to 2, and 9 % high at Re 100.
pub const SUCKER_BRAUER_1975: Correlation = Correlation {
    name: "Sucker-Brauer 1975",
    source: "Sucker & Brauer 1975, Wärme- und Stoffübertragung 8:149, as White, Viscous Fluid Flow, eq 3-229 (read second hand)",
    variable: "Re",
    range: (1e-4, 2e5),
    value: |re| 1.18 + 6.8 / re.powf(0.89) + 1.96 / re.sqrt() - 0.0004 * re / (1.0 + 3.64e-7 * re * re),
};

/// Default. 11 Re^-0.75 + 0.9 (1 - exp(-1000/Re)) + 1.2 (1 - exp(-(Re/4500)^0.7)). The lower end was not seen; 1 is ours.
///
/// Of the three the nearest to all measured values together (Re 0.7 to 1.8e5, four sources): 4.9 % rms, Sucker and Brauer 6.7 %,
/// White 12 %. Does not know the drag crisis above Re 2e5.
pub const CHENG_2013: Correlation = Correlation {
    name: "Cheng 2013",
    source: "Cheng 2013, J. Hydraul. Eng. 139:602, doi 10.1061/(ASCE)HY.1943-7900.0000722 (read second hand)",
    variable: "Re",
    range: (1.0, 2e5),
    value: |re| {
        let plateau = -0.9 * (-1000.0 / re).exp_m1() - 1.2 * (-(re / 4500.0).powf(0.7)).exp_m1();
        11.0 * re.powf(-0.75) + plateau
    },
};

/// 1 + 10 Re^(-2/3).
pub const WHITE: Correlation = Correlation {
    name: "White",
    source: "White, Viscous Fluid Flow, eq 3-228 (read second hand)",
    variable: "Re",
    range: (1.0, 2e5),
    value: |re| 1.0 + 10.0 * re.powf(-2.0 / 3.0),
};

/// What the tool uses for shanks, bodies and tails across the flow.
pub const DEFAULT: Correlation = CHENG_2013;

/// The default and its cross-checks.
pub const ALL: &[Correlation] = &[CHENG_2013, SUCKER_BRAUER_1975, WHITE];

/// Share of the long-cylinder drag that a free cylinder of diameter over length d/L keeps (water slips round its ends).
///
/// Monotone cubic in sqrt(d/L) through Wieselsberger's six lengths, divided by his long cylinder (1.19). Between rows the error
/// is not known; leaving a row out moves the curve there by less than 0.05. Above d/L = 0.998 the last value, 0.516, is held. The
/// rows are for Re 8.8e4; for slower flow see [`super::short`].
pub const FINITE_LENGTH: Correlation = Correlation {
    name: "Wieselsberger finite length",
    source: "Wieselsberger 1922, NACA TM 121, free cylinders at Re 8.8e4 (Re from memory; values read from a public digitisation)",
    variable: "d/L",
    range: (0.0, 0.998),
    value: |d_over_l| FINITE_LENGTH_CURVE.at(d_over_l.sqrt()),
};

/// Long-cylinder coefficient of the same test.
const LONG: f64 = 1.19;

/// Rows against sqrt(d/L), of d/L = 0, 0.0237, 0.0998, 0.2, 0.498, 0.998.
const FINITE_LENGTH_CURVE: MonotoneCurve<6> = MonotoneCurve::through([
    (0.0, 1.0),
    (0.153_948_043, 0.986 / LONG),
    (0.315_911_380, 0.820 / LONG),
    (0.447_213_595, 0.737 / LONG),
    (0.705_691_151, 0.687 / LONG),
    (0.998_999_499, 0.614 / LONG),
]);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shorter_cylinders_keep_less_drag_without_a_step() {
        let mut last = 1.0;
        for i in 0..=1200 {
            let d_over_l = f64::from(i) * 1e-3;
            let factor = FINITE_LENGTH.at(d_over_l);
            assert!(factor.value <= last && factor.value > 0.5);
            assert_eq!(factor.in_range, d_over_l <= 0.998);
            // The steepest part is near the long end, where 1 mm in 1 m already costs about 3 %.
            assert!(last - factor.value < 0.04, "{d_over_l}");
            last = factor.value;
        }
        assert_eq!(FINITE_LENGTH.at(0.0).value, 1.0);
        assert!((FINITE_LENGTH.at(5.0).value - 0.516).abs() < 1e-3);
    }

    #[test]
    fn leaving_out_a_row_moves_the_curve_by_less_than_five_hundredths() {
        // A measure of the interpolation error, and a pessimistic one: the gap is twice as wide.
        let without = MonotoneCurve::through([
            (0.0, 1.0),
            (0.153_948_043, 0.986 / LONG),
            (0.447_213_595, 0.737 / LONG),
            (0.998_999_499, 0.614 / LONG),
        ]);
        for d_over_l in [0.0998, 0.498] {
            let moved = without.at(f64::sqrt(d_over_l)) - FINITE_LENGTH.at(d_over_l).value;
            assert!(moved.abs() < 0.05, "{d_over_l}: {moved}");
        }
    }
}
