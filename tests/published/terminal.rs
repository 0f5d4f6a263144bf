//! Terminal speeds: other people's solutions of the same balance, and measured glass spheres.

use super::{Row, rows};
use counterpoise::physics::added_mass::sink_from_rest_constant_cd;
use counterpoise::physics::drag::sphere;
use counterpoise::physics::terminal::{sphere_terminal_velocity, sphere_terminal_velocity_with};
use counterpoise::physics::{GRAVITY, Water};

const COMPUTED: &str = include_str!("data/sphere_terminal_velocity.csv");
const MEASURED: &str = include_str!("data/glass_spheres.csv");

#[test]
fn balances_solved_by_others_give_the_same_speed() {
    for row in rows(COMPUTED) {
        let water = Water {
            temperature_c: row.number("temperature_C"),
            salinity_g_kg: 0.0,
            density: row.number("water_density_kg_m3"),
            viscosity: row.number("water_viscosity_Pa_s"),
            air_pressure: 101_325.0,
        };
        let (d, density) = (row.number("diameter_mm") * 1e-3, row.number("sphere_density_kg_m3"));
        let solve = |drag| sphere_terminal_velocity_with(drag, d, density, &water).unwrap();
        match row.text("correlation") {
            "Brown_Lawler_2003" => {
                let ours = solve(&sphere::BROWN_LAWLER_2003);
                row.assert_printed(ours.speed, 0.51e-5);
                assert!((ours.reynolds - row.number("Re_terminal")).abs() < 0.051 && ours.in_range);
                // Same thing with our own water.
                let own = Water::new(water.temperature_c, 0.0).unwrap();
                row.assert_value(sphere_terminal_velocity(d, density, &own).unwrap().speed, 5e-5);
            }
            "Haider_Levenspiel" => row.assert_printed(solve(&sphere::HAIDER_LEVENSPIEL_1989).speed, 0.51e-5),
            // The ten-piece standard curve: how far the choice of correlation moves the speed.
            "Clift" => row.assert_value(solve(&sphere::DEFAULT).speed, 0.025),
            other => panic!("no check for {other}"),
        }
    }
}

/// The two glass spheres of Mordant & Pinton 2000, in the water of each case.
fn glass(case: &str) -> (Vec<Row>, f64, f64, Water) {
    let rows: Vec<Row> = rows(MEASURED).into_iter().filter(|row| row.text("case") == case).collect();
    let get = |quantity: &str| rows.iter().find(|row| row.text("quantity") == quantity).unwrap().value();
    // Only the ratio of densities and nu matter; 997 kg/m3 is water near 25 C.
    let density = 997.0;
    let viscosity = get("kinematic_viscosity") * density;
    let (d, ratio) = (get("diameter") * 1e-3, get("density_ratio_sphere_to_water"));
    (rows, d, ratio, Water { temperature_c: 25.0, salinity_g_kg: 0.0, density, viscosity, air_pressure: 101_325.0 })
}

#[test]
fn measured_glass_spheres_sink_a_little_slower_than_predicted() {
    // Re 42: 4 to 8 % too fast; Re 367: 0 to 4 % too fast, with every correlation. The trend is the measurement's, not a fault of
    // one formula, so both ends of the band are held.
    for (case, low, high) in [("glass_0.5mm", 0.04, 0.08), ("glass_1.5mm", 0.0, 0.04)] {
        let (rows, d, ratio, water) = glass(case);
        for row in &rows {
            let speed = |drag| sphere_terminal_velocity_with(drag, d, ratio * water.density, &water).unwrap().speed;
            match row.text("quantity") {
                "terminal_velocity" => {
                    for drag in sphere::ALL {
                        let off = speed(drag) / row.value() - 1.0;
                        assert!((low..high).contains(&off), "{case} {}: {off:+.3}", drag.name);
                    }
                }
                "Re_terminal" => row.assert_value(
                    0.001 * row_of(&rows, "diameter") * row_of(&rows, "terminal_velocity")
                        / water.kinematic_viscosity(),
                    2e-4,
                ),
                "predicted_terminal_velocity_Brown_Lawler_2003" => {
                    row.assert_value(speed(&sphere::BROWN_LAWLER_2003), 3e-4)
                }
                "predicted_terminal_velocity_Haider_Levenspiel_1989" => {
                    row.assert_value(speed(&sphere::HAIDER_LEVENSPIEL_1989), 3e-4);
                }
                "predicted_terminal_velocity_Clift_Gauvin_1970_original" => {
                    row.assert_value(speed(&sphere::CLIFT_GAUVIN_1970), 3e-4);
                }
                "predicted_terminal_velocity_Schiller_Naumann" => {
                    row.assert_value(speed(&sphere::SCHILLER_NAUMANN_1933), 3e-4);
                }
                // Correlations we do not carry: our default must lie within 4 % of them.
                other if other.starts_with("predicted_terminal_velocity") => {
                    row.assert_value(speed(&sphere::DEFAULT), 0.04)
                }
                "diameter" | "density_ratio_sphere_to_water" | "kinematic_viscosity" => {}
                "tau_95" | "predicted_tau_95_with_added_mass_half" | "predicted_tau_95_without_added_mass" => {}
                other => panic!("no check for {other}"),
            }
        }
    }
}

