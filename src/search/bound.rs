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
//! each bounded over that window by [`drag_bounds`].
//!
//! On a slack line the fly falls in an attitude of its own, and glides. In a settled fall the drag along its path is at most
//! the weight and the path at least as fast as the sink rate v, so v >= v1 needs W >= D(v1) for the least D of all
//! attitudes. The upper edge is left to the judge.
//!
//! **A range of depths** needs the hang at its deep end too, which is what the bounds look at. A time to a depth and the
//! drop of the nose in a jig stroke have no bound here: see the module above for how they are judged.
//!
//! **Cost, mass, weight** are sums; cost grows with turns and foam length, foam's submerged weight and mass are linear
//! in its length.

use super::Least;
use crate::fly::{Conditions, FoamPiece, foam_part};
use crate::part::Hook;
use crate::physics::body::DragElement;
use crate::physics::build_up::drag_bounds;
use crate::physics::knot;
use crate::physics::statics::{Knot, Moments, Rides};
use crate::quantity::Microns;
use crate::target::{Line, Target, Window};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Slack for rounding: moments are about 1e-5 N m and are summed to about 1e-20.
const MOMENT_SLACK: f64 = 1e-14;
/// Widest window, rad, in which f between the edges is taken from the edges.
const WIDEST: f64 = 3.0;
/// Slack for rounding of the joint bound, N.
const JOINT_SLACK: f64 = 1e-11;
/// Relative slack for rounding of weights, drags and masses.
const RELATIVE_SLACK: f64 = 1e-9;

/// A closed range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Least.
    pub low: f64,
    /// Greatest.
    pub high: f64,
}

impl Range {
    /// One value.
    #[must_use]
    pub fn point(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// The range of two ends in any order.
    #[must_use]
    pub fn between(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }

    /// Sum of two ranges.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { low: self.low + other.low, high: self.high + other.high }
    }

