//! How a piece of foam that is cut from look to look ends up, counted in scissor steps still too long.
//!
//! The distribution of what is still too long among flies not yet done is carried from look to look on a fine grid until all
//! are done. The instructions are those of [`super::trimming`].

use crate::numeric::normal_share_below_quick as share_below;
use crate::wanted::Hands;
use std::sync::OnceLock;

/// Points of the grid in one scissor step.
const PER_STEP: usize = 4;
const GRID: f64 = 1.0 / PER_STEP as f64;

/// Standard deviation of the length that one snip takes off, m. Common practice, no source.
pub const SNIP_SD: f64 = 0.1e-3;

/// Most steps in one cut.
pub(super) const MOST_STEPS: usize = 24;

/// A cut of several steps takes off no more than if each weighed so many times what it should: a fly with less moment along
/// shows a larger angle for the same foam too many, and a cut too long cannot be mended.
const CAUTION: f64 = 1.5;

/// Looks into the jar after which every fly is taken as done.
const MOST_LOOKS: usize = 40;

/// Standard deviations beyond which a reading is certain to call for a cut.
const CERTAIN: f64 = 6.5;

/// Cutting by the instructions, in scissor steps.
#[derive(Debug, Clone, Copy)]
pub(super) struct Snips {
    /// What is too long before the first look: mean and standard deviation.
    pub(super) start: (f64, f64),
    /// Reading at which to stop.
    pub(super) stop: f64,
    /// Standard deviation of a reading.
    pub(super) reading: f64,
    /// Standard deviation of a cut.
    pub(super) snip: f64,
    /// What can be cut off in all before foam is too short to be bound.
    pub(super) room: f64,
}

/// Share of flies that stop at each length.
#[derive(Debug, Clone, Default)]
pub(super) struct Stopped {
    /// Steps at the first point.
    first: f64,
    /// Not cut at all.
    pub(super) uncut: Vec<f64>,
    /// Cut.
    pub(super) cut: Vec<f64>,
}

impl Snips {
    /// Least reading at which so many steps are cut at once: one from the stop reading on; more only where a reading one
    /// standard deviation too high, on a fly whose foam weighs [`CAUTION`] times as much, leaves them in hand.
    pub(super) fn least_reading(&self, steps: usize) -> f64 {
        if steps <= 1 { self.stop } else { self.stop + self.reading + CAUTION * steps as f64 }
    }

    /// Carries the distribution from look to look.
    pub(super) fn followed(&self) -> Stopped {
        let (mean, sd) = (self.start.0, self.start.1.max(0.05));
        let low = (mean - 4.0 * sd).min(self.stop - 3.0 - 4.0 * self.reading);
        let points = (((mean + 4.0 * sd - low) / GRID).ceil().clamp(8.0, 4_000.0)) as usize;
        let edge = |i: usize| share_below((low + (i as f64 - 0.5) * GRID - mean) / sd);
        let edges: Vec<f64> = (0..=points).map(edge).collect();
        let mut going: Vec<f64> = edges.windows(2).map(|e| e[1] - e[0]).collect();
        let called = self.called(low, points);
        let blur = blur(self.snip);
        let half = blur.len() / 2;
        let mut stopped = Stopped { first: low, uncut: vec![0.0; points], cut: vec![0.0; points] };
        // What is too long even at its shortest stays so: all but all of those are cut as far as they can be.
        for (i, going) in going.iter_mut().enumerate() {
            let shortest = low + i as f64 * GRID - self.room;
            if shortest > self.stop {
                let at = ((shortest - low) / GRID).round() as usize;
                stopped.cut[at.min(points - 1)] += std::mem::take(going);
            }
        }
        let mut next = vec![0.0; points + blur.len()];
        // Points at which there may be any.
        let mut among = 0..points;
        for look in 0..MOST_LOOKS {
            next.fill(0.0);
            let mut left = 0.0;
            let (mut first, mut last) = (points, 0);
            for i in among.clone().filter(|i| going[*i] > 1e-9) {
                for (steps, share) in called.at(i) {
                    if steps == 0 {
                        let done = if look == 0 { &mut stopped.uncut[i] } else { &mut stopped.cut[i] };
                        *done += going[i] * share;
                    } else {
                        let at = (i + half).saturating_sub(steps * PER_STEP);
                        (first, last) = (first.min(at), last.max(at));
                        next[at] += going[i] * share;
                        left += going[i] * share;
                    }
                }
            }
            // `next` is moved on by `half`, so that the snip's error may go either way.
            going[among].fill(0.0);
            among = (first + 1).saturating_sub(blur.len())..(last + 1).min(points);
            for i in among.clone() {
                going[i] = blur.iter().zip(&next[i..]).map(|(weight, next)| weight * next).sum();
            }
            if left < 1e-5 {
                break;
            }
        }
        for (cut, share) in stopped.cut.iter_mut().zip(&going) {
            *cut += share;
        }
        stopped
    }

