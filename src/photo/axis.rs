//! The fly's axis: a straight line along the middle of its body.

use super::Pixel;
use super::mask::Mask;

/// A straight line through a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Axis {
    pub(super) middle: Pixel,
    /// Unit vector along it.
    pub(super) along: [f64; 2],
    /// From the middle to its two ends on the fly, pixels.
    pub(super) ends: [f64; 2],
    /// Standard error of its direction, rad.
    pub(super) error: f64,
    /// Half of the body's usual thickness, pixels.
    pub(super) half_thickness: f64,
}

impl Axis {
    pub(super) fn point(&self, t: f64) -> Pixel {
        [self.middle[0] + t * self.along[0], self.middle[1] + t * self.along[1]]
    }

    /// Place along and across the axis of a point; across is positive to the right of `along` in the picture's own sense
    /// (y down).
    pub(super) fn coordinates(&self, p: Pixel) -> [f64; 2] {
        let d = [p[0] - self.middle[0], p[1] - self.middle[1]];
        [d[0] * self.along[0] + d[1] * self.along[1], d[1] * self.along[0] - d[0] * self.along[1]]
    }
}

/// Axis of inertia of the marked pixels.
fn inertia(mask: &Mask) -> Option<Axis> {
    let n = mask.points().count() as f64;
    if n < 20.0 {
        return None;
    }
    let sum = mask.points().fold([0.0, 0.0], |s, p| [s[0] + p[0], s[1] + p[1]]);
    let middle = [sum[0] / n, sum[1] / n];
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in mask.points() {
        let d = [p[0] - middle[0], p[1] - middle[1]];
        (xx, xy, yy) = (xx + d[0] * d[0], xy + d[0] * d[1], yy + d[1] * d[1]);
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    let mut axis = Axis { middle, along: [angle.cos(), angle.sin()], ends: [0.0; 2], error: 0.0, half_thickness: 0.0 };
    axis.ends = ends(mask, &axis);
    Some(axis)
}

fn ends(mask: &Mask, axis: &Axis) -> [f64; 2] {
    mask.points().map(|p| axis.coordinates(p)[0]).fold([0.0f64, 0.0], |e, t| [e[0].min(t), e[1].max(t)])
}

/// A slice across the body.
#[derive(Debug, Clone, Copy)]
struct Slice {
    t: f64,
    middle: f64,
    thickness: f64,
}

/// The body at `t`: the longest run of marked pixels near the axis, so that a point leg or a leg of hair beside it does
/// not count.
fn slice(mask: &Mask, axis: &Axis, t: f64, reach: f64) -> Option<Slice> {
    let across = [-axis.along[1], axis.along[0]];
    let at = axis.point(t);
    let marked = |n: f64| mask.has((at[0] + n * across[0]).round() as isize, (at[1] + n * across[1]).round() as isize);
    let step = 0.5;
    let steps = (reach / step) as i32;
    let mut best: Option<(f64, f64)> = None;
    let mut open: Option<f64> = None;
    for i in -steps..=steps + 1 {
        let n = f64::from(i) * step;
        match (i <= steps && marked(n), open) {
            (true, None) => open = Some(n),
            (false, Some(from)) => {
                open = None;
                if best.is_none_or(|(a, b)| n - from > b - a) {
                    best = Some((from, n - step));
                }
            }
            _ => {}
        }
    }
    best.map(|(a, b)| Slice { t, middle: 0.5 * (a + b), thickness: b - a + step })
}

/// Share of the length at either end that the line is not drawn through: the eye, the tips of the tail.
const END_SHARE: f64 = 0.08;

/// A body thinner than this share of its length is bare wire.
const WIRE_SHARE: f64 = 0.07;
/// Width of the band in which a straight wire lies, pixels.
const BAND: f64 = 4.0;

/// The longest straight stretch of the marked pixels: the shank of a bare hook, whatever its bend and point do. By a
/// vote of all pixels for the lines through them, to a degree and half a band.
fn straightest(mask: &Mask, start: &Axis) -> Option<Axis> {
    let reach = start.ends[1].max(-start.ends[0]) + BAND;
    let step = 0.5 * BAND;
    let bins = (2.0 * reach / step) as usize + 2;
    let points: Vec<[f64; 2]> = mask.points().map(|p| start.coordinates(p)).collect();
    let stride = points.len().div_ceil(6000);
    let mut best = (0, 0.0, 0.0);
    for degree in 0..180 {
        let angle = f64::from(degree).to_radians();
        let (sin, cos) = angle.sin_cos();
        let mut votes = vec![0usize; bins];
        for [t, n] in points.iter().step_by(stride) {
            votes[((n * cos - t * sin + reach) / step).clamp(0.0, (bins - 1) as f64) as usize] += 1;
        }
        for (bin, pair) in votes.windows(2).enumerate() {
            if pair[0] + pair[1] > best.0 {
                best = (pair[0] + pair[1], angle, (bin as f64 + 1.0) * step - reach);
            }
        }
    }
    let (_, angle, offset) = best;
    let (sin, cos) = angle.sin_cos();
    let across = [-start.along[1], start.along[0]];
    let along = [0, 1].map(|k| cos * start.along[k] + sin * across[k]);
    let middle = [0, 1].map(|k| start.middle[k] + offset * (-sin * start.along[k] + cos * across[k]));
    let line = Axis { middle, along, ..*start };
    let on_line: Vec<f64> =
        mask.points().map(|p| line.coordinates(p)).filter(|[_, n]| n.abs() < BAND).map(|[t, _]| t).collect();
    let ends = on_line.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |e, t| [e[0].min(*t), e[1].max(*t)]);
    (ends[1] > ends[0]).then_some(Axis { ends, ..line })
}

