//! Vessels of water: rays refracted at their walls.

use super::scenery::Colour;

/// A ray: where from, unit vector.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ray {
    pub(crate) from: [f64; 3],
    pub(crate) along: [f64; 3],
}

/// What holds the water.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Vessel {
    pub(crate) wall: Wall,
    /// Height of the water's surface and of the rim above the camera's height.
    pub(crate) surface: f64,
    pub(crate) rim: f64,
    /// The bottom.
    pub(crate) floor: f64,
}

/// Shape of the wall.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Wall {
    /// Two flat panes, half the depth in front of and behind the middle, half the width to the sides.
    Flat { half_depth: f64, half_width: f64 },
    /// Round: radius at the camera's height; upright profile an arc of this radius, positive where the middle is the
    /// narrowest (a waist), infinite for a cylinder.
    Round { radius: f64, profile: f64 },
}

/// A ray on its way.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Path {
    /// In the vessel, if it gets in.
    pub(crate) inside: Option<Ray>,
    /// Behind it; none where it is reflected.
    pub(crate) behind: Option<Ray>,
    /// In water rather than air.
    pub(crate) wet: bool,
    /// Wall, rim or water line that covers a share of what is behind.
    pub(crate) wall: Option<(Colour, f64)>,
}

const WATER: f64 = 1.333;

impl Wall {
    /// Radius at a height.
    fn radius_at(self, z: f64) -> f64 {
        match self {
            Self::Flat { half_width, .. } => half_width,
            Self::Round { radius, profile } if profile.is_finite() => {
                radius + profile - (profile * profile - z * z).max(0.0).sqrt()
            }
            Self::Round { radius, .. } => radius,
        }
    }

    /// Negative inside.
    fn level(self, p: [f64; 3]) -> f64 {
        match self {
            Self::Flat { half_depth, half_width } => (p[1].abs() - half_depth).max(p[0].abs() - half_width),
            Self::Round { .. } => p[0].hypot(p[1]) - self.radius_at(p[2]),
        }
    }

    /// Outward unit normal, by differences.
    fn normal(self, p: [f64; 3]) -> [f64; 3] {
        let e = 1e-5;
        let d = [0, 1, 2].map(|k| {
            let (mut a, mut b) = (p, p);
            (a[k], b[k]) = (p[k] + e, p[k] - e);
            self.level(a) - self.level(b)
        });
        let length = (d[0] * d[0] + d[1] * d[1] + d[2] * d[2]).sqrt();
        d.map(|v| v / length)
    }

    /// First crossing of the wall beyond `from`: by formula where there is one, else by steps and halving.
    fn crossing(self, ray: Ray, from: f64, to: f64, step: f64) -> Option<f64> {
        let ([x, y, _], [dx, dy, _]) = (ray.from, ray.along);
        let first = |roots: &mut dyn Iterator<Item = f64>| {
            roots.filter(|t| *t > from && *t < to).fold(None, |best: Option<f64>, t| Some(best.map_or(t, |b| b.min(t))))
        };
        match self {
            Self::Flat { half_depth, half_width } => {
                let panes =
                    [(half_depth - y) / dy, (-half_depth - y) / dy, (half_width - x) / dx, (-half_width - x) / dx];
                let on_edge = |t: &f64| {
                    let [u, v] = [x + t * dx, y + t * dy];
                    u.abs() < half_width + 1e-6 && v.abs() < half_depth + 1e-6
                };
                first(&mut panes.into_iter().filter(on_edge))
            }
            Self::Round { radius, profile } if profile.is_infinite() => {
                let (a, b, c) = (dx * dx + dy * dy, x * dx + y * dy, x * x + y * y - radius * radius);
                let root = (b * b - a * c).sqrt();
                first(&mut [(-b - root) / a, (-b + root) / a].into_iter().filter(|t| t.is_finite()))
            }
            Self::Round { .. } => self.stepped(ray, from, to, step),
        }
    }

    fn stepped(self, ray: Ray, from: f64, to: f64, step: f64) -> Option<f64> {
        let at = |t: f64| self.level([0, 1, 2].map(|k| ray.from[k] + t * ray.along[k]));
        let mut a = from;
        let inside = at(a) < 0.0;
        while a < to {
            let b = a + step;
            if (at(b) < 0.0) != inside {
                let (mut low, mut high) = (a, b);
                for _ in 0..30 {
                    let middle = 0.5 * (low + high);
                    if (at(middle) < 0.0) == inside { low = middle } else { high = middle }
                }
                return Some(0.5 * (low + high));
            }
            a = b;
        }
        None
    }
}

fn refract(d: [f64; 3], n: [f64; 3], ratio: f64) -> Option<[f64; 3]> {
    let towards = d[0] * n[0] + d[1] * n[1] + d[2] * n[2];
    let n = if towards > 0.0 { n.map(|v| -v) } else { n };
    let cos = towards.abs();
    let under = 1.0 - ratio * ratio * (1.0 - cos * cos);
    (under > 0.0).then(|| {
        let k = ratio * cos - under.sqrt();
        [0, 1, 2].map(|i| ratio * d[i] + k * n[i])
    })
}

impl Vessel {
    pub(crate) fn through(&self, ray: Ray) -> Path {
        let plain = Path { inside: None, behind: Some(ray), wet: false, wall: None };
        let reach = match self.wall {
            Wall::Flat { half_depth, half_width } => half_depth.hypot(half_width),
            Wall::Round { .. } => self.wall.radius_at(self.rim).max(self.wall.radius_at(self.floor)),
        };
        let (near, far) = ((ray.from[1] - 1.1 * reach).max(1.0), ray.from[1] + 1.3 * reach);
        let Some(t) = self.wall.crossing(ray, near, far, 0.02 * reach) else { return plain };
        let hit = [0, 1, 2].map(|k| ray.from[k] + t * ray.along[k]);
        if hit[2] > self.rim || hit[2] < self.floor {
            return plain;
        }
        let wet = hit[2] < self.surface;
        let ratio = if wet { WATER } else { 1.0 };
        let normal = self.wall.normal(hit);
        let Some(along) = refract(ray.along, normal, 1.0 / ratio) else { return plain };
        let inside = Ray { from: hit, along };
        let behind = self.wall.crossing(inside, 0.05, 3.0 * reach, 0.02 * reach).and_then(|t| {
            let out = [0, 1, 2].map(|k| hit[k] + t * along[k]);
            refract(along, self.wall.normal(out), ratio).map(|d| Ray { from: out, along: d })
        });
        Path { inside: Some(inside), behind, wet, wall: self.marks(hit, normal, ray) }
    }

    /// Rim, water line and the glass at a grazing look.
    fn marks(&self, hit: [f64; 3], normal: [f64; 3], ray: Ray) -> Option<(Colour, f64)> {
        let above = hit[2] - self.surface;
        let from_rim = self.rim - hit[2];
        let facing = -(ray.along[0] * normal[0] + ray.along[1] * normal[1] + ray.along[2] * normal[2]);
        if (0.0..1.8).contains(&from_rim) {
            return Some(([0.55, 0.6, 0.6], 0.7));
        }
        // The meniscus draws up 2 mm and shows dark below and light above.
        if (-0.6..0.0).contains(&above) {
            return Some(([0.2, 0.22, 0.22], 0.6));
        }
        if (0.0..2.0).contains(&above) {
            return Some(([0.9, 0.92, 0.92], 0.35));
        }
        (facing < 0.22).then(|| ([0.25, 0.27, 0.27], (1.0 - facing / 0.22).clamp(0.0, 0.9)))
    }
}
