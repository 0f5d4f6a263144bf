//! Bounds that say, of a whole set of recipes, that none can meet the target.
//!
//! **Hang.** A body hangs at the turn beta of the downward direction d = (sin beta, -cos beta) in the hook frame. Write
//! f(beta) = Mx cos beta + My sin beta for the moment that turns it there. On a free loop beta is the rest exactly when
//! f(beta) = 0 and M . d > 0; it lies in a window [p, q] narrower than half a turn exactly when f(p) >= 0 and f(q) <= 0.
//! Then M . d > 0 at the middle of the window too, which is tested besides: ranges of sums know f(p) and f(q) apart, not
//! together.
//! On a snug knot f(beta) at rest equals the knot's moment 2 sqrt(E I T) sin(phi/2), whose range over the window and
//! over the weights is known; between p and q f is a combination of f(p) and f(q) with non-negative weights that add up
//! to between 1 and 1/cos of half the width, so its range is known too; where the two ranges do not meet no beta of the
//! window is a rest. The hang wanted is one window for point-up and one for point-down.
//!
//! **Ranges.** M is a sum over groups of parts. f(p) is a fixed number for hook, dressing and front; for wraps it is
//! W (x cos p + y sin p) with W growing with the turns and x between ends that are known; for foam of one family it is
//! a quadratic in the length, so its range over an interval is found from the ends and the vertex.
//!
//! **Sink rate.** At terminal speed v weight equals drag D(v), and D grows with v. So v >= v1 exactly when W >= D(v1),
//! and v <= v2 exactly when W <= D(v2), at the attitude of the hang, which lies in a window. D is a sum over elements,
//! each bounded over that window by [`crate::physics::build_up::drag_parts`].
//!
//! On a slack line the fly falls in an attitude of its own, and glides. In a settled fall the drag along its path is at most
//! the weight and the path at least as fast as the sink rate v, so v >= v1 needs W >= D(v1) for the least D of all
//! attitudes. The upper edge is left to the judge: a fly six times too fast may still glide.
//!
//! **What physics refuses.** A fly that hangs sinks: on a tight line its sink rate is above 0 (weight equals drag), and so it
//! is on a slack one, where the power W v of the weight feeds the drag. A window that ends at 0 or below is met by none.
//! Nor is a time to a depth shorter than a stone takes in air: the weight in water is less than that in air, and what it
//! moves is more than its own mass. And no nose drops from its hang by more than to the vertical ([`Target::dives_beyond_the_vertical`]). See
//! [`Bounds::refused`].
//!
//! **A range of depths** needs hang and sink rate at both its ends. Metal and dressing are the same there; foam (and the air
//! in a fresh dressing) is not, so a node has a second sum for the shallow end, held to the same bounds. What the two ends
//! have to do with each other is one more straight line: f at the upper edge at the deep end is at most 0, f at the lower
//! edge at the shallow end at least 0, so the least of their difference over the node must not be above 0
//! (`Contribution::swing`). Between the ends a fly on a loop hangs between its hangs there (`crate::assess`).
//!
//! **A time to a depth**: see [`descent`]. The drop of the nose in a jig stroke has no bound on sets but that.
//!
//! **Cost, mass, weight** are sums; cost grows with turns and foam length, foam's submerged weight and mass are linear
//! in its length.

pub(in crate::search) mod contribution;
pub mod descent;
mod drag;
pub mod firmness;
pub mod foam_law;
mod jar;
pub(in crate::search) mod lagrange;
mod loose;
mod margin;
mod once_cut;
pub mod range;
pub(in crate::search) mod rod_drag;
mod sinking;

use crate::fly::Conditions;
use crate::part::Hook;
use crate::physics::constants::GRAVITY;
use crate::physics::knot;
use crate::physics::statics::{Knot, Moments, Rides};
use crate::wanted::{Line, Target, Window};
use contribution::Contribution;
use descent::Descent;
use drag::Rates;
pub use drag::{DragRange, LEASTS, MOSTS, STEEPEST};
use firmness::Firmness;
pub(in crate::search) use firmness::{Cutting, KNOWN_CUT};
pub(in crate::search) use loose::MOST_FASTER;
use loose::{least_lever, too_narrow};
pub use margin::Narrowed;
use range::Range;
use sinking::InTime;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Slack for rounding: moments are about 1e-5 N m and are summed to about 1e-20.
pub(in crate::search) const MOMENT_SLACK: f64 = 1e-14;
/// Slack for rounding of the joint bound, N.
pub(in crate::search) const JOINT_SLACK: f64 = 1e-11;
/// Relative slack for rounding of weights, drags and masses.
const RELATIVE_SLACK: f64 = 1e-9;

