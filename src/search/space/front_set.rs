//! What sits at the front of a hook, as sets: what it adds, and what it leaves of the shank.

use crate::fly::{self, practice};
use crate::part::Hook;
use crate::search::bounds::DragRange;
use crate::search::bounds::contribution::Contribution;
use crate::search::bounds::lagrange;
use crate::search::bounds::range::Range;
use crate::search::space::front::{FrontContribution, FrontSet, SLACK};
use crate::search::space::node::Context;
use crate::search::space::shelf::{BeadHull, PinHull};

impl Context<'_, '_> {
    pub(in crate::search) fn front_contribution(&self, front: FrontSet) -> Option<FrontContribution> {
        let hook = self.tables.hook;
        match front {
            FrontSet::None => {
                let begins = Range::point(self.tables.counts.free.0);
                let mut share = Contribution::nothing();
                share.drag = self.bare_hook(begins, Range::point(hook.ring_rear()));
                share.reduced_price = lagrange::per_multipliers(&self.tables.multiplier_sets, |multipliers| {
                    multipliers.of_drag(share.drag.least[0])
                });
                Some(FrontContribution { share, begins, core: Range::point(hook.wire_diameter) })
            }
            FrontSet::Eye(bead) => self.eye_contribution(&self.shelf.eye_beads(hook).tree.node(bead).hull),
            FrontSet::Pin(bead, pin) => {
                self.pin_contribution(&self.shelf.pin_beads.tree.node(bead).hull, &self.shelf.pin_tree.node(pin).hull)
            }
        }
    }

    fn bare_hook(&self, begins: Range, hidden_to: Range) -> DragRange {
        self.tables.bare_drag.as_ref().map_or(DragRange::default(), |bare| bare.hook(begins, hidden_to))
    }

    fn eye_contribution(&self, bead: &BeadHull) -> Option<FrontContribution> {
        let hook = self.tables.hook;
        let clear = hook.gap - 0.5 * (hook.wire_diameter + bead.diameter.low);
        let blocked = clear < self.target.limits.clear_gap * (hook.gap - hook.wire_diameter) - SLACK;
        if bead.bore.high < hook.wire_diameter + practice::BORE_PLAY
            || bead.bore.low >= hook.eye_outer_diameter()
            || blocked
        {
            return None;
        }
        let seat = EyeSeat::new(hook, bead.length);
        if seat.begins.low > self.tables.counts.free.1 + SLACK {
            return None;
        }
        let [x, y] = seat.centroid(bead.shift);
        let mut share = self.point_contribution(bead.weight, bead.mass, x, y);
        share.price = bead.price;
        share.drag = bead.drag.plus(self.bare_hook(seat.begins, seat.hidden_to));
        share.reduced_price = lagrange::per_multipliers(&self.tables.multiplier_sets, |multipliers| {
            bead.reduced_price(multipliers.of_weight(x, y), &self.shelf.rates)
                + multipliers.of_drag(share.drag.least[0])
        });
        Some(FrontContribution { share, begins: seat.begins, core: Range::point(hook.wire_diameter) })
    }

    fn pin_contribution(&self, bead: &BeadHull, pin: &PinHull) -> Option<FrontContribution> {
        let hook = self.tables.hook;
        let corner = self.tables.corner;
        let needed = fly::pin_projection_needed(hook, pin.head_length.low, bead.length.low);
        let bound = |pin_length: f64, projection: f64| (pin_length - projection - corner[0]).min(hook.shank_length);
        if bead.bore.high < pin.diameter.low
            || bead.bore.low >= pin.head_diameter.high
            || pin.projection.high < needed - SLACK
            || bound(pin.length.high, pin.projection.low)
                < practice::PIN_LEAST_BOUND.max(practice::PIN_BOUND_SHARE * pin.projection.low) - SLACK
        {
            return None;
        }
        let side = Range { low: -0.5 * pin.diameter.high, high: -0.5 * pin.diameter.low };
        let y = Range::point(corner[1] - 0.5 * hook.wire_diameter).plus(side);
        let ahead = Range { low: -pin.projection.high, high: -pin.projection.low };
        let stem_front = ahead.plus(pin.head_length);
        let bead_x = stem_front.plus(bead.length.times(Range::point(0.5)));
        let bead_rear = stem_front.plus(bead.length);
        let stem_rear = Range {
            low: corner[0] + bound(pin.length.low, pin.projection.high).max(0.0),
            high: corner[0] + bound(pin.length.high, pin.projection.low).max(0.0),
        };
        let stem = Range { low: (stem_rear.low - stem_front.high).max(0.0), high: stem_rear.high - stem_front.low };
        let middle = stem_front.plus(stem_rear).times(Range::point(0.5));
        let head_x = ahead.plus(pin.head_length.times(Range::point(0.5)));
        let (bead_x, bead_y) = (bead_x.plus(bead.shift[0]), y.plus(bead.shift[1]));
        let stem_weight = pin.stem_weight.times(stem);
        let mut share = self
            .point_contribution(bead.weight, bead.mass, bead_x, bead_y)
            .plus(self.point_contribution(pin.head_weight, pin.head_mass, head_x, y))
            .plus(self.point_contribution(stem_weight, pin.stem_mass.times(stem), middle, y));
        share.price = bead.price + pin.price;
        share = share.placed_by_hand(bead.weight.plus(pin.head_weight));
        let begins = Range::point(self.tables.counts.free.0);
        share.drag = bead.drag.plus(self.bare_hook(begins, Range::point(hook.ring_rear())));
        if self.tables.bounds.has_sink() {
            let length = Range { low: (corner[0] - bead_rear.high).max(0.0), high: corner[0] - bead_rear.low };
            share.drag = share.drag.plus(pin.drag.range(length.low, length.high));
        }
        share.reduced_price = lagrange::per_multipliers(&self.tables.multiplier_sets, |multipliers| {
            bead.reduced_price(multipliers.of_weight(bead_x, bead_y), &self.shelf.rates) + pin.price as f64
                - lagrange::most_value(multipliers.of_weight(head_x, y), pin.head_weight)
                - lagrange::most_value(multipliers.of_weight(middle, y), stem_weight)
                + multipliers.of_drag(share.drag.least[0])
        });
        Some(FrontContribution { share, begins, core: Range::point(hook.wire_diameter).plus(pin.diameter) })
    }

