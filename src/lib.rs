//! Inverse design of weighted flies: state the hang, get the recipes.

pub mod catalog;
pub mod document;
pub mod material;
pub mod numeric;
pub mod part;
pub mod physics;
pub mod quantity;
pub mod shape;
