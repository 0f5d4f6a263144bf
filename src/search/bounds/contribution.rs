//! What a group of parts adds to a recipe, as ranges: the terms of which every bound is a sum.

use super::range::{Hull, Range};
use super::{DragRange, Joint, STILL, Turning};
use crate::fly::practice;

/// Sets of multipliers for each window: one for each way to fill the front.
pub(in crate::search) const MULTIPLIER_SETS: usize = 3;

/// For each window and each set of multipliers: the reduced price, millionths.
pub(in crate::search) type ReducedPrice = [[f64; MULTIPLIER_SETS]; 2];

/// Nothing.
pub(in crate::search) const NO_REDUCED_PRICE: ReducedPrice = [[0.0; MULTIPLIER_SETS]; 2];

/// What foam is and does in the jar, about the middle of a window, over what it does at the fishing depth; see [`super::firmness`].
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::search) struct InJar {
    /// By how much more it turns the fly in the jar than at the fishing depth, N m.
    pub(in crate::search) side: Range,
    /// By how much more it pulls down there, as M . d, N m.
    pub(in crate::search) down: Range,
    /// By how much more it weighs there, at least, N: less than nothing, since foam lifts more.
    pub(in crate::search) weight: f64,
    /// Least standard deviation of the moment of foam about a direction across the middle, N m.
    pub(in crate::search) across: f64,
    /// What foam adds to f per length in the jar, over what it adds at its depth.
    pub(in crate::search) gas: Range,
    /// What foam adds to M . d per length over what it adds to f.
    pub(in crate::search) tilt: Range,
    /// Change of f from the shallow to the deep end of a range of depths, per length, over that of f, at most.
    pub(in crate::search) between: f64,
    /// By how much longer foam could be, at most, in snips of what it does at its own length.
    pub(in crate::search) room: f64,
    /// Greatest moment of one snip about the middle, N m, once it is cut, or longer.
    pub(in crate::search) greatest_snip: f64,
    /// Its length, at least, in scissor steps.
    pub(in crate::search) length: f64,
    /// How much of f at the middle cutting it to the least that can be tied in takes away, N m.
    pub(in crate::search) cut_off: Range,
}

impl InJar {
    /// What foam does at a length at which a fly hangs otherwise by so many snips, over what it does at its own, at least: its moment
    /// is no more than a square of its length, so that each further snip does less.
    pub(in crate::search) fn like(&self, snips: f64) -> f64 {
        let cut = snips / self.length.max(1.0);
        (1.0 - cut * (1.0 + cut)).max(0.0).powi(2)
    }

    /// What it is on the mean of the two ends of a range of depths; of the deep end what differs from the jar as a whole.
    pub(in crate::search) fn and_at_the_other_end(self, shallow: Self) -> Self {
        let mean = |a: f64, b: f64| 0.5 * (a + b);
        Self {
            side: Range { low: mean(self.side.low, shallow.side.low), high: mean(self.side.high, shallow.side.high) },
            across: mean(self.across, shallow.across),
            // It is by what foam does at depth that this is divided.
            gas: Range {
                low: 1.0 / mean(1.0 / self.gas.low, 1.0 / shallow.gas.low),
                high: 1.0 / mean(1.0 / self.gas.high, 1.0 / shallow.gas.high),
            },
            tilt: self.tilt.hull(shallow.tilt),
            ..self
        }
    }

    fn plus(self, other: Self) -> Self {
        Self {
            side: self.side.plus(other.side),
            down: self.down.plus(other.down),
            weight: self.weight + other.weight,
            across: (self.across * self.across + other.across * other.across).sqrt(),
            gas: self.gas.plus(other.gas),
            tilt: self.tilt.plus(other.tilt),
            between: self.between + other.between,
            room: self.room + other.room,
            greatest_snip: self.greatest_snip + other.greatest_snip,
            length: self.length + other.length,
            cut_off: self.cut_off.plus(other.cut_off),
        }
    }

