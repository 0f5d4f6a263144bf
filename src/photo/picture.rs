//! A picture as brightness, and the image files it comes from.

use image::{GrayImage, ImageReader, RgbImage};
use std::io::Cursor;
use thiserror::Error;

/// Longest picture that is read, pixels in all.
const MOST_PIXELS: u64 = 120_000_000;

/// A file that is no picture.
#[derive(Debug, Error)]
pub enum PictureError {
    /// Neither PNG nor JPEG, or broken.
    #[error("this is no PNG or JPEG picture that can be read: {0}")]
    Decode(#[from] image::ImageError),
    /// The file could not be read.
    #[error(transparent)]
    Io(#[from] std::io::Error),
    /// Too small to see a fly in, or too large to hold.
    #[error("the picture is {width} x {height} pixels; at least 64 x 64 and at most 120 million in all are read")]
    Size {
        /// Width, pixels.
        width: u32,
        /// Height, pixels.
        height: u32,
    },
}

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

/// Decodes a PNG or JPEG file that is in memory. The format is told from its content.
///
/// # Errors
/// [`PictureError`].
pub fn decode(bytes: &[u8]) -> Result<RgbImage, PictureError> {
    let mut reader = ImageReader::new(Cursor::new(bytes)).with_guessed_format()?;
    let mut limits = image::Limits::default();
    limits.max_alloc = Some(8 * MOST_PIXELS);
    reader.limits(limits);
    let image = reader.decode()?.into_rgb8();
    let (width, height) = image.dimensions();
    if width < 64 || height < 64 || u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(PictureError::Size { width, height });
    }
    Ok(image)
}

/// Encodes a picture as PNG.
///
/// # Errors
/// [`PictureError::Decode`] where the encoder refuses it.
pub fn encode_png(image: &RgbImage) -> Result<Vec<u8>, PictureError> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png)?;
    Ok(bytes.into_inner())
}
