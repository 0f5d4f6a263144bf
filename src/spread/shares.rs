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

use super::at_most::CutOrNot;
use super::draws::{Spread, spreads_for};
use super::forms::{Asked, Detail, INTEGRATION_SLACK, clearly_too_few_in_time, too_few_in_time};
use super::sinks::sinks_at_most;
use super::snips::LeastWindows;
use super::trimming::{Aim, ROUGHLY, Trimming};
use crate::fly::{AsTied, Deviation, Fly};
use crate::numeric::normal_below_which;
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
}

/// The shares of one recipe under one target.
#[must_use]
pub fn shares(fly: &Fly, target: &Target) -> Shares {
    shares_to(fly, target, Detail::Whole)
}

/// The same without what takes a history in time: no less than [`shares`], at a thousandth of the work.
#[must_use]
pub fn shares_without_history(fly: &Fly, target: &Target) -> Shares {
    shares_to(fly, target, Detail::NoHistory)
}

fn shares_to(fly: &Fly, target: &Target, detail: Detail) -> Shares {
    let spreads = spreads_for(fly, target);
    let tied = AsTied::new(*fly, &target.conditions);
    let as_tied = Asked::of(&tied, &spreads, &Deviation::NONE, target, detail).share();
    let trimmed = Trimming::of(&tied, &spreads, target, detail)
        .map(|mut trimming| {
            trimming.settle();
            trimming.share()
        })
        .filter(|trimmed| *trimmed > as_tied);
    Shares { as_tied, trimmed }
}

/// A floor under the share of flies that come out right, with quick tests before the share is worked out.
#[derive(Debug, Clone)]
pub struct ShareTest {
    floor: ShareFloor,
    /// See [`deviations_within`].
    deviations: f64,
    /// See [`Self::deviations_above`].
    deviations_above: f64,
    /// See [`Self::deviations_in_time`].
    deviations_in_time: Option<f64>,
    /// Of the floor; nothing where nothing is trimmed.
    windows: Option<LeastWindows>,
}

/// Standard deviations either side of the mean within which so large a share of a normal lies.
#[must_use]
pub fn deviations_within(share: f64) -> f64 {
    normal_below_which(0.5 * (1.0 + share.min(1.0 - 1e-9)))
}

/// By how much more flies come out right, where a history in time leaves few right, than those about the one in the middle: what
/// numerical integration and flies that were cut a little to one side of the middle add.
const ASIDE: f64 = 0.05;

/// The part of a share that lies in the windows of [`LeastWindows`] at least, which tries starts on a grid: it differs more where few come
/// out right.
fn within_windows(share: f64) -> f64 {
    if share < 0.5 { 0.92 } else { 0.985 }
}

impl ShareTest {
    /// What a target asks of the share, if it asks for any.
    #[must_use]
    pub fn of(target: &Target) -> Option<Self> {
        let floor = target.share.filter(|floor| floor.least > 0.0)?;
        let trimmed = floor.counted == Counted::Trimmed;
        let windows = trimmed.then(|| LeastWindows::new(within_windows(floor.least) * floor.least, &target.hands));
        Some(Self { windows, ..Self::plain(floor) })
    }

    /// Without tables of windows.
    fn plain(floor: ShareFloor) -> Self {
        let deviations_above = normal_below_which(floor.least.min(1.0 - 1e-9));
        let in_time = floor.least.min(1.0 - 1e-9) - ASIDE;
        Self {
            floor,
            deviations: deviations_within(floor.least),
            deviations_above,
            deviations_in_time: (in_time > 0.5).then(|| normal_below_which(in_time)),
            windows: None,
        }
    }

    /// Least windows within which enough flies that are cut can end; `None` where flies are left alone.
    #[must_use]
    pub fn windows(&self) -> Option<&LeastWindows> {
        self.windows.as_ref()
    }

    /// Standard deviations of how well its sink rate is known by which the fly in the middle is in time at least; `None` where few are
    /// enough for that to say nothing.
    #[must_use]
    pub fn deviations_in_time(&self) -> Option<f64> {
        self.deviations_in_time
    }

    /// The least share that passes.
    #[must_use]
    pub fn least(&self) -> f64 {
        self.floor.least
    }

    /// See [`deviations_within`].
    #[must_use]
    pub fn deviations(&self) -> f64 {
        self.deviations
    }

    /// Standard deviations by which the mean of a normal lies above what so large a share of it exceeds.
    #[must_use]
    pub fn deviations_above(&self) -> f64 {
        self.deviations_above
    }

    /// Whether a fly may pass, by the hang alone and without working out its share: false is certain.
    #[must_use]
    pub fn may_pass(&self, fly: &Fly, target: &Target) -> bool {
        Tried::new(self, fly, target).may_pass()
    }

    /// Whether too few get down to a depth in time on a tight line, without following any: true is certain.
    #[must_use]
    pub fn clearly_too_few_in_time(&self, fly: &Fly, target: &Target) -> bool {
        let known = self.deviations_in_time.filter(|_| target.fall.reach.is_some());
        known.is_some_and(|off| Tried::new(self, fly, target).clearly_too_few_in_time(off))
    }

