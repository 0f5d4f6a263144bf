//! A printed card of squares, photographed once in the fly's place: where its corners lie in the picture tells what vessel,
//! distance and lens do there, all at once.
//!
//! Corners are found by the ring of 16 points around each pixel: opposite points alike, points a quarter apart not
//! (the ChESS response; Bennett and Lasenby 2014, from memory). The map from picture to card is a polynomial of third
//! degree through them by least squares.

use super::Pixel;
use super::picture::Picture;
use image::RgbImage;
use nalgebra::{DMatrix, DVector};
use std::collections::{HashMap, VecDeque};
use thiserror::Error;

/// Squares across and down of the card that is printed.
pub const SQUARES: (usize, usize) = (9, 7);
/// Their side, mm.
pub const SIDE_MM: f64 = 6.0;
/// Fewest corners, and rows and columns of them.
const LEAST_CORNERS: usize = 20;
const LEAST_ROWS: i32 = 4;
/// Terms of the polynomial.
const TERMS: usize = 10;

/// Why a picture of the card is of no use.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum CardError {
    /// Too few corners in a grid.
    #[error(
        "{found} corners of squares found in a grid; {LEAST_CORNERS} in {LEAST_ROWS} rows are needed: the card must be sharp, \
         upright and whole in the picture"
    )]
    Corners {
        /// Corners found.
        found: usize,
    },
    /// The corners do not lie as those of a flat card do.
    #[error("the corners lie {off_percent:.0} % of a square off any smooth picture of a card: is it bent or creased?")]
    Uneven {
        /// Root mean square, percent of a square.
        off_percent: f64,
    },
}

/// From picture to card: right and up, squares.
#[derive(Debug, Clone, PartialEq)]
pub struct CardMap {
    middle: Pixel,
    reach: f64,
    terms: [[f64; TERMS]; 2],
    /// Corners of the box of the corners in card coordinates.
    box_of: [[f64; 2]; 2],
    /// Root mean square of what the polynomial leaves, squares.
    pub off: f64,
    /// Corners used.
    pub corners: usize,
}

/// How far off corners may lie, squares.
const MOST_OFF: f64 = 0.08;

impl CardMap {
    /// Reads a picture of the card.
    ///
    /// # Errors
    /// [`CardError`].
    pub fn read(image: &RgbImage) -> Result<Self, CardError> {
        let picture = Picture::from_rgb(image);
        let grid = grid(&corners(&picture));
        let span = |k: usize| {
            let of = grid.iter().map(|(at, _)| at[k]);
            of.clone().max().unwrap_or(0) - of.min().unwrap_or(0) + 1
        };
        if grid.len() < LEAST_CORNERS || span(0) < LEAST_ROWS || span(1) < LEAST_ROWS {
            return Err(CardError::Corners { found: grid.len() });
        }
        let points: Vec<([f64; 2], Pixel)> = grid.iter().map(|(at, p)| (at.map(f64::from), picture.full(*p))).collect();
        let map = Self::through(&points).ok_or(CardError::Corners { found: grid.len() })?;
        if map.off > MOST_OFF {
            return Err(CardError::Uneven { off_percent: 100.0 * map.off });
        }
        Ok(map)
    }

    /// The polynomial through corners: card places and picture points.
    fn through(points: &[([f64; 2], Pixel)]) -> Option<Self> {
        let n = points.len() as f64;
        let middle = [0, 1].map(|k| points.iter().map(|(_, p)| p[k]).sum::<f64>() / n);
        let reach = points.iter().map(|(_, p)| (p[0] - middle[0]).hypot(p[1] - middle[1])).fold(1.0, f64::max);
        let rows = DMatrix::from_fn(points.len(), TERMS, |i, j| terms(middle, reach, points[i].1)[j]);
        let solver = rows.clone().svd(true, true);
        let mut map =
            Self { middle, reach, terms: [[0.0; TERMS]; 2], box_of: [[0.0; 2]; 2], off: 0.0, corners: points.len() };
        for k in 0..2 {
            let wanted = DVector::from_fn(points.len(), |i, _| points[i].0[k]);
            let found = solver.solve(&wanted, 1e-10).ok()?;
            map.terms[k] = std::array::from_fn(|j| found[j]);
            let of = points.iter().map(|(at, _)| at[k]);
            map.box_of[0][k] = of.clone().fold(f64::INFINITY, f64::min);
            map.box_of[1][k] = of.fold(f64::NEG_INFINITY, f64::max);
        }
        let squares = points.iter().map(|(at, p)| {
            let got = map.place(*p);
            (got[0] - at[0]).powi(2) + (got[1] - at[1]).powi(2)
        });
        // What the fit takes up does not show in what it leaves.
        map.off = (squares.sum::<f64>() / (2.0 * n - 2.0 * TERMS as f64)).sqrt();
        Some(map)
    }

