//! Angles are angles: past the vertical, and on both sides.

use counterpoise::calibrate::{Observation, Predicted, Reading};
use counterpoise::physics::statics::{Rest, Rides};

fn rest(degrees: f64, rides: Rides) -> Predicted {
    Predicted::Hang(Rest { angle: degrees.to_radians(), rides, steadiness: 1.0, down: [0.0, -1.0] })
}

fn miss(seen: f64, side: Option<Rides>, predicted: Predicted) -> f64 {
    let reading = Reading::Hang { angle: seen.to_radians(), rides: side };
    Observation { entry: 0, reading, error: 0.05 }.miss(&predicted).to_degrees()
}

#[test]
fn a_miss_goes_the_shorter_way_round() {
    use Rides::{PointDown, PointUp};
    for (seen, side, predicted, over, wanted) in [
        (12.0, Some(PointUp), 27.0, PointUp, 15.0),
        (-20.0, Some(PointUp), 10.0, PointUp, 30.0),
        // Tail nearly straight down on either side of the vertical: a few degrees, not 170.
        (85.0, Some(PointUp), 86.0, PointDown, 9.0),
        (86.0, Some(PointDown), 85.0, PointUp, 9.0),
        (-88.0, Some(PointUp), -87.0, PointDown, -5.0),
        // Head-down and tail-down across the other vertical.
        (0.0, Some(PointUp), 0.0, PointDown, 180.0),
        (-10.0, Some(PointUp), 10.0, PointDown, -180.0),
        // No side seen: the nearer one.
        (40.0, None, 40.0, PointDown, 0.0),
        (88.0, None, 85.0, PointUp, -3.0),
        (-30.0, None, -20.0, PointUp, 10.0),
    ] {
        let off = miss(seen, side, rest(predicted, over));
        let same = (off - wanted).abs() < 1e-9 || (wanted.abs() == 180.0 && (off.abs() - 180.0).abs() < 1e-9);
        assert!(same, "seen {seen} {side:?}, predicted {predicted} {over:?}: {off}");
    }
}
