//! What a foam family adds, as laws of its length: submerged weight, mass, moments and drag.
//!
//! Weight and mass are linear in the length, moments quadratic. Nothing of that depends on the hook but where the piece
//! sits, which moves the moments along: x by the weight times the x of the bend, y by the weight times the y of the seat.

use crate::fly::{Conditions, FoamPiece, foam_part, practice};
use crate::part::Hook;
use crate::physics::statics::Moments;
use crate::quantity::Microns;
use crate::recipe::Seat;
use crate::search::bounds::contribution::Moved;
use crate::search::bounds::lagrange::Multipliers;
use crate::search::bounds::range::Range;
use crate::search::bounds::{JOINT_SLACK, MOMENT_SLACK, Turn};

/// A quadratic a + b t + c t^2.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Quadratic([f64; 3]);

impl Quadratic {
    /// Through values at t0 - h, t0, t0 + h.
    fn through(t0: f64, h: f64, v: [f64; 3]) -> Self {
        let c = (v[2] - 2.0 * v[1] + v[0]) / (2.0 * h * h);
        let b = (v[2] - v[0]) / (2.0 * h) - 2.0 * c * t0;
        Self([v[1] - b * t0 - c * t0 * t0, b, c])
    }

    fn at(&self, t: f64) -> f64 {
        self.0[0] + t * (self.0[1] + t * self.0[2])
    }

    /// Its change per t.
    fn slope(&self, t: f64) -> f64 {
        self.0[1] + 2.0 * t * self.0[2]
    }

    /// The least range within another outside which its values all lie below `least`; `None` when they do throughout.
    fn where_at_least(&self, least: f64, Range { low: from, high: to }: Range) -> Option<Range> {
        let [a, b, c] = [self.0[0] - least, self.0[1], self.0[2]];
        let holds = [from, to].map(|t| self.at(t) >= least);
        if holds == [true, true] {
            return Some(Range { low: from, high: to });
        }
        let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
        let half = -0.5 * (b + root.copysign(b));
        // Both roots without cancellation; one of them is infinite or no number where the law is a line.
        let mut roots = [half / c, a / half].map(|t| if t >= from && t <= to { t } else { f64::NAN });
        roots.sort_by(f64::total_cmp);
        let inside = |i: usize| Some(roots[i]).filter(|t| !t.is_nan());
        match holds {
            [true, _] => Some(Range { low: from, high: inside(1).or(inside(0))? }),
            [_, true] => Some(Range { low: inside(0).or(inside(1))?, high: to }),
            _ => Some(Range { low: inside(0)?, high: inside(1)? }),
        }
    }

    fn range(&self, from: f64, to: f64) -> Range {
        let ends = Range::between(self.at(from), self.at(to));
        let vertex = -self.0[1] / (2.0 * self.0[2]);
        if vertex > from && vertex < to { ends.hull(Range::point(self.at(vertex))) } else { ends }
    }
}

/// Submerged weight, mass and moments of one foam family as polynomials in its length in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoamLaw {
    weight: Quadratic,
    mass: Quadratic,
    x: Quadratic,
    y: Quadratic,
}

impl FoamLaw {
    /// Fits the law, exactly, through three lengths of the family.
    #[must_use]
    pub fn new(hook: &Hook, piece: FoamPiece, conditions: &Conditions) -> Self {
        const STATIONS_UM: [i32; 3] = [8_000, 16_000, 24_000];
        let at = STATIONS_UM.map(|um| {
            let part = foam_part(hook, &FoamPiece { length: Microns::new(um), ..piece }, conditions);
            let mass: f64 = part.loads.iter().map(|l| l.mass).sum();
            (part.moments(conditions.water.density), mass)
        });
        let fit =
            |f: &dyn Fn(&(Moments, f64)) -> f64| Quadratic::through(16e-3, 8e-3, [f(&at[0]), f(&at[1]), f(&at[2])]);
        Self { weight: fit(&|v| v.0.weight), mass: fit(&|v| v.1), x: fit(&|v| v.0.x), y: fit(&|v| v.0.y) }
    }

    /// The same law with the seat at the origin: what it is on any hook.
    pub(in crate::search) fn without_hook(&self, hook: &Hook, seat: Seat) -> Self {
        let [x, y] = seat_at(hook, seat);
        self.shifted(-x, -y)
    }

