//! A fly in one plane: wire, eye ring, bead, wraps, foam, body, legs, wing, tail, as shapes with colours.
//!
//! Hook frame, mm: origin at the tie point, a aft along the shank, b towards the point side.

use super::dice::Dice;
use super::scenery::{Colour, mix};

/// A hook.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wire {
    pub(crate) shank: f64,
    pub(crate) gap: f64,
    pub(crate) thick: f64,
    pub(crate) ring: f64,
    /// Neck length and angle of a jig hook; 0 for a straight one, whose ring touches the shank.
    pub(crate) neck: (f64, f64),
    pub(crate) point: f64,
}

impl Wire {
    pub(crate) fn corner(&self) -> [f64; 2] {
        let (length, angle) = self.neck;
        if length > 0.0 {
            let (sin, cos) = angle.to_radians().sin_cos();
            [length * cos, -length * sin]
        } else {
            [self.ring, 0.0]
        }
    }
}

/// A lock of hair: from where, which way (tangent towards b), how long, how wide at the end.
#[derive(Debug, Clone)]
pub(crate) struct Lock {
    pub(crate) colour: Colour,
    pub(crate) dark: f64,
    pub(crate) hairs: Vec<Vec<[f64; 2]>>,
    /// Box around the hairs.
    bounds: [[f64; 2]; 2],
    pub(crate) thick: f64,
}

/// A round or square thing.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Block {
    pub(crate) from: [f64; 2],
    pub(crate) to: [f64; 2],
    pub(crate) colour: Colour,
}

/// What is tied on.
#[derive(Debug, Clone)]
pub(crate) struct ModelFly {
    pub(crate) wire: Wire,
    /// Middle, diameter, colour.
    pub(crate) bead: Option<([f64; 2], f64, Colour)>,
    pub(crate) wraps: Option<Block>,
    pub(crate) foam: Option<Block>,
    /// Pin from, to.
    pub(crate) pin: Option<([f64; 2], [f64; 2], f64)>,
    /// Half thickness along the body, from so far aft in even steps, and its colour.
    pub(crate) body: Option<(f64, f64, Vec<[f64; 2]>, Colour)>,
    pub(crate) locks: Vec<Lock>,
}

pub(crate) fn cover(distance: f64, footprint: f64) -> f64 {
    (0.5 - distance / footprint.max(1e-9)).clamp(0.0, 1.0)
}

fn to_segment(p: [f64; 2], a: [f64; 2], b: [f64; 2]) -> f64 {
    let (d, e) = ([p[0] - a[0], p[1] - a[1]], [b[0] - a[0], b[1] - a[1]]);
    let t = ((d[0] * e[0] + d[1] * e[1]) / (e[0] * e[0] + e[1] * e[1]).max(1e-12)).clamp(0.0, 1.0);
    (d[0] - t * e[0]).hypot(d[1] - t * e[1])
}

impl ModelFly {
    pub(crate) fn bare(wire: Wire) -> Self {
        Self { wire, bead: None, wraps: None, foam: None, pin: None, body: None, locks: Vec::new() }
    }

    /// Middle of the shank.
    pub(crate) fn middle(&self) -> [f64; 2] {
        let corner = self.wire.corner();
        [corner[0] + 0.5 * self.wire.shank, corner[1]]
    }

    pub(crate) fn with_body(mut self, dice: &mut Dice, from: f64, to: f64, diameter: f64, colour: Colour) -> Self {
        let steps = 2 * (to - from).ceil().max(2.0) as usize;
        let half = (0..=steps)
            .map(|i| {
                let share = i as f64 / steps as f64;
                let taper = 0.8 + 0.4 * (std::f64::consts::PI * share).sin();
                [0, 1].map(|_| (0.5 * diameter * taper + dice.between(-0.35, 0.35)).max(0.15))
            })
            .collect();
        self.body = Some((from, to, half, colour));
        self
    }

    /// Hair bound at `from`, `length` long, leaning by the angle (degrees towards b) with some scatter, bending down by
    /// `droop` degrees at its end as `down` (hook frame) says.
    #[allow(clippy::too_many_arguments)]
    pub(crate) fn with_lock(
        mut self,
        dice: &mut Dice,
        from: [f64; 2],
        length: f64,
        lean: f64,
        scatter: f64,
        droop: ([f64; 2], f64),
        (colour, dark): (Colour, f64),
        count: usize,
    ) -> Self {
        let hairs: Vec<Vec<[f64; 2]>> = (0..count)
            .map(|_| {
                let mut at = [from[0], from[1] + dice.between(-0.4, 0.4)];
                let mut angle = (lean + scatter * dice.normal()).to_radians();
                let own = length * dice.between(0.7, 1.05);
                let curl = dice.between(-0.4, 0.4) * scatter.to_radians();
                let mut line = vec![at];
                for k in 0..6 {
                    let mut way = [angle.cos(), angle.sin()];
                    let pull = droop.1.to_radians().tan() * f64::from(k) / 3.0;
                    way = [way[0] + pull * droop.0[0], way[1] + pull * droop.0[1]];
                    let size = way[0].hypot(way[1]);
                    at = [at[0] + own / 6.0 * way[0] / size, at[1] + own / 6.0 * way[1] / size];
                    line.push(at);
                    angle += curl / 6.0;
                }
                line
            })
            .collect();
        let mut bounds = [from, from];
        for p in hairs.iter().flatten() {
            bounds = [[0, 1].map(|k| bounds[0][k].min(p[k])), [0, 1].map(|k| bounds[1][k].max(p[k]))];
        }
        self.locks.push(Lock { colour, dark, hairs, bounds, thick: dice.between(0.12, 0.3) });
        self
    }

