//! How a body hangs from its tie point in still water.
//!
//! On a free loop the moment vector M = sum W_i r_i points straight down at rest (W_i submerged weights, r_i from the
//! tie point): the potential energy of the body turned by any angle is -M . d, with d the downward direction in the hook
//! frame, and its minimum is d = M/|M|. On a snug knot the line is an elastica that adds the energy of
//! `crate::physics::knot`; the rest is a minimum of the sum.

use crate::numeric::bracketed_root;
use crate::physics::knot;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Submerged weight, N, and its moment vector sum W r about the tie point, N m, hook frame.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moments {
    /// Submerged weight, N; negative floats.
    pub weight: f64,
    /// Sum of W x, N m.
    pub x: f64,
    /// Sum of W y, N m.
    pub y: f64,
}

impl Moments {
    /// With one more weight at a place.
    #[must_use]
    pub fn plus(self, weight: f64, at: [f64; 2]) -> Self {
        Self { weight: self.weight + weight, x: self.x + weight * at[0], y: self.y + weight * at[1] }
    }

    /// The sum of two.
    #[must_use]
    pub fn sum(self, other: Self) -> Self {
        Self { weight: self.weight + other.weight, x: self.x + other.x, y: self.y + other.y }
    }

    /// Length of the moment vector, N m.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        self.x.hypot(self.y)
    }
}

/// Which side of the fly the hook point is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rides {
    /// Point above the shank.
    PointUp,
    /// Point below the shank.
    PointDown,
}

impl Rides {
    /// The word used in targets and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::PointUp => "point-up",
            Self::PointDown => "point-down",
        }
    }
}

/// A position of rest on a taut line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest {
    /// Shank from horizontal, rad: 0 level, positive tail down, -pi/2 to pi/2.
    pub angle: f64,
    /// Which side the point is on.
    pub rides: Rides,
    /// Restoring moment per radian, N m/rad; never negative at rest.
    pub steadiness: f64,
    /// Downward unit vector in the hook frame.
    pub down: [f64; 2],
}

impl Rest {
    /// Turn of the downward direction in the hook frame: down = (sin beta, -cos beta), rad.
    #[must_use]
    pub fn beta(&self) -> f64 {
        self.down[0].atan2(-self.down[1])
    }

    /// The rest whose downward direction in the hook frame is (sin beta, -cos beta).
    pub(crate) fn at(beta: f64, steadiness: f64) -> Self {
        let down = [beta.sin(), -beta.cos()];
        Self {
            angle: down[0].clamp(-1.0, 1.0).asin(),
            rides: if down[1] < 0.0 { Rides::PointUp } else { Rides::PointDown },
            steadiness,
            down,
        }
    }
}

/// The line at a snug knot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tippet {
    /// Diameter, m.
    pub diameter: f64,
    /// Young's modulus along the line, Pa.
    pub modulus: f64,
}

/// How the line is tied on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Knot {
    /// Loop through the eye: turns freely.
    Loop,
    /// Drawn down on the eye: holds the line along the neck (on a straight hook, along the shank).
    Snug(Tippet),
}

/// The answer to "how does it hang".
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hang {
    /// It pulls the line tight and rests.
    Taut {
        /// The rest of least energy.
        rest: Rest,
        /// Another stable rest, with more energy: a snug knot can hold a fly there.
        other: Option<Rest>,
    },
    /// Submerged weight is zero or negative: it floats and never pulls the line tight.
    Floats,
}

impl Hang {
    /// The rest of least energy, unless it floats.
    #[must_use]
    pub fn rest(&self) -> Option<&Rest> {
        match self {
            Self::Taut { rest, .. } => Some(rest),
            Self::Floats => None,
        }
    }
}

/// How a body with these moments hangs.
///
/// `neck_angle` is the hook's, rad (0 for a straight eye): a snug knot holds the line along the neck.
#[must_use]
pub fn hang(moments: Moments, knot: Knot, neck_angle: f64) -> Hang {
    if moments.weight <= 0.0 {
        return Hang::Floats;
    }
    match knot {
        Knot::Loop => Hang::Taut { rest: on_loop(moments), other: None },
        Knot::Snug(tippet) => on_snug(moments, tippet, neck_angle),
    }
}

/// Moment that the line puts on a fly that is held at the turn `beta`, N m, in the sense of a growing beta being pulled
/// back: 0 on a loop; on a snug knot that of the elastica at this tension, N.
#[must_use]
pub fn line_moment(tension: f64, knot: Knot, neck_angle: f64, beta: f64) -> f64 {
    let Knot::Snug(tippet) = knot else { return 0.0 };
    if tension <= 0.0 {
        return 0.0;
    }
    let stiffness = knot::bending_stiffness(tippet.diameter, tippet.modulus);
    let phi = (beta - (FRAC_PI_2 - neck_angle) + PI).rem_euclid(TAU) - PI;
    knot::end_moment(stiffness, tension, phi.abs()) * phi.signum()
}

fn on_loop(moments: Moments) -> Rest {
    let beta = moments.x.atan2(-moments.y);
    Rest::at(beta, moments.magnitude())
}

/// Steps of the scan for sign changes of the restoring moment. The moment is a sine of the turn plus a sine of half the
/// turn, so its zeros are at most four; two that lie closer than one step (under 3 degrees) bound a well too shallow
/// to hold a fly.
const SCAN_STEPS: usize = 128;

/// Share of |M| radian that a second rest must lie below the ridge between it and the first; a shallower well holds no fly.
const LEAST_RIDGE: f64 = 0.01;