    /// A law without a hook, on a hook.
    pub(in crate::search) fn on(&self, hook: &Hook, seat: Seat) -> Self {
        let [x, y] = seat_at(hook, seat);
        self.shifted(x, y)
    }

    fn shifted(&self, x: f64, y: f64) -> Self {
        let along =
            |moment: &Quadratic, by: f64| Quadratic(std::array::from_fn(|i| moment.0[i] + self.weight.0[i] * by));
        Self { x: along(&self.x, x), y: along(&self.y, y), ..*self }
    }

    /// f at a turn as a law of the length.
    fn f(&self, turn: Turn) -> Quadratic {
        Quadratic(std::array::from_fn(|i| turn.f(self.x.0[i], self.y.0[i])))
    }

    /// Range of submerged weight, N, over lengths in metres.
    #[must_use]
    pub fn weight(&self, from: f64, to: f64) -> Range {
        self.weight.range(from, to)
    }

    /// Range of mass, kg.
    #[must_use]
    pub fn mass(&self, from: f64, to: f64) -> Range {
        self.mass.range(from, to)
    }

    /// The lengths of a range outside which f at a turn, N m, is never so much, or (`at_most`) never so little.
    pub(in crate::search) fn lengths_with(
        &self,
        turn: Turn,
        (f, at_most): (f64, bool),
        lengths: Range,
    ) -> Option<Range> {
        let sign = if at_most { -1.0 } else { 1.0 };
        let law = Quadratic(self.f(turn).0.map(|v| sign * v));
        law.where_at_least(sign * f - MOMENT_SLACK, lengths)
    }

    /// The lengths of a range outside which the submerged weight is never within another.
    pub(in crate::search) fn lengths_of_weight(&self, weight: Range, lengths: Range) -> Option<Range> {
        let heavy = self.weight.where_at_least(weight.low - WEIGHT_SLACK, lengths)?;
        if weight.high == f64::INFINITY {
            return Some(heavy);
        }
        let lift = Quadratic(self.weight.0.map(|v| -v));
        heavy.meet(lift.where_at_least(-weight.high - WEIGHT_SLACK, lengths)?)
    }

    /// Least reduced price over lengths in metres, with the price and the drag no less than lines (at no length, per m).
    pub(in crate::search) fn reduced_price(
        &self,
        multipliers: &Multipliers,
        price: (f64, f64),
        drag: (f64, f64),
        (from, to): (f64, f64),
    ) -> f64 {
        let [gx, gy] = multipliers.of_moments();
        let mut mix = Quadratic(std::array::from_fn(|i| {
            multipliers.reduced_price(self.weight.0[i], [0.0; 2]) + gx * self.x.0[i] + gy * self.y.0[i]
        }));
        mix.0[0] += price.0 + multipliers.of_drag(drag.0);
        mix.0[1] += price.1 + multipliers.of_drag(drag.1);
        mix.range(from, to).low
    }

    /// Greatest M . d - c W over lengths in metres, by the turn at which f is M . d, N m.
    pub(in crate::search) fn firm(&self, lever: f64, down: Turn, from: f64, to: f64) -> f64 {
        let down = self.f(down);
        Quadratic(std::array::from_fn(|i| down.0[i] - lever * self.weight.0[i])).range(from, to).high + MOMENT_SLACK
    }

    /// Least change of f at a turn per length, in size, over lengths in metres, N.
    pub(in crate::search) fn least_slope(&self, turn: Turn, (from, to): (f64, f64)) -> f64 {
        let ends = [from, to].map(|length| self.f(turn).slope(length));
        if (ends[0] < 0.0) == (ends[1] < 0.0) { ends[0].abs().min(ends[1].abs()) } else { 0.0 }
    }

    /// The same at most.
    pub(in crate::search) fn greatest_slope(&self, turn: Turn, (from, to): (f64, f64)) -> f64 {
        [from, to].into_iter().map(|length| self.f(turn).slope(length).abs()).fold(0.0, f64::max)
    }

    /// How much longer foam of lengths could be, m, at most, were each bit of it to turn the fly as the least of what is there.
    pub(in crate::search) fn room(&self, turn: Turn, (from, to): (f64, f64), longest: f64) -> f64 {
        (longest - from) * self.greatest_slope(turn, (from, longest)) / self.least_slope(turn, (from, to)).max(1e-30)
    }