    /// Place on the card of a point of the picture file.
    #[must_use]
    pub fn place(&self, p: Pixel) -> [f64; 2] {
        let at = terms(self.middle, self.reach, p);
        self.terms.map(|of| of.iter().zip(&at).map(|(a, b)| a * b).sum())
    }

    /// How far outside the corners a place is, squares; 0 within.
    pub(super) fn outside(&self, place: [f64; 2]) -> f64 {
        let beyond = |k: usize| (self.box_of[0][k] - place[k]).max(place[k] - self.box_of[1][k]).max(0.0);
        beyond(0).max(beyond(1))
    }
}

fn terms(middle: Pixel, reach: f64, p: Pixel) -> [f64; TERMS] {
    let [u, v] = [0, 1].map(|k| (p[k] - middle[k]) / reach);
    [1.0, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v]
}

/// Ring of 16 points around a pixel.
const RING: [[isize; 2]; 16] = [
    [0, -5],
    [2, -5],
    [3, -3],
    [5, -2],
    [5, 0],
    [5, 2],
    [3, 3],
    [2, 5],
    [0, 5],
    [-2, 5],
    [-3, 3],
    [-5, 2],
    [-5, 0],
    [-5, -2],
    [-3, -3],
    [-2, -5],
];
/// A corner's response for each 1 of the strongest.
const STRONG: f32 = 0.3;
/// Corners are at least so far apart, pixels.
const APART: isize = 6;

fn response(picture: &Picture, x: isize, y: isize) -> f32 {
    let ring = RING.map(|[dx, dy]| picture.light(x + dx, y + dy));
    let square: f32 = (0..4).map(|n| (ring[n] + ring[n + 8] - ring[n + 4] - ring[n + 12]).abs()).sum();
    let edge: f32 = (0..8).map(|n| (ring[n] - ring[n + 8]).abs()).sum();
    let near = [[0, 0], [1, 0], [-1, 0], [0, 1], [0, -1]].map(|[dx, dy]| picture.light(x + dx, y + dy));
    let mean = (ring.iter().sum::<f32>() / 16.0 - near.iter().sum::<f32>() / 5.0).abs();
    square - edge - 16.0 * mean
}

/// Corners of squares, to a part of a pixel.
fn corners(picture: &Picture) -> Vec<Pixel> {
    let (w, h) = (picture.width, picture.height);
    let map: Vec<f32> = (0..w * h).map(|i| response(picture, (i % w) as isize, (i / w) as isize).max(0.0)).collect();
    let at = |x: isize, y: isize| {
        let inside = x >= 0 && y >= 0 && (x as usize) < w && (y as usize) < h;
        if inside { map[y as usize * w + x as usize] } else { 0.0 }
    };
    let least = STRONG * map.iter().copied().fold(0.0, f32::max);
    let mut found = Vec::new();
    for (i, here) in map.iter().enumerate().filter(|(_, r)| **r > least) {
        let (x, y) = ((i % w) as isize, (i / w) as isize);
        let around = (-APART..=APART).flat_map(|dy| (-APART..=APART).map(move |dx| [dx, dy]));
        if around.clone().any(|[dx, dy]| at(x + dx, y + dy) > *here) {
            continue;
        }
        let (mut sum, mut moment) = (0.0, [0.0; 2]);
        for [dx, dy] in around.filter(|[dx, dy]| dx.abs() <= 3 && dy.abs() <= 3) {
            let weight = f64::from(at(x + dx, y + dy));
            sum += weight;
            moment = [moment[0] + weight * dx as f64, moment[1] + weight * dy as f64];
        }
        found.push([x as f64 + moment[0] / sum, y as f64 + moment[1] / sum]);
    }
    found
}

/// A corner in the grid: right and up, and where in the picture.
type Corner = ([i32; 2], Pixel);

/// The largest grid that grows from one of the corners near the middle.
fn grid(points: &[Pixel]) -> Vec<Corner> {
    let mut order: Vec<usize> = (0..points.len()).collect();
    let middle = |k: usize| {
        let mut of: Vec<f64> = points.iter().map(|p| p[k]).collect();
        of.sort_by(f64::total_cmp);
        of.get(of.len() / 2).copied().unwrap_or(0.0)
    };
    let centre = [middle(0), middle(1)];
    let far = |i: &usize| (points[*i][0] - centre[0]).hypot(points[*i][1] - centre[1]);
    order.sort_by(|a, b| far(a).total_cmp(&far(b)));
    let grown = order.iter().take(8).map(|seed| grow(points, *seed));
    grown.max_by_key(Vec::len).unwrap_or_default()
}