fn on_snug(moments: Moments, tippet: Tippet, neck_angle: f64) -> Hang {
    let stiffness = knot::bending_stiffness(tippet.diameter, tippet.modulus);
    let tension = moments.weight;
    // Turn `beta` of the downward direction at which the line leaves the knot without a bend.
    let straight = FRAC_PI_2 - neck_angle;
    let energy = |phi: f64| {
        let (sin, cos) = (straight + phi).sin_cos();
        -(moments.x * sin - moments.y * cos) + knot::energy(stiffness, tension, phi.abs())
    };
    let slope = |phi: f64| {
        let (sin, cos) = (straight + phi).sin_cos();
        let bend = knot::end_moment(stiffness, tension, phi.abs()) * phi.signum();
        -(moments.x * cos + moments.y * sin) + bend
    };
    let mut wells: Vec<(f64, f64)> = Vec::with_capacity(2);
    for i in 0..SCAN_STEPS {
        let (a, b) = (scanned(i), scanned(i + 1));
        if slope(a) < 0.0
            && slope(b) >= 0.0
            && let Ok(phi) = bracketed_root(slope, a, b, 1e-12)
        {
            wells.push((energy(phi), phi));
        }
    }
    wells.sort_by(|a, b| a.0.total_cmp(&b.0));
    let rest = |phi: f64| {
        let h = 1e-5;
        let curvature = (slope(phi + h) - slope(phi - h)) / (2.0 * h);
        Rest::at(straight + phi, curvature.max(0.0))
    };
    match wells.as_slice() {
        [] => Hang::Taut { rest: on_loop(moments), other: None },
        [(_, first), others @ ..] => {
            let held = |(low, phi): &&(f64, f64)| ridge(energy, *phi, *first) - low > LEAST_RIDGE * moments.magnitude();
            Hang::Taut { rest: rest(*first), other: others.iter().find(held).map(|(_, phi)| rest(*phi)) }
        }
    }
}

/// Turn of the i-th step of the scan, -pi to pi.
fn scanned(i: usize) -> f64 {
    -PI + TAU / SCAN_STEPS as f64 * i as f64
}

/// Highest energy on the easier way round between two turns, as the scan sees it.
fn ridge(energy: impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    let (low, high) = (a.min(b), a.max(b));
    let top = |inside: bool| {
        let on_the_way = (0..=SCAN_STEPS).map(scanned).filter(|phi| (low < *phi && *phi < high) == inside);
        on_the_way.map(&energy).fold(f64::NEG_INFINITY, f64::max)
    };
    top(true).min(top(false))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn m(weight: f64, x: f64, y: f64) -> Moments {
        Moments { weight, x, y }
    }

    fn rest(hang: Hang) -> Rest {
        *hang.rest().expect("taut")
    }

    #[test]
    fn loop_signs_both_ways() {
        let level_up = rest(hang(m(1.0, 0.0, -1.0), Knot::Loop, 0.0));
        assert_eq!((level_up.angle, level_up.rides), (0.0, Rides::PointUp));
        let level_down = rest(hang(m(1.0, 0.0, 1.0), Knot::Loop, 0.0));
        assert!(level_down.angle.abs() < 1e-12);
        assert_eq!(level_down.rides, Rides::PointDown);
        let tail_down = rest(hang(m(1.0, 1.0, -1.0), Knot::Loop, 0.0));
        assert!((tail_down.angle.to_degrees() - 45.0).abs() < 1e-9);
        let head_down = rest(hang(m(1.0, -1.0, 1.0), Knot::Loop, 0.0));
        assert!((head_down.angle.to_degrees() + 45.0).abs() < 1e-9);
        assert_eq!(hang(m(-1.0, 1.0, 0.0), Knot::Loop, 0.0), Hang::Floats);
        assert_eq!(hang(m(0.0, 1.0, 0.0), Knot::Loop, 0.0), Hang::Floats);
    }

    fn line(diameter: f64) -> Knot {
        Knot::Snug(Tippet { diameter, modulus: 1.5e9 })
    }

    #[test]
    fn a_hair_thin_snug_knot_is_a_loop() {
        let moments = m(3e-3, 4e-6, -6e-6);
        let thin = rest(hang(moments, line(1e-6), 1.0));
        let free = rest(hang(moments, Knot::Loop, 1.0));
        assert!((thin.angle - free.angle).abs() < 1e-5);
        assert!((thin.steadiness / free.steadiness - 1.0).abs() < 1e-4);
    }

    #[test]
    fn a_stiff_snug_knot_lines_the_neck_up_with_the_line() {
        let moments = m(3e-3, 1e-9, -1e-9);
        let straight = rest(hang(moments, line(0.2e-3), 0.0));
        assert!((straight.angle.to_degrees() - 90.0).abs() < 0.1);
        let jig = rest(hang(moments, line(0.2e-3), 60f64.to_radians()));
        assert!((jig.angle.to_degrees() - 30.0).abs() < 0.1);
    }

    #[test]
    fn a_snug_knot_can_hold_a_second_rest() {
        // A level fly on a straight eye with its weight ahead: the knot bends either way round.
        let moments = m(3e-3, -3e-5, 0.0);
        match hang(moments, line(0.18e-3), 0.0) {
            Hang::Taut { rest, other: Some(other) } => {
                assert!((rest.angle - other.angle).abs() < 1e-6, "mirror images");
                assert_ne!(rest.rides, other.rides);
            }
            found => panic!("two rests expected, found {found:?}"),
        }
    }
}
