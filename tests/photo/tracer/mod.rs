//! Test pictures by a tracer of its own: rays from the camera, refracted where they meet the vessel, stopped by a fly made of
//! wire, bead, foam, hair and line, or going on to what stands behind. It uses nothing of the library.
//!
//! World: mm; x right, y towards the camera, z up; the vessel's axis is x = y = 0. Angles in degrees.

pub(crate) mod dice;
pub(crate) mod fly;
pub(crate) mod guess;
pub(crate) mod scenery;
pub(crate) mod sets;
pub(crate) mod vessel;

use dice::Dice;
use fly::ModelFly;
use image::{Rgb, RgbImage};
use scenery::{Colour, Scenery, mix};
use vessel::{Ray, Vessel};

/// Where the camera is and what it makes of what it sees.
#[derive(Debug, Clone)]
pub(crate) struct Camera {
    /// From the lens to the axis of the vessel.
    pub(crate) distance: f64,
    /// Focal length, pixels.
    pub(crate) focal: f64,
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// Upright things lean so much to the right on the way down.
    pub(crate) roll: f64,
    /// Barrel distortion of a wide lens: a point at r (tangent) is pictured at r (1 - barrel r^2).
    pub(crate) barrel: f64,
    /// Standard deviation of the blur, pixels.
    pub(crate) blur: f64,
    /// Standard deviation of the noise, share of white.
    pub(crate) noise: f64,
}

/// One picture to take.
#[derive(Debug, Clone)]
pub(crate) struct Shot {
    pub(crate) camera: Camera,
    pub(crate) vessel: Vessel,
    pub(crate) scenery: Scenery,
    pub(crate) fly: ModelFly,
    pub(crate) hang: f64,
    /// The eye is left of the tail.
    pub(crate) faces_left: bool,
    pub(crate) point_up: bool,
    /// The shank is turned so far out of the picture plane, about the vertical.
    pub(crate) yaw: f64,
    /// Place of the middle of the shank: right of the axis, towards the camera, above the camera's height.
    pub(crate) place: [f64; 3],
    /// Diameter of the tippet, and how much of the light it takes away (negative: adds).
    pub(crate) tippet: (f64, f64),
    /// A card of squares in the place of the fly: squares across and down, side.
    pub(crate) card: Option<(usize, usize, f64)>,
    pub(crate) seed: u64,
}

impl Shot {
    fn basis(&self) -> ([f64; 2], [f64; 2]) {
        let side = if self.faces_left { 1.0 } else { -1.0 };
        let (sin, cos) = self.hang.to_radians().sin_cos();
        let point = if self.point_up { 1.0 } else { -1.0 };
        ([side * cos, -sin], [point * side * sin, point * cos])
    }

    /// The tie point in the plane of the fly: right and up.
    fn eye(&self) -> [f64; 2] {
        let (aft, point) = self.basis();
        let [a, b] = self.fly.middle();
        [self.place[0] - a * aft[0] - b * point[0], self.place[2] - a * aft[1] - b * point[1]]
    }

    /// Hook frame (aft, towards the point) of a place in the plane of the fly.
    fn on_fly(&self, p: [f64; 2]) -> [f64; 2] {
        let (aft, point) = self.basis();
        let eye = self.eye();
        let d = [p[0] - eye[0], p[1] - eye[1]];
        [d[0] * aft[0] + d[1] * aft[1], d[0] * point[0] + d[1] * point[1]]
    }

    /// Colour seen along the ray of a pixel, and how much of the world one pixel is there, mm.
    fn seen(&self, x: f64, y: f64) -> Colour {
        let Some(ray) = self.camera.ray(x, y) else { return [0.0; 3] };
        let mut glass = 1.0;
        let path = self.vessel.through(ray);
        let footprint = self.camera.distance / self.camera.focal / if path.wet { 1.333 } else { 1.0 };
        let mut colour = match path.behind {
            Some(out) => self.scenery.behind(out),
            // What is reflected within the vessel is much like what stands behind it.
            None => self.scenery.wall.map(|c| 0.75 * c),
        };
        if path.inside.is_some() {
            glass *= 0.97;
        }
        colour = colour.map(|c| c * glass);
        let plane = path.inside.unwrap_or(ray);
        if let Some(hit) = self.fly_plane(plane) {
            colour = self.over(colour, hit, footprint, path.wet);
        }
        if let Some((wall, share)) = path.wall {
            colour = mix(colour, wall, share);
        }
        self.scenery.before(ray, colour)
    }

    /// Where a ray meets the upright plane in which the fly hangs: along it and up.
    fn fly_plane(&self, ray: Ray) -> Option<[f64; 2]> {
        let (sin, cos) = self.yaw.to_radians().sin_cos();
        // The plane holds the fly's middle and is turned about the vertical through it.
        let normal = [sin, cos];
        let to = [self.place[0] - ray.from[0], self.place[1] - ray.from[1]];
        let speed = ray.along[0] * normal[0] + ray.along[1] * normal[1];
        let t = (to[0] * normal[0] + to[1] * normal[1]) / speed;
        let hit = [0, 1, 2].map(|k| ray.from[k] + t * ray.along[k]);
        let along = (hit[0] - self.place[0]) * cos - (hit[1] - self.place[1]) * sin;
        (t.is_finite() && t > 0.0).then_some([self.place[0] + along, hit[2]])
    }

