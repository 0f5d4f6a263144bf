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
//! each bounded over that window by [`drag_parts`].
//!
//! On a slack line the fly falls in an attitude of its own, and glides. In a settled fall the drag along its path is at most
//! the weight and the path at least as fast as the sink rate v, so v >= v1 needs W >= D(v1) for the least D of all
//! attitudes. The upper edge is left to the judge: a fly six times too fast may still glide.
//!
//! **What physics refuses.** A fly that hangs sinks: on a tight line its sink rate is above 0 (weight equals drag), and so it
//! is on a slack one, where the power W v of the weight feeds the drag. A window that ends at 0 or below is met by none.
//! Nor is a time to a depth shorter than a stone takes in air: the weight in water is less than that in air, and what it
//! moves is more than its own mass. See [`Bounds::refused`].
//!
//! **A range of depths** needs hang and sink rate at both its ends. Metal and dressing are the same there; foam (and the air
//! in a fresh dressing) is not, so a node has a second sum for the shallow end, held to the same bounds. What the two ends
//! have to do with each other is one more straight line: f at the upper edge at the deep end is at most 0, f at the lower
//! edge at the shallow end at least 0, so the least of their difference over the node must not be above 0
//! (`Contribution::swing`). Between the ends a fly on a loop hangs between its hangs there (`crate::assess`).
//!
//! **A time to a depth**: see [`descent`]. The drop of the nose in a jig stroke has no bound on sets.
//!
//!
//! **Cost, mass, weight** are sums; cost grows with turns and foam length, foam's submerged weight and mass are linear
//! in its length.

pub(in crate::search) mod contribution;
pub mod descent;
pub mod firmness;
pub mod foam_law;
pub(in crate::search) mod lagrange;
pub mod range;
pub(in crate::search) mod rod_drag;

use crate::fly::{Conditions, Fly, practice};
use crate::part::Hook;
use crate::physics::body::{DragElement, DragShape, Label, Rod};
use crate::physics::build_up::drag_parts;
use crate::physics::constants::GRAVITY;
use crate::physics::doubt::least_force_share;
use crate::physics::statics::{Knot, Moments, Rides};
use crate::physics::{friction, knot};
use crate::spread::shares::{ShareTest, Sinks};
use crate::wanted::{Line, Target, Window};
use contribution::{Contribution, InJar};
use descent::{CLASSES, Descent};
pub(in crate::search) use firmness::Cutting;
use firmness::Firmness;
use range::{Hull, Range};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

/// Slack for rounding: moments are about 1e-5 N m and are summed to about 1e-20.
pub(in crate::search) const MOMENT_SLACK: f64 = 1e-14;
/// Widest window, rad, in which f between the edges is taken from the edges.
const WIDEST: f64 = 3.0;
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