    /// The fly over what is behind it. `up` is the direction of the light in the hook frame.
    pub(crate) fn over(&self, behind: Colour, p: [f64; 2], foot: f64, up: [f64; 2]) -> Colour {
        let mut colour = behind;
        for lock in &self.locks {
            colour = lock.over(colour, p, foot);
        }
        let w = &self.wire;
        let corner = w.corner();
        let steel = [0.2, 0.2, 0.22];
        // Foam lies behind the body's hair where it is bound, so it comes first.
        if let Some(foam) = self.foam {
            colour = foam.over(colour, p, foot, up);
        }
        if let Some((from, to, half, paint)) = &self.body {
            if (*from..*to).contains(&p[0]) {
                let place = (p[0] - from) / (to - from) * (half.len() - 1) as f64;
                let (i, share) = (place.floor() as usize, place.fract());
                let side = usize::from(p[1] > corner[1]);
                let edge = half[i][side] * (1.0 - share) + half[(i + 1).min(half.len() - 1)][side] * share;
                let off = p[1] - corner[1];
                let lit = 0.8 + 0.25 * (off * up[1] / edge.max(0.1)).clamp(-1.0, 1.0);
                colour = mix(colour, paint.map(|c| c * lit), 0.93 * cover(off.abs() - edge, foot));
            }
        }
        if let Some(wraps) = self.wraps {
            colour = wraps.over(colour, p, foot, up);
        }
        colour = mix(colour, steel, cover(self.wire_distance(p) - 0.5 * w.thick, foot));
        let ring = (p[0].hypot(p[1]) - (w.ring - 0.5 * w.thick)).abs() - 0.5 * w.thick;
        colour = mix(colour, steel, cover(ring, foot));
        if let Some((a, b, thick)) = self.pin {
            colour = mix(colour, [0.5, 0.5, 0.52], cover(to_segment(p, a, b) - 0.5 * thick, foot));
        }
        if let Some((middle, diameter, paint)) = self.bead {
            let d = [p[0] - middle[0], p[1] - middle[1]];
            let lit = (d[0] * up[0] + d[1] * up[1]) / (0.5 * diameter);
            let near = (d[0] - 0.2 * diameter * up[0]).hypot(d[1] - 0.2 * diameter * up[1]) / diameter;
            let shine = 0.6 * (-(near / 0.12).powi(2)).exp();
            let shade = mix(paint.map(|c| c * (0.85 + 0.25 * lit.clamp(-1.0, 1.0))), [1.0; 3], shine);
            colour = mix(colour, shade, cover(d[0].hypot(d[1]) - 0.5 * diameter, foot));
        }
        colour
    }

    fn wire_distance(&self, p: [f64; 2]) -> f64 {
        let w = &self.wire;
        let corner = w.corner();
        let bend = [corner[0] + w.shank, corner[1]];
        let centre = [bend[0], bend[1] + 0.5 * w.gap];
        let (length, angle) = w.neck;
        let mut nearest = to_segment(p, corner, bend);
        if length > 0.0 {
            let (sin, cos) = angle.to_radians().sin_cos();
            nearest = nearest.min(to_segment(p, [w.ring * cos, -w.ring * sin], corner));
        }
        if p[0] > bend[0] {
            nearest = nearest.min(((p[0] - centre[0]).hypot(p[1] - centre[1]) - 0.5 * w.gap).abs());
        }
        let leg = [bend[0], bend[1] + w.gap];
        nearest.min(to_segment(p, leg, [leg[0] - w.point, leg[1]]))
    }
}

impl Lock {
    fn over(&self, behind: Colour, p: [f64; 2], foot: f64) -> Colour {
        let beyond = |k: usize| p[k] < self.bounds[0][k] - 1.0 || p[k] > self.bounds[1][k] + 1.0;
        if beyond(0) || beyond(1) {
            return behind;
        }
        let mut clear = 1.0;
        for hair in &self.hairs {
            let first = hair[0];
            let last = hair[hair.len() - 1];
            let reach = (last[0] - first[0]).hypot(last[1] - first[1]) + 2.0;
            if (p[0] - first[0]).hypot(p[1] - first[1]) > 1.3 * reach {
                continue;
            }
            let nearest = hair.windows(2).map(|s| to_segment(p, s[0], s[1])).fold(f64::INFINITY, f64::min);
            clear *= 1.0 - self.dark * cover(nearest - 0.5 * self.thick, foot.max(0.5 * self.thick));
        }
        mix(behind, self.colour, 1.0 - clear)
    }
}

impl Block {
    fn over(&self, behind: Colour, p: [f64; 2], foot: f64, up: [f64; 2]) -> Colour {
        let out = |k: usize| (self.from[k] - p[k]).max(p[k] - self.to[k]);
        let distance = out(0).max(out(1));
        let middle = [0, 1].map(|k| 0.5 * (self.from[k] + self.to[k]));
        let lit = 0.9 + 0.1 * ((p[1] - middle[1]) * up[1] / (self.to[1] - middle[1]).abs().max(0.1)).clamp(-1.0, 1.0);
        mix(behind, self.colour.map(|c| (c * lit).min(1.0)), 0.97 * cover(distance, foot))
    }
}
