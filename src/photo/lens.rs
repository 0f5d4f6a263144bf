//! A round jar of water magnifies sideways like a lens, and hardly at all up and down: a fly that hangs tail-down in it
//! looks flatter than it hangs.
//!
//! Exact ray tracing through an upright cylinder of water. Frame: the jar's axis is vertical at the origin, the camera is
//! `camera_distance` in front of it and looks at it; right and up as in the picture. Symbols: D camera to axis, R inside
//! radius of the jar, s offset of the fly's plane towards the camera, n refractive index, a horizontal angle of the ray at
//! the camera, e its elevation.
//!
//! The wall's normal is horizontal, so sin e = n sin e_w (elevation in water) and, seen from above, the ray refracts with
//! the index n' = sqrt(n^2 - sin^2 e) / cos e (Bravais' law, from memory; derived here from Snell's law in three
//! dimensions). From above: sin i = D sin a / R, sin r = sin i / n', and the ray goes on at a - (i - r).
//!
//! Left out: the glass. A wall of even thickness does not change which rays meet the axis (n r sin i is the same in every
//! layer) and shifts the rest a little: see the tests. Also left out: a fly whose shank is turned towards the camera,
//! which looks steeper than it hangs. Hang it broadside.

use crate::quantity::Length;
use thiserror::Error;

/// Refractive index of fresh water at room temperature in yellow light (from memory; 1.334 at 10 C, 1.340 in the sea).
pub const WATER_INDEX: f64 = 1.333;

/// A jar or camera that cannot be.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum LensError {
    /// Not a jar.
    #[error("jar diameter {diameter}: 10 mm to 2 m makes sense")]
    Diameter {
        /// Diameter given.
        diameter: Length,
    },
    /// The camera is in the jar.
    #[error("camera {camera} from the middle of the jar: it must be outside the jar, farther than {radius}")]
    Camera {
        /// Distance given.
        camera: Length,
        /// Radius of the jar.
        radius: Length,
    },
    /// No wall curves so.
    #[error(
        "waist {waist}: the upright curve of the wall has a radius of 10 mm or more; negative for a belly, then more than {radius}"
    )]
    Waist {
        /// Radius given.
        waist: Length,
        /// Radius of the jar.
        radius: Length,
    },
    /// The fly is not in the jar.
    #[error("offset {offset}: the fly hangs inside the jar, between -{radius} (far side) and {radius} (near side)")]
    Offset {
        /// Offset given.
        offset: Length,
        /// Radius of the jar.
        radius: Length,
    },
}

/// A round jar full of water, a camera, and a fly hanging between them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoundJar {
    radius: f64,
    camera_distance: f64,
    offset: f64,
    index: f64,
    /// Radius of the upright curve of the wall; infinite for a straight one.
    waist: f64,
}

impl RoundJar {
    /// A jar of inside `diameter`, the camera's lens `camera` from its middle, and the fly `offset` from its middle towards
    /// the camera.
    ///
    /// # Errors
    /// [`LensError`]: not a jar, or camera or fly where they cannot be.
    ///
    /// ```
    /// use counterpoise::photo::lens::RoundJar;
    /// use counterpoise::quantity::Length;
    /// let mm = Length::from_mm;
    /// let jar = RoundJar::new(mm(80.0), mm(300.0), mm(0.0))?;
    /// // 45 degrees in the middle of the jar looks like 38.
    /// assert!((jar.looks(45f64.to_radians()).to_degrees() - 37.8).abs() < 0.05);
    /// # Ok::<(), counterpoise::photo::lens::LensError>(())
    /// ```
    pub fn new(diameter: Length, camera: Length, offset: Length) -> Result<Self, LensError> {
        if !(0.01..=2.0).contains(&diameter.m()) {
            return Err(LensError::Diameter { diameter });
        }
        let radius = Length::from_m(0.5 * diameter.m());
        if !(camera > radius && camera.m().is_finite()) {
            return Err(LensError::Camera { camera, radius });
        }
        if offset.m().is_nan() || offset.m().abs() >= radius.m() {
            return Err(LensError::Offset { offset, radius });
        }
        Ok(Self {
            radius: radius.m(),
            camera_distance: camera.m(),
            offset: offset.m(),
            index: WATER_INDEX,
            waist: f64::INFINITY,
        })
    }

