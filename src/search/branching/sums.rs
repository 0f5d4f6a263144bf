//! What a node adds up to, and what that rules out.

use crate::search::bounds::contribution::Contribution;
use crate::search::bounds::lagrange::least_price;
use crate::search::bounds::{Bounds, Narrowed, PerWindow, either};
use crate::search::rank::{Cutoff, SUREST, steps_of_lever};
use crate::search::space::node::{Context, Contributions, Groups};
use crate::search::space::shelf::End;
use crate::wanted::Target;
use std::cell::Cell;

/// What a node adds up to, at both ends of a range of depths where one is asked.
pub(super) struct Sums {
    pub(super) deep: Contribution,
    shallow: Option<Contribution>,
    /// The surest class of share that was looked at, and the windows in which none hangs and is of it.
    surest: Cell<Option<(u8, PerWindow)>>,
}

impl Sums {
    pub(super) fn new(context: &Context, shares: &Contributions, groups: &Groups) -> Self {
        let shallow = context.tables.bounds.has_range().then(|| context.total(shares, groups, End::Shallow));
        Self { deep: context.total(shares, groups, End::Deep), shallow, surest: Cell::new(None) }
    }

    fn both(&self) -> (&Contribution, Option<&Contribution>) {
        (&self.deep, self.shallow.as_ref())
    }

    pub(super) fn ends(&self) -> impl Iterator<Item = (End, &Contribution)> {
        std::iter::once((End::Deep, &self.deep)).chain(self.shallow.as_ref().map(|total| (End::Shallow, total)))
    }

    /// Windows in which none hangs, too few come out right for the target, or for a class of share to which sets are held, or all are
    /// held off their hang too far by friction.
    pub(super) fn too_loose(&self, context: &Context, target: &Target, held_to: Option<u8>) -> PerWindow {
        either(context.tables.bounds.unsteady(&self.deep), self.loose(context, target, held_to.unwrap_or(0)))
    }

    pub(super) fn any(&self, out: impl Fn(&Contribution) -> bool) -> bool {
        self.ends().any(|(_, total)| out(total))
    }

    /// Windows in which no hang is possible at one end or the other.
    pub(super) fn hang_out(&self, bounds: &Bounds) -> PerWindow {
        let at = |total: &Contribution| bounds.hang_out(&total.turning, total.weight);
        self.shallow.as_ref().map_or_else(
            || at(&self.deep),
            |shallow| either(either(at(&self.deep), at(shallow)), bounds.swing_out(&self.deep.swing)),
        )
    }

    /// Windows in which no hang is possible, with the sink rate or without.
    pub(super) fn jointly_out(&self, bounds: &Bounds) -> PerWindow {
        self.ends()
            .fold(self.hang_out(bounds), |out, (_, total)| either(out, bounds.jointly_out(&total.joint, total.drag)))
    }

    /// Whether none is of a class of share, or surer.
    pub(super) fn none_of_class(&self, context: &Context, target: &Target, class: u8) -> bool {
        self.loose(context, target, class) == [true; 2]
    }

    /// Windows in which none hangs and comes out right often enough for the target, and for a class of share.
    fn loose(&self, context: &Context, target: &Target, class: u8) -> PerWindow {
        if class > SUREST || (class > 0 && target.share.is_none()) {
            return [true; 2];
        }
        let (bounds, ladder) = (&context.tables.bounds, &context.shelf.ladder);
        let surest = self.surest.get();
        // Where some may be of a surer class, some may be of this one.
        let some = |k: usize| surest.is_some_and(|(surest, out)| surest >= class && !out[k]);
        if let Some((_, out)) = surest.filter(|(surest, _)| *surest == class) {
            return out;
        }
        let (hang_out, test) = (self.hang_out(bounds), ladder.test(target, class));
        let harder = |share: f64| ladder.for_share(target, share);
        let out = std::array::from_fn(|k| hang_out[k] || (!some(k) && bounds.loose(k, self.both(), test, harder)));
        if surest.is_none_or(|(surest, _)| surest < class) {
            self.surest.set(Some((class, out)));
        }
        out
    }

    /// Whether enough flies that are left alone may come out right for the target, and for a class of share.
    pub(super) fn may_be_left_alone(&self, context: &Context, target: &Target, class: u8) -> bool {
        let (bounds, ladder) = (&context.tables.bounds, &context.shelf.ladder);
        let (hang_out, test) = (self.hang_out(bounds), ladder.test(target, class));
        let harder = |share: f64| ladder.for_share(target, share);
        (0..2).any(|k| !hang_out[k] && !bounds.missed((k, false), self.both(), test, harder))
    }

    /// Whether none is surer than what stands behind a bar, nor as sure and steadier, nor as sure and steady with more margin.
    pub(super) fn no_surer(&self, context: &Context, target: &Target, bar: &Cutoff) -> bool {
        let bounds = &context.tables.bounds;
        let loose = |class: u8| self.loose(context, target, class);
        if loose(bar.class + 1) != [true; 2] {
            return false;
        }
        // A little more, for rounding: what lies on the edge of a step may count as the next.
        let steps = |k: usize| steps_of_lever(bounds.greatest_lever(k, &self.deep) * (1.0 + 1e-9));
        let no_better = loose(bar.class);
        let with = |out: PerWindow| either(no_better, out) == [true; 2];
        with(bounds.each_window(|k| steps(k) < bar.steps_of_lever))
            || (with(bounds.each_window(|k| steps(k) <= bar.steps_of_lever))
                && self.narrowed_out(bounds, &bounds.narrowed(bar.margin)))
    }

    /// Whether none hangs and sinks within narrowed windows.
    pub(super) fn narrowed_out(&self, bounds: &Bounds, narrowed: &Narrowed) -> bool {
        self.any(|total| {
            bounds.hang_narrowed_out(&total.turning, total.weight, narrowed)
                || bounds.sink_narrowed_out(total.weight, total.drag, narrowed)
        })
    }

    /// Whether none gets down in time.
    pub(super) fn too_slow_down(&self, bounds: &Bounds) -> bool {
        if bounds.descent().is_none() {
            return false;
        }
        let out = bounds.each_window(|k| bounds.too_slow_down(k, &self.deep));
        either(out, self.hang_out(bounds)) == [true; 2]
    }
}

/// A price that stands for none: what cannot meet the target has no bound. A thousand million, in millionths.
const DEAREST: f64 = 1e15;

/// No recipe of a node with this sum that meets the target costs less, millionths.
pub(super) fn least_cost(context: &Context, sums: &Sums) -> i64 {
    let tables = context.tables;
    let dual_bound = least_price(&sums.deep, sums.shallow.as_ref(), &tables.multiplier_sets, &tables.bounds);
    sums.deep.price.max(dual_bound.ceil().min(DEAREST) as i64)
}