/// The line along the middle of a bare wire.
fn wire(mask: &Mask, start: &Axis) -> Option<Axis> {
    let mut axis = straightest(mask, start)?;
    for _ in 0..4 {
        let length = axis.ends[1] - axis.ends[0];
        let (from, to) = (axis.ends[0] + END_SHARE * length, axis.ends[1] - 2.0 * END_SHARE * length);
        let count = ((to - from).max(0.0) as usize).clamp(8, 400);
        let at = |i: usize| from + (to - from) * (i as f64 + 0.5) / count as f64;
        let slices: Vec<Slice> = (0..count).filter_map(|i| slice(mask, &axis, at(i), 3.0 * BAND)).collect();
        axis = through(&slices, &axis)?;
    }
    Some(axis)
}

/// The line along the middle of the body, by repeated slicing and a fit that leaves out slices that stand off. With the
/// eye, only the share of the length that begins there, when the rough line is found.
pub(super) fn find(mask: &Mask, eye: Option<Pixel>, share: f64) -> Option<Axis> {
    let start = inertia(mask)?;
    let mut axis = start;
    for round in 0..9 {
        let length = axis.ends[1] - axis.ends[0];
        let reach = 0.5 * length;
        let used = if round < 3 { 1.0 - END_SHARE } else { share };
        let (from, to) = match eye.map(|eye| axis.coordinates(eye)[0]) {
            Some(t) if t < 0.5 * (axis.ends[0] + axis.ends[1]) => {
                (axis.ends[0] + END_SHARE * length, axis.ends[0] + used * length)
            }
            Some(_) => (axis.ends[1] - used * length, axis.ends[1] - END_SHARE * length),
            None => (axis.ends[0] + END_SHARE * length, axis.ends[1] - END_SHARE * length),
        };
        let count = ((to - from).max(0.0) as usize).clamp(8, 400);
        let slices: Vec<Slice> = (0..count)
            .filter_map(|i| slice(mask, &axis, from + (to - from) * (i as f64 + 0.5) / count as f64, reach))
            .collect();
        let next = through(&slices, &axis)?;
        let turned = next.turn_from(&axis);
        axis = Axis { ends: ends(mask, &next), ..next };
        if turned < 1e-5 && round > 3 {
            break;
        }
    }
    if 2.0 * axis.half_thickness < WIRE_SHARE * (axis.ends[1] - axis.ends[0]) {
        return wire(mask, &start);
    }
    Some(axis)
}

impl Axis {
    /// Angle between this line and another, rad, 0 to a right angle.
    pub(super) fn turn_from(&self, other: &Self) -> f64 {
        let cross = self.along[0] * other.along[1] - self.along[1] * other.along[0];
        cross.abs().min(1.0).asin()
    }
}

/// Huber's weight: full within so many standard deviations, then falling.
const HUBER: f64 = 1.5;

fn through(slices: &[Slice], axis: &Axis) -> Option<Axis> {
    if slices.len() < 8 {
        return None;
    }
    let mut thickness: Vec<f64> = slices.iter().map(|s| s.thickness).collect();
    thickness.sort_by(f64::total_cmp);
    let usual = thickness[thickness.len() / 2];
    let mut weights = vec![1.0; slices.len()];
    let (mut offset, mut slope, mut error) = (0.0, 0.0, 0.0);
    for _ in 0..12 {
        let total: f64 = weights.iter().sum();
        let mean = |f: &dyn Fn(&Slice) -> f64| slices.iter().zip(&weights).map(|(s, w)| w * f(s)).sum::<f64>() / total;
        let (mt, mm) = (mean(&|s| s.t), mean(&|s| s.middle));
        let spread = mean(&|s| (s.t - mt).powi(2)) * total;
        slope = mean(&|s| (s.t - mt) * (s.middle - mm)) * total / spread;
        offset = mm - slope * mt;
        let off: Vec<f64> = slices.iter().map(|s| s.middle - offset - slope * s.t).collect();
        let mut sizes: Vec<f64> = off.iter().map(|o| o.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        let scale = (1.4826 * sizes[sizes.len() / 2]).max(0.2);
        // Neighbouring slices share their raggedness over about a thickness, so they count as one.
        let step = (slices[slices.len() - 1].t - slices[0].t) / slices.len() as f64;
        let alike = (usual / step.max(0.1)).max(1.0);
        error = scale * (alike / spread).sqrt();
        for (weight, o) in weights.iter_mut().zip(&off) {
            let r = o.abs() / scale;
            *weight = if r <= HUBER { 1.0 } else { (HUBER / r).powi(2) };
        }
    }
    let across = [-axis.along[1], axis.along[0]];
    let tilted = [axis.along[0] + slope * across[0], axis.along[1] + slope * across[1]];
    let length = tilted[0].hypot(tilted[1]);
    Some(Axis {
        middle: [axis.middle[0] + offset * across[0], axis.middle[1] + offset * across[1]],
        along: [tilted[0] / length, tilted[1] / length],
        ends: axis.ends,
        error,
        half_thickness: 0.5 * usual,
    })
}
