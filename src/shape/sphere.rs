//! Beads: a sphere less its bore, countersink or slot.
//!
//! Frame: origin at the centre of the sphere, x along the bore, y towards the slot; countersink and open end of the slot
//! at +x. Dimensions outside the ranges stated are taken as the nearest shape that exists; the catalog refuses them.

use super::Solid;
use super::quadrature::integrate;
use super::solid::Integrals;
use std::f64::consts::{FRAC_PI_4, PI};

/// A sphere with a straight bore through its centre.
///
/// V = pi h^3 / 6 with h = sqrt(D^2 - d^2) the height of the ring (the napkin ring; formula read in an encyclopedia).
/// Second moments: of x^2 pi h^5 / 120, of y^2 pi (h^5 / 120 + d^2 h^3 / 48) (derived here).
///
/// `diameter` D > 0 and `bore` 0 <= d <= D, m.
#[must_use]
pub fn drilled(diameter: f64, bore: f64) -> Solid {
    let bore = bore.clamp(0.0, diameter);
    let height_sq = diameter * diameter - bore * bore;
    let cube = height_sq * height_sq.sqrt();
    let along = PI * height_sq * cube / 120.0;
    let across = along + PI * bore * bore * cube / 48.0;
    Solid { volume: PI * cube / 6.0, centroid: [0.0; 2], second: [along, across, 0.0] }
}

/// A drilled sphere with a conical countersink at +x.
///
/// `mouth` is the diameter of the cone where it meets the sphere (bore <= mouth <= diameter), `depth` its length along
/// the bore from there to where it has narrowed to the bore, m. What stands beyond the mouth is cut away.
/// Integrated along the bore; the integrands are polynomials, so the result is exact but for rounding.
#[must_use]
pub fn countersunk(diameter: f64, bore: f64, mouth: f64, depth: f64) -> Solid {
    let radius = 0.5 * diameter;
    let inner = 0.5 * bore.clamp(0.0, diameter);
    let rim = (0.5 * mouth).clamp(inner, radius);
    let front = -half_height(radius, inner);
    let rear = half_height(radius, rim);
    let floor = (rear - depth.max(0.0)).max(front);
    let cone = move |x: f64| {
        if x > floor { inner + (rim - inner) * (x - floor) / (rear - floor) } else { inner }
    };
    let slice = |x: f64| at(x, ring(outer(radius, x), cone(x)));
    Solid::from_integrals(sum(integrate(front, floor, slice), integrate(floor, rear, slice)))
}

/// A drilled sphere with a slot from the bore to the surface on the +y side, to pass a hook's bend or jig neck.
///
/// The slot is `width` wide (0 <= width <= diameter, m), has parallel walls and reaches down to the bore; where it is
/// wider than the bore its floor lies at the axis. It runs from the +x end over `length_share` (0 to 1) of the ring's height.
///
/// Cross sections in closed form, integrated along the bore to about 1e-12 of the volume.
#[must_use]
pub fn slotted(diameter: f64, bore: f64, width: f64, length_share: f64) -> Solid {
    let radius = 0.5 * diameter;
    let inner = 0.5 * bore.clamp(0.0, diameter);
    let half_width = (0.5 * width).clamp(0.0, radius);
    let end = half_height(radius, inner);
    let start = end - 2.0 * end * length_share.clamp(0.0, 1.0);
    let slice = |x: f64| {
        let [outside, bored] = [outer(radius, x), inner].map(|rho| strip(rho, half_width));
        at(x, [0, 1, 2].map(|i| bored[i] - outside[i]))
    };
    // Where the sphere becomes narrower than the slot, the section changes its formula.
    let narrow = half_height(radius, half_width);
    let mut stations = vec![start];
    stations.extend([-narrow, narrow].into_iter().filter(|x| start < *x && *x < end));
    stations.push(end);
    let whole = drilled(diameter, bore);
    let mut integrals = [whole.volume, 0.0, 0.0, whole.second[0], whole.second[1], 0.0];
    for pair in stations.windows(2) {
        integrals = sum(integrals, integrate(pair[0], pair[1], slice));
    }
    Solid::from_integrals(integrals)
}