/// Where cutting foam lets a fly sink faster by more than this over what it turns it by, 1/m, that bounds nothing.
const MOST_FASTER: f64 = 400.0;

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
    /// |M| over W is at least this, m, where a widest band of friction is asked.
    least_lever: Option<f64>,
    /// How firmly it must hang for enough flies to come out right.
    firmness: Option<Firmness>,
    /// See [`LEVERS`].
    levers: [f64; 3],
    /// Whether hang and sink rate are asked at the shallow end of a range, too.
    range: bool,
    refused: bool,
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
        let mut edges = [[Turn::default(); 3]; 2];
        for (turns, window) in edges.iter_mut().zip(&windows) {
            let middle = 0.5 * (window.from + window.to);
            *turns = [window.from, window.to, middle - FRAC_PI_2].map(Turn::new);
        }
        let sink = target.sink.unwrap_or(Window { low: None, high: None });
        Self {
            descent: target.fall.reach.map(|reach| Descent::new(reach, target.fall.line, &windows)),
            least_lever: least_lever(target, hook),
            firmness: None,
            levers: LEVERS,
            range: target.fall.shallow.is_some(),
            refused: never_met(target),
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

    /// The drag that the weight must reach on the way to a depth, where one is to be reached in time, N; 0 else. `total` is
    /// the sum at the fishing depth, and hangs in window k.
    pub(in crate::search) fn drag_on_the_way(&self, k: usize, total: &Contribution) -> f64 {
        let [_, _, classes @ ..] = total.drag.least;
        let turned = (total.turning[k][2].low, total.shift);
        self.descent.as_ref().map_or(0.0, |way| way.least_drag(classes, turned, self.on_loop()))
    }

    /// Whether the shallow end of a range of depths has to be looked at.
    #[must_use]
    pub fn has_range(&self) -> bool {
        self.range
    }

    /// The same where enough flies must come out right; see [`Firmness::new`].
    #[must_use]
    pub(in crate::search) fn firmly(mut self, target: &Target, bare: &Fly, cutting: Cutting) -> Self {
        self.firmness = Firmness::new(target, bare, &self.windows, cutting);
        if self.firmness.is_some() && cutting.faster < MOST_FASTER {
            self.levers[2] = cutting.faster.max(1.0);
        }
        self
    }

    /// Variance of the moment that hook and dressing bring about, the shape of the hook apart.
    pub(in crate::search) fn scatter_of_hook(&self) -> [f64; 2] {
        self.per_middle(|firmness, middle| firmness.scatter_of_hook(middle))
    }

    /// What differs in the jar, for each window, where flies are trimmed: by the step of the scissors, m, both edges, the middle, and
    /// the turn at which f is M . d.
    pub(in crate::search) fn per_jar(&self, f: impl Fn(f64, [Turn; 4]) -> InJar) -> [InJar; 2] {
        let mut values = [InJar::default(); 2];
        if let Some(firmness) = &self.firmness {
            for (value, edges) in values.iter_mut().zip(self.edges).take(self.windows.len()) {
                let [from, to, down] = edges;
                *value = f(firmness.step, [from, to, Turn { sin: down.cos, cos: -down.sin }, down]);
            }
        }
        values
    }

    /// Something about the middle of each window, where enough flies must come out right; 0 else.
    pub(in crate::search) fn per_middle(&self, f: impl Fn(&Firmness, Turn) -> f64) -> [f64; 2] {
        let mut values = [0.0; 2];
        if let Some(firmness) = &self.firmness {
            for (value, edges) in values.iter_mut().zip(self.edges).take(self.windows.len()) {
                // The third turn lies a quarter turn before the middle.
                *value = f(firmness, Turn { sin: edges[2].cos, cos: -edges[2].sin });
            }
        }
        values
    }

    /// Variance of the moment that the place of so heavy a part along the shank brings about, at least.
    pub(in crate::search) fn scatter_of_place(&self, weight: Range) -> [f64; 2] {
        self.per_middle(|_, middle| (weight.low.max(0.0) * middle.cos * practice::POSITION_SD).powi(2))
    }

    /// Greatest M . d - c W of a weight in a box, for each window; 0 where no firmness is asked.
    #[must_use]
    pub fn firm(&self, weight: Range, x: Range, y: Range) -> [f64; 2] {
        self.per_firmness(|lever, down| {
            let arm = x.times(Range::point(down.cos)).plus(y.times(Range::point(down.sin)));
            weight.times(arm.plus(Range::point(-lever))).high
        })
    }

    /// The same by lever c and the turn at which f is M . d.
    pub(in crate::search) fn per_firmness(&self, f: impl Fn(f64, Turn) -> f64) -> [f64; 2] {
        let mut most = [0.0; 2];
        if let Some(firmness) = self.firmness {
            for (most, edges) in most.iter_mut().zip(self.edges).take(self.windows.len()) {
                *most = f(firmness.lever, edges[2]);
            }
        }
        most
    }

    /// In which windows too few flies come out right. `harder` is the hardest test known for a share of no more than that.
    pub(in crate::search) fn loose<'t>(
        &self,
        both: (&Contribution, Option<&Contribution>),
        test: Option<&'t ShareTest>,
        harder: impl Fn(f64) -> Option<&'t ShareTest>,
    ) -> PerWindow {
        let Some((firmness, test)) = self.firmness.as_ref().zip(test) else { return self.each_window(|_| false) };
        let by_hang = |k: usize| {
            firmness.share_by_hang(test.least(), k, both).is_none_or(|by_hang| {
                let harder = harder(by_hang).filter(|harder| harder.least() > test.least());
                firmness.too_loose(harder.unwrap_or(test), k, both)
            })
        };
        self.each_window(|k| both.0.firm[k] < -4.0 * MOMENT_SLACK || by_hang(k))
    }

    /// In which windows friction in the eye can leave every recipe off its hang by more than is asked.
    pub(in crate::search) fn unsteady(&self, total: &Contribution) -> PerWindow {
        let least = self.least_lever.map_or(0.0, |lever| lever * (1.0 - RELATIVE_SLACK));
        self.each_window(|k| self.least_lever.is_some() && self.greatest_lever(k, total) < least)
    }

    /// Unsteady, or loose by a test.
    pub(in crate::search) fn too_loose<'t>(
        &self,
        both: (&Contribution, Option<&Contribution>),
        test: Option<&'t ShareTest>,
        harder: impl Fn(f64) -> Option<&'t ShareTest>,
    ) -> PerWindow {
        either(self.unsteady(both.0), self.loose(both, test, harder))
    }

    /// |M| over W is no more than this for what hangs in window k, m.
    pub(in crate::search) fn greatest_lever(&self, k: usize, total: &Contribution) -> f64 {
        // At rest on a snug knot the moment of the bent line holds M off the vertical.
        if self.snug.is_some() {
            return f64::INFINITY;
        }
        let [from, to] = [self.windows[k].from, self.windows[k].to];
        let least = (0.5 * (to - from)).cos() * total.weight.low;
        if least > 0.0 { (total.turning[k][2].high + MOMENT_SLACK) / least } else { f64::INFINITY }
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

    /// What a margin leaves of the windows.
    ///
    /// A margin m leaves the window of hangs shrunk to 1 - m of its width about the angle wanted, and the sink rates near
    /// the middle of theirs.
    #[must_use]
    pub fn narrowed(&self, margin: f64) -> Narrowed {
        let half = self.tolerance * (1.0 - margin) * (1.0 + RELATIVE_SLACK) + 1e-12;
        let mut narrowed = Narrowed { hang: [None; 2], drag: [0.0, f64::INFINITY] };
        for (hang, window) in narrowed.hang.iter_mut().zip(&self.windows) {
            let (from, to) = (window.from.max(window.middle - half), window.to.min(window.middle + half));
            let width = (window.to - window.from).sin();
            let parts = |beta: f64| {
                let p = ((window.to - beta).sin() / width).max(0.0);
                let q = ((beta - window.from).sin() / width).max(0.0);
                [p, q]
            };
            // At half a turn the two edges are the same line, and say nothing of what lies between.
            let edges_tell = window.to - window.from < WIDEST;
            *hang = Some(NarrowedHang {
                from,
                to,
                edges: edges_tell.then(|| [parts(from), parts(to)]),
                turns: [Turn::new(from), Turn::new(to)],
            });
        }
        if let Some(rates) = self.rates {
            let off = (1.0 - margin).max(0.0) * rates.half / rates.middle * (1.0 + RELATIVE_SLACK);
            if rates.edges[0] {
                narrowed.drag[0] = (1.0 - off).max(0.0).powf(STEEPEST) * (1.0 - RATE_SLACK);
            }
            if rates.edges[1] {
                narrowed.drag[1] = (1.0 + off).powf(STEEPEST) * (1.0 + RATE_SLACK);
            }
        }
        narrowed
    }

    /// Whether no hang within narrowed windows is possible.
    ///
    /// f at a turn between the edges p and q is f(p) sin(q - beta)/sin(q - p) + f(q) sin(beta - p)/sin(q - p), so its range
    /// follows from theirs.
    #[must_use]
    pub fn hang_narrowed_out(&self, turning: &Turning, weight: Range, narrowed: &Narrowed) -> bool {
        narrowed.hang.iter().zip(turning).filter_map(|(hang, t)| hang.map(|hang| (hang, t))).all(|(hang, t)| {
            let at = |[p, q]: [f64; 2]| Range { low: t[0].low * p + t[1].low * q, high: t[0].high * p + t[1].high * q };
            let NarrowedHang { from, to, edges, .. } = hang;
            from > to || edges.is_some_and(|[p, q]| self.outside((from, to), [at(p), at(q), t[2]], weight))
        })
    }

    /// Whether no sink rate within narrowed windows is possible.
    ///
    /// Since drag over the steepest power of the speed falls, drag at a rate v below the middle vm is at least
    /// D(vm) (v / vm)^n, and above it at most that.
    #[must_use]
    pub fn sink_narrowed_out(&self, weight: Range, drag: DragRange, narrowed: &Narrowed) -> bool {
        self.rates.is_some()
            && (drag.least[1] * narrowed.drag[0] > weight.high || drag.most[1] * narrowed.drag[1] < weight.low)
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
        (self.sink.low.is_some() && drag.least[0] > weight.high * (1.0 + slack))
            || (self.sink.high.is_some() && drag.most[0] < weight.low * (1.0 - slack))
    }

    /// Weights that a recipe with a drag within a range may have and sink at a rate within narrowed windows.
    pub(in crate::search) fn weights(&self, drag: DragRange, narrowed: &Narrowed) -> Range {
        let mut weights = Range { low: 0.0, high: f64::INFINITY };
        if self.sink.low.is_some() {
            weights.low = drag.least[0] * (1.0 - RELATIVE_SLACK);
        }
        if self.sink.high.is_some() {
            weights.high = drag.most[0] * (1.0 + RELATIVE_SLACK);
        }
        if self.rates.is_some() {
            weights.low = weights.low.max(drag.least[1] * narrowed.drag[0]);
            weights.high = weights.high.min(drag.most[1] * narrowed.drag[1]);
        }
        weights
    }

    /// Whether every mass of the range is too great.
    #[must_use]
    pub fn mass_impossible(&self, mass: Range) -> bool {
        self.max_mass.is_some_and(|most| mass.low > most * (1.0 + RELATIVE_SLACK))
    }

    /// Drag range of some elements.
    #[must_use]
    pub fn drag(&self, elements: &[DragElement]) -> DragRange {
        elements
            .iter()
            .flat_map(|element| self.drag_parts(element))
            .fold(DragRange::default(), |sum, part| sum.plus(part))
    }

    /// Drag range of one element in parts: across, skin, ends with slant.
    pub(in crate::search) fn drag_parts(&self, element: &DragElement) -> [DragRange; 3] {
        let water = &self.conditions.water;
        let over = |speed: Option<f64>| -> [Range; 3] {
            let nothing = [Range::point(0.0); 3];
            let Some(speed) = speed else { return nothing };
            let each = self
                .attitudes
                .iter()
                .map(|range| drag_parts(element, speed, *range, water).map(|(low, high)| Range { low, high }));
            each.reduce(|a, b| std::array::from_fn(|i| a[i].hull(b[i]))).unwrap_or(nothing)
        };
        let (low, high, middle) = (over(self.sink.low), over(self.sink.high), over(self.rates.map(|r| r.middle)));
        let on_the_way = self.descent.as_ref().map_or([[0.0; CLASSES]; 3], |d| d.least_parts(element, water));
        std::array::from_fn(|i| {
            let [narrow, wide, any] = on_the_way[i];
            DragRange { least: [low[i].low, middle[i].low, narrow, wide, any], most: [high[i].high, middle[i].high] }
        })
    }

    /// Drag range of a round rod along the shank that is wound on, or bound beside, a core that takes `hidden` of its
    /// width: any diameter and length within ranges. Across and along its drag grows with both, and it has no ends.
    #[must_use]
    pub fn rod_drag(&self, diameter: Range, hidden: f64, length: Range) -> DragRange {
        let rod = |diameter: f64, length: f64| {
            let rod = Rod { breadth: diameter - hidden, ..Rod::round(diameter, length, [1.0, 0.0]) };
            self.drag(&[DragElement { label: Label::Wraps, shape: DragShape::Slender(rod), centre: [0.0; 2] }])
        };
        let mut range = DragRange::default();
        if length.low > 0.0 && diameter.low > hidden {
            range.least = rod(diameter.low, length.low).least;
        }
        if length.high > 0.0 && diameter.high > hidden {
            range.most = rod(diameter.high, length.high).most;
        }
        range
    }
}