fn row_of(rows: &[Row], quantity: &str) -> f64 {
    rows.iter().find(|row| row.text("quantity") == quantity).unwrap().value()
}

/// Time to 95 % of full speed with quasi-steady drag: short against the measurement by 20 to 40 % with added mass, because the history
/// force is left out. The gate shows that it is short, and by how much.
#[test]
fn quasi_steady_start_is_too_quick_by_a_third() {
    for case in ["glass_0.5mm", "glass_1.5mm"] {
        let (rows, d, ratio, water) = glass(case);
        let with = time_to_95(d, ratio, 0.5, &water);
        let without = time_to_95(d, ratio, 0.0, &water);
        // Ours uses Brown-Lawler, the row another drag curve.
        assert!((with / row_of(&rows, "predicted_tau_95_with_added_mass_half") - 1.0).abs() < 0.05, "{with}");
        assert!((without / row_of(&rows, "predicted_tau_95_without_added_mass") - 1.0).abs() < 0.05, "{without}");
        let short = 1.0 - with / row_of(&rows, "tau_95");
        assert!((0.2..0.4).contains(&short), "{case}: {short}");
    }
}

/// Small fixed steps (midpoint rule) from rest with the default drag.
fn time_to_95(d: f64, ratio: f64, added: f64, water: &Water) -> f64 {
    let full = sphere_terminal_velocity(d, ratio * water.density, water).unwrap().speed;
    let nu = water.kinematic_viscosity();
    let acceleration = |v: f64| {
        let drag = 0.75 * sphere::DEFAULT.times_reynolds(v * d / nu) * nu * v / (d * d);
        ((ratio - 1.0) * GRAVITY - drag) / (ratio + added)
    };
    let (mut v, mut t, h) = (0.0, 0.0, 1e-5);
    while v < 0.95 * full {
        v += h * acceleration(v + 0.5 * h * acceleration(v));
        t += h;
    }
    t
}

/// Why the history force may be left out: what it costs a fall is a small start, once. The measured spheres (published fit
/// v = V (1 - exp(-3 t / tau95))) lag V tau95 / 3 behind their full speed, ours less; the difference is a few millimetres, or
/// some hundredths of a second, of any countdown. A denser body has less of it: its own mass outweighs the water's.
#[test]
fn without_history_a_countdown_is_early_by_some_hundredths_of_a_second() {
    for (case, most_metres, most_seconds) in [("glass_0.5mm", 1e-3, 0.01), ("glass_1.5mm", 4e-3, 0.02)] {
        let (rows, d, ratio, water) = glass(case);
        let full = sphere_terminal_velocity(d, ratio * water.density, &water).unwrap().speed;
        let measured = row_of(&rows, "terminal_velocity") * row_of(&rows, "tau_95") / 3.0;
        let ours = lag(d, ratio, &water);
        assert!(ours < measured && measured - ours < most_metres, "{case}: {ours} {measured}");
        assert!((measured - ours) / full < most_seconds, "{case}: {ours} {measured}");
    }
}

/// How far a sphere let go at rest stays behind one at full speed in the end, m.
fn lag(d: f64, ratio: f64, water: &Water) -> f64 {
    let full = sphere_terminal_velocity(d, ratio * water.density, water).unwrap().speed;
    let nu = water.kinematic_viscosity();
    let (mut v, mut behind, h) = (0.0, 0.0, 1e-5);
    while v < 0.9999 * full {
        let drag = 0.75 * sphere::DEFAULT.times_reynolds(v * d / nu) * nu * v / (d * d);
        behind += h * (full - v);
        v += h * ((ratio - 1.0) * GRAVITY - drag) / (ratio + 0.5);
    }
    behind
}

#[test]
fn the_closed_form_start_ends_at_the_terminal_speed_of_its_own_drag() {
    let water = Water::new(20.0, 0.0).unwrap();
    let settled = sphere_terminal_velocity(3e-3, 7850.0, &water).unwrap();
    let cd = sphere::DEFAULT.at(settled.reynolds).value;
    let sink = sink_from_rest_constant_cd(3e-3, 7850.0 / water.density, cd, 60.0).unwrap();
    assert!((sink.speed / settled.speed - 1.0).abs() < 1e-12);
}
