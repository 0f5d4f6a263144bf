//! The order of tying, and how the fly hangs in the hand and in the jar at each point of it.

use super::forecast::Forecast;
use super::{Bench, HangTest, Medium};
use crate::fly::{Deviation, Fly};
use crate::part::{Component, ComponentRole};
use crate::physics::body::Label;
use crate::physics::statics::Rides;
use crate::spread::chance::{HangSpread, hang_spread};
use crate::spread::draws::Draws;

/// A point in the tying at which the fly can be hung by its eye. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// Bead (and pin) on the hook; a bare hook where there is none.
    Bead,
    /// Wire wound.
    Wire,
    /// Thread base laid. All the thread is counted here, though some of it comes later.
    Thread,
    /// Foam bound in.
    Foam,
    /// Fibres tied in at the bend.
    Tail,
    /// Fibres along the shank.
    Body,
    /// Fibres tied in along the shank that reach far behind it.
    Wing,
    /// Varnish or other adhesive: the finished fly.
    Finish,
}

impl Stage {
    /// All of them, in order.
    pub const ALL: [Self; 8] =
        [Self::Bead, Self::Wire, Self::Thread, Self::Foam, Self::Tail, Self::Body, Self::Wing, Self::Finish];

    /// The word used on the command line and in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Bead => "bead",
            Self::Wire => "wire",
            Self::Thread => "thread",
            Self::Foam => "foam",
            Self::Tail => "tail",
            Self::Body => "body",
            Self::Wing => "wing",
            Self::Finish => "finish",
        }
    }

    /// The stage with this word, if there is one.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|s| s.word() == word)
    }

    /// The stage at which a part goes on.
    #[must_use]
    pub fn of(label: Label, fly: &Fly) -> Self {
        match label {
            Label::Hook | Label::Head | Label::Bead | Label::Pin => Self::Bead,
            Label::Wraps => Self::Wire,
            Label::Foam => Self::Foam,
            Label::Dressing(i) => fly.dressing.components.get(usize::from(i)).map_or(Self::Finish, Self::of_component),
        }
    }

    /// From shank length 0.9 on a fibre counts as tied in at the bend; past 1.3 it reaches behind the hook.
    fn of_component(component: &Component) -> Self {
        match component.role {
            ComponentRole::Thread => Self::Thread,
            ComponentRole::Adhesive => Self::Finish,
            ComponentRole::Fibre if component.from >= 0.9 => Self::Tail,
            ComponentRole::Fibre if component.to > 1.3 => Self::Wing,
            ComponentRole::Fibre => Self::Body,
        }
    }

    /// The stages of a fly: those at which something goes on.
    #[must_use]
    pub fn of_fly(fly: &Fly) -> Vec<Self> {
        let on = |stage: Self| match stage {
            Self::Bead => true,
            Self::Wire => fly.wraps.is_some(),
            Self::Foam => fly.foam.is_some(),
            other => fly.dressing.components.iter().any(|c| Self::of_component(c) == other),
        };
        Self::ALL.into_iter().filter(|s| on(*s)).collect()
    }
}

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
