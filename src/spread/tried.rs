//! A fly held against a floor under the share of flies that come out right: quick tests first, each of which turns away with certainty,
//! then the share itself ([`mod@super::shares`]).

use super::at_most::CutOrNot;
use super::draws::{Spread, spreads_for};
use super::forms::{Asked, Detail, clearly_too_few_in_time, too_few_in_time};
use super::share_test::ShareTest;
use super::sinks::sinks_at_most;
use super::trimming::{Aim, ROUGHLY, Trimming};
use crate::fly::{AsTied, Deviation, Fly};
use crate::wanted::{Counted, Target};

/// What numerical integration of a share of flies left alone may err by: over a range of depths, pairs of its figures go together.
const OF_MANY_FIGURES: f64 = 6e-3;

/// A fly held against a test.
#[derive(Debug)]
pub struct Tried<'t, 'f> {
    test: &'t ShareTest,
    target: &'t Target,
    spreads: Vec<Spread>,
    tied: AsTied<'f>,
    /// How it is trimmed, asked for its hang alone, once that is known.
    trimming: Option<Trimming<'f>>,
    /// Too few come out right once trimmed, clearly so.
    too_few: bool,
    /// Enough may come out right where they are left alone.
    alone: bool,
}

impl ShareTest {
    /// A fly held against it.
    #[must_use]
    pub fn tried<'t, 'f>(&'t self, fly: &Fly<'f>, target: &'t Target) -> Tried<'t, 'f> {
        Tried::new(self, fly, target)
    }

    /// The share that is counted, where it is no less than the floor. What takes a history is left to the end: the share without
    /// it is no less. [`Tried::may_pass`] costs a fraction of it.
    #[must_use]
    pub fn passed(&self, fly: &Fly, target: &Target) -> Option<f64> {
        let mut tried = self.tried(fly, target);
        let quick = tried.passed_but_for_histories()?;
        if target.fall.takes_a_history() { tried.passed_in_time() } else { Some(quick) }
    }
}

impl<'t, 'f> Tried<'t, 'f> {
    fn new(test: &'t ShareTest, fly: &Fly<'f>, target: &'t Target) -> Self {
        let tied = AsTied::new(*fly, &target.conditions);
        Self { test, target, spreads: spreads_for(fly, target), tied, trimming: None, too_few: false, alone: true }
    }

    /// The same where it is known whether enough may come out right left alone: else that is not looked at.
    #[must_use]
    pub fn left_alone(self, alone: bool) -> Self {
        Self { alone, ..self }
    }

    /// Whether it may pass, by the hang alone and without working out its share: false is certain.
    pub fn may_pass(&mut self) -> bool {
        self.too_few = self.trimming_that_may_pass().is_none();
        let left_alone = || {
            let (least, base) = (self.test.least(), Deviation::NONE);
            self.alone
                && self.as_tied(Detail::Hang) + OF_MANY_FIGURES >= least
                && sinks_at_most(&self.tied, &base, self.target).share_by_hang_alone(least).is_some()
        };
        !self.too_few || left_alone()
    }

    /// Whether too few get down to a depth in time on a tight line, without following any: true is certain.
    #[must_use]
    pub fn clearly_too_few_in_time(&self) -> bool {
        let Some(off) = self.test.deviations_in_time().filter(|_| self.target.fall.reach.is_some()) else {
            return false;
        };
        let clearly = |base: &Deviation| clearly_too_few_in_time(&self.tied, base, self.target, off);
        self.aim().is_none_or(|aim| clearly(&aim.base)) && clearly(&Deviation::NONE)
    }

    /// The share that is counted, where it is no less than the floor, without what takes a history.
    pub fn passed_but_for_histories(&mut self) -> Option<f64> {
        self.counted_above(Detail::NoHistory)
    }

    /// The same with all of it, of a fly that passed without.
    pub fn passed_in_time(&mut self) -> Option<f64> {
        self.counted_above(Detail::Whole)
    }

    fn as_tied(&self, detail: Detail) -> f64 {
        Asked::of(&self.tied, &self.spreads, &Deviation::NONE, self.target, detail).share()
    }

