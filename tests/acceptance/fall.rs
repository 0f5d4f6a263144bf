//! How fast flies sink, lowered on a tight line.

use super::{Tying, catalog, jar, tie};
use counterpoise::fly::{Conditions, State};
use counterpoise::part::Cut;
use counterpoise::physics::water::Water;
use counterpoise::quantity::Microns;
use counterpoise::recipe::{Recipe, Seat, WireUse};

fn rate(recipe: &Recipe) -> f64 {
    recipe.in_water(&jar()).lowered.sink_rate
}

#[test]
fn denser_and_bigger_beads_sink_faster() {
    let nymph = |bead: &str| rate(&tie("straight-12", "slim-nymph").bead(bead));
    let none = rate(&tie("straight-12", "slim-nymph"));
    let by_material = [none, nymph("glass-3.0"), nymph("tin-3.0"), nymph("brass-3.0"), nymph("tungsten-3.0")];
    assert!(by_material.windows(2).all(|pair| pair[0] < pair[1]), "{by_material:.3?}");
    let by_size = [none, nymph("tungsten-2.5"), nymph("tungsten-3.0"), nymph("tungsten-3.5"), nymph("tungsten-4.0")];
    assert!(by_size.windows(2).all(|pair| pair[0] < pair[1]), "{by_size:.3?}");
}

#[test]
fn bulkier_dressings_sink_slower() {
    let dressed = |dressing: &str| rate(&tie("straight-8", dressing).bead("tungsten-3.3"));
    let by_bulk =
        ["bare", "slim-pupa", "slim-nymph", "feather-tail-leech", "chenille-body", "bulky-crawler"].map(dressed);
    assert!(by_bulk.windows(2).all(|pair| pair[0] > pair[1]), "{by_bulk:.3?}");
}

#[test]
fn sink_rates_are_of_the_size_that_guides_count_on() {
    for (recipe, low, high) in [
        (tie("straight-16", "slim-nymph").bead("tungsten-2.0"), 0.25, 0.55),
        (tie("straight-14", "slim-nymph").bead("brass-2.5"), 0.2, 0.45),
        (tie("straight-14", "slim-nymph").bead("tungsten-2.5"), 0.3, 0.6),
        (tie("straight-12", "slim-pupa").bead("tungsten-3.5"), 0.5, 0.9),
        (tie("straight-8", "chenille-body").bead("tungsten-3.3"), 0.25, 0.5),
        (tie("straight-8", "chenille-body").bead("brass-3.3"), 0.2, 0.4),
        (tie("straight-8", "chenille-body"), 0.1, 0.3),
        (tie("ball-jig-2-1-8oz-lead", "bare"), 0.9, 1.5),
        (tie("ball-jig-2-1-8oz-lead", "soft-feather-streamer"), 0.4, 0.8),
    ] {
        let found = rate(&recipe);
        assert!((low..high).contains(&found), "{recipe}: {found:.3} m/s, expected {low} to {high}");
    }
}

#[test]
fn a_bare_bead_would_fall_faster_than_any_fly_with_it() {
    let bead = catalog().bead("tungsten-3.5").unwrap();
    let alone = counterpoise::physics::terminal::sphere_terminal_velocity(
        bead.diameter,
        bead.material.density_kg_m3,
        &jar().water,
    );
    let alone = alone.unwrap().speed;
    assert!((1.2..1.6).contains(&alone), "{alone}");
    for dressing in catalog().dressings.iter().map(|d| d.row.id.as_str()) {
        assert!(rate(&tie("straight-12", dressing).bead("tungsten-3.5")) < alone, "{dressing}");
    }
}

#[test]
fn a_level_fly_sinks_slower_than_the_same_fly_hanging() {
    let foam = |um| {
        tie("jig60-12", "light-body").bead("tungsten-slotted-3.5").foam("pe-rod-1-4in", Cut::Quarter, um, Seat::Tail)
    };
    let level =
        (9_000..15_000).step_by(100).map(foam).min_by(|a, b| a.rest().angle.abs().total_cmp(&b.rest().angle.abs()));
    let (hanging, level) = (foam(6_000), level.unwrap());
    assert!(level.rest().angle.abs() < 0.3 && hanging.rest().angle > 0.8);
    assert!(rate(&level) < 0.75 * rate(&hanging), "{} {}", rate(&level), rate(&hanging));
}

#[test]
fn air_in_a_fresh_dressing_slows_or_floats_a_fly_and_cold_water_slows_it_a_little() {
    let fly = tie("straight-8", "fur-leech");
    let with = |conditions| fly.in_water(&conditions).lowered.sink_rate;
    let soaked = with(jar());
    assert!(with(Conditions { state: State::Fresh, ..jar() }) < soaked);
    let cold = with(Conditions { water: Water::new(4.0, 0.0).unwrap(), ..jar() });
    assert!(cold < soaked && cold > 0.85 * soaked, "{cold} {soaked}");
    let salt = with(Conditions { water: Water::new(18.0, 35.0).unwrap(), ..jar() });
    assert!(salt < soaked && salt > 0.9 * soaked, "{salt} {soaked}");
}

#[test]
fn foam_floats_a_light_fly() {
    let floats = tie("straight-12", "light-body").foam("pe-rod-1-4in", Cut::Half, 9_000, Seat::Back).in_water(&jar());
    assert_eq!(floats.hang.rest(), None);
    assert!(floats.lowered.sink_rate < 0.0 && floats.moments.weight < 0.0);
}

#[test]
fn wire_alone_sinks_a_fly_faster_lead_faster_than_tin() {
    let with = |id: &str| {
        let mut fly = tie("streamer-8", "chenille-body");
        fly.wire = Some(WireUse { id: id.into(), turns: 20, start: Microns::new(3_000) });
        rate(&fly)
    };
    let bare = rate(&tie("streamer-8", "chenille-body"));
    let rates = [bare, with("tin-0.020in"), with("lead-0.020in"), with("lead-0.030in")];
    assert!(rates.windows(2).all(|pair| pair[0] < pair[1]), "{rates:.3?}");
}
