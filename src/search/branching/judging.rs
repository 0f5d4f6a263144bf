//! Single recipes, judged: what is cheap to find out first.

use super::Engine;
use super::open_hooks::OpenHooks;
use crate::assess::{Judgement, clearly_missed_in_time, judge_history, judge_quick_if};
use crate::fly::Fly;
use crate::search::rank::{Candidate, Cutoff, Incumbents, cents};
use crate::spread::tried::Tried;
use crate::wanted::Line;

impl<'a> Engine<'_, 'a> {
    /// A recipe that meets the target and may enter the list. What is cheap to find out is asked first; what takes a history
    /// in time, and the share of flies that come out right, only of what would enter the list with all else as it is. `alone`: whether
    /// enough of its flies may be of a class of share where they are left alone, by what is known of sets.
    pub(super) fn judged(
        &self,
        open_hooks: &OpenHooks<'_, 'a>,
        (fly, alone): (Fly<'a>, &dyn Fn(u8) -> bool),
        (best, bars): (&Incumbents<'a>, [Option<Cutoff>; 2]),
    ) -> Option<Candidate<'a>> {
        let shelf = &open_hooks.shelf;
        let target = self.target;
        // On a tight line a quick test of the way down costs less than a share, on a slack one more.
        let tight = target.fall.line == Line::Tight;
        let late = || clearly_missed_in_time(&fly, target);
        let mut tried: Vec<Tried> = Vec::new();
        let quick = judge_quick_if(&fly, target, |judgement| {
            let Some(class) = self.least_class(&candidate(open_hooks, fly, *judgement), best, bars) else {
                return false;
            };
            // Without a share, nothing is of a surer class.
            if (class > 0 && target.share.is_none()) || (tight && late()) {
                return false;
            }
            let test = if self.ranking.surer { shelf.ladder.test(target, class) } else { shelf.share_test.as_ref() };
            let Some(test) = test else { return true };
            tried.push(test.tried(&fly, target).left_alone(alone(class)));
            tried.extend(target.also(&fly).map(|fly| test.tried(&fly, target)));
            !(tight && tried.iter().any(Tried::clearly_too_few_in_time)) && tried.iter_mut().all(Tried::may_pass)
        })?;
        let quick = candidate(open_hooks, fly, quick);
        self.least_class(&quick, best, bars)?;
        let mut share = least_of(&mut tried, Tried::passed_but_for_histories)?;
        if !tight && (late() || tried.iter().any(Tried::clearly_too_few_in_time)) {
            return None;
        }
        let judgement = judge_history(&fly, target, quick.judgement)?;
        if target.fall.takes_a_history() {
            share = least_of(&mut tried, Tried::passed_in_time)?;
        }
        (self.accept)(&fly).then(|| Candidate { share, ..candidate(open_hooks, fly, judgement) })
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

/// The least share under all dressings; `None`: too few under one of them.
fn least_of<'t, 'f>(
    tried: &mut [Tried<'t, 'f>],
    mut share: impl FnMut(&mut Tried<'t, 'f>) -> Option<f64>,
) -> Option<Option<f64>> {
    tried.iter_mut().try_fold(None, |least: Option<f64>, tried| {
        let share = share(tried)?;
        Some(Some(least.map_or(share, |least| least.min(share))))
    })
}