/// A window of turns beta, narrower than half a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BetaWindow {
    /// Lower edge, rad.
    pub from: f64,
    /// Upper edge, rad.
    pub to: f64,
    /// The turn wanted, rad.
    pub middle: f64,
}

/// A turn beta by its sine and cosine.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Turn {
    /// Its sine.
    pub sin: f64,
    /// Its cosine.
    pub cos: f64,
}

impl Turn {
    /// Of an angle, rad.
    #[must_use]
    pub fn new(beta: f64) -> Self {
        let (sin, cos) = beta.sin_cos();
        Self { sin, cos }
    }

    /// f of a moment there.
    #[must_use]
    pub fn f(self, x: f64, y: f64) -> f64 {
        x * self.cos + y * self.sin
    }
}

/// For each window: f at its two edges, and M . d at its middle, as ranges.
pub type Turning = [[Range; 3]; 2];

/// Weights of the joint bound, 1/m: about one over the levers at which foam and tail act.
const LEVERS: [f64; 3] = [50.0, 150.0, 100.0];

/// For each window and each of three weights l: W - l f(q) or W + l f(p), greatest value; see [`Bounds::joint`].
pub type Joint = [[f64; 3]; 2];

/// No turning moment.
pub const STILL: Turning = [[Range { low: 0.0, high: 0.0 }; 3]; 2];

/// The target in the form that the bounds use.
#[derive(Debug, Clone, PartialEq)]
pub struct Bounds {
    /// One window, or two.
    pub windows: Vec<BetaWindow>,
    /// Sink rates between which terminal speed must lie, m/s, where they help.
    pub sink: Window,
    /// What a margin leaves of them.
    rates: Option<Rates>,
    /// Greatest mass, kg.
    pub max_mass: Option<f64>,
    /// Where f is looked at: both edges of each window, and a quarter turn before its middle, where f is M . d.
    edges: [[Turn; 3]; 2],
    /// Turns of the direction of motion over which drag is bounded.
    attitudes: Vec<(f64, f64)>,
    tolerance: f64,
    conditions: Conditions,
    snug: Option<Snug>,
    /// A time to a depth.
    descent: Option<Descent>,
    /// How well that is known, where enough flies must get there.
    in_time: Option<InTime>,
    /// |M| over W is at least this, m, where a widest band of friction is asked.
    least_lever: Option<f64>,
    /// How firmly it must hang for enough flies to come out right.
    firmness: Option<Firmness>,
    /// See [`LEVERS`].
    levers: [f64; 3],
    /// Whether hang and sink rate are asked at the shallow end of a range, too.
    range: bool,
    refused: bool,
    /// See [`drag::rise_is_known`].
    rise_is_known: bool,
}

/// A snug knot: bending stiffness of the line, and the turn at which it leaves the eye unbent.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Snug {
    stiffness: f64,
    straight: f64,
}

impl Snug {
    /// Range of the knot's moment between two turns, at tensions within a range: 2 sqrt(E I T) sin(phi / 2), signed with
    /// the turn phi from the unbent one, -pi to pi, and growing with it.
    fn moment(&self, from: f64, to: f64, weight: Range) -> Range {
        let wrap = |phi: f64| phi - TAU * (phi / TAU).round();
        let first = wrap(from - self.straight);
        let last = first + (to - from);
        let sines = if last <= PI {
            Range { low: (0.5 * first).sin(), high: (0.5 * last).sin() }
        } else {
            Range { low: -1.0, high: 1.0 }
        };
        let full = |tension: f64| knot::end_moment(self.stiffness, tension.max(0.0), PI);
        Range { low: full(weight.low), high: full(weight.high) }.times(sines)
    }
}

