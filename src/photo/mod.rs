//! Reading a fly's hang off a photograph of it in the jar.
//!
//! The fly hangs before a plain light background. [`read`] finds it, its tippet and its axis; the tippet is vertical, so
//! it gives the camera's roll; [`lens::RoundJar`] takes out what a round jar does to angles. What was read can be drawn
//! over the picture with [`overlay::overlay`]. Points may be given by hand instead ([`Hints`]).
//!
//! Pixel coordinates: x to the right, y down, (0, 0) the middle of the first pixel.

mod axis;
pub mod file;
mod find;
pub mod lens;
pub mod overlay;
pub mod picture;
mod reading;
mod tippet;

pub use file::PictureError;
pub use lens::{LensError, RoundJar};
pub use picture::Picture;
pub use reading::{Hints, PhotoError, Reading, Setup, read};

/// A point of a picture, pixels: x to the right, y down.
pub type Pixel = [f64; 2];