    /// The share that is counted, where it is no less than the floor. What takes a history is left to the end: the share without
    /// it is no less. [`Self::may_pass`] costs a fraction of it.
    #[must_use]
    pub fn passed(&self, fly: &Fly, target: &Target) -> Option<f64> {
        let quick = self.passed_but_for_histories(fly, target)?;
        if target.fall.takes_a_history() { self.passed_in_time(fly, target) } else { Some(quick) }
    }

    /// The same without what takes a history.
    #[must_use]
    pub fn passed_but_for_histories(&self, fly: &Fly, target: &Target) -> Option<f64> {
        Tried::new(self, fly, target).counted_above(Detail::NoHistory, self.floor.least)
    }

    /// The same with all of it, of a fly that passed without.
    #[must_use]
    pub fn passed_in_time(&self, fly: &Fly, target: &Target) -> Option<f64> {
        Tried::new(self, fly, target).counted_above(Detail::Whole, self.floor.least)
    }
}

/// A fly held against a test.
struct Tried<'t, 'f> {
    test: &'t ShareTest,
    target: &'t Target,
    spreads: Vec<Spread>,
    tied: AsTied<'f>,
}

impl<'t, 'f> Tried<'t, 'f> {
    fn new(test: &'t ShareTest, fly: &Fly<'f>, target: &'t Target) -> Self {
        Self { test, target, spreads: spreads_for(fly, target), tied: AsTied::new(*fly, &target.conditions) }
    }

    fn as_tied(&self, detail: Detail) -> f64 {
        Asked::of(&self.tied, &self.spreads, &Deviation::NONE, self.target, detail).share()
    }

    fn trimming(&self, detail: Detail) -> Option<Trimming<'f>> {
        let aim = self.aim()?;
        Some(()).filter(|()| !self.too_few_in_time(&aim.base, detail))?;
        Trimming::towards(aim, &self.tied, &self.spreads, self.target, detail)
    }

    /// To what its foam is cut, where that counts.
    fn aim(&self) -> Option<Aim<'f>> {
        Some(())
            .filter(|()| self.test.floor.counted == Counted::Trimmed)
            .and_then(|()| Aim::of(&self.tied, self.target))
    }

    /// Whether too few of such flies meet what takes a history in time, by the history of the one in the middle alone.
    fn too_few_in_time(&self, base: &Deviation, detail: Detail) -> bool {
        let off = self.test.deviations_in_time.filter(|_| detail == Detail::Whole);
        off.is_some_and(|off| too_few_in_time(&self.tied, base, self.target, off))
    }

    fn clearly_too_few_in_time(&self, off: f64) -> bool {
        let clearly = |base: &Deviation| clearly_too_few_in_time(&self.tied, base, self.target, off);
        self.aim().is_none_or(|aim| clearly(&aim.base)) && clearly(&Deviation::NONE)
    }

    fn may_pass(&self) -> bool {
        let least = self.test.floor.least;
        // No share is more than that by the hang times that by how surely it sinks; the second costs a fraction of the first.
        let by_hang = |base: &Deviation| {
            sinks_at_most(&self.tied, base, self.target).share_by_hang(least, self.target.tolerance, false)
        };
        // Between two rates, more flies fail by that.
        let narrow = self.target.sink.is_some_and(|window| window.low.is_some() && window.high.is_some());
        let cut = || {
            let aim = self.aim()?;
            let base = aim.base;
            let known = if narrow { Some(by_hang(&base)?) } else { None };
            let trimming = Trimming::towards(aim, &self.tied, &self.spreads, self.target, Detail::Hang)?;
            let at_most = trimming.at_most(self.test.windows.as_ref());
            let by_hang = if at_most < least { None } else { known.or_else(|| by_hang(&base)) }?;
            if at_most < by_hang {
                return Some(false);
            }
            let followed = trimming.followed_at_most();
            let joint =
                |followed: CutOrNot| match trimming.sinking_once_cut(&self.tied, &self.spreads, &base, self.target) {
                    Some(sinking) => followed.cut * sinking + followed.uncut,
                    None => followed.whole(),
                };
            Some(followed.whole() >= by_hang && (!narrow || joint(followed) >= least))
        };
        cut() == Some(true)
            || by_hang(&Deviation::NONE).is_some_and(|least| self.as_tied(Detail::Hang) + INTEGRATION_SLACK >= least)
    }

    /// The share that is counted, if it is no less than the floor; a rough share rules most others out.
    fn counted_above(&self, detail: Detail, floor: f64) -> Option<f64> {
        let trimmed = self.trimming(detail).and_then(|mut trimming| {
            trimming.settle();
            (trimming.rough_share() + ROUGHLY >= floor).then(|| trimming.share())
        });
        // Most are far surer trimmed than left alone: then the hang of those left alone says enough.
        let alone =
            self.as_tied(Detail::Hang) + INTEGRATION_SLACK >= floor && !self.too_few_in_time(&Deviation::NONE, detail);
        let as_tied = Some(()).filter(|()| alone).map(|()| self.as_tied(detail)).filter(|share| *share >= floor);
        let trimmed = trimmed.filter(|share| *share >= floor);
        match (trimmed, as_tied) {
            (Some(trimmed), Some(as_tied)) => Some(trimmed.max(as_tied)),
            (trimmed, as_tied) => trimmed.or(as_tied),
        }
    }
}

/// The same for a single fly, whose floor is not worth much preparation.
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