    fn hull(self, other: Self) -> Self {
        Self {
            side: self.side.hull(other.side),
            down: self.down.hull(other.down),
            weight: self.weight.min(other.weight),
            across: self.across.min(other.across),
            gas: self.gas.hull(other.gas),
            tilt: self.tilt.hull(other.tilt),
            between: self.between.max(other.between),
            room: self.room.max(other.room),
            greatest_snip: self.greatest_snip.max(other.greatest_snip),
            length: self.length.min(other.length),
            cut_off: self.cut_off.hull(other.cut_off),
        }
    }
}

/// What happens to flies of which foam must be longer, or is cut, to hang at the middle of their window.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::search) struct Moved {
    /// By how much weight less drag at the lower rate differs, at least, over what that turns the fly by, 1/m: it falls with the length.
    pub(in crate::search) gain: f64,
    /// What turns the fly, at most, in a range of lengths for which that holds, N m.
    pub(in crate::search) reach: f64,
}

impl Moved {
    /// By how much weight less drag differs at least where what is off is no less than so much, N.
    pub(in crate::search) fn surely(self, off: f64) -> f64 {
        self.gain * off.clamp(0.0, self.reach)
    }

    fn plus(self, other: Self) -> Self {
        Self { gain: self.gain + other.gain, reach: self.reach + other.reach }
    }

    /// What holds for both.
    pub(in crate::search) fn hull(self, other: Self) -> Self {
        Self { gain: self.gain.min(other.gain), reach: self.reach.min(other.reach) }
    }
}

/// What a group of parts adds, as ranges. Price in millionths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct Contribution {
    pub(in crate::search) price: i64,
    pub(in crate::search) weight: Range,
    pub(in crate::search) mass: Range,
    pub(in crate::search) turning: Turning,
    pub(in crate::search) joint: Joint,
    pub(in crate::search) drag: DragRange,
    /// Least f at the upper edge at the deep end less f at the lower edge at the shallow end, N m, where a range is asked.
    pub(in crate::search) swing: [f64; 2],
    /// Greatest M . d - c W for each window, N m, where enough flies must come out right.
    pub(in crate::search) firm: [f64; 2],
    /// Least moment of one snip of foam in the tail about the middle of each window, N m; without end where there is none.
    pub(in crate::search) snip: [f64; 2],
    /// Least variance of the moment about the middle of each window, (N m)^2, of flies left alone, where its parts lie apart.
    pub(in crate::search) scatter: [f64; 2],
    /// Least variance of Mx, (N m)^2, for where along the shank its parts lie, foam apart.
    pub(in crate::search) placed: f64,
    /// What differs in the jar, for each window, where flies are trimmed.
    pub(in crate::search) in_jar: [InJar; 2],
    /// What weight less drag gains at most over what the fly is turned by where foam is cut, 1/m; see [`super::firmness::Cutting`].
    pub(in crate::search) faster: f64,
    /// What drag less weight gains at the upper rate at most over what the fly is turned by where foam is longer, 1/m.
    pub(in crate::search) slower: f64,
    /// By how much more drag grows at most from the lower to the upper rate over what the fly is turned by where foam is longer, 1/m.
    pub(in crate::search) rising: f64,
    /// Where foam must be longer, and where it must be cut.
    pub(in crate::search) longer: Moved,
    pub(in crate::search) shorter: Moved,
    /// What weight gains at least over what the fly is turned by where foam is cut, 1/m; nothing where none is.
    pub(in crate::search) lighter: f64,
    /// Variance of what is not known of the lift of foam, and of its drag where it is hidden, at the lower and the upper rate, N2, at
    /// least.
    pub(in crate::search) doubt: [f64; 2],
    /// What it weighs more, at most, in the mean over the way to a depth to be reached than at the fishing depth, N.
    pub(in crate::search) gain: f64,
    /// By how much its moment vector differs on the way there, at most, N m.
    pub(in crate::search) shift: f64,
    /// Least reduced price.
    pub(in crate::search) reduced_price: ReducedPrice,
}

impl Contribution {
    /// The same where the place of so heavy a part along the shank differs, too.
    pub(in crate::search) fn placed_by_hand(self, weight: Range) -> Self {
        Self { placed: self.placed + (weight.low.max(0.0) * practice::POSITION_SD).powi(2), ..self }
    }

