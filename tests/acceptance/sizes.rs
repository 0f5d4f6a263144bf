//! What parts weigh and lift, as anyone with a scale finds.

use super::{Tying, catalog, jar, tie};
use counterpoise::part::Cut;
use counterpoise::physics::body::Label;
use counterpoise::recipe::Seat;

fn bead_mg(id: &str) -> f64 {
    catalog().bead(id).unwrap().mass() * 1e6
}

#[test]
fn a_tungsten_bead_of_3_5_mm_weighs_about_a_third_of_a_gram() {
    for id in ["tungsten-3.5", "tungsten-slotted-3.5"] {
        assert!((270.0..380.0).contains(&bead_mg(id)), "{id}: {} mg", bead_mg(id));
    }
}

#[test]
fn tungsten_weighs_twice_what_brass_does() {
    for size in ["2.5", "3.3", "4.0", "5.5"] {
        let ratio = bead_mg(&format!("tungsten-{size}")) / bead_mg(&format!("brass-{size}"));
        assert!((1.9..2.2).contains(&ratio), "{size}: {ratio}");
    }
}

#[test]
fn slots_take_less_than_a_sixth_of_a_bead() {
    for size in ["2.5", "3.5", "4.6", "6.4"] {
        let share = bead_mg(&format!("tungsten-slotted-{size}")) / bead_mg(&format!("tungsten-{size}"));
        assert!((0.83..1.0).contains(&share), "{size}: {share}");
    }
}

#[test]
fn ten_hooks_of_size_12_weigh_about_half_a_gram() {
    for id in ["straight-12", "jig60-12", "jig90-12"] {
        let ten = 10.0 * catalog().hook(id).unwrap().mass() * 1e3;
        assert!((0.4..0.7).contains(&ten), "{id}: {ten} g");
    }
}

#[test]
fn a_moulded_head_weighs_what_its_name_says() {
    for hook in &catalog().hooks {
        let Some(head) = &hook.head else { continue };
        let (part, whole) = head.mass_name.trim_end_matches(" oz").split_once('/').unwrap();
        let ounces = part.parse::<f64>().unwrap() / whole.parse::<f64>().unwrap();
        assert!((head.mass * 1e3 / (28.35 * ounces) - 1.0).abs() < 0.01, "{}", hook.row.id);
    }
}

#[test]
fn a_centimetre_of_quarter_round_lifts_what_some_fifty_milligrams_weigh() {
    let prediction =
        tie("jig60-12", "light-body").foam("pe-rod-1-4in", Cut::Quarter, 10_000, Seat::Tail).in_water(&jar());
    let water = jar().water.density;
    let weight: f64 =
        prediction.body.loads.iter().filter(|l| l.label == Label::Foam).map(|l| l.submerged_weight(water)).sum();
    let lift_mg = -weight / 9.81 * 1e6;
    assert!((40.0..65.0).contains(&lift_mg), "{lift_mg} mg");
}

#[test]
fn cut_faces_cost_a_quarter_round_a_fifth_of_its_closed_cells_and_a_whole_rod_none() {
    let rod = catalog().foam("pe-rod-1-4in").unwrap();
    let closed = |cut| {
        let section = rod.section(cut);
        section.sealed_area / section.area
    };
    assert_eq!(closed(Cut::Whole), 1.0);
    assert!((0.8..0.95).contains(&closed(Cut::Half)));
    assert!((0.7..0.85).contains(&closed(Cut::Quarter)));
}

#[test]
fn a_millimetre_of_foam_at_the_tail_of_a_level_fly_tilts_it_by_tens_of_degrees() {
    let fly = |um| {
        let tied = tie("jig60-12", "light-body").bead("tungsten-slotted-3.5").wraps_all_along("lead-0.010in");
        tied.foam("pe-rod-1-4in", Cut::Quarter, um, Seat::Tail).rest().angle.to_degrees()
    };
    let slope = (fly(13_700) - fly(12_700)).abs();
    assert!((10.0..45.0).contains(&slope), "{slope} degrees per mm");
}