impl Bounds {
    /// From a target.
    #[must_use]
    pub fn new(target: &Target, hook: &Hook) -> Self {
        let rides = target.rides.side(hook);
        let (low, high) = target.hangs_left();
        let mut windows = Vec::new();
        if rides != Some(Rides::PointDown) {
            windows.push(BetaWindow { from: low, to: high, middle: target.hang });
        }
        if rides != Some(Rides::PointUp) {
            windows.push(BetaWindow { from: PI - high, to: PI - low, middle: PI - target.hang });
        }
        let slack = target.fall.line == Line::Slack;
        let attitudes = if slack { vec![(-PI, PI)] } else { windows.iter().map(|w| (w.from, w.to)).collect() };
        let mut edges = [[Turn::default(); 3]; 2];
        for (turns, window) in edges.iter_mut().zip(&windows) {
            let middle = 0.5 * (window.from + window.to);
            *turns = [window.from, window.to, middle - FRAC_PI_2].map(Turn::new);
        }
        let sink = target.sink.unwrap_or(Window { low: None, high: None });
        Self {
            descent: target.fall.reach.map(|reach| Descent::new(reach, target.fall.line, &windows, &target.conditions)),
            in_time: None,
            least_lever: least_lever(target, hook),
            firmness: None,
            levers: LEVERS,
            range: target.fall.shallow.is_some(),
            refused: never_met(target),
            rise_is_known: drag::rise_is_known(target),
            windows,
            edges,
            attitudes,
            sink: Window { low: sink.low.filter(|v| *v > 0.0), high: sink.high.filter(|v| *v > 0.0 && !slack) },
            rates: target.sink.filter(|_| !slack).and_then(Rates::new),
            max_mass: target.max_mass,
            tolerance: target.tolerance,
            conditions: target.conditions,
            snug: match target.conditions.knot {
                Knot::Loop => None,
                Knot::Snug(tippet) => Some(Snug {
                    stiffness: knot::bending_stiffness(tippet.diameter, tippet.modulus),
                    straight: FRAC_PI_2 - hook.neck_angle,
                }),
            },
        }
    }

    /// Whether a sink rate is wanted that drag can rule out.
    #[must_use]
    pub fn has_sink(&self) -> bool {
        self.sink.low.is_some() || self.sink.high.is_some() || self.rates.is_some() || self.descent.is_some()
    }

    /// Whether no fly at all can meet what is asked.
    #[must_use]
    pub fn refused(&self) -> bool {
        self.refused
    }

    /// The drag that the weight must reach in the mean on the way to a depth, where one is to be reached in time, N; 0 else. `total` is
    /// the sum at the fishing depth, and hangs in window k.
    pub(in crate::search) fn drag_on_the_way(&self, k: usize, total: &Contribution) -> f64 {
        let turned = (total.turning[k][2].low, total.shift);
        self.descent.as_ref().map_or(0.0, |way| way.least_drag(total.drag.on_the_way(), turned, self.on_loop()))
    }

    /// Whether no fly that hangs in window k and adds up to this gets down in time.
    pub(in crate::search) fn too_slow_down(&self, k: usize, total: &Contribution) -> bool {
        // A fly that hangs so weighs no more than W - l f(q), or W + l f(p), at the fishing depth: see [`Bounds::joint`].
        let joint =
            if self.snug.is_none() { total.joint[k].into_iter().fold(f64::INFINITY, f64::min) } else { f64::INFINITY };
        let weight = total.weight.high.min(joint + JOINT_SLACK);
        self.drag_on_the_way(k, total) > (weight + total.gain) * (1.0 + RELATIVE_SLACK)
    }

    /// Whether the shallow end of a range of depths has to be looked at.
    #[must_use]
    pub fn has_range(&self) -> bool {
        self.range
    }

    /// The time to a depth that is asked, if one is.
    #[must_use]
    pub fn descent(&self) -> Option<&Descent> {
        self.descent.as_ref()
    }

    /// Whether it hangs from a loop that turns freely.
    #[must_use]
    pub fn on_loop(&self) -> bool {
        self.snug.is_none()
    }

    /// f at the edges of each window for a fixed moment.
    #[must_use]
    pub fn turning(&self, moments: Moments) -> Turning {
        self.per_edge(|turn| Range::point(turn.f(moments.x, moments.y)))
    }

    /// f at the edges of each window, by edge.
    pub fn per_edge(&self, f: impl Fn(Turn) -> Range) -> Turning {
        let mut turning = STILL;
        for (sums, edges) in turning.iter_mut().zip(self.edges).take(self.windows.len()) {
            *sums = edges.map(&f);
        }
        turning
    }

    /// Greatest W - l f(q) of a weight in a box, for each window and l: one figure for what foam gives in level and takes
    /// in weight, which the ranges of W and of f know only apart. Where the fly lies on its back, foam in the tail turns it the
    /// other way, and it is W + l f(p).
    #[must_use]
    pub fn joint(&self, weight: Range, x: Range, y: Range) -> Joint {
        self.per_lever(|lever, turn| {
            let arm = x.times(Range::point(-lever * turn.cos)).plus(y.times(Range::point(-lever * turn.sin)));
            weight.times(arm.plus(Range::point(1.0))).high
        })
    }

    /// The same by lever and edge of the window; the lever is negative at a lower edge.
    pub fn per_lever(&self, f: impl Fn(f64, Turn) -> f64) -> Joint {
        let mut joint = [[0.0; 3]; 2];
        for (most, [lower, upper, down]) in joint.iter_mut().zip(self.edges).take(self.windows.len()) {
            // The third turn lies a quarter turn before the middle: this is the cosine of the middle.
            let upright = -down.sin > 0.0;
            *most = self.levers.map(|lever| if upright { f(lever, upper) } else { f(-lever, lower) });
        }
        joint
    }