    /// Fly, tippet, bubbles over what is behind.
    fn over(&self, behind: Colour, p: [f64; 2], footprint: f64, wet: bool) -> Colour {
        if let Some((across, down, side)) = self.card {
            return scenery::card(behind, [p[0] - self.place[0], p[1] - self.place[2]], across, down, side);
        }
        let mut colour = behind;
        if wet {
            colour = self.fly.over(colour, self.on_fly(p), footprint, self.up_on_fly());
        }
        let eye = self.eye();
        let (diameter, dark) = self.tippet;
        if p[1] > eye[1] {
            let cover = fly::cover((p[0] - eye[0]).abs() - 0.5 * diameter, footprint).min(diameter / footprint);
            let line = if dark >= 0.0 { [0.0; 3] } else { [1.0; 3] };
            colour = mix(colour, line, cover * dark.abs());
        }
        if wet { self.scenery.bubbles(colour, p, footprint) } else { colour }
    }

    /// The direction up, in the hook frame.
    fn up_on_fly(&self) -> [f64; 2] {
        let (aft, point) = self.basis();
        [aft[1], point[1]]
    }

    pub(crate) fn picture(&self) -> RgbImage {
        let (w, h) = (self.camera.width, self.camera.height);
        let mut planes = vec![[0.0f32; 3]; w * h];
        for (i, pixel) in planes.iter_mut().enumerate() {
            *pixel = self.seen((i % w) as f64, (i / w) as f64).map(|c| c as f32);
        }
        if self.camera.blur > 0.0 {
            blur(&mut planes, w, h, self.camera.blur);
        }
        let mut dice = Dice::new(self.seed ^ 0x5eed);
        RgbImage::from_fn(w as u32, h as u32, |x, y| {
            let pixel = planes[y as usize * w + x as usize];
            // Noise of the three colours is partly common.
            let all = self.camera.noise * dice.normal();
            Rgb(pixel.map(|c| {
                let noisy = f64::from(c) + all + 0.5 * self.camera.noise * dice.normal();
                (255.0 * noisy.clamp(0.0, 1.0)).round() as u8
            }))
        })
    }
}

/// The same camera so far away, with so many mm at that distance in the picture's width.
pub(crate) fn camera_close_to(camera: &Camera, distance: f64, across: f64) -> Camera {
    Camera { distance, focal: camera.width as f64 * distance / across, ..camera.clone() }
}

impl Camera {
    fn ray(&self, x: f64, y: f64) -> Option<Ray> {
        let (dx, dy) = (x - 0.5 * (self.width as f64 - 1.0), y - 0.5 * (self.height as f64 - 1.0));
        let (sin, cos) = self.roll.to_radians().sin_cos();
        let (mut right, mut up) = ((dx * cos - dy * sin) / self.focal, -(dx * sin + dy * cos) / self.focal);
        if self.barrel > 0.0 {
            // r_picture = r (1 - barrel r^2), solved for r by repetition.
            let pictured = right.hypot(up);
            let mut r = pictured;
            for _ in 0..60 {
                r = pictured / (1.0 - self.barrel * r * r).max(0.2);
            }
            let grow = if pictured > 1e-12 { r / pictured } else { 1.0 };
            (right, up) = (right * grow, up * grow);
        }
        let length = (right * right + up * up + 1.0).sqrt();
        length
            .is_finite()
            .then(|| Ray { from: [0.0, self.distance, 0.0], along: [right / length, -1.0 / length, up / length] })
    }
}

/// Three box filters each way: close to a Gaussian.
fn blur(planes: &mut Vec<[f32; 3]>, w: usize, h: usize, sd: f64) {
    let reach = (((12.0 * sd * sd / 3.0 + 1.0).sqrt() - 1.0) / 2.0).round().max(1.0) as usize;
    for _ in 0..3 {
        *planes = box_filter(planes, w, h, reach, 1, w);
        *planes = box_filter(planes, h, w, reach, w, 1);
    }
}

/// Along lines of `length` pixels that lie `step` apart; there are `lines` of them, `stride` apart.
fn box_filter(p: &[[f32; 3]], length: usize, lines: usize, reach: usize, step: usize, stride: usize) -> Vec<[f32; 3]> {
    let mut out = vec![[0.0; 3]; p.len()];
    for line in 0..lines {
        let at = |i: isize| p[line * stride + i.clamp(0, length as isize - 1) as usize * step];
        for k in 0..3 {
            let mut sum: f32 = (-(reach as isize)..=reach as isize).map(|i| at(i)[k]).sum();
            for i in 0..length as isize {
                out[line * stride + i as usize * step][k] = sum / (2 * reach + 1) as f32;
                sum += at(i + 1 + reach as isize)[k] - at(i - reach as isize)[k];
            }
        }
    }
    out
}