    /// What the readings at each point of the grid call for.
    fn called(&self, low: f64, points: usize) -> Called {
        let reaches = |r: f64, steps: usize| match steps {
            0 => 1.0,
            steps if steps > MOST_STEPS => 0.0,
            _ => share_below((r - self.least_reading(steps)) / self.reading),
        };
        let mut called = Called { first: Vec::with_capacity(points), ends: vec![0], shares: Vec::new() };
        for i in 0..points {
            let r = low + i as f64 * GRID;
            // The most steps that are certain to be called for, or one less.
            let beyond = (r - self.stop - self.reading * (1.0 + CERTAIN)) / CAUTION;
            let certain = (beyond.floor().max(0.0) as usize).min(MOST_STEPS);
            let mut so_far = reaches(r, certain);
            for steps in certain..=MOST_STEPS {
                let more = reaches(r, steps + 1).min(so_far);
                called.shares.push(so_far - more);
                so_far = more;
                if so_far < 1e-9 {
                    break;
                }
            }
            called.first.push(certain);
            called.ends.push(called.shares.len());
        }
        called
    }
}

/// Share of readings at each point that call for so many steps.
#[derive(Debug)]
struct Called {
    /// Least number of steps of a point.
    first: Vec<usize>,
    /// Where the shares of a point end, those of the one before first.
    ends: Vec<usize>,
    shares: Vec<f64>,
}

impl Called {
    /// Numbers of steps with their shares.
    fn at(&self, point: usize) -> impl Iterator<Item = (usize, f64)> {
        let shares = &self.shares[self.ends[point]..self.ends[point + 1]];
        (self.first[point]..).zip(shares.iter().copied())
    }
}

impl Stopped {
    /// Mean of those that were cut.
    pub(super) fn mean_cut(&self) -> Option<f64> {
        let whole: f64 = self.cut.iter().sum();
        let sum: f64 = self.cut.iter().enumerate().map(|(i, share)| share * (self.first + i as f64 * GRID)).sum();
        (whole > 1e-3).then(|| sum / whole)
    }

    /// Shares gathered into heaps of no less than so much each, neighbours together: share, mean, and standard deviation within.
    pub(super) fn heaps(&self, shares: &[f64], least: f64) -> Vec<(f64, f64, f64)> {
        let mut heaps = Vec::with_capacity(24);
        let (mut weight, mut sum, mut squares) = (0.0, 0.0, 0.0);
        for (i, share) in shares.iter().enumerate() {
            let r = self.first + i as f64 * GRID;
            weight += share;
            sum += share * r;
            squares += share * r * r;
            if weight >= least || (i + 1 == shares.len() && weight > 1e-9) {
                let mean = sum / weight;
                // A point of the grid stands for its cell.
                let within = (squares / weight - mean * mean).max(0.0) + GRID * GRID / 12.0;
                heaps.push((weight, mean, within.sqrt()));
                (weight, sum, squares) = (0.0, 0.0, 0.0);
            }
        }
        heaps
    }

    /// Greatest share within any window so many steps wide, blurred by so many steps.
    fn most_within(&self, width: f64, blur: f64) -> f64 {
        self.most_of(self.cut.iter().zip(&self.uncut).map(|(cut, uncut)| cut + uncut), (width, blur))
    }

    /// The same of those that were cut.
    pub(super) fn most_cut_within(&self, width: f64, blur: f64) -> f64 {
        self.most_of(self.cut.iter().copied(), (width, blur))
    }