/// How many least drags are known.
pub const LEASTS: usize = 2 + CLASSES;

/// Ranges of drag at the sink rates that decide, N.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DragRange {
    /// Least at the lower rate, at the rate of the widest margin, and at the mean speed to a depth in each class of
    /// attitudes ([`descent`]).
    pub least: [f64; LEASTS],
    /// Greatest at the upper rate, and at the rate of the widest margin.
    pub most: [f64; 2],
}

impl DragRange {
    /// Sum of two.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            least: std::array::from_fn(|i| self.least[i] + other.least[i]),
            most: std::array::from_fn(|i| self.most[i] + other.most[i]),
        }
    }

    /// Smallest range that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self {
            least: std::array::from_fn(|i| self.least[i].min(other.least[i])),
            most: std::array::from_fn(|i| self.most[i].max(other.most[i])),
        }
    }
}

impl Hull for DragRange {
    fn hull(self, other: Self) -> Self {
        DragRange::hull(self, other)
    }
}

/// The sink rates of a window by their margin m: within `half` (1 - m) of the middle, on the sides that have an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Rates {
    middle: f64,
    half: f64,
    edges: [bool; 2],
}

impl Rates {
    /// See [`Window::margin`].
    fn new(window: Window) -> Option<Self> {
        let (middle, half) = match (window.low, window.high) {
            (Some(low), Some(high)) => (0.5 * (low + high), 0.5 * (high - low)),
            (Some(low), None) => (1.25 * low, 0.25 * low),
            (None, Some(high)) => (0.75 * high, 0.25 * high),
            (None, None) => return None,
        };
        let edges = [window.low.is_some(), window.high.is_some()];
        (middle > 0.0 && half >= 0.0).then_some(Self { middle, half, edges })
    }
}