    /// The same vessel with a waist at the height of the fly: the radius of the upright curve of its wall, negative for a
    /// belly. Camera and fly are at the height of the waist.
    ///
    /// # Errors
    /// [`LensError::Waist`].
    ///
    /// ```
    /// use counterpoise::photo::lens::RoundJar;
    /// use counterpoise::quantity::Length;
    /// let mm = Length::from_mm;
    /// let vase = RoundJar::new(mm(80.0), mm(300.0), mm(0.0))?.with_waist(mm(60.0))?;
    /// // 45 degrees look like 38 in a round jar and 34 here.
    /// assert!((vase.looks(45f64.to_radians()).to_degrees() - 34.0).abs() < 0.5);
    /// # Ok::<(), counterpoise::photo::lens::LensError>(())
    /// ```
    pub fn with_waist(self, waist: Length) -> Result<Self, LensError> {
        let w = waist.m();
        if !(w >= 0.01 || w <= -self.radius.max(0.01)) {
            return Err(LensError::Waist { waist, radius: Length::from_m(self.radius) });
        }
        Ok(Self { waist: w, ..self })
    }

    /// The same vessel with the curve of its waist measured differently by a share.
    pub(super) fn waist_off(self, share: f64) -> Self {
        Self { waist: self.waist * (1.0 + share), ..self }
    }

    /// Whether the wall is curved upright as well.
    pub(super) fn has_waist(&self) -> bool {
        self.waist.is_finite()
    }

    /// The same jar with another liquid or colour.
    #[must_use]
    pub fn with_index(self, index: f64) -> Self {
        Self { index, ..self }
    }

    /// The same set-up, measured a little differently, m.
    #[must_use]
    pub(super) fn shifted(self, radius: f64, camera: f64, offset: f64) -> Self {
        let radius = self.radius + radius;
        let edge = 0.99 * radius;
        Self {
            radius,
            camera_distance: (self.camera_distance + camera).max(1.01 * radius),
            offset: (self.offset + offset).clamp(-edge, edge),
            ..self
        }
    }

    /// Where the ray of a picture point meets the plane of the fly: right and up of the jar's middle at the camera's
    /// height, m. `right` and `up` are tangents: picture coordinates over the focal length. `None` for a ray that misses
    /// the jar.
    #[must_use]
    pub fn place(&self, right: f64, up: f64) -> Option<[f64; 2]> {
        if self.has_waist() {
            return self.place_through_waist(right, up);
        }
        let level = right.hypot(1.0);
        let (a, elevation) = (right.atan(), (up / level).atan());
        let sin_incidence = self.camera_distance * a.sin() / self.radius;
        if sin_incidence.abs() >= 1.0 {
            return None;
        }
        let (sin_e, cos_e) = elevation.sin_cos();
        let seen_from_above = (self.index * self.index - sin_e * sin_e).sqrt() / cos_e;
        let incidence = sin_incidence.asin();
        let refracted = (sin_incidence / seen_from_above).asin();
        let onward = a - (incidence - refracted);
        let in_air = self.camera_distance * a.cos() - self.radius * incidence.cos();
        let (hit_right, hit_near) = (in_air * a.sin(), self.camera_distance - in_air * a.cos());
        let in_water = (hit_near - self.offset) / onward.cos();
        let slope_in_water = (sin_e / self.index).asin().tan();
        Some([hit_right + in_water * onward.sin(), in_air * elevation.tan() + in_water * slope_in_water])
    }