/// Steps to the right and up from a corner, to its nearest neighbours that way.
fn first_steps(points: &[Pixel], seed: usize) -> Option<[Pixel; 2]> {
    let nearest = |way: Pixel| {
        let steps = points.iter().map(|p| [p[0] - points[seed][0], p[1] - points[seed][1]]);
        let ahead = steps.filter(|d| {
            let length = d[0].hypot(d[1]);
            length > 1.0 && (d[0] * way[0] + d[1] * way[1]) > 0.85 * length
        });
        ahead.min_by(|a, b| a[0].hypot(a[1]).total_cmp(&b[0].hypot(b[1])))
    };
    Some([nearest([1.0, 0.0])?, nearest([0.0, -1.0])?])
}

fn grow(points: &[Pixel], seed: usize) -> Vec<Corner> {
    let Some(steps) = first_steps(points, seed) else { return Vec::new() };
    let mut placed: HashMap<[i32; 2], usize> = HashMap::from([([0, 0], seed)]);
    let mut queue = VecDeque::from([([0, 0], steps)]);
    while let Some((at, steps)) = queue.pop_front() {
        let from = points[placed[&at]];
        for (k, sign) in [(0, 1), (0, -1), (1, 1), (1, -1)] {
            let mut next = at;
            next[k] += sign;
            if placed.contains_key(&next) {
                continue;
            }
            let step = steps[k].map(|v| v * f64::from(sign));
            let wanted = [from[0] + step[0], from[1] + step[1]];
            let off = |i: &usize| (points[*i][0] - wanted[0]).hypot(points[*i][1] - wanted[1]);
            let Some(found) = (0..points.len()).min_by(|a, b| off(a).total_cmp(&off(b))) else { continue };
            if off(&found) > 0.3 * step[0].hypot(step[1]) || placed.values().any(|used| *used == found) {
                continue;
            }
            let mut own = steps;
            own[k] = [points[found][0] - from[0], points[found][1] - from[1]].map(|v| v * f64::from(sign));
            placed.insert(next, found);
            queue.push_back((next, own));
        }
    }
    let mut corners: Vec<Corner> = placed.into_iter().map(|(at, i)| (at, points[i])).collect();
    corners.sort_by_key(|(at, _)| *at);
    corners
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::Rgb;

    /// A card drawn through a known bent map is mapped back.
    #[test]
    fn a_bent_picture_of_a_card_is_straightened() {
        let card = |x: f64, y: f64| {
            let (u, v) = ((x - 320.0) / 300.0, (240.0 - y) / 300.0);
            [7.0 * u * (1.0 + 0.15 * v * v), 6.0 * v * (1.0 - 0.2 * u * u) + 0.3 * u]
        };
        let image = RgbImage::from_fn(640, 480, |x, y| {
            let shade = |dx: f64, dy: f64| {
                let [a, b] = card(f64::from(x) + dx, f64::from(y) + dy);
                let on = a.abs() < 4.5 && b.abs() < 3.5;
                let dark = (a + 0.5).floor() as i64 + (b + 0.5).floor() as i64;
                if on && dark.rem_euclid(2) == 0 { 20.0 } else { 235.0 }
            };
            let cells = [-0.33, 0.0, 0.33].map(|dx| [-0.33, 0.0, 0.33].map(|dy| shade(dx, dy)).iter().sum::<f64>());
            Rgb([(cells.iter().sum::<f64>() / 9.0) as u8; 3])
        });
        let map = CardMap::read(&image).unwrap();
        assert_eq!(map.corners, 8 * 6);
        let base = [map.place([320.0, 240.0]), card(320.0, 240.0)];
        for (x, y) in [(200.0, 150.0), (400.0, 300.0), (330.0, 200.0)] {
            let (got, wanted) = (map.place([x, y]), card(x, y));
            for k in 0..2 {
                let off = (got[k] - base[0][k]) - (wanted[k] - base[1][k]);
                assert!(off.abs() < 0.03, "{x},{y}: {off}");
            }
        }
        let blank = RgbImage::from_pixel(640, 480, Rgb([200; 3]));
        assert!(matches!(CardMap::read(&blank), Err(CardError::Corners { .. })));
    }
}
