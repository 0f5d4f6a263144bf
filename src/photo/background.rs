//! What stands behind the fly: any colour, fading, with edges or a faint pattern. Each pixel is measured by how far it is
//! from the colours that are usual around it.

use super::mask::Mask;
use super::picture::Picture;

/// Side of the blocks whose usual colour is taken, pixels.
const BLOCK: usize = 24;
/// How far around a block its background is looked for, share of the picture's longer side. The fly must fill less than
/// half of such a window.
const AROUND: f64 = 0.17;

/// How far each pixel is from its background, 0 to 1: root mean square over the colours.
pub(super) struct Difference {
    width: usize,
    map: Vec<f32>,
    /// Least difference that is clear of noise and pattern, block by block.
    clear: Blocks<f32>,
}

/// A value for every block.
struct Blocks<T> {
    across: usize,
    down: usize,
    values: Vec<T>,
}

impl<T: Copy> Blocks<T> {
    fn of(picture: &Picture, value: impl Fn(usize, usize) -> T) -> Self {
        let (across, down) = (picture.width.div_ceil(BLOCK), picture.height.div_ceil(BLOCK));
        let values = (0..across * down).map(|i| value(i % across, i / across)).collect();
        Self { across, down, values }
    }

    fn at(&self, x: isize, y: isize) -> T {
        let clamp = |v: isize, size: usize| v.clamp(0, size as isize - 1) as usize;
        self.values[clamp(y, self.down) * self.across + clamp(x, self.across)]
    }

    /// Every block from what is `reach` around it.
    fn around<U: Copy>(&self, reach: usize, take: impl Fn(&mut Vec<T>) -> U) -> Blocks<U> {
        let mut window = Vec::new();
        let mut values = Vec::with_capacity(self.values.len());
        for i in 0..self.values.len() {
            let (x, y) = (i % self.across, i / self.across);
            window.clear();
            for row in y.saturating_sub(reach)..=(y + reach).min(self.down - 1) {
                let (from, to) = (x.saturating_sub(reach), (x + reach).min(self.across - 1));
                window.extend_from_slice(&self.values[row * self.across + from..=row * self.across + to]);
            }
            values.push(take(&mut window));
        }
        Blocks { across: self.across, down: self.down, values }
    }
}

fn middle(values: &mut [f32]) -> f32 {
    let half = values.len() / 2;
    *values.select_nth_unstable_by(half, f32::total_cmp).1
}

fn middle_colour(colours: &[[f32; 3]]) -> [f32; 3] {
    std::array::from_fn(|k| middle(&mut colours.iter().map(|c| c[k]).collect::<Vec<_>>()))
}

/// Pixels of a block, every second one each way.
fn block(picture: &Picture, bx: usize, by: usize) -> impl Iterator<Item = (usize, usize)> {
    let (to_x, to_y) = (((bx + 1) * BLOCK).min(picture.width), ((by + 1) * BLOCK).min(picture.height));
    (by * BLOCK..to_y).step_by(2).flat_map(move |y| (bx * BLOCK..to_x).step_by(2).map(move |x| (x, y)))
}

/// Least difference of anything that is no background, of full light.
const LEAST: f32 = 0.06;
/// So many times the difference that a quarter of the background stays below is clear of its noise, and so many times what
/// nine tenths stay below, of its pattern.
const OF_NOISE: f32 = 6.0;
const OF_PATTERN: f32 = 1.4;

/// Blocks whose background may show in a block: its own, those around it, and one more each way.
const BESIDE: [[isize; 2]; 13] =
    [[0, 0], [-1, -1], [0, -1], [1, -1], [-1, 0], [1, 0], [-1, 1], [0, 1], [1, 1], [0, -2], [0, 2], [-2, 0], [2, 0]];

/// Measures a picture against its background.
pub(super) fn difference(picture: &Picture) -> Difference {
    let reach = (AROUND * picture.width.max(picture.height) as f64 / BLOCK as f64).round().max(2.0) as usize;
    let usual = Blocks::of(picture, |bx, by| {
        let colours: Vec<_> = block(picture, bx, by).map(|(x, y)| picture.at(x as isize, y as isize)).collect();
        middle_colour(&colours)
    });
    let behind = usual.around(reach, |window| middle_colour(window));
    // At an edge in the background the colours on both sides of it are right, so the nearest of the neighbours' counts. Where a
    // fly hangs close over the edge, its block and the edge's together hide the wall: up, down and sideways one more is asked.
    let near: Vec<[[f32; 3]; 13]> = (0..behind.values.len())
        .map(|i| {
            let (x, y) = ((i % behind.across) as isize, (i / behind.across) as isize);
            BESIDE.map(|[dx, dy]| behind.at(x + dx, y + dy))
        })
        .collect();
    let map: Vec<f32> = picture
        .pixels()
        .iter()
        .enumerate()
        .map(|(i, pixel)| {
            let (x, y) = (i % picture.width, i / picture.width);
            let off = |behind: &[f32; 3]| (0..3).map(|k| (pixel[k] - behind[k]).powi(2)).sum::<f32>();
            let beside = &near[y / BLOCK * behind.across + x / BLOCK];
            (beside.iter().map(off).fold(f32::INFINITY, f32::min) / 3.0).sqrt()
        })
        .collect();
    let within = Blocks::of(picture, |bx, by| {
        let mut off: Vec<f32> = block(picture, bx, by).map(|(x, y)| map[y * picture.width + x]).collect();
        off.sort_by(f32::total_cmp);
        (OF_NOISE * off[off.len() / 4]).max(OF_PATTERN * off[off.len() * 9 / 10])
    });
    let clear = within.around(reach, |window| middle(window).max(LEAST));
    Difference { width: picture.width, map, clear }
}

impl Difference {
    pub(super) fn at(&self, x: usize, y: usize) -> f32 {
        self.map[y * self.width + x]
    }

    pub(super) fn of(&self, index: usize) -> f32 {
        self.map[index]
    }

    /// Pixels that are clear of the background, and differ at least so much.
    pub(super) fn above(&self, least: f32) -> Mask {
        Mask::from_fn(self.width, self.map.len() / self.width, |x, y| {
            let clear = self.clear.at((x / BLOCK) as isize, (y / BLOCK) as isize);
            self.at(x, y) > clear.max(least)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{Rgb, RgbImage};

    #[test]
    fn a_dark_and_a_coloured_thing_stand_out_of_a_fading_wall_over_a_table() {
        let image = RgbImage::from_fn(480, 360, |x, y| {
            let fade = 200 - (x / 8) as u8;
            match (x, y) {
                (200..280, 150..170) => Rgb([40, 30, 30]),
                (200..280, 130..150) => Rgb([250, 90, 30]),
                (_, 250..) => Rgb([100, 70, 50]),
                _ => Rgb([fade, fade, fade]),
            }
        });
        let seen = difference(&Picture::from_rgb(&image)).above(0.0);
        assert_eq!(seen.bounds(), Some([200, 130, 279, 169]));
        assert_eq!(seen.points().count(), 80 * 40);
        let blank = RgbImage::from_pixel(480, 360, Rgb([90, 160, 90]));
        assert_eq!(difference(&Picture::from_rgb(&blank)).above(0.0).points().count(), 0);
    }
}
