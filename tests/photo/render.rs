//! Test pictures: a fly hung in a jar, as a camera would see it. Rays are traced here with vectors in three dimensions,
//! another route than the library's.

use counterpoise::photo::Picture;

/// What is in the picture. Lengths mm, angles degrees.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scene {
    pub(super) hang: f64,
    /// The eye is on the left.
    pub(super) faces_left: bool,
    pub(super) point_up: bool,
    /// Jar diameter and camera distance; `None` for a flat tank seen from far.
    pub(super) jar: Option<(f64, f64)>,
    /// Of the fly towards the camera.
    pub(super) offset: f64,
    /// Of the fly to the right of the jar's middle.
    pub(super) aside: f64,
    /// The camera is turned so that upright things lean this much to the right on the way down.
    pub(super) roll: f64,
    /// Standard deviation of the noise, share of white.
    pub(super) noise: f64,
    pub(super) glare: bool,
    /// The tail hangs down from the line of the shank so far.
    pub(super) droop: f64,
    /// Nothing tied on: hook and bead.
    pub(super) bare: bool,
    pub(super) width: usize,
    pub(super) height: usize,
    pub(super) seed: u64,
}

impl Default for Scene {
    fn default() -> Self {
        Self {
            hang: 0.0,
            faces_left: true,
            point_up: true,
            jar: Some((80.0, 300.0)),
            offset: 0.0,
            aside: 0.0,
            roll: 0.0,
            noise: 0.01,
            glare: false,
            droop: 0.0,
            bare: false,
            width: 840,
            height: 660,
            seed: 1,
        }
    }
}

const INDEX: f64 = 1.333;
const TANK_FIELD: f64 = 84.0;

