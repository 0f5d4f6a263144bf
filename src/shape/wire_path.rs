//! Round wire bent along a path in a plane: hooks and wire frames.

use super::Solid;
use std::f64::consts::{FRAC_PI_4, PI, TAU};

/// One stretch of the centre line, m and rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// Straight.
    Line {
        /// One end.
        from: [f64; 2],
        /// The other end.
        to: [f64; 2],
    },
    /// Part of a circle, or all of it (an eye that lies in the plane).
    Arc {
        /// Centre of the circle.
        centre: [f64; 2],
        /// Radius of the circle.
        radius: f64,
        /// Angle of the first point, from +x towards +y.
        start_angle: f64,
        /// How far it runs on; positive from +x towards +y.
        sweep: f64,
    },
    /// A closed ring seen edge on: an eye whose hole is looked through from above, so that it spans
    /// `radius` to both sides of its centre along one direction.
    Ring {
        /// Centre of the ring.
        centre: [f64; 2],
        /// Radius of the ring's centre line.
        radius: f64,
        /// Unit vector of its trace in the plane.
        along: [f64; 2],
    },
}

/// Means over the wire of x, y, x^2, y^2, x y, relative to the origin.
type Means = [f64; 5];

impl Segment {
    /// A straight stretch.
    #[must_use]
    pub fn line(from: [f64; 2], to: [f64; 2]) -> Self {
        Self::Line { from, to }
    }

    /// Part of a circle.
    #[must_use]
    pub fn arc(centre: [f64; 2], radius: f64, start_angle: f64, sweep: f64) -> Self {
        Self::Arc { centre, radius, start_angle, sweep }
    }

    /// A closed ring seen edge on; `along` need not be of unit length.
    #[must_use]
    pub fn ring(centre: [f64; 2], radius: f64, along: [f64; 2]) -> Self {
        Self::Ring { centre, radius, along: unit(along) }
    }

    /// Length of the centre line, m.
    #[must_use]
    pub fn length(&self) -> f64 {
        match *self {
            Self::Line { from, to } => (to[0] - from[0]).hypot(to[1] - from[1]),
            Self::Arc { radius, sweep, .. } => radius * sweep.abs(),
            Self::Ring { radius, .. } => TAU * radius,
        }
    }

    /// The point of the centre line after the share `share` (0 to 1) of its length, m. A ring seen edge on starts and
    /// ends at its far side along its trace.
    #[must_use]
    pub fn point_at(&self, share: f64) -> [f64; 2] {
        match *self {
            Self::Line { from, to } => [from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])],
            Self::Arc { centre, radius, start_angle, sweep } => {
                let (sin, cos) = (start_angle + share * sweep).sin_cos();
                [centre[0] + radius * cos, centre[1] + radius * sin]
            }
            Self::Ring { centre, radius, along } => {
                let reach = radius * (TAU * share).cos();
                [centre[0] + reach * along[0], centre[1] + reach * along[1]]
            }
        }
    }

    /// Means over the volume of wire whose section has the variance `spread` = d^2/16 across the path.
    ///
    /// On a circle of radius R the outer side holds more wire than the inner: the mean distance from the centre is
    /// R + spread/R and its mean square R^2 + 3 spread.
    fn means(&self, spread: f64) -> Means {
        match *self {
            Self::Line { from, to } => {
                let middle = self.point_at(0.5);
                let half = [0.5 * (to[0] - from[0]), 0.5 * (to[1] - from[1])];
                let along = unit(half);
                let stretch = (half[0] * half[0] + half[1] * half[1]) / 3.0;
                spread_about(middle, along, stretch, spread)
            }
            Self::Arc { centre, radius, start_angle, sweep } => {
                let middle = start_angle + 0.5 * sweep;
                let (sin, cos) = middle.sin_cos();
                let reach = (radius + spread / radius) * sinc(0.5 * sweep);
                let square = radius * radius + 3.0 * spread;
                // Mean square along the middle direction and across it; their product averages to zero.
                let along_sq = 0.5 * square * (1.0 + sinc(sweep)) - reach * reach;
                let across_sq = 0.5 * square * (1.0 - sinc(sweep));
                let mean = [centre[0] + reach * cos, centre[1] + reach * sin];
                spread_about(mean, [cos, sin], along_sq, across_sq)
            }
            Self::Ring { centre, radius, along } => {
                spread_about(centre, along, 0.5 * radius * radius + 1.5 * spread, spread)
            }
        }
    }
}

