//! The tippet: a thin dark line, nearly upright, that ends at the fly's eye.

use super::Pixel;
use super::find::{Darkness, Mask};

/// A straight line x = x0 + slope (y - y0) that was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tippet {
    pub(super) x0: f64,
    pub(super) y0: f64,
    /// Tangent of its tilt: positive leans to the right on the way down.
    pub(super) slope: f64,
    /// Standard error of the slope.
    pub(super) slope_error: f64,
    /// Topmost row in which it was followed.
    pub(super) top: f64,
}

impl Tippet {
    pub(super) fn x_at(&self, y: f64) -> f64 {
        self.x0 + self.slope * (y - self.y0)
    }
}

/// Steepest lean, tangent of 20 degrees.
const MOST_LEAN: f64 = 0.364;
/// Rows looked at.
const ROWS: usize = 80;
/// Distance at which the background beside the line is taken, pixels.
const BESIDE: f64 = 5.0;
/// Least height of the line above the fly, pixels.
const LEAST_ROWS: usize = 24;
/// Standard deviations that the line stands out of the noise.
const CLEARLY: f64 = 8.0;

/// How much darker a point is than what is left and right of it.
fn ridge(darkness: &Darkness, x: f64, y: f64) -> f64 {
    let map = &darkness.map;
    f64::from(map.between(x, y)) - 0.5 * f64::from(map.between(x - BESIDE, y) + map.between(x + BESIDE, y))
}

/// Looks for the tippet above the fly.
pub(super) fn find(darkness: &Darkness, fly: &Mask) -> Option<Tippet> {
    let [left, top, right, _] = fly.bounds()?;
    if top < LEAST_ROWS {
        return None;
    }
    // Not more than three fly lengths: farther up there may be a float or a rod.
    let reach = (3 * (right - left).max(40)).min(top - 2);
    let (first, last) = ((top - 2 - reach) as f64, (top - 2) as f64);
    let rows = ROWS.min(reach);
    let row = |i: usize| first + (last - first) * i as f64 / (rows - 1).max(1) as f64;
    // Every ridge that the search can ask for, once.
    let (from, to) = (left as f64 - 10.0 - MOST_LEAN * reach as f64, right as f64 + 10.0 + MOST_LEAN * reach as f64);
    let columns = (to - from) as usize + 1;
    let ridges: Vec<f64> =
        (0..rows * columns).map(|i| ridge(darkness, from + (i % columns) as f64, row(i / columns).round())).collect();
    let score = |x: f64, slope: f64| {
        let column = |i: usize| ((x + slope * (row(i) - last) - from).round().max(0.0) as usize).min(columns - 1);
        (0..rows).map(|i| ridges[i * columns + column(i)]).sum::<f64>() / rows as f64
    };
    let steps = (0.7 * (last - first) * MOST_LEAN).ceil().max(1.0) as i32;
    let mut best = (0.0, 0.0, 0.0);
    for x in left.saturating_sub(8)..=(right + 8).min(darkness.map.width() - 1) {
        for step in -steps..=steps {
            let slope = MOST_LEAN * f64::from(step) / f64::from(steps);
            let found = score(x as f64, slope);
            if found > best.0 {
                best = (found, x as f64, slope);
            }
        }
    }
    let (found, x0, slope) = best;
    let clear = CLEARLY * f64::from(darkness.noise) * 1.5f64.sqrt() / (rows as f64).sqrt();
    if found < clear {
        return None;
    }
    refined(darkness, Tippet { x0, y0: last, slope, slope_error: 0.0, top: first })
}

/// Middle of the line in every row, and a straight line through the middles with far ones left out.
fn refined(darkness: &Darkness, rough: Tippet) -> Option<Tippet> {
    let mut line = rough;
    for reach in [4, 3, 3] {
        let mut middles: Vec<Pixel> = Vec::new();
        let mut y = rough.top;
        while y <= rough.y0 {
            let x = line.x_at(y);
            let (mut weight, mut moment) = (0.0, 0.0);
            for d in -reach..=reach {
                let dark = ridge(darkness, x.round() + f64::from(d), y).max(0.0);
                weight += dark;
                moment += dark * (x.round() + f64::from(d));
            }
            if weight > 2.0 * f64::from(darkness.noise) {
                middles.push([moment / weight, y]);
            }
            y += 1.0;
        }
        line = straight(&middles, &line)?;
    }
    Some(line)
}

fn straight(middles: &[Pixel], old: &Tippet) -> Option<Tippet> {
    let mut kept: Vec<Pixel> = middles.to_vec();
    let mut line = *old;
    for _ in 0..4 {
        if kept.len() < LEAST_ROWS / 2 {
            return None;
        }
        let n = kept.len() as f64;
        let mean = |f: &dyn Fn(&Pixel) -> f64| kept.iter().map(f).sum::<f64>() / n;
        let (mx, my) = (mean(&|p| p[0]), mean(&|p| p[1]));
        let spread = kept.iter().map(|p| (p[1] - my).powi(2)).sum::<f64>();
        let slope = kept.iter().map(|p| (p[0] - mx) * (p[1] - my)).sum::<f64>() / spread;
        let off = |p: &Pixel| p[0] - mx - slope * (p[1] - my);
        let scatter = (kept.iter().map(|p| off(p).powi(2)).sum::<f64>() / (n - 2.0)).sqrt();
        line = Tippet { x0: mx, y0: my, slope, slope_error: scatter / spread.sqrt(), top: old.top };
        let limit = (2.5 * scatter).max(0.3);
        kept = middles.iter().copied().filter(|p| off(p).abs() <= limit).collect();
    }
    Some(line)
}

/// Where the line first runs into the fly: its eye, or what covers it.
pub(super) fn eye(tippet: &Tippet, fly: &Mask) -> Option<Pixel> {
    let [_, top, _, bottom] = fly.bounds()?;
    let hit = |y: &usize| {
        let x = tippet.x_at(*y as f64).round() as isize;
        (-2..=2).any(|d| fly.has(x + d, *y as isize))
    };
    let y = (top.saturating_sub(2)..=bottom).find(hit)? as f64;
    Some([tippet.x_at(y), y])
}
