//! How flies hang: tail down without help, level with foam behind or weight ahead of the eye.

use super::{Tying, catalog, degrees, jar, tie};
use counterpoise::fly::{self, Conditions};
use counterpoise::part::Cut;
use counterpoise::physics::statics::{Rest, Rides};
use counterpoise::recipe::{Recipe, Seat};

fn weighted_jig() -> Recipe {
    tie("jig60-12", "light-body").bead("tungsten-slotted-3.5").wraps_all_along("lead-0.010in")
}

/// The jig above with a quarter round of 1/4 in polyethylene rod at the tail.
fn with_foam(um: i32) -> Recipe {
    weighted_jig().foam("pe-rod-1-4in", Cut::Quarter, um, Seat::Tail)
}

#[test]
fn a_beaded_jig_with_wraps_hangs_near_vertical_and_point_up() {
    let rest = weighted_jig().rest();
    assert!((50.0..90.0).contains(&degrees(rest)), "{}", degrees(rest));
    assert_eq!(rest.rides, Rides::PointUp);
}

#[test]
fn a_quarter_round_at_the_tail_brings_the_jig_level() {
    let lengths = (8_000..=14_000).step_by(100);
    let level: Vec<i32> = lengths.filter(|um| degrees(with_foam(*um).rest()).abs() <= 10.0).collect();
    assert!(!level.is_empty(), "no length of 8 to 14 mm levels it");
    // Where: with the shipped hook, bead and rod.
    assert_eq!((level[0], level[level.len() - 1]), (12_900, 13_500));
    assert!(degrees(with_foam(8_000).rest()) > 25.0, "8 mm is not enough");
    assert!(degrees(with_foam(18_000).rest()) < -45.0, "18 mm is far too much");
}

#[test]
fn more_foam_never_lowers_the_tail() {
    let mut last = 91.0;
    for um in (6_000..=18_000).step_by(500) {
        let now = degrees(with_foam(um).rest());
        assert!(now < last, "{um} um");
        last = now;
    }
}

#[test]
fn a_fly_trimmed_in_a_jar_hangs_tail_down_at_depth() {
    let hang = |depth| {
        let deep = Conditions { depth, ..jar() };
        with_foam(14_000).in_water(&deep).hang.rest().unwrap().angle.to_degrees()
    };
    assert!(hang(2.0) > hang(0.1) + 10.0 && hang(5.0) > hang(2.0) + 5.0);
}

#[test]
fn a_ball_jig_hangs_close_to_horizontal_bare_and_lightly_dressed() {
    for dressing in ["bare", "light-body"] {
        let rest = tie("ball-jig-2-1-8oz-lead", dressing).rest();
        assert!(degrees(rest).abs() <= 25.0, "{dressing}: {}", degrees(rest));
        assert_eq!(rest.rides, Rides::PointUp);
        let heavy = tie("ball-jig-2-1-8oz-lead", dressing).wraps_all_along("lead-0.035in").rest();
        assert!(degrees(heavy) > 25.0, "{dressing} with heavy wire: {}", degrees(heavy));
    }
}

#[test]
fn a_bead_at_the_eye_does_not_level_a_straight_hook() {
    for (hook, bead) in [("straight-8", "tungsten-3.5"), ("streamer-8", "tungsten-4.0"), ("wide-gap-10", "brass-3.3")] {
        for recipe in [tie(hook, "woolly-body"), tie(hook, "woolly-body").bead(bead)] {
            let rest = recipe.rest();
            assert!(degrees(rest) > 60.0, "{recipe}: {}", degrees(rest));
            assert_eq!(rest.rides, Rides::PointDown, "{recipe}");
        }
    }
}

/// Projections from the least that holds the bead clear of the eye, by tenths of a millimetre.
fn projections(hook: &str, bead: &str, pin: &str) -> Vec<i32> {
    let (hook, bead, pin) = (catalog().hook(hook).unwrap(), catalog().bead(bead).unwrap(), catalog().pin(pin).unwrap());
    let least = (fly::pin_projection_needed(hook, pin.head_length, bead.length()) * 1e6).ceil() as i32;
    (least..least + 6_000).step_by(100).collect()
}

/// Rests as the bead goes forward along its pin.
fn on_the_pin(hook: &str, bead: &str, pin: &str) -> Vec<Rest> {
    let fly = |um| tie(hook, "slim-nymph").bead_on_pin(bead, pin, um).rest();
    projections(hook, bead, pin).into_iter().map(fly).collect()
}

fn nearest_level(rests: &[Rest]) -> Rest {
    *rests.iter().min_by(|a, b| a.angle.abs().total_cmp(&b.angle.abs())).unwrap()
}

#[test]
fn a_bead_on_a_pin_ahead_of_the_eye_levels_a_hook() {
    for (hook, bead, pin) in [
        ("streamer-8", "tungsten-4.0", "pin-0.7x26"),
        ("straight-6", "tungsten-3.5", "pin-0.7x26"),
        ("jig60-8", "tungsten-2.8", "pin-0.6x22"),
        ("jig90-6", "tungsten-3.5", "pin-0.7x26"),
    ] {
        let rests = on_the_pin(hook, bead, pin);
        let hangs: Vec<f64> = rests.iter().copied().map(degrees).collect();
        assert!(hangs.windows(2).all(|pair| pair[1] < pair[0]), "{hook}: farther ahead is more head-down");
        assert!(hangs[0] > 15.0 && hangs[hangs.len() - 1] < -20.0, "{hook}: {hangs:.0?}");
        // A heavy straight hook passes level within a tenth of a millimetre: all its weight lies on one line.
        if hook != "straight-6" {
            assert!(degrees(nearest_level(&rests)).abs() <= 10.0, "{hook}: {hangs:.0?}");
        }
    }
}

#[test]
fn on_a_pin_a_jig_hook_rests_far_more_steadily_than_a_straight_one() {
    let straight = nearest_level(&on_the_pin("straight-6", "tungsten-3.5", "pin-0.7x26"));
    let jig = nearest_level(&on_the_pin("jig90-6", "tungsten-3.5", "pin-0.7x26"));
    assert!(jig.steadiness > 5.0 * straight.steadiness, "{} {}", jig.steadiness, straight.steadiness);
    assert_eq!(jig.rides, Rides::PointUp);
}
