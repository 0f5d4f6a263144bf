//! Single recipes, judged: what is cheap to find out first.

use super::Engine;
use super::open_hooks::OpenHooks;
use crate::assess::{Judgement, clearly_missed_in_time, judge_history, judge_quick_if};
use crate::fly::Fly;
use crate::search::rank::{Candidate, Cutoff, Incumbents, cents};
use crate::spread::shares::ShareTest;
use crate::wanted::{Line, Target};

/// A way of a test to work out the share of a fly.
type Passed = for<'t> fn(&ShareTest, &Fly<'t>, &Target) -> Option<f64>;

impl<'a> Engine<'_, 'a> {
    /// A recipe that meets the target and may enter the list. What is cheap to find out is asked first; what takes a history
    /// in time, and the share of flies that come out right, only of what would enter the list with all else as it is.
    pub(super) fn judged(
        &self,
        open_hooks: &OpenHooks<'_, 'a>,
        fly: Fly<'a>,
        (best, bars): (&Incumbents<'a>, [Option<Cutoff>; 2]),
    ) -> Option<Candidate<'a>> {
        let shelf = &open_hooks.shelf;
        // On a tight line a quick test of the way down costs less than a share, on a slack one more.
        let tight = self.target.fall.line == Line::Tight;
        let mut test = None;
        let quick = judge_quick_if(&fly, self.target, |judgement| {
            let Some(class) = self.least_class(&candidate(open_hooks, fly, *judgement), best, bars) else {
                return false;
            };
            test = if self.ranking.surer { shelf.ladder.test(self.target, class) } else { shelf.share_test.as_ref() };
            // Without a share, nothing is of a surer class.
            (class == 0 || self.target.share.is_some())
                && !(tight && self.clearly_missed_in_time(test, &fly))
                && test.is_none_or(|test| self.may_pass(test, &fly))
        })?;
        let quick = candidate(open_hooks, fly, quick);
        self.least_class(&quick, best, bars)?;
        let share = |passed: Passed| {
            Some(match test {
                Some(test) => Some(self.target.least_under_each(&fly, |fly| passed(test, fly, self.target))?),
                None => None,
            })
        };
        let but_for_histories = share(ShareTest::passed_but_for_histories)?;
        if !tight && self.clearly_missed_in_time(test, &fly) {
            return None;
        }
        let judgement = judge_history(&fly, self.target, quick.judgement)?;
        let in_time = self.target.fall.takes_a_history();
        let share = if in_time { share(ShareTest::passed_in_time)? } else { but_for_histories };
        (self.accept)(&fly).then(|| Candidate { share, ..candidate(open_hooks, fly, judgement) })
    }

    /// Whether the fly, or too few of its flies, meet what takes a history in time under each dressing, without following any: true is
    /// certain.
    fn clearly_missed_in_time(&self, test: Option<&ShareTest>, fly: &Fly) -> bool {
        let target = self.target;
        let mut flies = std::iter::once(*fly).chain(target.also(fly));
        clearly_missed_in_time(fly, target)
            || test.is_some_and(|test| flies.any(|fly| test.clearly_too_few_in_time(&fly, target)))
    }

    /// Whether enough flies may come out right under each dressing: false is certain.
    fn may_pass(&self, test: &ShareTest, fly: &Fly) -> bool {
        test.may_pass(fly, self.target) && self.target.also(fly).all(|other| test.may_pass(&other, self.target))
    }

    /// The least class of share with which a recipe enters; `None`: with none at all.
    fn least_class(&self, candidate: &Candidate<'a>, best: &Incumbents<'a>, bars: [Option<Cutoff>; 2]) -> Option<u8> {
        if self.wish.variety.by_price_alone() {
            let dear = bars[0].is_some_and(|bar| self.too_dear(cents(candidate.price), &bar));
            return Some(0).filter(|_| !dear && best.would_take(candidate));
        }
        let of_bars = bars.into_iter().flatten().map(|bar| bar.least_class(candidate, &self.ranking));
        of_bars.chain([best.least_class(candidate)]).try_fold(0, |most, class| Some(class?.max(most)))
    }
}

fn candidate<'a>(open_hooks: &OpenHooks<'_, 'a>, fly: Fly<'a>, judgement: Judgement) -> Candidate<'a> {
    Candidate { fly, judgement, price: open_hooks.price(&fly, judgement.cost), share: None }
}
