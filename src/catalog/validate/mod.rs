//! From written rows to parts: units to SI, and every figure checked.

mod bead;
mod dressing;
mod foam;
mod hook;
mod material;
mod pin;
mod wire;

pub(super) use bead::bead;
pub(super) use dressing::dressing;
pub(super) use foam::foam;
pub(super) use hook::hook;
pub(super) use material::material;
pub(super) use pin::pin;
pub(super) use wire::wire;

/// Metres from millimetres.
fn metres(mm: f64) -> f64 {
    mm / 1e3
}

/// Kilograms from milligrams.
fn kilograms(mg: f64) -> f64 {
    mg / 1e6
}
