//! Drag coefficient of a smooth sphere on its face area pi d^2 / 4, Re on its diameter.

use super::Correlation;
use super::table::Table;
use std::sync::LazyLock;

/// Default. 24/Re (1 + 0.150 Re^0.681) + 0.407 / (1 + 8710/Re).
pub const BROWN_LAWLER_2003: Correlation = Correlation {
    name: "Brown-Lawler 2003",
    source: "Brown & Lawler 2003, J. Environ. Eng. 129:222, eq 19 (equation number from memory, formula read second hand)",
    variable: "Re",
    range: (1e-3, 2e5),
    value: |re| 24.0 / re * (1.0 + 0.150 * re.powf(0.681)) + 0.407 / (1.0 + 8710.0 / re),
};

/// 24/Re (1 + 0.1806 Re^0.6459) + 0.4251 / (1 + 6880.95/Re).
pub const HAIDER_LEVENSPIEL_1989: Correlation = Correlation {
    name: "Haider-Levenspiel 1989",
    source: "Haider & Levenspiel 1989, Powder Technol. 58:63, sphere (from memory, checked against a public library)",
    variable: "Re",
    range: (1e-3, 2.6e5),
    value: |re| 24.0 / re * (1.0 + 0.1806 * re.powf(0.6459)) + 0.4251 / (1.0 + 6880.95 / re),
};

/// 24/Re (1 + 0.15 Re^0.687) + 0.42 / (1 + 42500 Re^-1.16): the constants of 1970, not the later refit of the same name.
pub const CLIFT_GAUVIN_1970: Correlation = Correlation {
    name: "Clift-Gauvin 1970",
    source: "Clift & Gauvin 1970, Chemeca 70 1:14 (constants from memory)",
    variable: "Re",
    range: (1e-3, 3e5),
    value: |re| 24.0 / re * (1.0 + 0.15 * re.powf(0.687)) + 0.42 / (1.0 + 42_500.0 * re.powf(-1.16)),
};

/// 24/Re (1 + 0.15 Re^0.687) up to Re 1000, 0.44 above (outside the fit, and a small step up).
pub const SCHILLER_NAUMANN_1933: Correlation = Correlation {
    name: "Schiller-Naumann 1933",
    source: "Schiller & Naumann 1933, Z. Ver. Dtsch. Ing. 77:318 (form read second hand)",
    variable: "Re",
    range: (1e-3, 1000.0),
    value: |re| {
        if re <= 1000.0 { 24.0 / re * (1.0 + 0.15 * re.powf(0.687)) } else { 0.44 }
    },
};

/// What the tool uses for a bead: good to a few percent for 1 < Re < 1e5.
pub const DEFAULT: Correlation = BROWN_LAWLER_2003;

/// Coefficient of [`DEFAULT`] at Re above 0, looked up from Re 1/256 to 262 144: within 2e-6 of it.
#[must_use]
pub fn coefficient(reynolds: f64) -> f64 {
    static TABLE: LazyLock<Table<1>> = LazyLock::new(|| Table::new(1.0 / 256.0, 262_144.0, |re| [(DEFAULT.value)(re)]));
    TABLE.at(reynolds).map_or_else(|| (DEFAULT.value)(reynolds), |[value]| value)
}

/// The default and its cross-checks.
pub const ALL: &[Correlation] = &[BROWN_LAWLER_2003, HAIDER_LEVENSPIEL_1989, CLIFT_GAUVIN_1970, SCHILLER_NAUMANN_1933];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slow_flow_is_stokes() {
        for row in ALL {
            assert!((row.times_reynolds(0.0) / 24.0 - 1.0).abs() < 1e-7, "{}", row.name);
        }
    }

    #[test]
    fn the_table_is_the_formula() {
        for i in 0..5000 {
            let re = 1e-3 * 3e8_f64.powf(f64::from(i) / 5000.0);
            assert!((coefficient(re) / DEFAULT.at(re).value - 1.0).abs() < 2e-6, "{re}");
        }
    }

    #[test]
    fn independent_fits_agree_in_the_range_flies_use() {
        for tenth_decades in 0..=50 {
            let re = 10f64.powf(0.1 * f64::from(tenth_decades));
            for row in [HAIDER_LEVENSPIEL_1989, CLIFT_GAUVIN_1970] {
                let ratio = row.at(re).value / DEFAULT.at(re).value;
                assert!((ratio - 1.0).abs() < 0.08, "{} at Re {re}: {ratio}", row.name);
            }
        }
    }
}