    /// How much of f at a turn foam of lengths in metres loses, cut to a least length or less far, N m; without end where some lengths
    /// in between do not lie in order.
    pub(in crate::search) fn cut_off(&self, turn: Turn, (from, to): (f64, f64), least: f64) -> Range {
        if from < least || self.least_slope(turn, (least, to)) <= 0.0 {
            return Range { low: f64::NEG_INFINITY, high: f64::INFINITY };
        }
        let cut = self.turning(turn, from, to).plus(Range::point(-self.f(turn).at(least)));
        // At the least length itself nothing is left to cut: rounding must not give it a sign.
        if self.f(turn).slope(to) > 0.0 {
            Range { low: cut.low.max(0.0), ..cut }
        } else {
            Range { high: cut.high.min(0.0), ..cut }
        }
    }

    /// Least variance of f at a turn, (N m)^2, over lengths in metres, of pieces cut and bound by hand: length, section, where
    /// it is bound and how high it sits. `piece` is any of the family.
    pub(in crate::search) fn least_variance(&self, turn: Turn, lengths: (f64, f64), piece: &FoamPiece) -> f64 {
        let least =
            |range: Range| if range.low * range.high > 0.0 { range.low.abs().min(range.high.abs()) } else { 0.0 };
        let weight = least(self.weight.range(lengths.0, lengths.1));
        let height = piece.foam.section(piece.cut).centroid_height;
        let off_shank = practice::FOAM_HEIGHT_SD.hypot(practice::FOAM_AROUND_SHARE * height);
        let parts = [
            self.least_slope(turn, lengths) * practice::FOAM_LENGTH_SD,
            least(self.turning(turn, lengths.0, lengths.1)) * piece.foam.spread_of_section(piece.cut),
            weight * turn.cos * practice::POSITION_SD,
            weight * turn.sin * off_shank,
        ];
        parts.map(|part| part * part).iter().sum()
    }

    /// Standard deviation of the moment across a turn, N m, at least over lengths in metres: of how high the foam sits and of its
    /// section, less what cutting makes up for, over the cosine by which a snip acts; see [`super::firmness`]. `piece` is any of
    /// the family.
    pub(in crate::search) fn least_across(&self, turn: Turn, (from, to): (f64, f64), piece: &FoamPiece) -> f64 {
        let height = piece.foam.section(piece.cut).centroid_height;
        let off_shank = practice::FOAM_HEIGHT_SD.hypot(practice::FOAM_AROUND_SHARE * height);
        let at = |length: f64| {
            let [dx, dy] = [self.x.slope(length), self.y.slope(length)];
            let weight = self.weight.at(length);
            let thicker = 0.5 * piece.seat.side() * height * weight * dx;
            let section =
                piece.foam.spread_of_section(piece.cut) * (self.y.at(length) * dx - self.x.at(length) * dy + thicker);
            (weight * off_shank * dx).hypot(section) / turn.f(dx, dy).abs()
        };
        let least = [from, 0.5 * (from + to), to].map(at).into_iter().fold(f64::INFINITY, f64::min);
        if least.is_finite() { BETWEEN_STATIONS * least } else { 0.0 }
    }

    /// Change per length of f at a turn over that of f at another turn by another law, over lengths in metres; without end where
    /// the latter changes its sign.
    pub(in crate::search) fn slopes_over(
        (a, turn_a): (&Self, Turn),
        (b, turn_b): (&Self, Turn),
        (from, to): (f64, f64),
    ) -> Range {
        let (a, b) = (a.f(turn_a), b.f(turn_b));
        let below = [from, to].map(|length| b.slope(length));
        if below[0] * below[1] <= 0.0 {
            return Range { low: f64::NEG_INFINITY, high: f64::INFINITY };
        }
        let [first, last] = [(from, below[0]), (to, below[1])].map(|(length, below)| a.slope(length) / below);
        Range::between(first, last)
    }

    /// Change per length of f at an upper edge by one law less that at a lower edge by another, over that of the mean of both at
    /// a middle, in size, at most over lengths in metres.
    pub(in crate::search) fn between(
        (deep, shallow): (&Self, &Self),
        [from, middle, to]: [Turn; 3],
        lengths: (f64, f64),
    ) -> f64 {
        let slope = |law: &Self, turn: Turn, length: f64| law.f(turn).slope(length);
        let at = |length: f64| {
            let mean = 0.5 * (slope(deep, middle, length) + slope(shallow, middle, length));
            ((slope(shallow, from, length) - slope(deep, to, length)) / mean, mean < 0.0)
        };
        let ((least, a), (most, b)) = (at(lengths.0), at(lengths.1));
        if a == b { least.abs().max(most.abs()) } else { f64::INFINITY }
    }

