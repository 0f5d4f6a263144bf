//! What stands behind, before and around the fly.

use super::dice::Dice;
use super::vessel::Ray;

/// Red, green, blue, 0 to 1.
pub(crate) type Colour = [f64; 3];

pub(crate) fn mix(a: Colour, b: Colour, share: f64) -> Colour {
    [0, 1, 2].map(|k| a[k] + (b[k] - a[k]) * share.clamp(0.0, 1.0))
}

/// What a wall is painted with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Pattern {
    Plain,
    /// Squares of this side, so much darker.
    Checks(f64, f64),
    /// Upright stripes.
    Stripes(f64, f64),
    /// Thin ruled lines each so many mm both ways, as on squared paper.
    Ruled(f64, f64),
    /// Grain that runs across.
    Wood(f64),
    /// Blots of this size.
    Blots(f64, f64),
}

/// Surroundings.
#[derive(Debug, Clone)]
pub(crate) struct Scenery {
    pub(crate) wall: Colour,
    pub(crate) pattern: Pattern,
    /// How far the wall is behind the vessel's axis.
    pub(crate) wall_distance: f64,
    /// Light falls off by this share from one side to the other.
    pub(crate) fade: f64,
    /// A window behind: right and up of its middle, and over how many mm its edges fade; a sharp one has bars.
    pub(crate) window: Option<([f64; 2], f64)>,
    /// Height of the table's rear edge; a brown top below it.
    pub(crate) table: Option<f64>,
    /// Fingers from above that hold the line so high above the camera's height, or from the side.
    pub(crate) hand: Option<Hand>,
    /// Streaks of light on the vessel: tangent of the angle right of the middle, strength.
    pub(crate) glare: Option<(f64, f64)>,
    /// Bubbles: right, up, radius.
    pub(crate) bubbles: Vec<[f64; 3]>,
}

/// A hand in the picture.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Hand {
    /// Holds the line from above: tangents right and up of the finger tips.
    Above([f64; 2]),
    /// Holds the vessel at the side: tangent right of the finger tips, height.
    Side([f64; 2]),
}

const SKIN: Colour = [0.78, 0.58, 0.47];

impl Scenery {
    pub(crate) fn plain(wall: Colour) -> Self {
        Self {
            wall,
            pattern: Pattern::Plain,
            wall_distance: 250.0,
            fade: 0.15,
            window: None,
            table: None,
            hand: None,
            glare: None,
            bubbles: Vec::new(),
        }
    }

    pub(crate) fn behind(&self, ray: Ray) -> Colour {
        let t = (-self.wall_distance - ray.from[1]) / ray.along[1];
        if !(t.is_finite() && t > 0.0) {
            return [0.3; 3];
        }
        let at = [ray.from[0] + t * ray.along[0], ray.from[2] + t * ray.along[2]];
        if self.table.is_some_and(|edge| at[1] < edge) {
            let grain = 0.05 * (at[0] * 0.05 + (at[1] * 0.4).sin()).sin();
            return [0.45 + grain, 0.32 + grain, 0.22 + grain];
        }
        // A wall of half a metre, and a dark room beyond.
        let mut light = 1.0 - self.fade * (0.5 + at[0] / 500.0).clamp(0.0, 1.0);
        if at[0].abs() > 600.0 || at[1].abs() > 600.0 {
            light *= 0.4;
        }
        let mut colour = self.wall.map(|c| c * light * self.paint(at));
        if let Some(([x, z], soft)) = self.window {
            let [dx, dz] = [at[0] - x, at[1] - z].map(f64::abs);
            let within = (60.0 - dx).min(80.0 - dz);
            let light = if soft > 0.0 {
                (0.5 + within / soft).clamp(0.0, 1.0)
            } else {
                f64::from(u8::from(within > 0.0 && dx > 4.0 && dz > 4.0))
            };
            colour = mix(colour, [1.0; 3], 0.75 * light);
        }
        colour
    }

