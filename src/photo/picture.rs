//! A picture as brightness.

use image::{GrayImage, RgbImage};

/// Brightness of every pixel, 0 black to 1 white, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    width: usize,
    height: usize,
    pixels: Vec<f32>,
}

impl Picture {
    /// A picture made by a function of column and row.
    #[must_use]
    pub fn from_fn(width: usize, height: usize, brightness: impl Fn(usize, usize) -> f32) -> Self {
        let pixels = (0..width * height).map(|i| brightness(i % width, i / width)).collect();
        Self { width, height, pixels }
    }

    /// The brightness of a colour picture.
    #[must_use]
    pub fn from_rgb(image: &RgbImage) -> Self {
        let gray: GrayImage = image::imageops::grayscale(image);
        let at = |x: usize, y: usize| f32::from(gray.as_raw()[y * gray.width() as usize + x]) / 255.0;
        Self::from_fn(gray.width() as usize, gray.height() as usize, at)
    }

    /// Columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    #[must_use]
    pub fn height(&self) -> usize {
        self.height
    }

    /// Brightness of a pixel; that of the nearest one beyond the edge.
    #[must_use]
    pub fn at(&self, x: isize, y: isize) -> f32 {
        let clamp = |v: isize, size: usize| v.clamp(0, size as isize - 1) as usize;
        self.pixels[clamp(y, self.height) * self.width + clamp(x, self.width)]
    }

    /// Brightness between pixels, by straight lines.
    pub(super) fn between(&self, x: f64, y: f64) -> f32 {
        let (x0, y0) = (x.floor(), y.floor());
        let (fx, fy) = ((x - x0) as f32, (y - y0) as f32);
        let (x0, y0) = (x0 as isize, y0 as isize);
        let row = |y: isize| self.at(x0, y) * (1.0 - fx) + self.at(x0 + 1, y) * fx;
        row(y0) * (1.0 - fy) + row(y0 + 1) * fy
    }

    /// The picture with squares of `by` x `by` pixels averaged into one.
    pub(super) fn reduced(&self, by: usize) -> Self {
        if by <= 1 {
            return self.clone();
        }
        let share = 1.0 / (by * by) as f32;
        Self::from_fn(self.width / by, self.height / by, |x, y| {
            let cells = (0..by * by).map(|i| self.pixels[(y * by + i / by) * self.width + x * by + i % by]);
            cells.sum::<f32>() * share
        })
    }

    pub(super) fn pixels(&self) -> &[f32] {
        &self.pixels
    }
}
