//! The size 12 jig at each stage of tying (common practice, no source): near vertical until the foam is on, level after.

use counterpoise::catalog::Catalog;
use counterpoise::fly::resolve;
use counterpoise::part::Cut;
use counterpoise::quantity::{Angle, Microns};
use counterpoise::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use counterpoise::spread::draws::Draws;
use counterpoise::vice::Stage;
use counterpoise::vice::{Bench, Jar};
use counterpoise::wanted::TargetSpec;

#[test]
fn a_size_12_jig_hangs_near_vertical_until_its_foam_is_on() {
    let catalog = Catalog::built_in().unwrap();
    let recipe = Recipe {
        hook: "jig60-12".into(),
        dressing: "light-body".into(),
        bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
        wire: Some(WireUse { id: "lead-0.010in".into(), turns: 12, start: Microns::new(0) }),
        foam: Some(FoamUse {
            id: "pe-rod-1-4in".into(),
            cut: Cut::Quarter,
            length: Microns::new(13_000),
            seat: Seat::Tail,
        }),
    };
    let fly = resolve(&recipe, &catalog).unwrap();
    let spec = TargetSpec {
        pattern: Some("light-body".into()),
        tolerance: Some(Angle::from_deg(10.0)),
        ..TargetSpec::default()
    };
    let target = spec.resolve(&catalog).unwrap().0;
    let bench = Bench::new(fly, &target, Jar::at(20.0, 101_325.0).unwrap());
    let stages = bench.stages(&Draws::default());
    let at = |stage: Stage| stages.iter().find(|s| s.stage == stage).unwrap();
    for early in [Stage::Bead, Stage::Wire, Stage::Thread] {
        assert!(at(early).jar.turn.unwrap().to_degrees() >= 50.0, "{early:?} {:?}", at(early).jar.turn);
    }
    // Lift at the jar is more than at depth: the jar shows the head a little low, the fly is level down there.
    let (foam, finish) = (at(Stage::Foam).jar.turn.unwrap(), at(Stage::Finish).jar.turn.unwrap());
    assert!(foam.to_degrees() < 0.0 && (foam - finish).abs().to_degrees() < 10.0, "{foam} {finish}");
    let fished = bench.turn_at_depth(&counterpoise::fly::Deviation::NONE).unwrap().to_degrees();
    assert!(fished.abs() < 10.0, "{fished}");
    // A reading before the foam says next to nothing of the finished fly, one after it nearly all.
    let told = |stage: Stage| at(stage).jar.forecast.unwrap().told;
    assert!(told(Stage::Wire) < 0.1 && told(Stage::Foam) > 0.6, "{} {}", told(Stage::Wire), told(Stage::Foam));
}
