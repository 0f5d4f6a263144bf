//! Added mass and the sink from rest against handout values, Lamb's spheroid (from memory) and integrated transients.

use super::rows;
use counterpoise::physics::GRAVITY;
use counterpoise::physics::added_mass::{
    CYLINDER_ACROSS, SPHERE, prolate_spheroid, release_acceleration, sink_from_rest_constant_cd,
};

const TABLE: &str = include_str!("data/added_mass.csv");

#[test]
fn added_mass_rows_match() {
    for row in rows(TABLE) {
        let spheroid = || prolate_spheroid(row.number_after("condition", "L/D=")).unwrap();
        // 3 mm sphere, density ratio 17.5, constant Cd 0.40.
        let sink = || sink_from_rest_constant_cd(3e-3, 17.5, 0.40, row.number_after("condition", "t=")).unwrap();
        match (row.text("quantity"), row.text("condition")) {
            ("added_mass_coefficient", "sphere") => row.assert_value(SPHERE, 0.0),
            ("added_mass_coefficient", _) => row.assert_value(CYLINDER_ACROSS, 0.0),
            // Lamb sec. 114, from memory.
            ("added_mass_prolate_spheroid_axial", _) => row.assert_printed(spheroid().axial, 0.51e-5),
            ("added_mass_prolate_spheroid_lateral", _) => row.assert_printed(spheroid().lateral, 0.51e-5),
            ("initial_acceleration", _) => {
                let ratio = row.number_after("condition", "density ratio ");
                row.assert_printed(release_acceleration(ratio) / GRAVITY, 0.51e-6);
            }
            ("transient_closed_form_Vt", _) => {
                row.assert_printed(sink_from_rest_constant_cd(3e-3, 17.5, 0.40, 0.0).unwrap().terminal_speed, 0.51e-6);
            }
            ("transient_speed", _) => row.assert_printed(sink().speed, 0.51e-7),
            ("transient_depth", _) => row.assert_printed(sink().depth, 0.51e-7),
            other => panic!("no check for {other:?}"),
        }
    }
}

/// Lamb's table of k1 to three decimals and k' of a needle (both from memory).
#[test]
fn lambs_table_of_axial_coefficients() {
    for (slenderness, k1) in [(1.0, 0.5), (2.0, 0.209), (3.0, 0.122), (4.0, 0.082), (5.0, 0.059), (10.0, 0.021)] {
        let ours = prolate_spheroid(slenderness).unwrap().axial;
        assert!((ours - k1).abs() < 0.0011, "{slenderness}: {ours} {k1}");
    }
}
