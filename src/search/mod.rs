//! The search: the best recipes that meet a target, exactly.
//!
//! **Space.** For every hook that the target leaves: every front (bead on its mount, or none) x every wire, number of
//! turns and start position (or none) x every foam stock, cut, seat and length (or none), on the grid of the target and
//! of the bare hook. What does not fit (a drilled bead on a jig neck, wraps longer than the shank that a bead leaves)
//! counts as part of the space and is dropped as such. [`exhaustive`] tries them all.
//!
//! **Nodes.** A node is a set of recipes on one hook: a run of beads of like weight (against the eye, or on a run of
//! pins), a run of wires or one wire within ranges of turns and starts, a run of foam families or one family within a
//! range of lengths. Splitting a run or a range in two gives two nodes that together hold the same recipes and no
//! recipe twice. The group that leaves most open is split first: by the price that the multipliers put on its ranges of weight and
//! moment.
//!
//! **Exactness.** A node is dropped only when none of its recipes can enter the answer:
//! - it cannot meet the target: [`bounds`] gives ranges that hold the weight, mass, turning moments and drag of each of its
//!   recipes (sums of ranges of its groups; a run's range is the hull of its members'), and shows that no point of them
//!   meets the target; every bound is loosened by far more than rounding; or nothing of it fits. What is single is bounded
//!   by itself: its moments, the hook that it leaves bare, its drag at one length;
//! - too few flies of any of its recipes come out right, where a share of them is asked: [`bounds::firmness`];
//! - none of its recipes can come before the K-th best found (the cutoff; the K best so far are the incumbents), by
//!   [`rank::Ranking::order`]: its cheapest lies in a dearer step of prices, or in the same one and none is of a surer class of
//!   shares, nor of the same class and steadier, nor as steady with a wider margin. The K-th best found is never better than the
//!   K-th best of all, and the order is total. Its cheapest recipe costs no less than the sum of the cheapest of each group,
//!   nor, if it meets the target, than its Lagrangian bound (`bounds::lagrange`): price less the multipliers of what the target
//!   asks for times what the node has of it (weak duality). A margin bounds the hang and the sink rate: see
//!   [`bounds::Bounds::narrowed`].
//!
//! Of one wire or one foam family, the turns and lengths at which no recipe of the node can hang or sink so are left out
//! at once: what a group adds must make up for what all others, at their best, lack; weight goes with the turns, weight
//! and moment of foam are quadratics in its length.
//!
//! What is left is judged one by one with [`crate::assess::judge`], the evaluation that every command uses, and ranked
//! by [`rank::Ranking::order`]. So the answer is that of the exhaustive search, in the same order, whatever the order of the
//! search. Requirements without a bound here are simply judged at the end; that is slower, never wrong. When recipes
//! too much alike are listed once, the best of each kind counts: K different kinds better than a node shut it out just
//! the same.
//!
//! **What takes a history in time** (a time to a depth, a dive, a sink rate on a slack line) is judged last, at single
//! recipes only, and only at those that would enter the list: everything else has been judged, the cost is known, and
//! the margin so far is the most that the recipe can have, so one that would not enter with it does not enter without.
//! Two quick tests come before the history, with their proofs, in `crate::assess`. Where nothing in the space meets
//! such a requirement, every recipe that meets all others is followed in time: that can be minutes.
//!
//! **Hard questions.** Where many recipes were judged in vain, it looks ahead: the same search, for a while, with sets held to a surer
//! share than is asked. What it judges is counted there alone; what it finds meets the target and enters the list early.
//!
//! **Several dressings on one base** ([`crate::wanted::Choice::each`]). A recipe of the space is then a base in its first dressing. It
//! meets the target when it does under every dressing, and its margin, lever and share are the least of all; its price is that in
//! the first. Each dressing has bounds of its own: what cannot meet the target under one does not meet it under each, no least of
//! several margins, levers or shares is above that under one, and a price is bounded by what meets the target under one. So a
//! node is dropped when the bounds of any dressing drop it, and no node is that holds a recipe of the answer. Lengths of foam are
//! those that fit under every dressing; how much longer it may be left for the jar goes by the dressing. Single recipes are
//! judged under all: hang and sink rate of each before any share, histories last.
//!
//! **Order, memory and threads.** The queue gives the cheapest node first, so the search opens hardly a node that costs
//! more than the answer; among nodes of one price it goes hook by hook, so that the tables of few hooks are in use at a
//! time: those out of use are let go and made again, alike, when they are asked for. A long queue is dug down. It works in
//! rounds: so many nodes are opened at once, each from the same cutoff and for a fixed number of splits, and the results
//! are merged in order. Which nodes form a round depends on earlier rounds alone, so the answer and every count are the
//! same for any number of threads.

pub mod bounds;
mod branching;
mod certificate;
pub mod exhaustive;
pub mod explain;
pub(crate) mod patience;
pub mod rank;
pub mod refine;
pub mod space;
pub mod tariff;
mod wish;

pub use branching::Accept;
pub use certificate::{Found, Observer, Progress, Pruned, Tally, Unwatched};
pub use wish::Wish;

use crate::catalog::Catalog;
use crate::wanted::Target;
use branching::Engine;
use rank::Ranking;
use tariff::Tariff;

/// The best recipes that meet the target, exactly, in order.
#[must_use]
pub fn search<'a>(catalog: &'a Catalog, target: &Target, wish: Wish, observer: &dyn Observer) -> Found<'a> {
    search_by(catalog, target, &Tariff::Material, wish, observer)
}

