//! Finding the fly: what is clearly darker than a light background that may fade from side to side.

use super::picture::Picture;

/// How dark each pixel is against the background, 0 as light as it, 1 black.
pub(super) struct Darkness {
    pub(super) map: Picture,
    /// Noise of the background, standard deviation.
    pub(super) noise: f32,
}

/// Brightness of the background as a polynomial of second degree, fitted with a pull towards the light side: dark things
/// are not background. Ten rounds of reweighting.
fn background(picture: &Picture) -> impl Fn(usize, usize) -> f32 + use<> {
    const STEPS: usize = 64;
    let (w, h) = (picture.width() as f64, picture.height() as f64);
    let unit = move |x: f64, y: f64| [2.0 * x / w - 1.0, 2.0 * y / h - 1.0];
    let terms = |[u, v]: [f64; 2]| [1.0, u, v, u * u, u * v, v * v];
    let mut samples = Vec::with_capacity(STEPS * STEPS);
    for i in 0..STEPS * STEPS {
        let x = (i % STEPS) * (picture.width() - 1) / (STEPS - 1);
        let y = (i / STEPS) * (picture.height() - 1) / (STEPS - 1);
        samples.push((terms(unit(x as f64, y as f64)), f64::from(picture.at(x as isize, y as isize))));
    }
    let mut weights = vec![1.0; samples.len()];
    let mut fit = [0.0; 6];
    for _ in 0..10 {
        fit = weighted_fit(&samples, &weights).unwrap_or(fit);
        let value = |t: &[f64; 6]| t.iter().zip(&fit).map(|(a, b)| a * b).sum::<f64>();
        let mut off: Vec<f64> = samples.iter().map(|(t, b)| (b - value(t)).abs()).collect();
        off.sort_by(f64::total_cmp);
        let spread = (1.5 * off[off.len() / 2]).max(1e-3);
        for (weight, (t, b)) in weights.iter_mut().zip(&samples) {
            let r = (b - value(t)) / spread;
            // Dark samples are dropped sooner than light ones (glare).
            *weight = if (-2.0..=4.0).contains(&r) { 1.0 } else { 0.0 };
        }
    }
    move |x, y| {
        let t = terms(unit(x as f64, y as f64));
        t.iter().zip(&fit).map(|(a, b)| a * b).sum::<f64>() as f32
    }
}

fn weighted_fit(samples: &[([f64; 6], f64)], weights: &[f64]) -> Option<[f64; 6]> {
    let mut normal = nalgebra::SMatrix::<f64, 6, 6>::zeros();
    let mut right = nalgebra::SVector::<f64, 6>::zeros();
    for ((t, b), w) in samples.iter().zip(weights) {
        let t = nalgebra::SVector::<f64, 6>::from_column_slice(t);
        normal += *w * t * t.transpose();
        right += *w * *b * t;
    }
    let solved = normal.cholesky()?.solve(&right);
    Some(std::array::from_fn(|i| solved[i]))
}

pub(super) fn darkness(picture: &Picture) -> Darkness {
    let background = background(picture);
    let map = Picture::from_fn(picture.width(), picture.height(), |x, y| {
        1.0 - picture.at(x as isize, y as isize) / background(x, y).max(0.02)
    });
    let mut sizes: Vec<f32> = map.pixels().iter().step_by(7).map(|d| d.abs()).collect();
    sizes.sort_by(f32::total_cmp);
    // Half of a normal distribution lies within 0.6745 standard deviations; most of the picture is background.
    let noise = (sizes[sizes.len() / 2] / 0.6745).max(1.0 / 512.0);
    Darkness { map, noise }
}

/// Marked pixels.
#[derive(Debug, Clone)]
pub(super) struct Mask {
    pub(super) width: usize,
    pub(super) height: usize,
    bits: Vec<bool>,
}

impl Mask {
    fn from_fn(width: usize, height: usize, marked: impl Fn(isize, isize) -> bool) -> Self {
        let bits = (0..width * height).map(|i| marked((i % width) as isize, (i / width) as isize)).collect();
        Self { width, height, bits }
    }

    /// Whether a pixel is marked; none is beyond the edge.
    pub(super) fn has(&self, x: isize, y: isize) -> bool {
        let inside = x >= 0 && y >= 0 && (x as usize) < self.width && (y as usize) < self.height;
        inside && self.bits[y as usize * self.width + x as usize]
    }