    /// A point load: its weight anywhere in a box.
    pub(in crate::search) fn point_contribution(&self, weight: Range, mass: Range, x: Range, y: Range) -> Contribution {
        Contribution {
            weight,
            mass,
            turning: self
                .tables
                .bounds
                .per_edge(|turn| weight.times(x.times(Range::point(turn.cos)).plus(y.times(Range::point(turn.sin))))),
            joint: self.tables.bounds.joint(weight, x, y),
            firm: self.tables.bounds.firm(weight, x, y),
            swing: self.tables.bounds.per_swing(|p, q| {
                let (cos, sin) = (Range::point(q.cos - p.cos), Range::point(q.sin - p.sin));
                weight.times(x.times(cos).plus(y.times(sin))).low
            }),
            ..Contribution::nothing()
        }
    }
}

/// Where beads against the eye sit, over a range of lengths along the bore.
///
/// The centre runs straight along the neck to the corner and on along the shank: x and y lie between those at the ends of
/// its run, and at the corner where that lies between. The shank is free the farther aft the longer the bead, but on a
/// neck that leans forward, where a bead too short to reach the shank may do the opposite.
struct EyeSeat {
    x: Range,
    y: Range,
    /// Directions in which the bore may point.
    axes: [[f64; 2]; 2],
    begins: Range,
    /// How far along the neck the hook is hidden, m.
    hidden_to: Range,
}

impl EyeSeat {
    fn new(hook: &Hook, length: Range) -> Self {
        let run = |length: f64| hook.ring_rear() + 0.5 * length;
        let ends = [length.low, length.high].map(|l| fly::eye_bead_centre(hook, l));
        let corner = hook.corner();
        let on_neck = |length: f64| hook.is_jig() && run(length) < hook.neck_length;
        let axis = |length: f64| {
            if on_neck(length) { [hook.neck_angle.cos(), -hook.neck_angle.sin()] } else { [1.0, 0.0] }
        };
        let (mut x, mut y) = (Range::between(ends[0][0], ends[1][0]), Range::between(ends[0][1], ends[1][1]));
        if on_neck(length.low) != on_neck(length.high) {
            x = x.hull(Range::point(corner[0]));
            y = y.hull(Range::point(corner[1]));
        }
        let behind = [length.low, length.high].map(|l| fly::behind_eye_bead(hook, l));
        let mut begins = Range::between(behind[0], behind[1]);
        if hook.is_jig() && hook.neck_angle.cos() < 0.0 && length.low < length.high {
            begins.low = corner[0];
        }
        let hidden = |length: f64| run(length) + 0.5 * length;
        Self {
            x,
            y,
            axes: [axis(length.low), axis(length.high)],
            begins,
            hidden_to: Range { low: hidden(length.low), high: hidden(length.high) },
        }
    }

    /// Where the centroids of the metal lie: their distance from the centre turned with the bore.
    fn centroid(&self, shift: [Range; 2]) -> [Range; 2] {
        let [a, b] = self.axes.map(|[cos, sin]| {
            let (cos, sin) = (Range::point(cos), Range::point(sin));
            let back = Range { low: -shift[1].high, high: -shift[1].low };
            [cos.times(shift[0]).plus(sin.times(back)), sin.times(shift[0]).plus(cos.times(shift[1]))]
        });
        [self.x.plus(a[0].hull(b[0])), self.y.plus(a[1].hull(b[1]))]
    }
}