    /// Change of M . d per length over that of f, in size, at most over lengths in metres; d and f at one turn.
    pub(in crate::search) fn sideways(&self, middle: Turn, (from, to): (f64, f64)) -> f64 {
        // f a quarter turn before is M . d.
        let down = Turn { sin: -middle.cos, cos: middle.sin };
        let slopes = |turn: Turn| [from, to].map(|length| self.f(turn).slope(length));
        let most = slopes(down).into_iter().map(f64::abs).fold(0.0, f64::max);
        let f = slopes(middle);
        if (f[0] < 0.0) != (f[1] < 0.0) {
            return f64::INFINITY;
        }
        most / f[0].abs().min(f[1].abs())
    }

    /// Whether longer foam takes from f at a turn of a fly on its belly, and adds to it of one on its back, throughout lengths in metres.
    fn lifts_the_tail(&self, turn: Turn, (from, to): (f64, f64)) -> bool {
        [from, to].into_iter().all(|length| self.f(turn).slope(length) * turn.cos < 0.0)
    }

    /// Weight gained per length cut, and `drag` lost, N per m, over what that turns f at a turn by, in size, at most over lengths in
    /// metres; without end where longer foam may turn the fly the other way.
    pub(in crate::search) fn faster(&self, turn: Turn, drag: f64, (from, to): (f64, f64)) -> f64 {
        if !self.lifts_the_tail(turn, (from, to)) {
            return f64::INFINITY;
        }
        let lifts = [from, to].map(|length| -self.weight.slope(length));
        (lifts[0].max(lifts[1]).max(0.0) + drag) / self.least_slope(turn, (from, to))
    }

    /// Weight lost as foam becomes longer, and `drag` gained, N per m, over what that turns f at a turn by, at least over lengths in metres;
    /// and what f differs by over some of them.
    pub(in crate::search) fn moved(
        &self,
        turn: Turn,
        drag: f64,
        (from, to): (f64, f64),
        (first, last): (f64, f64),
    ) -> Moved {
        if first >= last || !self.lifts_the_tail(turn, (from, to)) {
            return Moved::default();
        }
        let lift = [from, to].into_iter().map(|length| -self.weight.slope(length)).fold(f64::INFINITY, f64::min);
        let f = self.f(turn);
        Moved {
            gain: (lift + drag).max(0.0) / self.greatest_slope(turn, (from, to)),
            reach: (f.at(last) - f.at(first)).abs(),
        }
    }

    /// Weight gained per length cut over what that turns f at a turn by, in size, at least over lengths in metres.
    pub(in crate::search) fn lighter(&self, turn: Turn, (from, to): (f64, f64)) -> f64 {
        let lift = [from, to].into_iter().map(|length| -self.weight.slope(length)).fold(f64::INFINITY, f64::min);
        let most = self.greatest_slope(turn, (from, to));
        if most > 0.0 { lift.max(0.0) / most } else { 0.0 }
    }

    /// By how much this law differs from another.
    pub(in crate::search) fn less(&self, other: &Self) -> Self {
        let less = |a: &Quadratic, b: &Quadratic| Quadratic(std::array::from_fn(|i| a.0[i] - b.0[i]));
        Self {
            weight: less(&self.weight, &other.weight),
            mass: less(&self.mass, &other.mass),
            x: less(&self.x, &other.x),
            y: less(&self.y, &other.y),
        }
    }

    /// No moment vector over lengths in metres is longer, N m.
    pub(in crate::search) fn greatest_moment(&self, from: f64, to: f64) -> f64 {
        let most = |law: &Quadratic| {
            let range = law.range(from, to);
            range.low.abs().max(range.high.abs())
        };
        most(&self.x).hypot(most(&self.y)) + MOMENT_SLACK
    }

    /// Least f at a turn by one law less f at another turn by another, N m.
    pub(in crate::search) fn least_difference(a: (&Self, Turn), b: (&Self, Turn), from: f64, to: f64) -> f64 {
        let (a, b) = (a.0.f(a.1), b.0.f(b.1));
        Quadratic(std::array::from_fn(|i| a.0[i] - b.0[i])).range(from, to).low - 2.0 * MOMENT_SLACK
    }

