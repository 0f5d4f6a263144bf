//! Purchasable parts: dimensions and material, as a validated catalog holds them.
//!
//! All lengths are metres, masses kilograms, angles radians, pressures pascals. A part knows its own
//! geometry (volume, mass, centroid in its own frame); where it sits on a fly is `crate::fly`'s business.

mod bead;
mod dressing;
mod foam;
mod hook;
mod pin;
mod row;
mod wire;

pub use bead::{Bead, BeadShape};
pub use dressing::{Component, ComponentRole, Dressing};
pub use foam::{Cut, FLOODED_SHARE_OF_CELL, Foam, FoamForm, SealedSection, Surface};
pub use hook::{Hook, HookStyle, MouldedHead};
pub use pin::Pin;
pub use row::{Kind, Pack, PackUnit, Row};
pub use wire::Wire;
