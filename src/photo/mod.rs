//! Reading a fly's hang off a photograph of it in the jar.
//!
//! [`read`] finds what stands out of its background and has a thin upright line ending at it: fly and tippet. The tippet
//! is vertical, so it gives the camera's roll, and ends at the eye. The shank is the line along the body or, where the fly
//! is known ([`known::SideView`]), that of the known fly laid over the picture. [`lens::RoundJar`] takes out what a round
//! jar does to angles. What was taken for what can be drawn over the picture with [`overlay::overlay`], also where no
//! reading came of it. Points may be given by hand instead ([`Hints`]).
//!
//! Pixel coordinates: x to the right, y down, (0, 0) the middle of the first pixel.

mod axis;
mod background;
pub mod card;
pub mod course;
mod error;
pub mod file;
mod find;
pub mod known;
pub mod lens;
mod mask;
mod matching;
pub mod overlay;
mod picture;
mod reading;
mod setup;
mod shank;
mod tied;
mod tippet;
mod view;

pub use card::{CardError, CardMap};
pub use course::{Course, course};
pub use error::PhotoError;
pub use file::PictureError;
pub use known::SideView;
pub use lens::{LensError, RoundJar};
pub use reading::{Angle, Attempt, ErrorParts, Hints, Reading, Seen, read};
pub use setup::Setup;

/// A point of a picture, pixels: x to the right, y down.
pub type Pixel = [f64; 2];
