//! Inverse design of weighted flies: state the hang, get the recipes.

pub mod numeric;
pub mod physics;
pub mod quantity;
pub mod shape;
