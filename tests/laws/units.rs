//! The same thing said in another unit is the same thing.

use super::cases;
use counterpoise::catalog::Catalog;
use counterpoise::quantity::{Angle, Length, Mass, Speed, Temperature};
use counterpoise::wanted::TargetSpec;
use proptest::prelude::*;

proptest! {
    #![proptest_config(cases(64))]

    #[test]
    fn the_same_size_in_any_unit(mm in 0.05..50.0f64) {
        let read = |text: String| text.parse::<Length>().unwrap().m();
        for text in [format!("{mm} mm"), format!("{}cm", mm / 10.0), format!("{} m", mm / 1e3), format!("{}in", mm / 25.4)] {
            prop_assert!((read(text.clone()) / (mm * 1e-3) - 1.0).abs() < 1e-12, "{text}");
        }
    }

    #[test]
    fn the_same_weight_speed_and_angle_in_any_unit(x in 0.01..40.0f64) {
        let same = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-12;
        let mass = |value: f64, unit| format!("{value} {unit}").parse::<Mass>().unwrap().kg();
        prop_assert!(same(mass(x, "grain"), mass(x * 64.798_91, "mg")));
        prop_assert!(same(mass(x, "oz"), mass(x * 28.349_523_125, "g")));
        let speed = |value: f64, unit| format!("{value}{unit}").parse::<Speed>().unwrap().m_s();
        prop_assert!(same(speed(x, "in/s"), speed(x * 2.54, "cm/s")));
        let angle = |value: f64, unit| format!("{value} {unit}").parse::<Angle>().unwrap().rad();
        prop_assert!(same(angle(x, "deg"), angle(x.to_radians(), "rad")));
    }
}

#[test]
fn a_target_in_inches_is_the_target_in_metres() {
    let catalog = Catalog::built_in().unwrap();
    let target = |text: &str| {
        let spec: TargetSpec = counterpoise::yaml::from_str(text).unwrap();
        spec.resolve(&catalog).unwrap().0
    };
    let ours = target("{sink: 6..10in/s, depth: 80in, foam_step: 0.5mm, tippet: 0.01in, knot: snug, hang: 10deg}");
    let theirs =
        target("{sink: 0.1524..0.254m/s, depth: 2.032m, foam_step: 0.05cm, tippet: 0.254mm, knot: snug, hang: 10deg}");
    let close = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-12;
    let (a, b) = (ours.sink.unwrap(), theirs.sink.unwrap());
    assert!(close(a.low.unwrap(), b.low.unwrap()) && close(a.high.unwrap(), b.high.unwrap()));
    assert!(close(ours.conditions.depth, theirs.conditions.depth) && close(ours.hang, theirs.hang));
    assert_eq!(ours.grid, theirs.grid);
    assert_eq!("20 C".parse::<Temperature>().unwrap().celsius(), "68F".parse::<Temperature>().unwrap().celsius());
}
