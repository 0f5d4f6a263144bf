//! What the water and the line do to a fly. Pure functions of SI numbers: no catalog, no price, no printing.
//!
//! Lengths m, masses kg, forces N, pressures Pa, angles rad, times s, unless a name ends in its unit. Sink speeds are positive
//! down.

pub mod added_mass;
pub mod body;
pub mod build_up;
pub mod compression;
pub mod constants;
pub mod doubt;
pub mod drag;
pub mod fall;
pub mod friction;
pub mod knot;
pub mod leader;
pub mod lowered;
pub mod sinking;
pub mod statics;
pub mod terminal;
pub mod warning;
pub mod water;

pub use constants::{ATMOSPHERE, GRAVITY};
pub use water::{Water, WaterError};