/// The lever at which friction in the eye leaves a fly off by the widest band asked.
fn least_lever(target: &Target, hook: &Hook) -> Option<f64> {
    let most = target.max_band.filter(|_| target.conditions.knot == Knot::Loop)?;
    Some(friction::lever(hook.eye_inner_diameter, target.hands.eye_friction) / most.sin())
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
        || target.fall.reach.is_some_and(|r| r.within < free_fall(r.depth) * (1.0 - STONE_SLACK))
}

/// Whether the sink rate of no fly is known well enough for so many flies to be within so narrow a window.
fn too_narrow(target: &Target) -> bool {
    let known = target.share.zip(target.sink).filter(|_| target.fall.line == Line::Tight);
    let Some((floor, (low, high))) = known.and_then(|(floor, sink)| Some((floor, sink.low.zip(sink.high)?))) else {
        return false;
    };
    // Over the window drag grows by no more than this; see `firmness`.
    let window = ((high / low).powf(STEEPEST) - 1.0) / least_force_share();
    low > 0.0 && Sinks { window, ..Sinks::ANYHOW }.share_by_hang(floor.least, FRAC_PI_2).is_none()
}

/// Slack for the integration of a fall in time.
const STONE_SLACK: f64 = 1e-3;

/// Turning moments of two parts together.
pub(in crate::search) fn both(a: &Turning, b: &Turning) -> Turning {
    std::array::from_fn(|k| std::array::from_fn(|i| a[k][i].plus(b[k][i])))
}

