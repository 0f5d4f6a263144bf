//! Inverse design of weighted flies: state the hang, get the recipes.

pub mod quantity;