    fn most_of(&self, shares: impl Iterator<Item = f64> + Clone, (width, blur): (f64, f64)) -> f64 {
        let blur = blur.max(LEAST_BLUR);
        let all = || shares.clone().enumerate().map(|(i, share)| (i as f64, share));
        let (whole, sum) = all().fold((0.0, 0.0), |(whole, sum), (i, share)| (whole + share, sum + i * share));
        if whole < 1e-9 {
            return 0.0;
        }
        let mean = self.mean_cut().unwrap_or(self.first + sum / whole * GRID);
        let about = |middle: f64| -> f64 {
            let inside = |r: f64| {
                share_below((0.5 * width - (r - middle)) / blur) - share_below((-0.5 * width - (r - middle)) / blur)
            };
            all().filter(|(_, share)| *share > 1e-6).map(|(i, share)| share * inside(self.first + i * GRID)).sum()
        };
        MIDDLES.iter().map(|off| about(mean + off)).fold(0.0, f64::max)
    }
}

/// Error of a snip on the grid, symmetric.
fn blur(steps: f64) -> Vec<f64> {
    let half = (4.0 * steps / GRID).ceil().clamp(1.0, 12.0) as i32;
    let below = |x: f64| share_below(x / steps);
    let mut weights: Vec<f64> =
        (-half..=half).map(|k| below((f64::from(k) + 0.5) * GRID) - below((f64::from(k) - 0.5) * GRID)).collect();
    let whole: f64 = weights.iter().sum();
    weights.iter_mut().for_each(|w| *w /= whole);
    weights
}

/// A point of the grid stands for its cell: blurred by less, a window would see the grid.
const LEAST_BLUR: f64 = 0.3 * GRID;

/// Middles of windows that are tried, steps off the mean.
const MIDDLES: [f64; 5] = [-0.4, -0.2, 0.0, 0.2, 0.4];

/// What foam is too long before it is cut, in scissor steps: standard deviations and means that are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Starts {
    /// Any.
    Any,
    /// A spread of one step or more.
    Apart,
    /// Of two steps or more.
    Wide,
    /// A wide spread, and no longer than a start is meant to be: a mean of no more than 2.05 of those.
    Usual,
    /// The same of 2.6 steps or more.
    Far,
    /// A wide spread and no room for longer foam: two steps or more, and a mean of no more than 1.25 of those. Many flies are then
    /// too short from the start.
    Short,
}

impl Starts {
    /// Least spread of those that lie apart, steps.
    const APART: f64 = 1.0;
    /// Of the wide and the short.
    const WIDE: f64 = 2.0;
    /// Greatest mean of the short, in spreads.
    const SHORT: f64 = 1.25;
    /// Greatest mean of the usual and the far, in spreads.
    const USUAL: f64 = 2.05;
    /// Least spread of the far, steps.
    const FAR: f64 = 2.6;

    /// Of flies whose start spreads by so much at least and whose mean is no more than this.
    #[must_use]
    pub fn of(mean: f64, sd: f64) -> Self {
        match sd {
            sd if sd >= Self::WIDE && mean <= Self::SHORT * sd => Self::Short,
            sd if sd >= Self::FAR && mean <= Self::USUAL * sd => Self::Far,
            sd if sd >= Self::WIDE && mean <= Self::USUAL * sd => Self::Usual,
            sd if sd >= Self::WIDE => Self::Wide,
            sd if sd >= Self::APART => Self::Apart,
            _ => Self::Any,
        }
    }

    fn tried(self) -> impl Iterator<Item = (f64, f64)> {
        let (sds, means): (&[f64], &[f64]) = match self {
            Self::Any => (&[0.5, 1.0, 2.5], &[3.5, 2.0, 1.0, 0.0]),
            Self::Apart => (&[Self::APART, 1.4, 2.5], &[3.5, 2.0, 1.2, 0.8, 0.4]),
            Self::Wide => (&[Self::WIDE, 2.6], &[3.5, 2.3, 1.65, 1.0]),
            Self::Usual => (&[Self::WIDE, 2.5], &[Self::USUAL, 1.65, 1.25]),
            Self::Far => (&[Self::FAR, 3.2], &[Self::USUAL, 1.65, 1.25]),
            Self::Short => (&[Self::WIDE, 2.5], &[0.8, Self::SHORT]),
        };
        sds.iter().flat_map(move |sd| means.iter().map(move |by| (by * sd, *sd)))
    }
}

