//! Beads, wraps and cut sections against geometry whose formula was read or is standard.

use super::{Row, rows};
use counterpoise::shape::wire_path::{Segment, WirePath};
use counterpoise::shape::wrap::CloseWound;
use counterpoise::shape::{section, sphere};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn ring(row: &Row) -> f64 {
    let diameter_after = if row.text("case").contains("sphere") { "sphere D=" } else { "D=" };
    let diameter = row.number_after("case", diameter_after);
    sphere::drilled(diameter, row.number_after("case", "bore ")).volume
}

fn opening(row: &Row) -> f64 {
    match row.text("case").split([' ', ',']).next() {
        Some("half") => PI,
        Some("quarter") => FRAC_PI_2,
        Some("third") => TAU / 3.0,
        other => panic!("no opening for {other:?}"),
    }
}

/// Area and centroid of the segment of height h of the unit disc. More than half a disc is what the rest leaves.
fn segment(h: f64) -> (f64, f64) {
    if h > 1.0 {
        let (area, centroid) = segment(2.0 - h);
        return (PI - area, centroid * area / (PI - area));
    }
    let core = section::inset_sector(1.0, PI, 1.0 - h, 0.0);
    (core.area, core.centroid)
}

fn check(row: &Row) {
    // Half of the sixth decimal, in which the source's numbers end.
    let printed = 5.1e-7;
    match row.text("quantity") {
        "napkin_ring_volume" => {
            row.assert_printed(ring(row), printed);
            if row.text("note").contains("mass at") {
                // mm3 at 17.5 g/cm3 is 17.5 mg.
                let mass_mg = 17.5 * ring(row);
                assert!((mass_mg - row.number_after("note", "g/cm3: ")).abs() < 5.1e-4, "{mass_mg}");
            } else {
                assert!((row.number_after("note", "h=") - (9.0_f64 - 1.0).sqrt()).abs() < 5e-6);
            }
        }
        // Flat facets lie inside the sphere: the mesh is 2.3e-5 small.
        "napkin_ring_mesh" => row.assert_value(ring(row), 3e-5),
        "helix_length" => {
            let wraps = CloseWound { turns: 10.0, wire: 0.381, core: 0.6 };
            row.assert_printed(wraps.length(), printed);
        }
        "sector_centroid" => row.assert_printed(section::sector(1.0, opening(row)).centroid, printed),
        "arc_centroid" => {
            let sweep = opening(row);
            let arc = WirePath::new(vec![Segment::arc([0.0, 0.0], 1.0, -0.5 * sweep, sweep)], 0.0);
            row.assert_printed(arc.centroid()[0], printed);
        }
        "segment_area" => {
            let (area, centroid) = segment(row.number_after("case", "h="));
            row.assert_printed(area, printed);
            assert!((centroid - row.number_after("note", "centre ")).abs() < printed, "{centroid}");
        }
        "spherical_cap_volume" => {
            // A countersink without depth cuts the ball off flat where it is as wide as the mouth.
            let half_width = (1.0_f64 - 0.5 * 0.5).sqrt();
            let flat = sphere::countersunk(2.0, 0.0, 2.0 * half_width, 0.0);
            row.assert_printed(sphere::drilled(2.0, 0.0).volume - flat.volume, printed);
        }
        other => panic!("nothing checks {other}"),
    }
}

#[test]
fn shapes_have_the_published_volumes_and_centroids() {
    let table = rows(include_str!("data/geometry.csv"));
    assert_eq!(table.len(), 16);
    table.iter().for_each(check);
}

#[test]
fn an_unpitched_helix_would_be_told_apart() {
    let flat = 10.0 * PI * 0.981;
    assert!((flat - 30.819024).abs() < 5.1e-7, "the source's figure without pitch");
    assert!(CloseWound { turns: 10.0, wire: 0.381, core: 0.6 }.length() > flat + 0.2);
}