    /// Radius of the wall at a height above the waist, and its slope; `None` beyond the curve.
    fn wall(&self, z: f64) -> Option<(f64, f64)> {
        let across = self.waist * self.waist - z * z;
        (across > 0.0).then(|| {
            let root = across.sqrt() * self.waist.signum();
            // The waist less the root, without the digits that a wall hardly curved would lose.
            (self.radius + z * z / (self.waist + root), z / root)
        })
    }

    /// [`Self::place`] where the wall is curved both ways: Newton's method for where the ray meets it, then Snell's law for
    /// vectors.
    fn place_through_waist(&self, right: f64, up: f64) -> Option<[f64; 2]> {
        let length = (right * right + 1.0 + up * up).sqrt();
        let d = [right / length, -1.0 / length, up / length];
        let mut t = self.camera_distance - 1.5 * self.radius;
        let mut wall = None;
        for _ in 0..60 {
            let p = [t * d[0], self.camera_distance + t * d[1], t * d[2]];
            let across = p[0].hypot(p[1]);
            let (radius, slope) = self.wall(p[2])?;
            let normal = [p[0] / across, p[1] / across, -slope];
            let towards = normal[0] * d[0] + normal[1] * d[1] + normal[2] * d[2];
            let step = (across - radius) / towards;
            if towards >= 0.0 || !step.is_finite() {
                return None;
            }
            if step.abs() < 1e-13 {
                wall = Some((p, normal));
                break;
            }
            t -= step;
        }
        let (p, normal) = wall?;
        let size = (1.0 + normal[2] * normal[2]).sqrt();
        let normal = normal.map(|v| v / size);
        let cos_in = -(d[0] * normal[0] + d[1] * normal[1] + d[2] * normal[2]);
        let ratio = 1.0 / self.index;
        let k = ratio * cos_in - (1.0 - ratio * ratio * (1.0 - cos_in * cos_in)).sqrt();
        let w = [0, 1, 2].map(|i| ratio * d[i] + k * normal[i]);
        let on = (self.offset - p[1]) / w[1];
        Some([p[0] + on * w[0], p[2] + on * w[2]])
    }

    /// How much more the jar magnifies sideways than upwards, for a small fly at its middle:
    /// ((D - R) + (R - s) / n) / (D / n - s (1 - (D / R) (1 - 1 / n))). The limit of [`Self::place`] for small angles.
    #[must_use]
    pub fn stretch(&self) -> f64 {
        if self.has_waist() {
            const SMALL: f64 = 1e-5;
            let of = |right, up| self.place(right, up).unwrap_or([f64::NAN; 2]);
            return of(0.0, SMALL)[1] / of(SMALL, 0.0)[0];
        }
        let (d, r, s, n) = (self.camera_distance, self.radius, self.offset, self.index);
        let up = (d - r) + (r - s) / n;
        let right = d / n - s * (1.0 - d / r * (1.0 - 1.0 / n));
        up / right
    }

    /// What a small fly's hang looks like at the middle of the jar, rad.
    #[must_use]
    pub fn looks(&self, hang: f64) -> f64 {
        let (sin, cos) = hang.sin_cos();
        sin.atan2(cos * self.stretch())
    }

