//! Water against IAPWS-95, IAPWS 2008, TEOS-10 and the formulas' own values.

use super::rows;
use counterpoise::physics::water::{Water, kell_density, sharqawy_viscosity};
use counterpoise::physics::{ATMOSPHERE, GRAVITY};

const TABLE: &str = include_str!("data/water.csv");

#[test]
fn water_matches_every_published_row() {
    for row in rows(TABLE) {
        let quantity = row.text("quantity");
        match quantity {
            "standard_gravity" => row.assert_value(GRAVITY, 0.0),
            "standard_atmosphere" => row.assert_value(ATMOSPHERE, 0.0),
            "fresh_density_kell_typo_trap" => {} // see the trap test below
            _ => check(quantity, &row),
        }
    }
}

fn check(quantity: &str, row: &super::Row) {
    let (t, s) = (row.number("temperature_C"), row.number("salinity_g_per_kg"));
    let water = Water::new(t, s).unwrap();
    match quantity {
        "fresh_density" | "fresh_density_crosscheck" => row.assert_value(water.density, 5e-6),
        "fresh_density_kell1975" => row.assert_printed(kell_density(t), 0.5001e-4),
        // Maximum density, from memory.
        "fresh_density_max" => row.assert_value(water.density, 5e-6),
        "sea_density" => row.assert_value(water.density, 1e-5),
        "fresh_viscosity" | "fresh_viscosity_crosscheck" => row.assert_value(water.viscosity, 2e-4),
        // Primary viscosity standard, from memory.
        "fresh_viscosity_anchor" => row.assert_value(water.viscosity, 2e-4),
        "fresh_viscosity_sharqawy" | "sea_viscosity" => {
            row.assert_value(water.viscosity, 5e-7);
            row.assert_value(sharqawy_viscosity(t, s), 5e-7);
        }
        "fresh_kinematic_viscosity" => row.assert_value(water.kinematic_viscosity(), 2e-4),
        "sea_kinematic_viscosity" => row.assert_value(water.kinematic_viscosity(), 1e-5),
        other => panic!("no check for {other}"),
    }
}

/// The mistyped Kell denominator that circulates (Jones & Harris 1992 as printed): reproduced here so that the tolerance above is
/// shown to tell the two apart.
#[test]
fn the_mistyped_kell_denominator_would_be_caught() {
    let mistyped = |t: f64| kell_density(t) * (1.0 + 16.879_850e-3 * t) / (1.0 + 16.897_850e-3 * t);
    let mut caught = 0;
    for row in rows(TABLE).iter().filter(|row| row.text("quantity") == "fresh_density_kell_typo_trap") {
        let t = row.number("temperature_C");
        row.assert_printed(mistyped(t), 0.5001e-4);
        if t > 0.0 {
            assert!((Water::new(t, 0.0).unwrap().density / row.value() - 1.0).abs() > 1e-4, "at {t} C");
            caught += 1;
        }
    }
    assert_eq!(caught, 3);
}

#[test]
fn water_is_densest_at_four_degrees() {
    let rho = |t: f64| Water::new(t, 0.0).unwrap().density;
    // 3.98 C, Kell 1975 (from memory).
    assert!(rho(3.98) > rho(3.7) && rho(3.98) > rho(4.3));
}
