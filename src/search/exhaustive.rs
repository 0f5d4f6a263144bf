//! The slow, obvious search: try everything. An oracle for the fast one, and its measure.

use super::Wish;
use super::rank::{Candidate, Incumbents, Ranking};
use super::space::{self, Front, HookSpace};
use super::tariff::Tariff;
use crate::assess::judge;
use crate::catalog::Catalog;
use crate::fly::{Fly, FoamPiece, Wraps, first_misfit};
use crate::spread::shares::share_counted;
use crate::wanted::Target;

/// Every recipe of the space that fits, until `visit` says no.
pub fn walk<'a>(catalog: &'a Catalog, target: &Target, visit: &mut dyn FnMut(&Fly<'a>) -> bool) {
    for space in space::spaces(catalog, target) {
        for &front in &space.fronts {
            for wraps in all_wraps(&space, front, target) {
                for foam in all_foam(&space, target) {
                    let fly = space::fly(&space, front, wraps, foam);
                    if first_misfit(&fly, &target.limits).is_none() && !visit(&fly) {
                        return;
                    }
                }
            }
        }
    }
}

/// Every recipe of the space, judged one by one; returns the best and how many fit.
#[must_use]
pub fn exhaustive<'a>(catalog: &'a Catalog, target: &Target, wish: Wish) -> (Incumbents<'a>, u64) {
    exhaustive_by(catalog, target, &Tariff::Material, wish)
}

/// The same by another tariff.
#[must_use]
pub fn exhaustive_by<'a>(catalog: &'a Catalog, target: &Target, tariff: &Tariff, wish: Wish) -> (Incumbents<'a>, u64) {
    exhaustive_ranked(catalog, target, (tariff, Ranking::default()), wish)
}

/// The same in another order.
#[must_use]
pub fn exhaustive_ranked<'a>(
    catalog: &'a Catalog,
    target: &Target,
    (tariff, ranking): (&Tariff, Ranking),
    wish: Wish,
) -> (Incumbents<'a>, u64) {
    let mut best = Incumbents::new(wish.top, wish.variety).ranked(ranking);
    let mut count = 0;
    walk(catalog, target, &mut |fly| {
        count += 1;
        if let Some(judgement) = judge(fly, target) {
            let asked = target.share.filter(|floor| floor.least > 0.0);
            let share = asked.map(|floor| {
                let least = target.least_under_each(fly, |fly| Some(share_counted(fly, target, &floor)));
                (least.unwrap_or(0.0), floor.least)
            });
            if share.is_none_or(|(share, least)| share >= least) {
                let share = share.map(|(share, _)| share);
                best.offer(Candidate { fly: *fly, judgement, price: tariff.price(fly), share });
            }
        }
        true
    });
    (best, count)
}

/// Every wire, count and start that could lie on the hook at all; what does not fit behind this front is sorted out later.
fn all_wraps<'a>(space: &HookSpace<'a>, front: Front, target: &Target) -> Vec<Option<Wraps<'a>>> {
    let free = crate::fly::free_shank(space.hook, front);
    let mut list = Vec::new();
    if space.without_wire {
        list.push(None);
    }
    for &wire in &space.wires {
        for turns in space::least_turns(wire).. {
            if f64::from(turns) * wire.diameter > free.1 - free.0 + wire.diameter {
                break;
            }
            for step in 0.. {
                let start = space::multiple(target.grid.start, step);
                if start.m() > free.1 - free.0 {
                    break;
                }
                list.push(Some(Wraps { wire, turns, start }));
            }
        }
    }
    list
}

fn all_foam<'a>(space: &HookSpace<'a>, target: &Target) -> Vec<Option<FoamPiece<'a>>> {
    let mut list = Vec::new();
    if space.without_foam {
        list.push(None);
    }
    let longest = 4.0 * space.hook.shank_length.max(1e-3);
    for family in &space.foams {
        for step in 1.. {
            let length = space::multiple(target.grid.foam, step);
            if length.m() > longest {
                break;
            }
            list.push(Some(family.piece(length)));
        }
    }
    list
}