    /// In which windows no recipe can both sink as fast as it must and hang on a loop: W - D >= 0 at the lower rate and
    /// f(q) <= 0 give W - l f(q) >= D for every l of 0 or more, and f(p) >= 0 gives W + l f(p) >= D.
    #[must_use]
    pub fn jointly_out(&self, joint: &Joint, drag: DragRange) -> PerWindow {
        let least = drag.least[0] * (1.0 - RELATIVE_SLACK);
        self.each_window(|k| self.snug.is_none() && joint[k].iter().any(|most| *most < least - JOINT_SLACK))
    }

    /// In which windows no hang is possible for moments and weights within these ranges.
    #[must_use]
    pub fn hang_out(&self, turning: &Turning, weight: Range) -> PerWindow {
        self.each_window(|k| {
            let window = &self.windows[k];
            self.outside((window.from, window.to), turning[k], weight)
        })
    }

    /// Something of each window; what there is no window for is out.
    pub(in crate::search) fn each_window(&self, out: impl Fn(usize) -> bool) -> PerWindow {
        std::array::from_fn(|k| k >= self.windows.len() || out(k))
    }

    /// In which windows f at the upper edge at the deep end stays above f at the lower edge at the shallow end by so much at
    /// least that no hang can hold at both.
    #[must_use]
    pub fn swing_out(&self, swing: &[f64; 2]) -> PerWindow {
        self.each_window(|k| self.snug.is_none() && swing[k] > 4.0 * MOMENT_SLACK)
    }

    /// Lower and upper edge of each window.
    pub(in crate::search) fn per_swing(&self, f: impl Fn(Turn, Turn) -> f64) -> [f64; 2] {
        let mut swing = [0.0; 2];
        if self.range {
            for (least, edges) in swing.iter_mut().zip(self.edges).take(self.windows.len()) {
                *least = f(edges[0], edges[1]);
            }
        }
        swing
    }

    /// Whether no hang of any window is possible for moments and weights within these ranges.
    #[must_use]
    pub fn hang_impossible(&self, turning: &Turning, weight: Range) -> bool {
        self.hang_out(turning, weight) == [true; 2]
    }

    /// Whether no turn between two is a rest, from the ranges of f at both.
    fn outside(&self, (from, to): (f64, f64), [p, q, down]: [Range; 3], weight: Range) -> bool {
        let Some(snug) = &self.snug else {
            return p.high < -MOMENT_SLACK || q.low > MOMENT_SLACK || down.high < -MOMENT_SLACK;
        };
        // Weights of f(p) and f(q) are not negative and add up to between 1 and 1 / cos(half the width).
        let most = 1.0 / (0.5 * (to - from)).cos();
        let (low, high) = (p.low.min(q.low), p.high.max(q.high));
        let between = Range { low: low.min(low * most), high: high.max(high * most) };
        let bend = snug.moment(from, to, weight);
        between.high < bend.low - MOMENT_SLACK || between.low > bend.high + MOMENT_SLACK
    }

    /// Whether every mass of the range is too great.
    #[must_use]
    pub fn mass_impossible(&self, mass: Range) -> bool {
        self.max_mass.is_some_and(|most| mass.low > most * (1.0 + RELATIVE_SLACK))
    }
}

/// Of each window, whether it is out.
pub type PerWindow = [bool; 2];

/// Out by either.
#[must_use]
pub fn either(a: PerWindow, b: PerWindow) -> PerWindow {
    std::array::from_fn(|k| a[k] || b[k])
}

/// Whether a target asks for what no fly does; see the module.
fn never_met(target: &Target) -> bool {
    let backwards = |w: Window| w.low.zip(w.high).is_some_and(|(low, high)| low > high);
    let rises = target.sink.is_some_and(|w| w.high.is_some_and(|high| high <= 0.0) || backwards(w));
    let free_fall = |depth: f64| (2.0 * depth / GRAVITY).sqrt();
    rises
        || too_narrow(target)
        || target.dives_beyond_the_vertical()
        || target.fall.reach.is_some_and(|r| r.within < free_fall(r.depth) * (1.0 - STONE_SLACK))
}

/// Slack for the integration of a fall in time.
const STONE_SLACK: f64 = 1e-3;

/// Turning moments of two parts together.
pub(in crate::search) fn both(a: &Turning, b: &Turning) -> Turning {
    std::array::from_fn(|k| std::array::from_fn(|i| a[k][i].plus(b[k][i])))
}
