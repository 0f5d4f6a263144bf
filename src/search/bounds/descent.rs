//! A time to a depth, as a bound on weight and drag.
//!
//! The mean speed over the way to depth z in time t is v = z / t. On a tight line a fly gathers speed only while the weight
//! exceeds the drag at its attitude, so one let go at rest passes no speed that is above its steady rate all the way:
//! somewhere the steady rate is at least v, and the weight there at least the drag at v in the attitude there. The weight
//! is greatest at the deepest point of the way, since gas only shrinks; foam is thinnest there.
//!
//! **Attitudes.** On a loop the fly hangs along its moment vector M. At the fishing depth it hangs within a window, so
//! |M| >= M . d with d the middle of the window. At another depth M differs by what the gas has lost or regained, at most
//! `shift` over the way, so the hang differs by at most asin(shift / |M|). The least drag is known over the windows
//! widened by two such angles, and over all attitudes, which is what a snug knot is held to.
//!
//! **Slack line.** No attitude is known, and speed may exceed the steady one for a while. But the work of the weight pays for
//! the drag all the way: W z >= sum over elements of the time integral of D u, with u the speed of the element and D
//! its least drag of any attitude at that speed. Each element comes down by at least z less twice its reach from the tie
//! point, so its mean speed is at least v' = v (1 - 2 reach / z). D u grows at least with u^2 above v' (a coefficient falls no
//! faster than 1/Re) and no faster than with u^3.5 below it ([`super::STEEPEST`]); the greatest convex function below the two
//! is 0.93 D(v') v' at v' (the common tangent of s^2 and s^3.5 passes s = 1 at 0.938), so W >= 0.93 D(v').

use crate::physics::body::DragElement;
use crate::physics::build_up::drag_parts;
use crate::physics::water::Water;
use crate::search::bounds::BetaWindow;
use crate::search::bounds::range::Range;
use crate::wanted::{Line, Reach};
use std::f64::consts::PI;

/// Classes of attitudes: windows widened a little, widened more and more, and all.
pub const CLASSES: usize = 9;

/// By how much the windows of all classes but the last are widened, rad. A fly with much foam turns by half a radian over
/// some metres, and a drag of all attitudes is a fraction of what it meets even then.
const WIDER: [f64; CLASSES - 1] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.75, 1.0];

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
    speed: f64,
    attitudes: [Vec<(f64, f64)>; CLASSES],
    line: Line,
}

impl Descent {
    /// Windows are those of the hang at the fishing depth.
    #[must_use]
    pub fn new(reach: Reach, line: Line, windows: &[BetaWindow]) -> Self {
        let mean = reach.depth / reach.within.max(f64::MIN_POSITIVE) * (1.0 - TIME_SLACK);
        let speed = match line {
            Line::Tight => mean,
            Line::Slack => mean * (1.0 - 2.0 * REACH / reach.depth).max(0.0),
        };
        let widened = |by: f64| windows.iter().map(|w| (w.from - by, w.to + by)).collect();
        let attitudes = std::array::from_fn(|class| WIDER.get(class).map_or(vec![(-PI, PI)], |by| widened(*by)));
        Self { depth: reach.depth, speed, attitudes, line }
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

    /// Whether no recipe is fast enough: `weight` at the deepest point of the way, N, and the rest as in
    /// [`Descent::least_drag`].
    #[must_use]
    pub fn impossible(&self, weight: Range, drag: [f64; CLASSES], turned: (f64, f64), on_loop: bool) -> bool {
        self.least_drag(drag, turned, on_loop) > weight.high * (1.0 + 1e-9)
    }

    /// The drag that the weight of a recipe must reach somewhere on the way, N, at least. `drag`: least in each class, N;
    /// `down`: M . d in the middle of the window at the fishing depth, N m, at least; `shift`: the most by which M differs on
    /// the way, N m.
    #[must_use]
    pub fn least_drag(&self, drag: [f64; CLASSES], (down, shift): (f64, f64), on_loop: bool) -> f64 {
        let [.., any] = drag;
        if self.line == Line::Slack {
            return SLACK_SHARE * any;
        }
        if !on_loop || down <= 0.0 {
            return any;
        }
        WIDER.iter().zip(drag).find(|(by, _)| shift * (1.0 + 1e-9) <= down * by.sin()).map_or(any, |(_, drag)| drag)
    }
}
