//! Factors on the figures that the model assumes, to see what each is worth.

/// Each factor multiplies one assumed figure; 1 everywhere is the model as documented.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// Drag of beads and moulded heads.
    pub sphere: f64,
    /// Drag across slender elements: correlation and solidity together.
    pub across: f64,
    /// Force across rods at a slant.
    pub slant: f64,
    /// Skin friction along slender elements, and along a leader.
    pub along: f64,
    /// Pressure drag of blunt ends.
    pub ends: f64,
    /// Water pushed aside.
    pub added: f64,
    /// Water held in the brush.
    pub held: f64,
    /// Turning moment of the water pushed aside: Munk's, less what the wake takes of it.
    pub munk: f64,
}

impl Factors {
    /// The model as documented.
    pub const NONE: Self =
        Self { sphere: 1.0, across: 1.0, slant: 1.0, along: 1.0, ends: 1.0, added: 1.0, held: 1.0, munk: 1.0 };
}

impl Default for Factors {
    fn default() -> Self {
        Self::NONE
    }
}
