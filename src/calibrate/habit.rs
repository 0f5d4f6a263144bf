//! What a tyer always does alike, and how a reader always reads: no figure of a part, yet all through a log.
//!
//! These are unknowns of the fit like any correction, each with a prior of its own, so that they are not blamed on the parts
//! and so that errors count them. The first five go with the flies: what the fit finds of them is handed to the corrections
//! that do the same to the log's recipes. The last two go with the readings and are left behind with them.

use crate::catalog::Catalog;
use crate::fly::{Deviation, State, practice};
use crate::jar_log::Test;
use crate::part::Kind;

/// One habit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Habit {
    /// Foam cut longer than written.
    FoamLength,
    /// Foam bound farther aft than reckoned.
    FoamPosition,
    /// Wraps wound farther aft than written.
    WrapsPosition,
    /// Pin bound farther aft than written.
    PinPosition,
    /// Shanks of the hooks longer than the catalog says.
    Shank,
    /// Angles read too high: all hangs alike, by eye, card or camera.
    ReadingBias,
    /// Bubbles left in a dressing that is called soaked, as a share of those that a fresh one holds.
    BubblesLeft,
}

impl Habit {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::FoamLength,
        Self::FoamPosition,
        Self::WrapsPosition,
        Self::PinPosition,
        Self::Shank,
        Self::ReadingBias,
        Self::BubblesLeft,
    ];

    /// Prior standard deviation about none: m, share or rad. Estimates, no source: a hand is off as a habit by half as much
    /// again as its flies differ; hooks of one size differ by a few per cent from maker to maker; an angle held against a card
    /// by eye is off by a few degrees.
    #[must_use]
    pub fn spread(self) -> f64 {
        match self {
            Self::FoamLength => 1.5 * practice::FOAM_LENGTH_SD,
            Self::FoamPosition | Self::WrapsPosition | Self::PinPosition => 1.5 * practice::POSITION_SD,
            Self::Shank => 0.02,
            Self::ReadingBias => 3f64.to_radians(),
            Self::BubblesLeft => 0.12,
        }
    }

    /// Whether it goes with the flies, so that the next fly of this tyer has it, too.
    #[must_use]
    pub fn goes_with_flies(self) -> bool {
        !matches!(self, Self::ReadingBias | Self::BubblesLeft)
    }

    /// What it is called.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::FoamLength => "foam cut longer",
            Self::FoamPosition => "foam bound farther aft",
            Self::WrapsPosition => "wraps farther aft",
            Self::PinPosition => "pin farther aft",
            Self::Shank => "shanks longer",
            Self::ReadingBias => "angles read too high",
            Self::BubblesLeft => "bubbles left when soaked",
        }
    }

    /// Its unit, and the factor from SI.
    #[must_use]
    pub fn unit(self) -> (&'static str, f64) {
        match self {
            Self::ReadingBias => ("deg", 1f64.to_degrees()),
            Self::Shank | Self::BubblesLeft => ("%", 100.0),
            _ => ("mm", 1e3),
        }
    }

    /// Whether a test may show it.
    pub(super) fn touches(self, test: &Test) -> bool {
        let Test::Fly(fly) = test else { return false };
        let recipe = &fly.recipe;
        match self {
            Self::FoamLength | Self::FoamPosition => recipe.foam.is_some(),
            Self::WrapsPosition => recipe.wire.is_some(),
            Self::PinPosition => recipe.part_ids().iter().any(|(kind, _)| *kind == Kind::Pin),
            Self::Shank => true,
            Self::ReadingBias => fly.hang.is_some(),
            Self::BubblesLeft => {
                fly.hang.is_some() && fly.conditions.state == State::Soaked && !fly.conditions.water.is_air()
            }
        }
    }

    /// Whether it changes the parts themselves, not only where they end up.
    pub(super) fn changes_parts(self) -> bool {
        self == Self::Shank
    }

    /// Adds so much of it, in its unit in SI, to what all flies deviate by, and to what is read.
    pub(super) fn add(self, amount: f64, to: &mut Habits) {
        let deviation = &mut to.deviation;
        match self {
            Self::FoamLength => deviation.foam_length += amount,
            Self::FoamPosition => deviation.foam_position += amount,
            Self::WrapsPosition => deviation.wraps_position += amount,
            Self::PinPosition => deviation.pin_position += amount,
            Self::Shank => {}
            Self::ReadingBias => to.bias += amount,
            Self::BubblesLeft => to.bubbles += amount,
        }
    }

    /// Changes the parts.
    pub(super) fn apply(self, amount: f64, catalog: &mut Catalog) {
        if self == Self::Shank {
            for hook in &mut catalog.hooks {
                hook.shank_length *= (1.0 + amount).max(0.1);
            }
        }
    }
}

/// Habits put together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Habits {
    /// What all flies deviate by.
    pub(super) deviation: Deviation,
    /// Angles read too high by, rad.
    pub(super) bias: f64,
    /// Share of the bubbles left.
    pub(super) bubbles: f64,
}

impl Habits {
    /// None.
    pub(super) const NONE: Self = Self { deviation: Deviation::NONE, bias: 0.0, bubbles: 0.0 };
}