    fn paint(&self, [x, z]: [f64; 2]) -> f64 {
        let odd = |v: f64, side: f64| (v / side).floor().rem_euclid(2.0) > 0.5;
        match self.pattern {
            Pattern::Plain => 1.0,
            Pattern::Checks(side, dark) => 1.0 - if odd(x, side) != odd(z, side) { dark } else { 0.0 },
            Pattern::Stripes(side, dark) => 1.0 - if odd(x, side) { dark } else { 0.0 },
            Pattern::Ruled(side, dark) => {
                let line = |v: f64| (v / side - (v / side).round()).abs() * side < 0.25;
                1.0 - if line(x) || line(z) { dark } else { 0.0 }
            }
            Pattern::Wood(dark) => 1.0 - dark * (0.5 + 0.5 * (z * 0.25 + 1.5 * (x * 0.013).sin()).sin()),
            Pattern::Blots(size, dark) => {
                let wave = (x / size).sin() * (z / size * 1.3 + 1.0).sin() + (0.7 * x / size + z / size).cos() * 0.5;
                1.0 - dark * (0.5 + 0.33 * wave).clamp(0.0, 1.0)
            }
        }
    }

    /// What is before the vessel: glare, fingers.
    pub(crate) fn before(&self, ray: Ray, colour: Colour) -> Colour {
        let [right, up] = [-ray.along[0] / ray.along[1], -ray.along[2] / ray.along[1]];
        let mut colour = colour;
        if let Some((at, strength)) = self.glare {
            let streak = strength * (-((right - at) / 0.004).powi(2)).exp();
            colour = mix(colour, [1.0; 3], streak);
        }
        let finger = |d: f64, edge: f64| if d < edge { Some((d / edge).powi(2)) } else { None };
        let shade = match self.hand {
            Some(Hand::Above([x, z])) if up > z - 0.01 => {
                let thick = 0.022 + 0.25 * (up - z).max(0.0);
                let tip = if up < z { 1.0 - ((z - up) / 0.01).powi(2) } else { 1.0 };
                finger((right - x).abs(), thick * tip.max(0.0).sqrt())
            }
            Some(Hand::Side([x, z])) => {
                let beyond = (right - x) * x.signum();
                let knuckle = (up - z).abs();
                let end = 0.012 * (1.0 - ((knuckle * 80.0).sin()).abs());
                (beyond > end && knuckle < 0.09).then(|| 0.3 + 0.5 * (knuckle * 80.0).sin().powi(4))
            }
            _ => None,
        };
        shade.map_or(colour, |s| SKIN.map(|c| c * (1.0 - 0.45 * s)))
    }

    pub(crate) fn bubbles(&self, colour: Colour, p: [f64; 2], footprint: f64) -> Colour {
        let mut colour = colour;
        for [x, z, r] in &self.bubbles {
            let d = (p[0] - x).hypot(p[1] - z);
            if d > r + footprint {
                continue;
            }
            let edge = 1.0 - (d / r).min(1.0);
            let cover = ((r - d) / footprint + 0.5).clamp(0.0, 1.0);
            let shade = if edge < 0.3 { [0.25; 3] } else { [0.92; 3] };
            colour = mix(colour, shade, cover * if edge < 0.3 { 0.7 } else { 0.55 });
        }
        colour
    }

    pub(crate) fn scatter_bubbles(&mut self, dice: &mut Dice, middle: [f64; 2], count: usize) {
        for _ in 0..count {
            let at = [middle[0] + dice.between(-22.0, 22.0), middle[1] + dice.between(-16.0, 22.0)];
            self.bubbles.push([at[0], at[1], dice.between(0.2, 0.9)]);
        }
    }
}

/// A card of dark and light squares with a white margin of one square, in the place of the fly.
pub(crate) fn card(behind: Colour, p: [f64; 2], across: usize, down: usize, side: f64) -> Colour {
    let (u, v) = (p[0] / side + 0.5 * across as f64, p[1] / side + 0.5 * down as f64);
    let within = |t: f64, n: usize, more: f64| t > -more && t < n as f64 + more;
    if within(u, across, 0.0) && within(v, down, 0.0) {
        let dark = (u.floor() as i64 + v.floor() as i64).rem_euclid(2) == 0;
        return if dark { [0.08; 3] } else { [0.93; 3] };
    }
    if within(u, across, 1.0) && within(v, down, 1.0) { [0.93; 3] } else { behind }
}