fn hash(seed: u64, n: u64) -> f64 {
    let mut x = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ n.wrapping_mul(0xd1b5_4a32_d192_ed03);
    x = (x ^ (x >> 29)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    x = (x ^ (x >> 32)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((x ^ (x >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// Sum of twelve uniform numbers less six: close to normal.
fn normal(seed: u64, n: u64) -> f64 {
    (0..12).map(|i| hash(seed ^ (i + 1), n)).sum::<f64>() - 6.0
}

fn segment(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (d, e) = ([p[0] - a[0], p[1] - a[1]], [b[0] - a[0], b[1] - a[1]]);
    let t = ((d[0] * e[0] + d[1] * e[1]) / (e[0] * e[0] + e[1] * e[1])).clamp(0.0, 1.0);
    (d[0] - t * e[0]).hypot(d[1] - t * e[1])
}

impl Scene {
    /// Pixels per unit of tangent, or per mm in a tank.
    fn focal(&self) -> f64 {
        match self.jar {
            // The water fills nine tenths of the picture.
            Some((diameter, camera)) => 0.45 * self.width as f64 / (0.5 * diameter / camera).asin().tan(),
            None => self.width as f64 / TANK_FIELD,
        }
    }

    /// Left and right edge of the water in the picture.
    pub(super) fn edges(&self) -> [f64; 2] {
        let middle = 0.5 * (self.width as f64 - 1.0);
        [middle - 0.45 * self.width as f64, middle + 0.45 * self.width as f64]
    }

    /// Right and up in the plane of the fly, mm, seen at a pixel; `None` beside the water.
    fn seen_at(&self, x: f64, y: f64) -> Option<[f64; 2]> {
        let (dx, dy) = (x - 0.5 * (self.width as f64 - 1.0), y - 0.5 * (self.height as f64 - 1.0));
        let (sin, cos) = self.roll.to_radians().sin_cos();
        let [right, up] = [dx * cos - dy * sin, -(dx * sin + dy * cos)].map(|v| v / self.focal());
        let Some((diameter, camera)) = self.jar else { return Some([right, up]) };
        let radius = 0.5 * diameter;
        let length = (right * right + 1.0 + up * up).sqrt();
        let d = [right / length, -1.0 / length, up / length];
        let a = d[0] * d[0] + d[1] * d[1];
        let b = camera * d[1];
        let c = camera * camera - radius * radius;
        let root = b * b - a * c;
        if root <= 0.0 {
            return None;
        }
        let t = (-b - root.sqrt()) / a;
        let hit = [t * d[0], camera + t * d[1], t * d[2]];
        let normal = [hit[0] / radius, hit[1] / radius];
        let cos_in = -(d[0] * normal[0] + d[1] * normal[1]);
        let ratio = 1.0 / INDEX;
        let k = ratio * cos_in - (1.0 - ratio * ratio * (1.0 - cos_in * cos_in)).sqrt();
        let w = [ratio * d[0] + k * normal[0], ratio * d[1] + k * normal[1], ratio * d[2]];
        let t = (self.offset - hit[1]) / w[1];
        Some([hit[0] + t * w[0], hit[2] + t * w[2]])
    }

    /// Aft along the shank and towards the upper side, mm from the eye.
    fn on_fly(&self, p: [f64; 2]) -> [f64; 2] {
        let side = if self.faces_left { 1.0 } else { -1.0 };
        let (sin, cos) = self.hang.to_radians().sin_cos();
        // Hung so that the middle of the fly is in the middle of the jar.
        let eye = [self.aside - side * 11.0 * cos, 11.0 * sin];
        let d = [side * (p[0] - eye[0]), p[1] - eye[1]];
        [d[0] * cos - d[1] * sin, d[0] * sin + d[1] * cos]
    }

    /// Share of the light taken away at a place, 0 to 1.
    fn dark(&self, p: [f64; 2], blur: f64) -> f64 {
        let cover = |distance: f64| (0.5 - distance / blur).clamp(0.0, 1.0);
        let [a, b] = self.on_fly(p);
        let towards_point = if self.point_up { b } else { -b };
        let wire = 0.35;
        let mut most: f64 = 0.0;
        let bead = (a - 2.2).hypot(b) - 1.9;
        most = most.max(0.9 * cover(bead));
        most = most.max(0.85 * cover(segment([a, b], [-0.8, 0.0], [16.0, 0.0]) - wire));
        let bend = if a > 16.0 { ((a - 16.0).hypot(towards_point - 3.2) - 3.2).abs() - wire } else { 9.0 };
        most = most.max(0.85 * cover(bend));
        most = most.max(0.85 * cover(segment([a, towards_point], [16.0, 6.4], [10.5, 6.4]) - wire));
        if !self.bare {
            let ragged = 0.35 * (hash(self.seed, (a.max(0.0) * 3.0) as u64) - 0.5);
            let body = if (2.5..16.5).contains(&a) { b.abs() - 1.6 - ragged } else { 9.0 };
            most = most.max(0.75 * cover(body));
            // Towards the bottom of the picture, whatever the hang.
            let down = -(a - 16.0) * self.droop.to_radians().tan() * self.hang.to_radians().cos();
            let lean = down + 0.3 * (hash(self.seed, (a.max(0.0) * 2.0) as u64 + 900) - 0.5);
            let tail = if (16.0..27.0).contains(&a) { (b - lean).abs() - 1.4 * (27.0 - a) / 11.0 } else { 9.0 };
            most = most.max(0.6 * cover(tail));
        }
        // The tippet goes straight up from the eye.
        let side = if self.faces_left { 1.0 } else { -1.0 };
        let (sin, cos) = self.hang.to_radians().sin_cos();
        let eye = [self.aside - side * 11.0 * cos, 11.0 * sin];
        if p[1] > eye[1] {
            most = most.max(0.5 * cover((p[0] - eye[0]).abs() - 0.1));
        }
        most
    }

    pub(super) fn picture(&self) -> Picture {
        let (w, h) = (self.width as f64, self.height as f64);
        let blur = match self.jar {
            Some((_, camera)) => camera / self.focal() / INDEX,
            None => 1.0 / self.focal(),
        };
        let [left, right] = self.edges();
        Picture::from_fn(self.width, self.height, |x, y| {
            let (fx, fy) = (x as f64, y as f64);
            let light = 0.88 - 0.15 * fx / w - 0.05 * (fy / h).powi(2);
            let dark = self.seen_at(fx, fy).map_or(0.0, |p| self.dark(p, blur));
            let wall = self.jar.is_some() && ((fx - left).abs() < 5.0 || (fx - right).abs() < 5.0);
            let mut value = light * (1.0 - dark) * if wall { 0.35 } else { 1.0 };
            if self.glare {
                let streak = (-((fx - 0.24 * w) / 9.0).powi(2)).exp();
                let spot = (-(((fx - 0.5 * w) / 14.0).powi(2) + ((fy - 0.5 * h) / 7.0).powi(2))).exp();
                value += (1.0 - value) * (0.9 * streak).max(0.95 * spot);
            }
            (value + self.noise * normal(self.seed, (y * self.width + x) as u64)).clamp(0.0, 1.0) as f32
        })
    }
}
