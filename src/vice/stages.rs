//! The order of tying, and how the fly hangs in the hand and in the jar at each point of it.

use super::forecast::Forecast;
use super::{Bench, HangTest, Medium, Stage};
use crate::fly::Deviation;
use crate::physics::statics::Rides;
use crate::spread::chance::{HangSpread, hang_spread};
use crate::spread::draws::Draws;

/// What a test should show, and what it says about the finished fly.
#[derive(Debug, Clone, PartialEq)]
pub struct TestView {
    /// After which stage, in what.
    pub test: HangTest,
    /// Turn of a fly without any deviation, rad, counted from `rides`; `None` if it floats.
    pub turn: Option<f64>,
    /// Side on which it rides there.
    pub rides: Rides,
    /// Where drawn flies hang; `None` if all float.
    pub spread: Option<HangSpread>,
    /// What a reading says about the finished fly; `None` where either floats.
    pub forecast: Option<Forecast>,
}

/// How a stage should look.
#[derive(Debug, Clone, PartialEq)]
pub struct StageView {
    /// Stage.
    pub stage: Stage,
    /// Length of the foam that is on, m; `None` before it is.
    pub foam: Option<f64>,
    /// In the hand.
    pub hand: TestView,
    /// In the jar.
    pub jar: TestView,
}

impl StageView {
    /// One of its tests.
    #[must_use]
    pub fn view(&self, medium: Medium) -> &TestView {
        match medium {
            Medium::Air => &self.hand,
            Medium::Water => &self.jar,
        }
    }

    /// The test that says more of the finished fly; the quicker one where neither does.
    #[must_use]
    pub fn better(&self) -> &TestView {
        let told = |view: &TestView| view.forecast.as_ref().map(|f| f.told);
        match (told(&self.hand), told(&self.jar)) {
            (Some(hand), Some(jar)) if jar > hand + ALIKE => &self.jar,
            (None, Some(_)) => &self.jar,
            _ => &self.hand,
        }
    }
}

/// Shares that differ by less than this are alike.
const ALIKE: f64 = 0.05;

/// A test and the share of misfits that it shows.
pub type Finds = (HangTest, f64);

/// The earliest test that shows at least half of the misfits, the quicker medium first; `None` where none does.
#[must_use]
pub fn first_to_decide(stages: &[StageView]) -> Option<Finds> {
    found(stages).find(|(_, share)| *share >= 0.5)
}

/// The test that shows most of the misfits, the earliest of equals; `None` where there are hardly any.
#[must_use]
pub fn finds_most(stages: &[StageView]) -> Option<Finds> {
    let most = found(stages).map(|(_, share)| share).reduce(f64::max)?;
    found(stages).find(|(_, share)| *share >= most - ALIKE)
}

fn found(stages: &[StageView]) -> impl Iterator<Item = Finds> {
    let tests = stages.iter().flat_map(|stage| [&stage.hand, &stage.jar]);
    tests.filter_map(|view| Some((view.test, view.forecast?.found?)))
}

impl Bench<'_> {
    /// Every stage of the recipe.
    #[must_use]
    pub fn stages(&self, draws: &Draws) -> Vec<StageView> {
        let finished = self.finished();
        let view = |test: HangTest| {
            let rides = self.side_at(test);
            let turn = |d: &Deviation| self.turn_at(test, d, rides);
            TestView {
                test,
                turn: turn(&Deviation::NONE),
                rides,
                spread: hang_spread(&self.spreads, draws, turn),
                forecast: finished.as_ref().and_then(|finished| self.forecast(test, finished)),
            }
        };
        let written = |stage| self.fly.foam.filter(|_| stage >= Stage::Foam).map(|piece| piece.length.m());
        Stage::of_fly(&self.fly)
            .into_iter()
            .map(|stage| StageView {
                stage,
                foam: written(stage).map(|length| length + self.surplus(stage)),
                hand: view(HangTest::in_hand(stage)),
                jar: view(HangTest::in_jar(stage)),
            })
            .collect()
    }
}