/// Half the height of the part of a sphere that lies farther than `distance` from its axis.
fn half_height(radius: f64, distance: f64) -> f64 {
    (radius * radius - distance * distance).max(0.0).sqrt()
}

/// Radius of the sphere at `x`.
fn outer(radius: f64, x: f64) -> f64 {
    half_height(radius, x)
}

/// Area, first moment of y and second moment of y of a ring.
fn ring(outer: f64, inner: f64) -> [f64; 3] {
    [PI * (outer.powi(2) - inner.powi(2)), 0.0, FRAC_PI_4 * (outer.powi(4) - inner.powi(4))]
}

/// The same of the part of a disc of radius `rho` with |z| < b and y > 0.
fn strip(rho: f64, b: f64) -> [f64; 3] {
    if rho <= b {
        return [0.5 * PI * rho.powi(2), 2.0 * rho.powi(3) / 3.0, PI * rho.powi(4) / 8.0];
    }
    let root = half_height(rho, b);
    let angle = (b / rho).asin();
    [
        b * root + rho * rho * angle,
        b * rho * rho - b.powi(3) / 3.0,
        (b * root * (5.0 * rho * rho - 2.0 * b * b) + 3.0 * rho.powi(4) * angle) / 12.0,
    ]
}

/// Turns the moments of the section at `x` into integrands along the bore.
fn at(x: f64, [area, y, yy]: [f64; 3]) -> Integrals {
    [area, area * x, y, area * x * x, yy, y * x]
}