    /// To what its foam is cut, where that counts.
    fn aim(&self) -> Option<Aim<'f>> {
        Some(()).filter(|()| self.test.counted() == Counted::Trimmed).and_then(|()| Aim::of(&self.tied, self.target))
    }

    /// The share that must hang as wanted, of flies near `base`; `None` where no hang is enough. No share is more than that by the hang
    /// times that by how surely it sinks; the second costs a fraction of the first.
    fn by_hang(&self, base: &Deviation) -> Option<f64> {
        let target = self.target;
        sinks_at_most(&self.tied, base, target).share_by_hang(self.test.least(), target.tolerance, false)
    }

    /// How it is trimmed, kept, if enough may come out right so.
    fn trimming_that_may_pass(&mut self) -> Option<()> {
        let (least, target) = (self.test.least(), self.target);
        // Between two rates, more flies fail by that.
        let narrow = target.sink.is_some_and(|window| window.low.is_some() && window.high.is_some());
        let aim = self.aim()?;
        let base = aim.base;
        let known = if narrow { Some(self.by_hang(&base)?) } else { None };
        let trimming = Trimming::towards(aim, &self.tied, &self.spreads, target, Detail::Hang)?;
        let at_most = trimming.at_most(self.test.windows());
        if at_most < known.unwrap_or(least) {
            return None;
        }
        let followed = trimming.followed_at_most();
        if followed.whole() < least {
            return None;
        }
        let by_hang = known.or_else(|| self.by_hang(&base))?;
        let joint = |followed: CutOrNot| match trimming.sinking_once_cut(&self.tied, &self.spreads, &base, target) {
            Some(sinking) => followed.cut * sinking + followed.uncut,
            None => followed.whole(),
        };
        let enough = followed.whole() >= by_hang && (!narrow || joint(followed) >= least);
        enough.then(|| self.trimming = Some(trimming))
    }

    /// Whether too few of such flies meet what takes a history in time, by the history of the one in the middle alone.
    fn too_few_in_time(&self, base: &Deviation, detail: Detail) -> bool {
        let off = self.test.deviations_in_time().filter(|_| detail == Detail::Whole);
        off.is_some_and(|off| too_few_in_time(&self.tied, base, self.target, off))
    }

    /// Its share once trimmed, if it is no less than the floor; a rough share rules most others out.
    fn trimmed_above(&mut self, detail: Detail) -> Option<f64> {
        if self.too_few {
            return None;
        }
        let aim = self.aim()?;
        Some(()).filter(|()| !self.too_few_in_time(&aim.base, detail))?;
        let Self { tied, spreads, target, .. } = self;
        let mut trimming = match self.trimming.take() {
            Some(known) => known,
            None => Trimming::towards(aim, tied, spreads, target, Detail::Hang)?,
        };
        let least = self.test.least();
        let enough = |trimming: &Trimming| trimming.rough_share() + ROUGHLY >= least;
        trimming.settle();
        // By the hang alone, that costs a fraction of the rest.
        Some(()).filter(|()| enough(&trimming))?;
        trimming.ask(tied, spreads, target, detail);
        let share = Some(()).filter(|()| enough(&trimming)).map(|()| trimming.share())?;
        self.trimming = Some(trimming);
        Some(share).filter(|share| *share >= least)
    }

    /// The share that is counted, if it is no less than the floor.
    fn counted_above(&mut self, detail: Detail) -> Option<f64> {
        let trimmed = self.trimmed_above(detail);
        let floor = self.test.least();
        // Most are far surer trimmed than left alone: then the hang of those left alone says enough.
        let alone = self.alone
            && self.as_tied(Detail::Hang) + OF_MANY_FIGURES >= floor
            && !self.too_few_in_time(&Deviation::NONE, detail);
        let as_tied = Some(()).filter(|()| alone).map(|()| self.as_tied(detail)).filter(|share| *share >= floor);
        match (trimmed, as_tied) {
            (Some(trimmed), Some(as_tied)) => Some(trimmed.max(as_tied)),
            (trimmed, as_tied) => trimmed.or(as_tied),
        }
    }
}
