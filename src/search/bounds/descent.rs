//! A time to a depth, as a bound on weight and drag.
//!
//! The mean speed over the way to depth z in time t is v = z / t. On a tight line a fly gathers speed only while the weight
//! exceeds the drag at its attitude, so one let go at rest is nowhere faster than it would steadily be with the least drag of any
//! attitude on the way, which is no less with depth: gas only shrinks, and foam is thinnest at the deepest point. The time per
//! metre at a steady rate is a convex function of the weight (drag grows with a power of the speed that hardly changes), so
//! over the way it is in the mean no less than at the mean weight (Jensen): the mean weight is at least the least drag at v.
//!
//! **Attitudes.** On a loop the fly hangs along its moment vector M. At the fishing depth it hangs within a window, so
//! |M| >= M . d with d the middle of the window. At another depth M differs by what the gas has lost or regained, at most
//! `shift` over the way, so the hang differs by at most asin(shift / |M|). The least drag is known over the windows
//! widened by such angles, and over all attitudes, which is what a snug knot is held to.
//!
//! M differs less where it is nearly as deep as there. So the way is looked at in [`PARTS`], each with the class that holds its hangs:
//! by how much M differs there at most, as a share of the most over the way, is known from how gas shrinks. With D1, D2, ... their
//! least drags and W1, W2, ... their mean weights the time is at least t (mean of (Di / Wi)^(1/n)) where drag grows with the power n of
//! the speed; that is no less than the geometric mean, and the geometric mean of the weights is no more than their mean: W is at
//! least the geometric mean of the drags.
//!
//! **Flies that are cut** hang at d on the mean, so theirs is the class that is as wide about d as that angle alone, with the M . d
//! that they have then.
//!
//! **Slack line.** No attitude is known, and speed may exceed the steady one for a while. But the work of the weight pays for
//! the drag all the way: W z (with W its mean) >= sum over elements of the time integral of D u, with u the speed of the element and D
//! its least drag of any attitude at that speed. Each element comes down by at least z less twice its reach from the tie
//! point, so its mean speed is at least v' = v (1 - 2 reach / z). D u grows at least with u^2 above v' (a coefficient falls no
//! faster than 1/Re) and no faster than with u^3.5 below it ([`super::STEEPEST`]); the greatest convex function below the two
//! is 0.93 D(v') v' at v' (the common tangent of s^2 and s^3.5 passes s = 1 at 0.938), so W >= 0.93 D(v').

use crate::fly::Conditions;
use crate::physics::body::DragElement;
use crate::physics::build_up::drag_parts;
use crate::physics::water::Water;
use crate::search::bounds::BetaWindow;
use crate::search::bounds::range::Range;
use crate::wanted::{Line, Reach};
use std::f64::consts::PI;

/// Classes of attitudes: about the middle of a window, windows widened a little, widened more and more, and all.
pub const CLASSES: usize = ABOUT.len() + WIDER.len() + 1;

/// Half the widths of those about the middle, rad: of flies that are cut, and hardly turn on the way.
const ABOUT: [f64; 2] = [0.05, 0.12];

/// Parts of a way, each with a class of its own.
pub const PARTS: usize = 4;

/// By how much the windows are widened, rad. A fly with much foam turns by half a radian over some metres, and a drag of all
/// attitudes is a fraction of what it meets even then.
const WIDER: [f64; 9] = [0.02, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.75, 1.0];

/// Share of the drag at the mean speed that the weight must reach on a slack line; see the module.
const SLACK_SHARE: f64 = 0.93;
/// No point of a fly is farther from its tie point, m.
const REACH: f64 = 0.15;
/// Slack for the countdown and for rounding.
const TIME_SLACK: f64 = 5e-3;

/// A time to a depth in the form that the bounds use.
#[derive(Debug, Clone, PartialEq)]
pub struct Descent {
    /// Depth, m.
    pub depth: f64,
    /// Speed at which drag is looked at, m/s.
    pub(super) speed: f64,
    attitudes: [Vec<(f64, f64)>; CLASSES],
    /// Half the width of the widest window, rad.
    half: f64,
    /// By how much M differs in each part of the way at most, over the most on the whole way.
    shifted: [f64; PARTS],
    line: Line,
}

impl Descent {
    /// Windows are those of the hang at the fishing depth.
    #[must_use]
    pub fn new(reach: Reach, line: Line, windows: &[BetaWindow], conditions: &Conditions) -> Self {
        let mean = reach.depth / reach.within.max(f64::MIN_POSITIVE) * (1.0 - TIME_SLACK);
        let speed = match line {
            Line::Tight => mean,
            Line::Slack => mean * (1.0 - 2.0 * REACH / reach.depth).max(0.0),
        };
        let about = |half: f64| {
            let middles = windows.iter().map(|w| 0.5 * (w.from + w.to));
            middles.map(|middle| (middle - half, middle + half)).collect::<Vec<_>>()
        };
        let widened = |by: f64| windows.iter().map(|w| (w.from - by, w.to + by)).collect();
        let mut classes = ABOUT.into_iter().map(about).chain(WIDER.into_iter().map(widened));
        let attitudes = std::array::from_fn(|_| classes.next().unwrap_or_else(|| vec![(-PI, PI)]));
        let half = windows.iter().map(|w| 0.5 * (w.to - w.from)).fold(0.0, f64::max);
        Self { depth: reach.depth, speed, attitudes, half, shifted: shifted(reach.depth, conditions, 0.0, 0.0), line }
    }