/// Step of the grid of [`LeastWindows`], of a ratio to the width of the window squared, and its points.
const SQUARE_STEP: f64 = 0.01;
const SQUARES: usize = 18;

/// Between points of that grid, widths are taken as so much less: see the test.
const BETWEEN_POINTS: f64 = 0.97;

/// Widest window that is looked at, steps.
const WIDEST_WINDOW: f64 = 8.0;

/// Width to which the least is found, steps.
const WIDTH_STEP: f64 = 0.01;

/// Least widths of a window, in scissor steps, within which so large a share of flies can stop.
///
/// Variances add up: a step of 1 / w windows leaves 1 / (12 w^2), so for a share 1 / w^2 is all but a plane over the squares of the
/// other ratios. It is worked out on a grid of those, each point when it is first asked for.
#[derive(Debug, Clone)]
pub struct LeastWindows {
    share: f64,
    /// Standard deviation of a cut, steps.
    snip: f64,
    /// 1 / w^2 by starts, and the squares of reading and blur.
    points: Vec<OnceLock<f64>>,
}

impl LeastWindows {
    /// For a share and these scissors.
    #[must_use]
    pub fn new(share: f64, hands: &Hands) -> Self {
        Self { share, snip: SNIP_SD / hands.scissors.m(), points: vec![OnceLock::new(); 6 * SQUARES * SQUARES] }
    }

    /// The least width by the ratios of the error of a reading, as steps in the jar, and of all that cutting does not make up for,
    /// as steps at the depth, to the width of the window; or a little less.
    #[must_use]
    pub fn at(&self, starts: Starts, reading: f64, blur: f64) -> f64 {
        let place = |ratio: f64| {
            let at = (ratio * ratio / SQUARE_STEP).min((SQUARES - 1) as f64);
            let below = (at as usize).min(SQUARES - 2);
            (below, at - below as f64)
        };
        let ((r, beyond_r), (b, beyond_b)) = (place(reading), place(blur));
        let point = |r: usize, b: usize| {
            *self.points[(starts as usize * SQUARES + r) * SQUARES + b].get_or_init(|| {
                let [reading, blur] = [r, b].map(|i| (i as f64 * SQUARE_STEP).sqrt());
                self.least_width(starts, reading, blur).powi(-2)
            })
        };
        let along = |r: usize| (1.0 - beyond_b) * point(r, b) + beyond_b * point(r, b + 1);
        BETWEEN_POINTS / ((1.0 - beyond_r) * along(r) + beyond_r * along(r + 1)).sqrt()
    }

    /// The least width of a window in which so large a share can stop, or a little less.
    fn least_width(&self, starts: Starts, reading: f64, blur: f64) -> f64 {
        // Most starts are out at the least width of those before them.
        starts.tried().fold(WIDEST_WINDOW, |least, start| self.least_width_from(start, (reading, blur), least))
    }

