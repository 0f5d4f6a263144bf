//! Pure geometry: dimensions in, volume and centroid out. No material, no part, no fly.
//!
//! Everything is an `f64` in SI. Each shape has its own frame in the plane of the hook, said where it is defined; all are
//! symmetric about that plane, so two coordinates are enough. A bead at the scale of a fly, checked against the ring
//! that a bore leaves of a sphere (V = pi h^3 / 6, h the height of the ring):
//!
//! ```
//! use counterpoise::shape::sphere;
//! let bead = sphere::drilled(3.0e-3, 1.0e-3);
//! assert!((bead.volume * 1e9 - 11.847688).abs() < 1e-6);
//! ```

mod quadrature;
pub mod section;
mod solid;
pub mod sphere;
pub mod wire_path;
pub mod wrap;

pub use solid::Solid;
