//! A picture as colours, small enough to work on.

use super::Pixel;
use image::RgbImage;

/// Longest side of the picture that is worked on, pixels.
const WORKED_ON: usize = 1200;

/// A picture reduced by a whole number, colours 0 to 1.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Picture {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Pixels of the file to one of these, each way.
    pub(super) by: usize,
    pixels: Vec<[f32; 3]>,
}

impl Picture {
    /// The file's picture, squares of pixels averaged into one until neither side is longer than is worked on.
    pub(super) fn from_rgb(image: &RgbImage) -> Self {
        let by = (image.width().max(image.height()) as usize).div_ceil(WORKED_ON);
        let (width, height) = (image.width() as usize / by, image.height() as usize / by);
        let share = 1.0 / (255.0 * (by * by) as f32);
        let mut pixels = vec![[0.0f32; 3]; width * height];
        let raw = image.as_raw();
        for y in 0..height * by {
            let row = &raw[3 * y * image.width() as usize..];
            for x in 0..width * by {
                let into = &mut pixels[y / by * width + x / by];
                (0..3).for_each(|k| into[k] += share * f32::from(row[3 * x + k]));
            }
        }
        Self { width, height, by, pixels }
    }

    /// Colour of a pixel; that of the nearest one beyond the edge.
    pub(super) fn at(&self, x: isize, y: isize) -> [f32; 3] {
        let clamp = |v: isize, size: usize| v.clamp(0, size as isize - 1) as usize;
        self.pixels[clamp(y, self.height) * self.width + clamp(x, self.width)]
    }

    /// Brightness of a pixel, 0 to 1: all three colours alike, since line and hair darken all of them.
    pub(super) fn light(&self, x: isize, y: isize) -> f32 {
        let [r, g, b] = self.at(x, y);
        (r + g + b) / 3.0
    }

    pub(super) fn pixels(&self) -> &[[f32; 3]] {
        &self.pixels
    }

    /// From the file's pixels to these.
    pub(super) fn reduced(&self, p: Pixel) -> Pixel {
        p.map(|v| (v - self.shift()) / self.by as f64)
    }

    /// From these pixels to the file's.
    pub(super) fn full(&self, p: Pixel) -> Pixel {
        p.map(|v| v * self.by as f64 + self.shift())
    }

    /// Middle of the first square, pixels of the file.
    fn shift(&self) -> f64 {
        0.5 * (self.by as f64 - 1.0)
    }
}