fn sum(a: Integrals, b: Integrals) -> Integrals {
    std::array::from_fn(|i| a[i] + b[i])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    }

    fn same(a: Solid, b: Solid, tolerance: f64) {
        close(a.volume, b.volume, tolerance);
        for i in 0..2 {
            close(a.centroid[i], b.centroid[i], tolerance);
        }
        for i in 0..3 {
            close(a.second[i], b.second[i], tolerance);
        }
    }

    #[test]
    fn a_plain_sphere() {
        let ball = drilled(2.0, 0.0);
        close(ball.volume, 4.0 * PI / 3.0, 1e-14);
        close(ball.gyration_sq(), 0.4, 1e-14);
    }

    #[test]
    fn degenerate_cuts_leave_the_drilled_sphere() {
        let plain = drilled(3.0, 1.0);
        same(countersunk(3.0, 1.0, 1.0, 0.7), plain, 1e-13);
        same(slotted(3.0, 1.0, 0.0, 1.0), plain, 1e-13);
        same(slotted(3.0, 1.0, 0.8, 0.0), plain, 1e-13);
        assert_eq!(drilled(3.0, 4.0).volume, 0.0);
        assert_eq!(countersunk(3.0, 3.0, 3.0, 1.0).volume, 0.0);
    }

    /// By elementary solids: the cap beyond the mouth and the frustum go, less what the bore had taken of both.
    #[test]
    fn countersink_by_cap_and_frustum() {
        let (big, bore, mouth, depth) = (1.5_f64, 0.5_f64, 1.1_f64, 0.8_f64);
        let cut = countersunk(2.0 * big, 2.0 * bore, 2.0 * mouth, depth);
        let cap_height = big - half_height(big, mouth);
        let cap = PI * cap_height.powi(2) * (3.0 * big - cap_height) / 3.0;
        let bore_cap_height = big - half_height(big, bore);
        let bore_cap = PI * bore_cap_height.powi(2) * (3.0 * big - bore_cap_height) / 3.0;
        let bore_beyond = PI * bore * bore * (half_height(big, bore) - half_height(big, mouth));
        let frustum = PI * depth * (mouth * mouth + mouth * bore + bore * bore) / 3.0;
        let gone = cap - bore_cap - bore_beyond + frustum - PI * bore * bore * depth;
        close(cut.volume, drilled(3.0, 1.0).volume - gone, 1e-12);
        assert!(cut.centroid[0] < 0.0 && cut.centroid[1] == 0.0);
    }

    /// The other way through the same slot: slices across its width, each a strip under an arc.
    #[test]
    fn slot_by_slices_across_its_width() {
        let (big, bore, half) = (1.5_f64, 0.5_f64, 0.4_f64);
        let reach = half_height(big, bore);
        let [volume, y_moment] = integrate(-half, half, |z| {
            let top_sq = big * big - z * z;
            let floor_sq = bore * bore - z * z;
            let under_arc = reach * floor_sq.sqrt() + top_sq * (reach / top_sq.sqrt()).asin();
            let y_area = (top_sq - floor_sq) * reach - reach.powi(3) / 3.0;
            [under_arc - 2.0 * reach * floor_sq.sqrt(), y_area]
        });
        let cut = slotted(3.0, 1.0, 0.8, 1.0);
        close(cut.volume, drilled(3.0, 1.0).volume - volume, 1e-11);
        close(cut.centroid[1] * cut.volume, -y_moment, 1e-11);
        close(cut.centroid[0], 0.0, 1e-13);
    }

    #[test]
    fn a_slot_as_wide_as_the_sphere_leaves_half_of_it() {
        let half = slotted(2.0, 0.0, 2.0, 1.0);
        close(half.volume, 2.0 * PI / 3.0, 1e-13);
        close(half.centroid[1], -0.375, 1e-13);
        close(half.second[1], half.volume * (0.2 - 0.375 * 0.375), 1e-13);
    }

    #[test]
    fn half_a_slot_takes_half_and_its_mirror_takes_the_rest() {
        for width in [0.6, 1.4] {
            let whole = slotted(3.0, 1.0, width, 1.0);
            let half = slotted(3.0, 1.0, width, 0.5);
            let plain = drilled(3.0, 1.0).volume;
            close(plain - half.volume, 0.5 * (plain - whole.volume), 1e-11);
            assert!(half.centroid[0] < 0.0 && half.centroid[1] < 0.0);
            assert!(half.second[2] < 0.0, "material missing at +x, +y only");
        }
    }

    /// Counts small cells: slow and rough, but it shares no formula with the code.
    #[test]
    fn slotted_by_counting_cells() {
        const CELLS: i32 = 120;
        let (radius, bore, half_width, share) = (1.5, 0.4, 0.6, 0.7);
        let end = half_height(radius, bore);
        let start = end * (1.0 - 2.0 * share);
        let step = 2.0 * radius / f64::from(CELLS);
        let coordinate = |i: i32| (f64::from(i) + 0.5) * step - radius;
        let mut integrals = [0.0; 6];
        for (i, j, k) in (0..CELLS).flat_map(|i| (0..CELLS).flat_map(move |j| (0..CELLS).map(move |k| (i, j, k)))) {
            let [x, y, z] = [i, j, k].map(coordinate);
            let axis_sq = y * y + z * z;
            let solid = x * x + axis_sq < radius * radius && axis_sq > bore * bore;
            let cut = z.abs() < half_width && y > 0.0 && x > start;
            if solid && !cut {
                integrals = sum(integrals, at(x, [1.0, y, y * y]).map(|v| v * step.powi(3)));
            }
        }
        same(slotted(2.0 * radius, 2.0 * bore, 2.0 * half_width, share), Solid::from_integrals(integrals), 0.006);
    }

    proptest! {
        #[test]
        fn cuts_only_remove(bore in 0.0..0.9f64, wide in 0.0..1.0f64, share in 0.0..1.0f64) {
            let plain = drilled(1.0, bore).volume;
            let slot = slotted(1.0, bore, wide, share);
            let sink = countersunk(1.0, bore, bore + (1.0 - bore) * wide, share);
            for cut in [slot, sink] {
                prop_assert!(cut.volume >= -1e-12 && cut.volume <= plain + 1e-12);
                prop_assert!(cut.centroid[0] <= 1e-9 && cut.centroid[1] <= 1e-9);
                prop_assert!(cut.gyration_sq() >= 0.0 && cut.gyration_sq() < 0.5);
            }
        }

        #[test]
        fn volume_scales_with_the_cube(scale in 1e-4..10.0f64) {
            let one = slotted(3.0, 1.0, 0.8, 0.6);
            let other = slotted(3.0 * scale, scale, 0.8 * scale, 0.6);
            prop_assert!((other.volume / one.volume / scale.powi(3) - 1.0).abs() < 1e-12);
            prop_assert!((other.centroid[1] / one.centroid[1] / scale - 1.0).abs() < 1e-10);
        }
    }
}