    pub(super) fn clear(&mut self, x: isize, y: isize) {
        if self.has(x, y) {
            self.bits[y as usize * self.width + x as usize] = false;
        }
    }

    /// Marked pixels as x, y.
    pub(super) fn points(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        let width = self.width;
        self.bits.iter().enumerate().filter(|(_, on)| **on).map(move |(i, _)| [(i % width) as f64, (i / width) as f64])
    }

    /// Only pixels all of whose neighbours within `reach` are marked.
    fn worn(&self, reach: isize) -> Self {
        self.squared(reach, |row, n| row == n)
    }

    /// Also pixels that have a marked neighbour within `reach`.
    fn grown(&self, reach: isize) -> Self {
        self.squared(reach, |row, _| row > 0)
    }

    /// A square neighbourhood, by rows and then by columns.
    fn squared(&self, reach: isize, keeps: impl Fn(isize, isize) -> bool) -> Self {
        self.lined(reach, &keeps).turned().lined(reach, &keeps).turned()
    }

    /// A neighbourhood of `reach` to the left and right, by a running count.
    fn lined(&self, reach: isize, keeps: &impl Fn(isize, isize) -> bool) -> Self {
        let reach = reach as usize;
        let mut bits = Vec::with_capacity(self.bits.len());
        for row in self.bits.chunks(self.width) {
            let mut count = row.iter().take(reach).filter(|on| **on).count();
            for x in 0..row.len() {
                count += usize::from(row.get(x + reach).copied().unwrap_or(false));
                bits.push(keeps(count as isize, 2 * reach as isize + 1));
                count -= usize::from(x >= reach && row[x - reach]);
            }
        }
        Self { width: self.width, height: self.height, bits }
    }

    /// Rows for columns.
    fn turned(&self) -> Self {
        let mut bits = vec![false; self.bits.len()];
        for (i, on) in self.bits.iter().enumerate() {
            bits[i % self.width * self.height + i / self.width] = *on;
        }
        Self { width: self.height, height: self.width, bits }
    }

    /// Without what is thinner than 2 `reach` + 1 pixels.
    fn opened(&self, reach: isize) -> Self {
        self.worn(reach).grown(reach)
    }

    /// With gaps thinner than 2 `reach` + 1 pixels filled.
    fn closed(&self, reach: isize) -> Self {
        self.grown(reach).worn(reach)
    }

    /// Connected pieces (eight neighbours), each a list of indices.
    fn pieces(&self) -> Vec<Vec<usize>> {
        let mut seen = vec![false; self.bits.len()];
        let mut pieces = Vec::new();
        for start in 0..self.bits.len() {
            if seen[start] || !self.bits[start] {
                continue;
            }
            seen[start] = true;
            let mut piece = vec![start];
            let mut next = 0;
            while next < piece.len() {
                let (x, y) = ((piece[next] % self.width) as isize, (piece[next] / self.width) as isize);
                next += 1;
                for (dx, dy) in [(-1, -1), (0, -1), (1, -1), (-1, 0), (1, 0), (-1, 1), (0, 1), (1, 1)] {
                    if self.has(x + dx, y + dy) {
                        let at = (y + dy) as usize * self.width + (x + dx) as usize;
                        if !seen[at] {
                            seen[at] = true;
                            piece.push(at);
                        }
                    }
                }
            }
            pieces.push(piece);
        }
        pieces
    }

    fn only(&self, piece: &[usize]) -> Self {
        let mut bits = vec![false; self.bits.len()];
        piece.iter().for_each(|i| bits[*i] = true);
        Self { width: self.width, height: self.height, bits }
    }

    /// Leftmost, topmost, rightmost, lowest marked pixel; `None` if there is none.
    pub(super) fn bounds(&self) -> Option<[usize; 4]> {
        self.points().fold(None, |bounds: Option<[usize; 4]>, [x, y]| {
            let (x, y) = (x as usize, y as usize);
            let [l, t, r, b] = bounds.unwrap_or([x, y, x, y]);
            Some([l.min(x), t.min(y), r.max(x), b.max(y)])
        })
    }
}