/// Means about the origin of something centred on `mean` with mean squares along and across a direction.
fn spread_about([x, y]: [f64; 2], [cos, sin]: [f64; 2], along_sq: f64, across_sq: f64) -> Means {
    [
        x,
        y,
        x * x + along_sq * cos * cos + across_sq * sin * sin,
        y * y + along_sq * sin * sin + across_sq * cos * cos,
        x * y + (along_sq - across_sq) * sin * cos,
    ]
}

fn unit(v: [f64; 2]) -> [f64; 2] {
    let length = v[0].hypot(v[1]);
    if length > 0.0 { [v[0] / length, v[1] / length] } else { [1.0, 0.0] }
}

/// sin(x)/x.
fn sinc(x: f64) -> f64 {
    if x.abs() < 1e-4 { 1.0 - x * x / 6.0 } else { x.sin() / x }
}

/// A path of round wire of one diameter.
///
/// ```
/// use counterpoise::shape::wire_path::{Segment, WirePath};
/// use std::f64::consts::{FRAC_PI_2, PI};
/// // A bend of 4 mm radius in thin wire: its centroid lies 2/pi of the radius behind the centre.
/// let bend = WirePath::new(vec![Segment::arc([0.0, 4e-3], 4e-3, -FRAC_PI_2, PI)], 1e-6);
/// assert!((bend.length() - PI * 4e-3).abs() < 1e-15);
/// assert!((bend.centroid()[0] / 4e-3 - 0.636620).abs() < 1e-6);
/// ```
///
/// Each segment is counted as if it ended square. Where directions agree nothing is lost or doubled; at a corner the
/// volume is that of a mitre. Valid for bends wider than the wire (radius > d/2).
#[derive(Debug, Clone, PartialEq)]
pub struct WirePath {
    segments: Vec<Segment>,
    diameter: f64,
}

impl WirePath {
    /// A path of wire `diameter` thick, m.
    #[must_use]
    pub fn new(segments: Vec<Segment>, diameter: f64) -> Self {
        Self { segments, diameter }
    }

    /// The stretches of the path.
    #[must_use]
    pub fn segments(&self) -> &[Segment] {
        &self.segments
    }

    /// Length of the centre line, m.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.segments.iter().map(Segment::length).sum()
    }

    /// Volume, m3: pi d^2/4 times the length, exact for bends too (Pappus).
    #[must_use]
    pub fn volume(&self) -> f64 {
        FRAC_PI_4 * self.diameter * self.diameter * self.length()
    }

    /// Centroid of the wire, m. The origin if it has no length.
    #[must_use]
    pub fn centroid(&self) -> [f64; 2] {
        let means = self.means();
        [means[0], means[1]]
    }

    /// Means over the wire of x^2, y^2 and x y about the origin, m2: second moment of mass over the mass.
    #[must_use]
    pub fn second_moment_per_length(&self) -> [f64; 3] {
        let means = self.means();
        [means[2], means[3], means[4]]
    }

    /// Volume, centroid and second moments about it.
    #[must_use]
    pub fn solid(&self) -> Solid {
        let volume = self.volume();
        let [x, y, xx, yy, xy] = self.means().map(|mean| mean * volume);
        Solid::from_integrals([volume, x, y, xx, yy, xy])
    }

    fn means(&self) -> Means {
        let length = self.length();
        let mut means = [0.0; 5];
        if length <= 0.0 {
            return means;
        }
        let spread = self.diameter * self.diameter / 16.0;
        for segment in self.segments.iter().filter(|s| s.length() > 0.0) {
            let share = segment.length() / length;
            for (total, mean) in means.iter_mut().zip(segment.means(spread)) {
                *total += share * mean;
            }
        }
        means
    }
}