    /// Focal length of the camera in pixels, from the width in pixels between the edges of the water: the edges are seen
    /// where rays just touch the jar, at sin a = R / D.
    #[must_use]
    pub fn focal_from_width(&self, width_px: f64) -> f64 {
        let along = (self.camera_distance.powi(2) - self.radius.powi(2)).sqrt();
        0.5 * width_px * along / self.radius
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jar(diameter: f64, camera: f64, offset: f64) -> RoundJar {
        RoundJar::new(Length::from_mm(diameter), Length::from_mm(camera), Length::from_mm(offset)).unwrap()
    }

    type Vector = [f64; 3];

    fn dot(a: Vector, b: Vector) -> f64 {
        a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
    }

    fn along(p: Vector, d: Vector, t: f64) -> Vector {
        [p[0] + t * d[0], p[1] + t * d[1], p[2] + t * d[2]]
    }

    /// Snell's law for vectors: unit direction, unit normal against it, ratio of the indices.
    fn refract(d: Vector, normal: Vector, ratio: f64) -> Vector {
        let cos_in = -dot(d, normal);
        let cos_out = (1.0 - ratio * ratio * (1.0 - cos_in * cos_in)).sqrt();
        let k = ratio * cos_in - cos_out;
        [ratio * d[0] + k * normal[0], ratio * d[1] + k * normal[1], ratio * d[2] + k * normal[2]]
    }

    /// Where a ray from outside meets an upright cylinder, and the outward normal there.
    fn meet(p: Vector, d: Vector, radius: f64) -> (Vector, Vector) {
        let a = d[0] * d[0] + d[1] * d[1];
        let b = p[0] * d[0] + p[1] * d[1];
        let c = p[0] * p[0] + p[1] * p[1] - radius * radius;
        let hit = along(p, d, (-b - (b * b - a * c).sqrt()) / a);
        (hit, [hit[0] / radius, hit[1] / radius, 0.0])
    }

    /// Another route to the same place: three-dimensional vectors, wall by wall. x right, y towards the camera, z up.
    fn traced(jar: &RoundJar, right: f64, up: f64, glass: f64) -> Vector {
        let length = (right * right + 1.0 + up * up).sqrt();
        let mut d = [right / length, -1.0 / length, up / length];
        let mut p = [0.0, jar.camera_distance, 0.0];
        let mut index = 1.0;
        let walls = [(jar.radius + glass, 1.52), (jar.radius, jar.index)];
        for (radius, next) in walls.into_iter().filter(|(_, n)| glass > 0.0 || *n == jar.index) {
            let (hit, normal) = meet(p, d, radius);
            d = refract(d, normal, index / next);
            (p, index) = (hit, next);
        }
        along(p, d, (jar.offset - p[1]) / d[1])
    }

    #[test]
    fn agrees_with_vectors_traced_in_three_dimensions() {
        for (diameter, camera, offset) in [(80.0, 300.0, 0.0), (60.0, 150.0, 20.0), (120.0, 1000.0, -30.0)] {
            let jar = jar(diameter, camera, offset);
            let edge = (jar.radius / jar.camera_distance).asin().tan();
            for share in [-0.9, -0.5, -0.1, 0.0, 0.3, 0.7, 0.95] {
                for up in [-0.3, -0.05, 0.0, 0.1, 0.4] {
                    let ours = jar.place(share * edge, up).unwrap();
                    let theirs = traced(&jar, share * edge, up, 0.0);
                    assert!((ours[0] - theirs[0]).abs() < 1e-13 && (ours[1] - theirs[2]).abs() < 1e-13);
                }
            }
        }
    }

    #[test]
    fn small_angles_tend_to_the_paraxial_formula() {
        for (diameter, camera, offset) in [(80.0, 300.0, 0.0), (80.0, 300.0, 15.0), (100.0, 200.0, -25.0)] {
            let jar = jar(diameter, camera, offset);
            let mut last = f64::INFINITY;
            for small in [1e-2, 1e-3, 1e-4] {
                let at = jar.place(small, small).unwrap();
                let off = (at[1] / at[0] / jar.stretch() - 1.0).abs();
                assert!(off < 0.2 * last || off < 1e-9, "{off} {last}");
                last = off;
            }
            assert!(last < 1e-6);
        }
    }

    /// A thick lens in a distant camera: on the axis the sideways magnification is n, and none upwards.
    #[test]
    fn far_away_the_stretch_is_the_index() {
        assert!((jar(80.0, 1e6, 0.0).stretch() / WATER_INDEX - 1.0).abs() < 1e-4);
        let plain = jar(80.0, 300.0, 0.0).with_index(1.0);
        assert!((plain.stretch() - 1.0).abs() < 1e-15);
        let at = plain.place(0.05, -0.02).unwrap();
        assert!((at[0] - 0.3 * 0.05).abs() < 1e-15 && (at[1] + 0.3 * 0.02).abs() < 1e-15);
    }

    #[test]
    fn flatter_nearer_the_far_wall_and_true_at_the_near_wall() {
        let at = |offset| jar(80.0, 300.0, offset).looks(45f64.to_radians()).to_degrees();
        assert!((at(39.99) - 45.0).abs() < 0.01, "{}", at(39.99));
        assert!(at(20.0) > at(0.0) && at(0.0) > at(-20.0));
        for hang in [-80.0f64, -45.0, 0.0, 30.0, 90.0] {
            let looks = jar(80.0, 300.0, 0.0).looks(hang.to_radians()).to_degrees();
            assert!(looks.abs() <= hang.abs() + 1e-12 && looks * hang >= 0.0);
        }
    }

    /// What leaving the glass out costs: 3 mm of it on a jar of 80 mm, a fly of 20 mm at 45 degrees.
    #[test]
    fn glass_of_3_mm_turns_the_reading_by_less_than_a_degree() {
        let jar = jar(80.0, 300.0, 0.0);
        let (right, up) = (0.03, 0.03);
        let slope = |p: [f64; 2]| p[1].atan2(p[0]).to_degrees();
        let bare = slope(jar.place(right, up).unwrap());
        let walled = traced(&jar, right, up, 0.003);
        let shift = slope([walled[0], walled[2]]) - bare;
        assert!(shift.abs() < 0.3, "{shift}");
    }

    #[test]
    fn the_edge_is_where_rays_just_touch() {
        let jar = jar(80.0, 300.0, 0.0);
        let focal = jar.focal_from_width(600.0);
        assert!(jar.place(299.9 / focal, 0.0).is_some());
        assert!(jar.place(300.1 / focal, 0.0).is_none());
    }

    /// A wall that is hardly curved upright is a round jar; sharper waists flatten more, a belly less.
    #[test]
    fn a_waist_tends_to_the_round_jar_and_flattens_more() {
        let mm = Length::from_mm;
        let plain = jar(80.0, 300.0, 4.0);
        for (right, up) in [(0.05, 0.03), (-0.1, 0.06), (0.0, -0.05)] {
            let off = |waist: f64| {
                let (a, b) =
                    (plain.place(right, up).unwrap(), plain.with_waist(mm(waist)).unwrap().place(right, up).unwrap());
                (a[0] - b[0]).hypot(a[1] - b[1])
            };
            // A wall of 10 km still tilts by 2e-6 where the ray meets it, which is 2e-8 m at the fly; it goes with the curve.
            let (near, nearer) = (off(1e7), off(1e9));
            assert!(near < 5e-8 && nearer < 5e-10, "{near} {nearer}");
            assert!((near / nearer / 100.0 - 1.0).abs() < 0.01, "{near} {nearer}");
        }
        let looks =
            |waist: f64| jar(80.0, 300.0, 0.0).with_waist(mm(waist)).unwrap().looks(45f64.to_radians()).to_degrees();
        assert!((looks(30.0) - 31.0).abs() < 0.6, "{}", looks(30.0));
        assert!(looks(30.0) < looks(60.0) && looks(60.0) < 37.8 && looks(-60.0) > 37.8);
        // A belly as round upright as it is around magnifies alike both ways.
        assert!((looks(-40.000_001) - 45.0).abs() < 1e-3, "{}", looks(-40.000_001));
    }

    #[test]
    fn refuses_what_cannot_be() {
        let mm = Length::from_mm;
        assert!(matches!(jar(80.0, 300.0, 0.0).with_waist(mm(-30.0)), Err(LensError::Waist { .. })));
        assert!(matches!(RoundJar::new(mm(5.0), mm(300.0), mm(0.0)), Err(LensError::Diameter { .. })));
        assert!(matches!(RoundJar::new(mm(80.0), mm(40.0), mm(0.0)), Err(LensError::Camera { .. })));
        assert!(matches!(RoundJar::new(mm(80.0), mm(300.0), mm(-40.0)), Err(LensError::Offset { .. })));
    }
}
