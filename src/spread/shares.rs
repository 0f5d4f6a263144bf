//! The share of flies that come out right: one deterministic figure for every recipe.
//!
//! **As tied**: of flies tied within the stated spreads, the share that meets the whole target. What the target asks is
//! put as figures that must not fall below zero, straight lines in the sources of spread (`super::forms`); sources are
//! standard normal, so the figures are jointly normal, and the share is that of their orthant.
//!
//! **Trimmed**: the share of flies that meet it when the foam is left long, hung in the jar and cut by the printed
//! instructions ([`super::trimming`]). Only foam in the tail can be cut when the fly is finished; foam along the shank lies
//! under the dressing.
//!
//! The seeded Monte Carlo of [`super::chance`] draws flies and judges each by itself; the laws hold the two together and
//! state the largest difference found.

use super::draws::spreads_for;
use super::forms::{Asked, Detail};
use super::share_test::ShareTest;
use super::trimming::Trimming;
use crate::fly::{AsTied, Deviation, Fly};
use crate::wanted::{Counted, ShareFloor, Target};

/// Shares of flies that come out right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares {
    /// Tied as written and left alone.
    pub as_tied: f64,
    /// Tied with the foam left long and trimmed in the jar; `None` where nothing can be trimmed, or where trimming makes
    /// more flies wrong than right.
    pub trimmed: Option<f64>,
}

impl Shares {
    /// The share that counts where nothing is said: trimmed where that can be done.
    #[must_use]
    pub fn counted(&self) -> f64 {
        self.trimmed.unwrap_or(self.as_tied)
    }

    /// As a target counts them: without the trimmed one where it asks for flies that are left alone.
    #[must_use]
    pub fn as_asked(self, target: &Target) -> Self {
        let alone = target.share.is_some_and(|floor| floor.counted == Counted::AsTied);
        Self { trimmed: self.trimmed.filter(|_| !alone), ..self }
    }
}

/// The shares of one recipe under one target.
#[must_use]
pub fn shares(fly: &Fly, target: &Target) -> Shares {
    let spreads = spreads_for(fly, target);
    let tied = AsTied::new(*fly, &target.conditions);
    let as_tied = Asked::of(&tied, &spreads, &Deviation::NONE, target, Detail::Whole).share();
    let trimmed = Trimming::of(&tied, &spreads, target, Detail::Whole)
        .map(|mut trimming| {
            trimming.settle();
            trimming.share()
        })
        .filter(|trimmed| *trimmed > as_tied);
    Shares { as_tied, trimmed }
}

/// The share that a floor looks at, where it is no less than that: of a single fly, whose floor is not worth much preparation.
#[must_use]
pub fn share_above(fly: &Fly, target: &Target, floor: &ShareFloor) -> Option<f64> {
    ShareTest::plain(*floor).passed(fly, target)
}

/// Share as tied alone.
#[must_use]
pub fn share_as_tied(fly: &Fly, target: &Target) -> f64 {
    let tied = AsTied::new(*fly, &target.conditions);
    Asked::of(&tied, &spreads_for(fly, target), &Deviation::NONE, target, Detail::Whole).share()
}

/// The share that a floor looks at.
#[must_use]
pub fn share_counted(fly: &Fly, target: &Target, floor: &ShareFloor) -> f64 {
    match floor.counted {
        Counted::AsTied => share_as_tied(fly, target),
        Counted::Trimmed => shares(fly, target).counted(),
    }
}