/// Mass per length of round wire, kg/m: rho pi d^2 / 4, with the density in kg/m3 and the diameter in m.
#[must_use]
pub fn mass_per_length(density: f64, diameter: f64) -> f64 {
    density * 0.25 * PI * diameter * diameter
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::f64::consts::FRAC_PI_2;

    fn close(a: f64, b: f64) {
        assert!((a - b).abs() <= 1e-12 * b.abs().max(1.0), "{a} is not {b}");
    }

    fn thin(segments: Vec<Segment>) -> WirePath {
        WirePath::new(segments, 0.0)
    }

    #[test]
    fn a_rod() {
        let rod = WirePath::new(vec![Segment::line([0.0, 0.0], [3.0, 4.0])], 0.2);
        close(rod.length(), 5.0);
        close(rod.volume(), PI * 0.01 * 5.0);
        assert_eq!(rod.centroid(), [1.5, 2.0]);
        let solid = rod.solid();
        close(solid.gyration_sq(), 25.0 / 12.0 + 0.01 / 4.0);
    }

    /// Torus of centre radius R and tube radius a: I about its axis is m (R^2 + 3a^2/4), about a diameter
    /// m (R^2/2 + 5a^2/8) (standard, from memory).
    #[test]
    fn an_eye_is_a_torus_either_way_it_lies() {
        let (radius, tube) = (1.0_f64, 0.3_f64);
        let flat = WirePath::new(vec![Segment::arc([5.0, 1.0], radius, 0.3, TAU)], 2.0 * tube).solid();
        let axis = radius * radius + 0.75 * tube * tube;
        let across = 0.5 * radius * radius + 0.625 * tube * tube;
        close(flat.volume, 2.0 * PI * PI * radius * tube * tube);
        close(flat.centroid[0], 5.0);
        close(flat.gyration_sq(), axis);
        let edge = WirePath::new(vec![Segment::ring([5.0, 1.0], radius, [2.0, 2.0])], 2.0 * tube).solid();
        close(edge.volume, flat.volume);
        close(edge.gyration_sq(), across);
        close(edge.second[2] / edge.volume, 0.5 * (0.5 * axis - tube * tube / 4.0));
    }

    #[test]
    fn a_bend_pulls_the_centroid_outwards_as_the_wire_thickens() {
        let bend = |d| WirePath::new(vec![Segment::arc([0.0, 0.0], 2.0, -FRAC_PI_2, PI)], d);
        close(bend(0.0).centroid()[0], 4.0 / PI);
        close(bend(0.4).centroid()[0], (2.0 + 0.01 / 2.0) * 2.0 / PI);
        close(bend(0.0).centroid()[1], 0.0);
        close(bend(0.0).second_moment_per_length()[0], 2.0);
    }

    #[test]
    fn a_hook_adds_up() {
        let (shank, radius, leg) = (12.0, 2.5, 6.0);
        let hook = thin(vec![
            Segment::line([0.0, 0.0], [shank, 0.0]),
            Segment::arc([shank, radius], radius, -FRAC_PI_2, PI),
            Segment::line([shank, 2.0 * radius], [shank - leg, 2.0 * radius]),
        ]);
        let arc = PI * radius;
        let total = shank + arc + leg;
        close(hook.length(), total);
        let x = (shank * shank / 2.0 + arc * (shank + 2.0 * radius / PI) + leg * (shank - leg / 2.0)) / total;
        let y = (arc * radius + leg * 2.0 * radius) / total;
        close(hook.centroid()[0], x);
        close(hook.centroid()[1], y);
        assert_eq!(thin(Vec::new()).centroid(), [0.0, 0.0]);
    }

    #[test]
    fn points_along_each_kind() {
        let arc = Segment::arc([1.0, 1.0], 2.0, -FRAC_PI_2, PI);
        let end = arc.point_at(1.0);
        close(end[0], 1.0);
        close(end[1], 3.0);
        assert_eq!(Segment::line([0.0, 0.0], [4.0, 2.0]).point_at(0.25), [1.0, 0.5]);
        close(Segment::ring([1.0, 0.0], 2.0, [1.0, 0.0]).point_at(0.5)[0], -1.0);
    }

    fn any_segment() -> impl Strategy<Value = Segment> {
        let point = || [-5.0..5.0f64, -5.0..5.0f64];
        prop_oneof![
            (point(), point()).prop_map(|(a, b)| Segment::line(a, b)),
            (point(), 0.5..3.0f64, -4.0..4.0f64, -7.0..7.0f64).prop_map(|(c, r, s, w)| Segment::arc(c, r, s, w)),
            (point(), 0.5..3.0f64, point()).prop_map(|(c, r, a)| Segment::ring(c, r, a)),
        ]
    }

    proptest! {
        /// The closed forms against a sum over many points of the centre line.
        #[test]
        fn means_equal_a_sum_over_points(segment in any_segment()) {
            const POINTS: u32 = 2000;
            let path = thin(vec![segment]);
            let mut sums = [0.0; 5];
            for i in 0..POINTS {
                let [x, y] = segment.point_at((f64::from(i) + 0.5) / f64::from(POINTS));
                for (sum, value) in sums.iter_mut().zip([x, y, x * x, y * y, x * y]) {
                    *sum += value / f64::from(POINTS);
                }
            }
            for (ours, theirs) in path.means().iter().zip(sums) {
                prop_assert!((ours - theirs).abs() < 1e-4, "{} {}", ours, theirs);
            }
        }

        #[test]
        fn order_and_direction_do_not_matter(a in any_segment(), b in any_segment()) {
            let one = WirePath::new(vec![a, b], 0.3);
            let other = WirePath::new(vec![b, a], 0.3);
            for (x, y) in one.means().iter().zip(other.means()) {
                prop_assert!((x - y).abs() < 1e-12 * (1.0 + x.abs()));
            }
        }
    }
}