    /// The same from one start, if it is less than is known.
    fn least_width_from(&self, start: (f64, f64), (reading, blur): (f64, f64), known: f64) -> f64 {
        let met = |width: f64| {
            let snips =
                Snips { start, stop: 0.5, reading: (reading * width).max(1e-3), snip: self.snip, room: f64::INFINITY };
            snips.followed().most_within(width, blur * width) >= self.share
        };
        if !met(known) {
            return known;
        }
        let (mut low, mut high) = (0.0, 1.0_f64.min(known));
        while high < known && !met(high) {
            low = high;
            high = (1.25 * high).min(known);
        }
        while high - low > WIDTH_STEP {
            let middle = 0.5 * (low + high);
            if met(middle) { high = middle } else { low = middle }
        }
        low
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_long_at_its_shortest_stays_so() {
        let snips = Snips { start: (6.0, 0.5), stop: 0.5, reading: 1e-3, snip: 1e-3, room: 4.0 };
        let stopped = snips.followed();
        let all: f64 = stopped.cut.iter().chain(&stopped.uncut).sum();
        let places = (0..).zip(&stopped.cut).map(|(i, share)| (stopped.first + f64::from(i) * GRID) * share);
        assert!((all - 1.0).abs() < 1e-3 && (places.sum::<f64>() - 2.0).abs() < 0.02, "{all}");
        // With room enough, all end within a step past the stop reading.
        let enough = Snips { room: f64::INFINITY, ..snips }.followed();
        assert!(enough.most_within(1.1, 1e-3) > 0.98 && stopped.most_within(1.1, 1e-3) < 0.8);
    }

    #[test]
    fn whole_snips_leave_what_is_left_over_anywhere_within_a_snip() {
        // Exact snips and readings, a start that is anywhere: within a window of half a step ends half of all.
        let exact = Snips { start: (8.0, 2.0), stop: 0.0, reading: 1e-3, snip: 1e-3, room: f64::INFINITY };
        let stopped = exact.followed();
        assert!((stopped.most_within(0.5, 0.0) - 0.5).abs() < 0.01, "{}", stopped.most_within(0.5, 0.0));
        let whole: f64 = stopped.cut.iter().chain(&stopped.uncut).sum();
        assert!((whole - 1.0).abs() < 1e-4);
        assert!(stopped.most_within(1.5, 0.0) > 0.999);
    }

    #[test]
    fn between_points_of_the_grid_widths_are_a_little_less() {
        let hands = Hands::with_jar_at(20.0).unwrap();
        let mut least = f64::INFINITY;
        for share in [0.3, 0.8, 0.95] {
            let windows = LeastWindows::new(share, &hands);
            for starts in [Starts::Any, Starts::Apart, Starts::Wide, Starts::Usual, Starts::Far, Starts::Short] {
                for (reading, blur) in
                    [(0.05, 0.05), (0.07, 0.13), (0.12, 0.02), (0.16, 0.17), (0.02, 0.22), (0.22, 0.11)]
                {
                    let exact = windows.least_width(starts, reading, blur);
                    let ratio = windows.at(starts, reading, blur) / exact;
                    println!("{share} {starts:?} {reading} {blur}: {exact:.3} {ratio:.4}");
                    least = least.min(ratio);
                    assert!(ratio < 1.0 + WIDTH_STEP / exact, "{share} {starts:?} {reading} {blur}: {exact} {ratio}");
                }
            }
        }
        assert!(least > 0.9, "{least}");
    }

    #[test]
    fn a_greater_share_and_worse_reading_take_a_wider_window() {
        let hands = Hands::with_jar_at(20.0).unwrap();
        let windows = [0.2, 0.5, 0.8, 0.9, 0.99].map(|share| LeastWindows::new(share, &hands));
        for reading in [0.0, 0.1, 0.2] {
            let widths = windows.each_ref().map(|w| w.at(Starts::Any, reading, 0.0));
            assert!(widths.is_sorted(), "{widths:?}");
        }
        let [.., eight_of_ten, nine_of_ten, nearly_all] = &windows;
        let least = |windows: &LeastWindows, reading, blur| windows.at(Starts::Any, reading, blur);
        assert!((0.8..1.1).contains(&least(eight_of_ten, 0.0, 0.0)) && least(nearly_all, 0.0, 0.0) > 1.1);
        let by_reading: Vec<f64> = (0..=4).map(|i| least(eight_of_ten, 0.05 * f64::from(i), 0.05)).collect();
        assert!(by_reading.is_sorted() && by_reading[4] > 1.1 * by_reading[0], "{by_reading:?}");
        assert!(least(eight_of_ten, 0.05, 0.22) > 1.1 * least(eight_of_ten, 0.05, 0.05));
        // Where many flies are too short from the start, it takes more.
        assert!(eight_of_ten.at(Starts::Short, 0.1, 0.1) > 1.05 * least(eight_of_ten, 0.1, 0.1));
        // And the more the wider they are spread.
        let kinds = [Starts::Any, Starts::Apart, Starts::Wide].map(|starts| nine_of_ten.at(starts, 0.2, 0.2));
        assert!(kinds.is_sorted() && kinds[2] > 1.2 * kinds[0], "{kinds:?}");
        let of = |mean: f64, sd: f64| Starts::of(mean, sd);
        assert_eq!([of(9.0, 4.0), of(4.0, 4.0)], [Starts::Wide, Starts::Short]);
        assert_eq!([of(1.0, 1.5), of(1.0, 0.5)], [Starts::Apart, Starts::Any]);
    }
}