    /// By how much more M differs on the way than at its most, for [`Self::least_drag`], where that is by the gas in foam whose walls
    /// carry `collapse_pressure`, Pa: the pressure of the water acts on it later.
    #[must_use]
    pub fn stiffer(&self, conditions: &Conditions, collapse_pressure: f64, relative_density: f64) -> f64 {
        let own = shifted(self.depth, conditions, collapse_pressure, relative_density);
        own.into_iter().zip(self.shifted).map(|(own, soft)| own / soft.max(1e-9)).fold(1.0, f64::max)
    }

    /// By how much M differs at most in the part of the way that holds a depth, m, over the most on the whole way.
    #[must_use]
    pub fn shifted_at(&self, depth: f64) -> f64 {
        let part = (depth / self.depth * PARTS as f64) as usize;
        self.shifted[part.min(PARTS - 1)]
    }

    /// Least drag of an element in each part and class, N.
    pub(super) fn least_parts(&self, element: &DragElement, water: &Water) -> [[f64; CLASSES]; 3] {
        let mut least = [[0.0; CLASSES]; 3];
        if self.speed <= 0.0 {
            return least;
        }
        for (class, attitudes) in self.attitudes.iter().enumerate() {
            let each = attitudes.iter().map(|range| drag_parts(element, self.speed, *range, water).map(|part| part.0));
            let all = each.reduce(|a, b| std::array::from_fn(|i| a[i].min(b[i]))).unwrap_or_default();
            for (part, drag) in least.iter_mut().zip(all) {
                part[class] = drag;
            }
        }
        least
    }

    /// Whether no recipe is fast enough: mean `weight` over the way, N, and the rest as in
    /// [`Descent::least_drag`].
    #[must_use]
    pub fn impossible(&self, weight: Range, drag: [f64; CLASSES], turned: (f64, f64), on_loop: bool) -> bool {
        self.least_drag(drag, turned, on_loop) > weight.high * (1.0 + 1e-9)
    }

    /// The drag that the weight of a recipe must reach in the mean over the way, N, at least. `drag`: least in each class, N;
    /// `down`: M . d in the middle of the window at the fishing depth, N m, at least; `shift`: the most by which M differs on
    /// the way, N m.
    #[must_use]
    pub fn least_drag(&self, drag: [f64; CLASSES], turned: (f64, f64), on_loop: bool) -> f64 {
        let [_, _, wider @ ..] = drag;
        self.least_of(WIDER.into_iter().zip(wider), drag, turned, on_loop)
    }

    /// The same of flies that are cut to hang in the middle of their window.
    pub(super) fn least_drag_once_cut(&self, drag: [f64; CLASSES], turned: (f64, f64), on_loop: bool) -> f64 {
        let halves = ABOUT.into_iter().chain(WIDER.map(|by| self.half + by));
        self.least_of(halves.zip(drag), drag, turned, on_loop)
    }

    /// The geometric mean over the parts of the way, by classes: how far off, rad, a hang lies at most, and the least drag then.
    fn least_of(
        &self,
        classes: impl Iterator<Item = (f64, f64)> + Clone,
        drag: [f64; CLASSES],
        (down, shift): (f64, f64),
        on_loop: bool,
    ) -> f64 {
        let [.., any] = drag;
        if self.line == Line::Slack {
            return SLACK_SHARE * any;
        }
        if !on_loop || down <= 0.0 {
            return any;
        }
        let in_part = |share: &f64| {
            let sine = share * shift * (1.0 + 1e-9) / down;
            let holds = |off: f64| sine < 1.0 && off >= sine.asin();
            classes.clone().filter(|(off, _)| holds(*off)).map(|(_, drag)| drag).fold(any, f64::max)
        };
        self.shifted.iter().map(in_part).product::<f64>().powf(1.0 / PARTS as f64)
    }
}

/// By how much the volume of gas differs from that at the fishing depth in each part of the way at most, over the most.
fn shifted(deepest: f64, conditions: &Conditions, collapse_pressure: f64, relative_density: f64) -> [f64; PARTS] {
    let gas = conditions.water.gas();
    let ratio = |depth: f64| {
        let pressure = conditions.water.pressure_at_depth(depth);
        gas.volume_ratio(pressure, collapse_pressure, relative_density)
    };
    let here = ratio(conditions.depth);
    // It shrinks all the way, so the most is at one end of a part or the other.
    let off = |part: usize| (ratio(deepest * part as f64 / PARTS as f64) - here).abs();
    let most = off(0).max(off(PARTS));
    std::array::from_fn(|part| if most > 0.0 { off(part).max(off(part + 1)) / most } else { 1.0 })
}