/// What a margin leaves of the windows of a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Narrowed {
    hang: [Option<NarrowedHang>; 2],
    /// Least and greatest share of the drag at the middle rate that a weight may have.
    drag: [f64; 2],
}

/// What is left of a window of hangs, and how f at its edges follows from f at those of the whole.
#[derive(Debug, Clone, Copy, PartialEq)]
struct NarrowedHang {
    from: f64,
    to: f64,
    edges: Option<[[f64; 2]; 2]>,
    turns: [Turn; 2],
}

impl Narrowed {
    /// The windows that are left where f at their edges is known: the turns of both edges, and the ranges of f there of a
    /// part with this turning moment. `None` where it is not known.
    pub(in crate::search) fn edges<'t>(
        &self,
        turning: &'t Turning,
    ) -> impl Iterator<Item = Option<[(Turn, Range); 2]>> + use<'t> {
        self.hang.into_iter().zip(turning).filter_map(|(hang, t)| {
            let hang = hang?;
            let at = |i: usize| -> Option<(Turn, Range)> {
                let [p, q] = hang.edges?[i];
                Some((hang.turns[i], Range { low: t[0].low * p + t[1].low * q, high: t[0].high * p + t[1].high * q }))
            };
            Some(at(0).zip(at(1)).map(|(p, q)| [p, q]))
        })
    }
}

/// Slack for the root that gives the sink rate, and for rounding.
const RATE_SLACK: f64 = 1e-6;

/// Drag grows with speed no faster than with this power: of all there is the ends of a rod end on grow the fastest.
pub const STEEPEST: f64 = 2.5;