    pub(in crate::search) fn nothing() -> Self {
        Self {
            price: 0,
            weight: Range::point(0.0),
            mass: Range::point(0.0),
            turning: STILL,
            joint: [[0.0; 3]; 2],
            drag: DragRange::default(),
            swing: [0.0; 2],
            firm: [0.0; 2],
            snip: [0.0; 2],
            scatter: [0.0; 2],
            placed: 0.0,
            in_jar: [InJar::default(); 2],
            faster: 0.0,
            slower: 0.0,
            rising: 0.0,
            longer: Moved::default(),
            shorter: Moved::default(),
            lighter: 0.0,
            doubt: [0.0; 2],
            gain: 0.0,
            shift: 0.0,
            reduced_price: NO_REDUCED_PRICE,
        }
    }

    pub(in crate::search) fn plus(self, other: Self) -> Self {
        Self::sum([&self, &other])
    }

    pub(in crate::search) fn sum<const N: usize>(shares: [&Self; N]) -> Self {
        let mut total = Self::nothing();
        for share in shares {
            total.price += share.price;
            total.weight = total.weight.plus(share.weight);
            total.mass = total.mass.plus(share.mass);
            total.drag = total.drag.plus(share.drag);
            total.gain += share.gain;
            total.shift += share.shift;
            total.faster += share.faster;
            total.slower += share.slower;
            total.rising += share.rising;
            total.longer = total.longer.plus(share.longer);
            total.shorter = total.shorter.plus(share.shorter);
            total.lighter += share.lighter;
            total.placed += share.placed;
            for k in 0..2 {
                total.doubt[k] += share.doubt[k];
                total.swing[k] += share.swing[k];
                total.firm[k] += share.firm[k];
                total.snip[k] += share.snip[k];
                total.scatter[k] += share.scatter[k];
                total.in_jar[k] = total.in_jar[k].plus(share.in_jar[k]);
                for i in 0..3 {
                    total.turning[k][i] = total.turning[k][i].plus(share.turning[k][i]);
                }
                for l in 0..3 {
                    total.joint[k][l] += share.joint[k][l];
                }
                for j in 0..MULTIPLIER_SETS {
                    total.reduced_price[k][j] += share.reduced_price[k][j];
                }
            }
        }
        total
    }

    /// Width of the widest range of turning moment, N m.
    pub(in crate::search) fn width(&self) -> f64 {
        self.turning.iter().flatten().map(|r| r.high - r.low).fold(0.0, f64::max)
    }
}

impl Hull for Contribution {
    fn hull(self, other: Self) -> Self {
        let mut turning = self.turning;
        for (sum, more) in turning.iter_mut().zip(other.turning) {
            *sum = std::array::from_fn(|i| sum[i].hull(more[i]));
        }
        Self {
            price: self.price.min(other.price),
            weight: self.weight.hull(other.weight),
            mass: self.mass.hull(other.mass),
            turning,
            faster: self.faster.max(other.faster),
            slower: self.slower.max(other.slower),
            rising: self.rising.max(other.rising),
            longer: self.longer.hull(other.longer),
            shorter: self.shorter.hull(other.shorter),
            lighter: self.lighter.min(other.lighter),
            placed: self.placed.min(other.placed),
            doubt: std::array::from_fn(|k| self.doubt[k].min(other.doubt[k])),
            joint: std::array::from_fn(|k| std::array::from_fn(|l| self.joint[k][l].max(other.joint[k][l]))),
            drag: self.drag.hull(other.drag),
            swing: std::array::from_fn(|k| self.swing[k].min(other.swing[k])),
            firm: std::array::from_fn(|k| self.firm[k].max(other.firm[k])),
            snip: std::array::from_fn(|k| self.snip[k].min(other.snip[k])),
            scatter: std::array::from_fn(|k| self.scatter[k].min(other.scatter[k])),
            in_jar: std::array::from_fn(|k| self.in_jar[k].hull(other.in_jar[k])),
            gain: self.gain.max(other.gain),
            shift: self.shift.max(other.shift),
            reduced_price: std::array::from_fn(|k| {
                std::array::from_fn(|j| self.reduced_price[k][j].min(other.reduced_price[k][j]))
            }),
        }
    }
}
