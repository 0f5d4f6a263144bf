//! How far flies of one recipe differ, and how sure a recipe is.
//!
//! [`draws`] names every source of spread and draws flies; [`mod@shares`] gives the share of flies that come out right, as
//! tied and trimmed ([`trimming`]), without drawing any; [`chance`] counts them among drawn flies; [`slopes`] says what
//! moves the hang, to first order; [`seen`] turns what a jar showed into what the fly is probably like.
//!
//! What is not in it: an error of the model itself (it would shift all flies alike; jar tests find it), wear, and what a
//! fish does.

mod at_most;
pub mod chance;
pub mod draws;
mod forms;
pub mod register;
pub mod scatter;
pub mod seen;
pub mod share_test;
pub mod shares;
pub mod sinks;
pub mod slopes;
mod snips;
mod source;
pub mod tried;
pub mod trimming;

pub use shares::{Shares, shares};
pub use snips::{LeastWindows, Starts};

use crate::physics::statics::{Hang, Rest, Rides};
use std::f64::consts::PI;

/// Hang angle counted on past the vertical, rad: the angle itself while the fly rides on `side`; beyond a quarter turn
/// when it has rolled over to the other. `None` for a fly that floats.
///
/// ```
/// use counterpoise::physics::statics::{Knot, Moments, Rides, hang};
/// use counterpoise::spread::turn;
/// let over = hang(Moments { weight: 1.0, x: 1.0, y: 0.1 }, Knot::Loop, 0.0);
/// let past_vertical = turn(&over, Rides::PointUp).unwrap().to_degrees();
/// assert!((past_vertical - 95.7106).abs() < 1e-4);
/// ```
#[must_use]
pub fn turn(hang: &Hang, side: Rides) -> Option<f64> {
    hang.rest().map(|rest| turn_of_rest(rest, side))
}

/// [`turn`] of a rest.
#[must_use]
pub fn turn_of_rest(rest: &Rest, side: Rides) -> f64 {
    if rest.rides == side {
        rest.angle
    } else if rest.angle >= 0.0 {
        PI - rest.angle
    } else {
        -PI - rest.angle
    }
}

/// Angle and side of a turn counted from `side`.
#[must_use]
pub fn angle_and_side(turn: f64, side: Rides) -> (f64, Rides) {
    let other = match side {
        Rides::PointUp => Rides::PointDown,
        Rides::PointDown => Rides::PointUp,
    };
    if turn.abs() <= 0.5 * PI {
        (turn, side)
    } else if turn > 0.0 {
        (PI - turn, other)
    } else {
        (-PI - turn, other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn turns_there_and_back() {
        for degrees in [-170.0_f64, -95.0, -90.0, -10.0, 0.0, 45.0, 90.0, 91.0, 179.0] {
            let (angle, rides) = angle_and_side(degrees.to_radians(), Rides::PointUp);
            let rest = Rest { angle, rides, steadiness: 1.0, down: [0.0, -1.0] };
            assert!((turn_of_rest(&rest, Rides::PointUp).to_degrees() - degrees).abs() < 1e-9);
        }
        assert_eq!(turn(&Hang::Floats, Rides::PointUp), None);
    }
}