    /// Greatest W - l f(beta), N.
    #[must_use]
    pub fn joint(&self, lever: f64, turn: Turn, from: f64, to: f64) -> f64 {
        let f = self.f(turn);
        Quadratic(std::array::from_fn(|i| self.weight.0[i] - lever * f.0[i])).range(from, to).high + JOINT_SLACK
    }

    /// Range of f at a turn, N m.
    #[must_use]
    pub fn turning(&self, turn: Turn, from: f64, to: f64) -> Range {
        let range = self.f(turn).range(from, to);
        // The fit repeats the placed moments to about 1e-12 of their size.
        Range { low: range.low - MOMENT_SLACK, high: range.high + MOMENT_SLACK }
    }
}

/// Between three lengths at which it is looked at, a smooth figure is no less than this share of the least of them.
const BETWEEN_STATIONS: f64 = 0.97;

/// Slack for rounding of a weight, N: a hundred millionth of that of the lightest fly.
const WEIGHT_SLACK: f64 = 1e-11;

/// Where a piece of foam is tied on: the bend, and the side of the shank.
fn seat_at(hook: &Hook, seat: Seat) -> [f64; 2] {
    [hook.bend_x(), hook.shank_y() + 0.5 * seat.side() * hook.wire_diameter]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;
    use crate::fly::FoamPiece;
    use crate::part::Cut;
    use crate::wanted::TargetSpec;

    /// Each against the lengths of a range, one by one: never on the wrong side, and met by one of them.
    #[test]
    fn least_and_greatest_over_lengths_are_those_of_some_length() {
        let catalog = Catalog::built_in().unwrap();
        let hook = catalog.hook("jig60-8").unwrap();
        let foam = catalog.foam("pe-rod-1-4in").unwrap();
        let piece = FoamPiece { foam, cut: Cut::Half, length: Microns::new(8_000), seat: Seat::Tail };
        let at = |depth: f64| {
            let mut conditions = TargetSpec { hang: Some("level".parse().unwrap()), ..TargetSpec::default() };
            conditions.hook = Some("jig60-8".into());
            let mut conditions = conditions.resolve(&catalog).unwrap().0.conditions;
            conditions.depth = depth;
            FoamLaw::new(hook, piece, &conditions)
        };
        let (deep, shallow) = (at(6.0), at(0.5));
        for (from, to) in [(4e-3, 6e-3), (2e-3, 20e-3), (11e-3, 11.5e-3)] {
            let lengths: Vec<f64> = (0..=2_000).map(|i| from + (to - from) * f64::from(i) / 2_000.0).collect();
            for beta in [-2.4, -0.9, 0.0, 0.6, 1.5, 3.0] {
                let (turn, other) = (Turn::new(beta), Turn::new(beta + 0.1));
                let least = |f: &dyn Fn(f64) -> f64| lengths.iter().map(|t| f(*t)).fold(f64::INFINITY, f64::min);
                let greatest = |f: &dyn Fn(f64) -> f64| -least(&|t| -f(t));
                let meets = |bound: f64, truth: f64, scale: f64| {
                    assert!((bound - truth).abs() <= 1e-4 * scale, "{bound} {truth} {beta} {from} {to}");
                };
                let size = greatest(&|t| deep.f(turn).at(t).abs()) + greatest(&|t| deep.f(other).at(t).abs());
                let bound = FoamLaw::least_difference((&deep, turn), (&shallow, other), from, to);
                let truth = least(&|t| deep.f(turn).at(t) - shallow.f(other).at(t));
                assert!(bound <= truth);
                meets(bound, truth, size);
                let slope = |t: f64| deep.f(turn).slope(t).abs();
                let steepest = deep.greatest_slope(turn, (from, to));
                meets(steepest, greatest(&slope), steepest);
                let turns_over = deep.f(turn).slope(from) * deep.f(turn).slope(to) < 0.0;
                let flattest = deep.least_slope(turn, (from, to));
                meets(flattest, if turns_over { 0.0 } else { least(&slope) }, steepest);
                // Room for more foam: as much as to the longest, and more where that turns the fly more by the mm.
                let room = deep.room(turn, (from, to), 30e-3);
                assert!(room >= (30e-3 - from) * (1.0 - 1e-12), "{room}");
            }
        }
    }
}