/// The best recipes by another tariff than the cost of their material, exactly, in order.
#[must_use]
pub fn search_by<'a>(
    catalog: &'a Catalog,
    target: &Target,
    tariff: &Tariff,
    wish: Wish,
    observer: &dyn Observer,
) -> Found<'a> {
    Engine::new(catalog, target, tariff, wish).run(observer)
}

/// The same among recipes that are something else besides; `accept` is asked of single recipes only.
#[must_use]
pub fn search_accepted<'a>(
    catalog: &'a Catalog,
    target: &Target,
    tariff: &Tariff,
    wish: Wish,
    accept: Accept,
    observer: &dyn Observer,
) -> Found<'a> {
    Engine::new(catalog, target, tariff, wish).accepting(accept).run(observer)
}

/// The best recipes in another order than by the cent and the margin, among those that are something else besides.
#[must_use]
pub fn search_ranked<'a>(
    catalog: &'a Catalog,
    target: &Target,
    (tariff, ranking): (&Tariff, Ranking),
    wish: Wish,
    accept: Accept,
    observer: &dyn Observer,
) -> Found<'a> {
    Engine::new(catalog, target, tariff, wish).ranked(ranking).accepting(accept).run(observer)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::Kind;
    use crate::purchase::{Allowance, Amounts, PartId};
    use crate::quantity::{Angle, Length};
    use crate::search::rank::Variety;
    use crate::wanted::TargetSpec;
    use tariff::PackTariff;

    /// A few parts of every kind.
    fn thinned(offset: usize) -> Catalog {
        let mut catalog = Catalog::built_in().expect("built-in");
        let mut at = 0;
        let mut every = |n: usize| {
            at += 1;
            (at + offset).is_multiple_of(n)
        };
        catalog.hooks.retain(|h| h.size == 8 || h.size == 12);
        catalog.hooks.retain(|_| every(7));
        catalog.beads.retain(|_| every(13));
        catalog.pins.retain(|_| every(2));
        catalog.pins.iter_mut().for_each(|p| p.projections.retain(|_| every(3)));
        catalog.wires.retain(|_| every(8));
        catalog.foams.retain(|_| every(5));
        catalog
    }

    fn check(offset: usize, wish: Wish, change: impl Fn(&mut TargetSpec)) {
        let catalog = thinned(offset);
        let mut spec = TargetSpec {
            foam_step: Some(Length::from_mm(7.0)),
            wrap_step: Some(Length::from_mm(10.0)),
            tolerance: Some(Angle::from_deg(12.0)),
            rides: Some("either".into()),
            ..TargetSpec::default()
        };
        change(&mut spec);
        let (target, _) = spec.resolve(&catalog).expect("sound");
        let fast = search(&catalog, &target, wish, &Unwatched);
        let (slow, count) = exhaustive::exhaustive(&catalog, &target, wish);
        assert_eq!(fast.candidates, slow.list(), "offset {offset} {spec:?}");
        assert!(fast.space >= count && fast.tally.total() == fast.space);
        assert!(fast.tally.evaluated <= count);
    }

    #[test]
    fn by_outlay_it_equals_the_exhaustive_search_too() {
        for (offset, flies) in [(0, 1), (1, 12), (0, 30)] {
            let catalog = thinned(offset);
            let spec = TargetSpec {
                foam_step: Some(Length::from_mm(7.0)),
                wrap_step: Some(Length::from_mm(10.0)),
                tolerance: Some(Angle::from_deg(12.0)),
                rides: Some("either".into()),
                ..TargetSpec::default()
            };
            let (target, _) = spec.resolve(&catalog).expect("sound");
            let mut owned = Amounts::new();
            for (i, (kind, row)) in
                Kind::ALL.into_iter().flat_map(|k| catalog.rows(k).into_iter().map(move |r| (k, r))).enumerate()
            {
                if i % 3 == offset {
                    owned.add(PartId::new(kind, &row.id), row.pack.unit.content() * (i as u64 % 5) / 40);
                }
            }
            let tariff = Tariff::Packs(PackTariff::new(flies, owned, Allowance::default()));
            for variety in [Variety::Every, Variety::Parts] {
                let wish = Wish { top: 6, variety };
                let fast = search_by(&catalog, &target, &tariff, wish, &Unwatched);
                let (slow, _) = exhaustive::exhaustive_by(&catalog, &target, &tariff, wish);
                assert_eq!(fast.candidates, slow.list(), "offset {offset} flies {flies}");
                assert!(!fast.candidates.is_empty());
            }
        }
    }

    #[test]
    fn equals_the_exhaustive_search() {
        for offset in 0..2 {
            for variety in [Variety::Every, Variety::Bead] {
                let wish = Wish { top: 4, variety };
                check(offset, wish, |_| {});
                check(offset, wish, |s| s.knot = Some("snug".into()));
                check(offset, wish, |s| {
                    s.sink = Some("0.2..0.3 m/s".parse().expect("a range"));
                    s.hang = Some(Angle::from_deg(25.0));
                });
                check(offset, wish, |s| {
                    s.hang = Some(Angle::from_deg(-10.0));
                    s.knot = Some("snug".into());
                    s.tippet = Some(Length::from_mm(0.12));
                    s.sink = Some("<=0.35 m/s".parse().expect("a limit"));
                });
            }
        }
    }
}