    /// Product of two ranges.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        let ends = [self.low * other.low, self.low * other.high, self.high * other.low, self.high * other.high];
        Self {
            low: ends.into_iter().fold(f64::INFINITY, f64::min),
            high: ends.into_iter().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// The smallest range that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }
}

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

/// For each window: f at its two edges, and M . d at its middle, as ranges.
pub type Turning = [[Range; 3]; 2];

/// Weights of the joint bound, 1/m: about one over the levers at which foam and tail act.
const LEVERS: [f64; 2] = [50.0, 150.0];

/// For each window and each of two weights l: W - l f(q), greatest value; see [`Bounds::joint`].
pub type Joint = [[f64; 2]; 2];

/// No turning moment.
pub const STILL: Turning = [[Range { low: 0.0, high: 0.0 }; 3]; 2];

/// The target in the form that the bounds use.
#[derive(Debug, Clone, PartialEq)]
pub struct Bounds {
    /// One window, or two.
    pub windows: Vec<BetaWindow>,
    /// Sink rates between which terminal speed must lie, m/s, where they help.
    pub sink: Window,
    /// Greatest mass, kg.
    pub max_mass: Option<f64>,
    /// Turns of the direction of motion over which drag is bounded.
    attitudes: Vec<(f64, f64)>,
    tolerance: f64,
    conditions: Conditions,
    snug: Option<Snug>,
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
        let low = (target.hang - target.tolerance).max(-FRAC_PI_2);
        let high = (target.hang + target.tolerance).min(FRAC_PI_2);
        let mut windows = Vec::new();
        if rides != Some(Rides::PointDown) {
            windows.push(BetaWindow { from: low, to: high, middle: target.hang });
        }
        if rides != Some(Rides::PointUp) {
            windows.push(BetaWindow { from: PI - high, to: PI - low, middle: PI - target.hang });
        }
        let slack = target.fall.line == Line::Slack;
        let attitudes = if slack { vec![(-PI, PI)] } else { windows.iter().map(|w| (w.from, w.to)).collect() };
        let sink = target.sink.unwrap_or(Window { low: None, high: None });
        Self {
            windows,
            attitudes,
            sink: Window { low: sink.low.filter(|v| *v > 0.0), high: sink.high.filter(|v| *v > 0.0 && !slack) },
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

    /// The same with more asked of the sink rate.
    #[must_use]
    pub fn at_least(mut self, least: &Least) -> Self {
        if let Some(rate) = least.sink_rate.filter(|v| *v > 0.0) {
            self.sink.low = Some(self.sink.low.map_or(rate, |low| low.max(rate)));
        }
        self
    }

    /// Whether a sink rate is wanted that drag can rule out.
    #[must_use]
    pub fn has_sink(&self) -> bool {
        self.sink.low.is_some() || self.sink.high.is_some()
    }

    /// f at the edges of each window for a fixed moment.
    #[must_use]
    pub fn turning(&self, moments: Moments) -> Turning {
        self.per_edge(|beta| Range::point(moments.x * beta.cos() + moments.y * beta.sin()))
    }

    /// f at the edges of each window, by edge.
    pub fn per_edge(&self, f: impl Fn(f64) -> Range) -> Turning {
        let mut turning = STILL;
        for (k, window) in self.windows.iter().enumerate() {
            // M . d at a turn is f a quarter turn before it.
            let middle = 0.5 * (window.from + window.to);
            turning[k] = [f(window.from), f(window.to), f(middle - FRAC_PI_2)];
        }
        turning
    }

    /// Greatest W - l f(q) of a weight in a box, for each window and l: one figure for what foam gives in level and takes
    /// in weight, which the ranges of W and of f know only apart.
    #[must_use]
    pub fn joint(&self, weight: Range, x: Range, y: Range) -> Joint {
        self.per_lever(|lever, beta| {
            let (sin, cos) = beta.sin_cos();
            let arm = x.times(Range::point(-lever * cos)).plus(y.times(Range::point(-lever * sin)));
            weight.times(arm.plus(Range::point(1.0))).high
        })
    }

    /// The same by lever and upper edge of the window.
    pub fn per_lever(&self, f: impl Fn(f64, f64) -> f64) -> Joint {
        let mut joint = [[0.0; 2]; 2];
        for (k, window) in self.windows.iter().enumerate() {
            joint[k] = LEVERS.map(|lever| f(lever, window.to));
        }
        joint
    }

    /// Whether no recipe can both sink as fast as it must and hang within any window on a loop: W - D >= 0 at the lower
    /// rate and f(q) <= 0 give W - l f(q) >= D for every l of 0 or more.
    #[must_use]
    pub fn jointly_impossible(&self, joint: &Joint, drag: DragRange) -> bool {
        let least = drag.least_at_low * (1.0 - RELATIVE_SLACK);
        self.snug.is_none() && (0..self.windows.len()).all(|k| joint[k].iter().any(|most| *most < least - JOINT_SLACK))
    }

    /// Whether no hang of any window is possible for moments and weights within these ranges.
    #[must_use]
    pub fn hang_impossible(&self, turning: &Turning, weight: Range) -> bool {
        self.windows.iter().zip(turning).all(|(w, t)| self.outside((w.from, w.to), *t, weight))
    }

    /// Whether no hang with at least this margin is possible.
    ///
    /// A margin m leaves the window shrunk to 1 - m of its width about the angle wanted. f at a turn between the edges
    /// p and q is f(p) sin(q - beta)/sin(q - p) + f(q) sin(beta - p)/sin(q - p), so its range follows from theirs.
    #[must_use]
    pub fn margin_impossible(&self, turning: &Turning, weight: Range, margin: f64) -> bool {
        let half = self.tolerance * (1.0 - margin) * (1.0 + RELATIVE_SLACK) + 1e-12;
        self.windows.iter().enumerate().all(|(k, window)| {
            let (from, to) = (window.from.max(window.middle - half), window.to.min(window.middle + half));
            let at = |beta: f64| {
                let width = (window.to - window.from).sin();
                let p = ((window.to - beta).sin() / width).max(0.0);
                let q = ((beta - window.from).sin() / width).max(0.0);
                turning[k][0].times(Range::point(p)).plus(turning[k][1].times(Range::point(q)))
            };
            // At half a turn the two edges are the same line, and say nothing of what lies between.
            let edges_tell = window.to - window.from < WIDEST;
            from > to || edges_tell && self.outside((from, to), [at(from), at(to), turning[k][2]], weight)
        })
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

    /// Whether no sink rate in the window is possible for weights and drags within these ranges.
    ///
    /// `drag` holds the least drag at the lower rate and the greatest at the upper rate.
    #[must_use]
    pub fn sink_impossible(&self, weight: Range, drag: DragRange) -> bool {
        let slack = RELATIVE_SLACK;
        (self.sink.low.is_some() && drag.least_at_low > weight.high * (1.0 + slack))
            || (self.sink.high.is_some() && drag.most_at_high < weight.low * (1.0 - slack))
    }

    /// Whether every mass of the range is too great.
    #[must_use]
    pub fn mass_impossible(&self, mass: Range) -> bool {
        self.max_mass.is_some_and(|most| mass.low > most * (1.0 + RELATIVE_SLACK))
    }

    /// Drag range of some elements.
    #[must_use]
    pub fn drag(&self, elements: &[DragElement]) -> DragRange {
        elements.iter().fold(DragRange::default(), |sum, element| sum.plus(self.element_drag(element)))
    }

    fn element_drag(&self, element: &DragElement) -> DragRange {
        let over_windows = |speed: Option<f64>| {
            speed.map_or((0.0, 0.0), |v| {
                self.attitudes.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), range| {
                    let (l, h) = drag_bounds(element, v, *range, &self.conditions.water);
                    (low.min(l), high.max(h))
                })
            })
        };
        DragRange { least_at_low: over_windows(self.sink.low).0, most_at_high: over_windows(self.sink.high).1 }
    }
}

/// Least drag at the lower sink rate, greatest at the upper one, N.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DragRange {
    /// Least at the lower rate.
    pub least_at_low: f64,
    /// Greatest at the upper rate.
    pub most_at_high: f64,
}

impl DragRange {
    /// Sum of two.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            least_at_low: self.least_at_low + other.least_at_low,
            most_at_high: self.most_at_high + other.most_at_high,
        }
    }

    /// Smallest range that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self {
            least_at_low: self.least_at_low.min(other.least_at_low),
            most_at_high: self.most_at_high.max(other.most_at_high),
        }
    }
}

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

    /// Greatest W - l f(beta), N.
    #[must_use]
    pub fn joint(&self, lever: f64, beta: f64, from: f64, to: f64) -> f64 {
        let (sin, cos) = beta.sin_cos();
        let mix = |i: usize| self.weight.0[i] - lever * (self.x.0[i] * cos + self.y.0[i] * sin);
        Quadratic([mix(0), mix(1), mix(2)]).range(from, to).high + JOINT_SLACK
    }

    /// Range of f at a turn beta, N m.
    #[must_use]
    pub fn turning(&self, beta: f64, from: f64, to: f64) -> Range {
        let (sin, cos) = beta.sin_cos();
        let mix = |i: usize| self.x.0[i] * cos + self.y.0[i] * sin;
        let range = Quadratic([mix(0), mix(1), mix(2)]).range(from, to);
        // The fit repeats the placed moments to about 1e-12 of their size.
        Range { low: range.low - MOMENT_SLACK, high: range.high + MOMENT_SLACK }
    }
}
