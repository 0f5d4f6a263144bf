//! The test in the hand, over the vice: a piece of tippet through the eye, in air (common practice, no source): it shows how the
//! fly will lie when it is dressed. Where that is so, and where not.

use super::{Tying, catalog, tie};
use counterpoise::fly::{self, Deviation};
use counterpoise::part::Cut;
use counterpoise::quantity::Microns;
use counterpoise::recipe::{Recipe, Seat, WireUse};
use counterpoise::vice::Stage;
use counterpoise::vice::{Bench, HangTest, Jar};
use counterpoise::wanted::TargetSpec;

/// Degrees tail down after a stage in the hand, in the jar, and of the finished fly in the jar; as the recipe has it.
fn hangs(recipe: &Recipe, stage: Stage) -> [f64; 3] {
    let fly = fly::resolve(recipe, catalog()).unwrap();
    let spec = TargetSpec { pattern: Some(recipe.dressing.clone()), ..TargetSpec::default() };
    let target = spec.resolve(catalog()).unwrap().0.hang_only();
    let bench = Bench::new(fly, &target, Jar::at(20.0, 101_325.0).unwrap());
    let bench = match recipe.foam.as_ref() {
        Some(foam) => bench.with_foam_on(foam.length),
        None => bench,
    };
    let tests = [HangTest::in_hand(stage), HangTest::in_jar(stage), HangTest::in_jar(Stage::Finish)];
    tests.map(|test| bench.turn_at(test, &Deviation::NONE, bench.side_at(test)).unwrap().to_degrees())
}

fn jig(bead: &str) -> Recipe {
    let mut recipe = tie("jig60-12", "light-body").bead(bead);
    recipe.wire = Some(WireUse { id: "lead-0.010in".into(), turns: 12, start: Microns::new(0) });
    recipe
}

#[test]
fn with_heavy_metal_only_the_hand_is_as_good_as_the_jar() {
    for bead in ["tungsten-slotted-3.5", "tungsten-slotted-3.0"] {
        let [hand, jar, finished] = hangs(&jig(bead), Stage::Wire);
        assert!((hand - jar).abs() < 1.5, "{bead}: {hand} {jar}");
        // And it is dressed as it was bare.
        assert!((hand - finished).abs() < 4.0, "{bead}: {hand} {finished}");
    }
}

#[test]
fn a_moulded_head_hangs_dressed_in_water_as_it_hung_bare_in_the_hand() {
    for dressing in ["light-body", "soft-feather-streamer"] {
        let [hand, jar, finished] = hangs(&tie("ball-jig-2-1-8oz-lead", dressing), Stage::Bead);
        assert!((hand - jar).abs() < 1.0 && (hand - finished).abs() < 4.0, "{dressing}: {hand} {jar} {finished}");
        // Dry, the dressing weighs on the tail as it never will in water.
        let [dry, wet, _] = hangs(&tie("ball-jig-2-1-8oz-lead", dressing), Stage::Finish);
        assert!(dry > hand && dry > wet, "{dressing}: {hand} {dry} {wet}");
    }
}

#[test]
fn with_foam_on_the_hand_misleads() {
    let recipe = jig("tungsten-slotted-3.5").foam("pe-rod-1-4in", Cut::Quarter, 11_000, Seat::Tail);
    let [hand, jar, _] = hangs(&recipe, Stage::Foam);
    assert!((hand - jar).abs() > 25.0, "{hand} {jar}");
    // Foam weighs next to nothing: in the hand it is not there.
    let [before, ..] = hangs(&recipe, Stage::Wire);
    assert!((hand - before).abs() < 1.5, "{before} {hand}");
}

#[test]
fn with_a_light_bead_or_dry_hair_the_hand_misleads() {
    let [hand, jar, _] = hangs(&tie("jig90-12", "light-body").bead("glass-4.0"), Stage::Bead);
    assert!(jar - hand > 5.0, "{hand} {jar}");
    let pin = tie("straight-8", "hair-wing-baitfish").bead_on_pin("steel-4.0", "pin-0.6x26", 9_000);
    let [dry, wet, _] = hangs(&pin, Stage::Finish);
    assert!((dry - wet).abs() > 30.0, "{dry} {wet}");
}