/// Standard deviations of the noise above which a pixel is dark.
const CLEARLY: f32 = 5.0;
/// Share of the fly's own darkness above which a pixel belongs to it.
const SHARE_OF_FLY: f32 = 0.35;
/// Least size of a fly, share of the picture's pixels.
const LEAST_SHARE: f64 = 5e-4;

/// The fly, without its tippet where that is thin: the piece with most darkness in it that touches no side or bottom of
/// the picture (walls of the jar do).
pub(super) fn fly(darkness: &Darkness) -> Option<Mask> {
    let least = if darkness.map.width().min(darkness.map.height()) >= 900 { 2 } else { 1 };
    let found = (least..=THICKEST_TIPPET).map(|reach| thicker_than(darkness, reach));
    // A tippet that was kept stands on top of the fly as a thin stalk: take more off.
    found.flatten().find(|mask| stalk(mask) < LONG_STALK)
}

/// Widest tippet that is told from a fly, in steps of two pixels of width.
const THICKEST_TIPPET: isize = 5;
/// Rows at which a thin top is a tippet and no tip of a tail.
const LONG_STALK: usize = 25;

fn thicker_than(darkness: &Darkness, reach: isize) -> Option<Mask> {
    let map = &darkness.map;
    let (w, h) = (map.width(), map.height());
    let above = |limit: f32| Mask::from_fn(w, h, |x, y| map.at(x, y) > limit);
    let clear = (CLEARLY * darkness.noise).max(0.06);
    let first = main_piece(&above(clear).opened(reach), map, reach)?;
    let mut dark: Vec<f32> = first.points().map(|[x, y]| map.at(x as isize, y as isize)).collect();
    dark.sort_by(f32::total_cmp);
    let typical = dark[dark.len() * 3 / 4];
    let body = above(clear.max(SHARE_OF_FLY * typical)).closed(reach).opened(reach);
    main_piece(&body, map, reach)
}

/// Number of rows at the top in which the mask is no wider than twice its very top.
fn stalk(mask: &Mask) -> usize {
    let Some([left, top, right, bottom]) = mask.bounds() else { return 0 };
    let width = |y: usize| (left..=right).filter(|x| mask.has(*x as isize, y as isize)).count();
    let mut first: Vec<usize> = (top..=(top + LONG_STALK).min(bottom)).map(width).collect();
    first.sort_unstable();
    let usual = first[first.len() / 2];
    (top..=bottom).take_while(|y| width(*y) <= usual + 2 && usual <= 2 * THICKEST_TIPPET as usize).count()
}

/// Opening and closing wear `reach` pixels off what touches the edge of the picture.
fn main_piece(mask: &Mask, map: &Picture, reach: isize) -> Option<Mask> {
    let (w, h) = (mask.width, mask.height);
    let least = (LEAST_SHARE * (w * h) as f64) as usize;
    let weight = |piece: &[usize]| piece.iter().map(|i| f64::from(map.pixels()[*i])).sum::<f64>();
    let edge = reach as usize;
    let at_edge = |i: &usize| i % w <= edge || i % w + edge + 1 >= w || i / w + edge + 1 >= h;
    let pieces = mask.pieces();
    let candidates = pieces.iter().filter(|p| p.len() >= least && !p.iter().any(at_edge));
    let best = candidates.max_by(|a, b| weight(a).total_cmp(&weight(b)))?;
    Some(mask.only(best))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_dark_piece_is_found_on_a_fading_background_between_walls() {
        let picture = Picture::from_fn(200, 160, |x, y| {
            let light = 0.9 - 0.3 * x as f32 / 200.0 + 0.05 * y as f32 / 160.0;
            let wall = !(6..194).contains(&x);
            let fly = (80..120).contains(&x) && (70..85).contains(&y);
            let line = x == 80 && y < 70;
            if wall || fly {
                0.2
            } else if line {
                0.5
            } else {
                light
            }
        });
        let darkness = darkness(&picture);
        assert!(darkness.noise < 0.01);
        let bounds = fly(&darkness).unwrap().bounds().unwrap();
        assert_eq!(bounds, [80, 70, 119, 84]);
        let empty = Picture::from_fn(100, 100, |_, _| 0.8);
        assert!(fly(&super::darkness(&empty)).is_none());
    }
}
