//! Curves of one recipe: hang against foam length, and depth against time.

use super::Page;
use crate::assess::predict;
use crate::fly::{Conditions, Fly, FoamPiece, sinking};
use crate::physics::fall::{Fall, lowered_countdown};
use crate::quantity::Microns;
use crate::quantity::shown::{self, DEPTH};
use crate::report::figure::Figure;
use crate::report::svg::{Anchor, Pen, Svg};
use crate::report::words::{hang_words, short};
use crate::wanted::Target;
use serde::Serialize;

/// Points of a curve.
const POINTS: u32 = 48;
/// Foam lengths shown around that of the recipe: so much shorter and longer, mm.
const AROUND_MM: f64 = 6.0;

/// The curves in figures.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Curves {
    /// Foam length, mm, with the hang in the jar and at the fishing depth, degrees, on the side that the recipe rides on;
    /// empty without foam. Where the fly rides on the other side or floats there is no point.
    pub foam: Vec<[Figure; 3]>,
    /// Seconds, depth in m, and the hang there, degrees.
    pub fall: Vec<[Figure; 3]>,
}

impl Curves {
    /// Computes the curves.
    #[must_use]
    pub fn of(fly: &Fly, target: &Target, jar: &Conditions) -> Self {
        Self { foam: foam_curve(fly, target, jar), fall: fall_curve(fly, &target.conditions) }
    }
}

fn foam_curve(fly: &Fly, target: &Target, jar: &Conditions) -> Vec<[Figure; 3]> {
    let (Some(piece), Some(rest)) = (fly.foam, predict(fly, &target.conditions).hang.rest().copied()) else {
        return Vec::new();
    };
    let middle = piece.length.mm();
    let from = (middle - AROUND_MM).max(0.5);
    let step = (middle + AROUND_MM - from) / f64::from(POINTS);
    let at = |mm: f64| -> Option<[Figure; 3]> {
        let length = Microns::new((mm * 1e3).round() as i32);
        let longer = Fly { foam: Some(FoamPiece { length, ..piece }), ..*fly };
        let hang = |conditions: &Conditions| {
            predict(&longer, conditions).hang.rest().filter(|r| r.rides == rest.rides).map(|r| r.angle.to_degrees())
        };
        Some([Figure(mm), Figure(hang(jar)?), Figure(hang(&target.conditions)?)])
    };
    (0..=POINTS).filter_map(|i| at(from + step * f64::from(i))).collect()
}

fn fall_curve(fly: &Fly, conditions: &Conditions) -> Vec<[Figure; 3]> {
    let deepest = (1.5 * conditions.depth).max(1.0);
    let depths: Vec<f64> = (1..=POINTS / 2).map(|i| deepest * f64::from(2 * i) / f64::from(POINTS)).collect();
    let body = sinking(fly, conditions);
    let fall = Fall::new(&body, &conditions.water);
    let Ok(countdown) = lowered_countdown(&fall, (conditions.knot, fly.hook.neck_angle), &depths) else {
        return Vec::new();
    };
    let passed = countdown.passings.iter().flatten();
    passed.map(|p| [Figure(p.time), Figure(p.depth), Figure(p.attitude.to_degrees())]).collect()
}

/// Plot on its page, mm.
const PAGE: [f64; 2] = [110.0, 78.0];
const LEFT: f64 = 18.0;
const TOP: f64 = 4.0;
const SIZE: [f64; 2] = [88.0, 60.0];

/// Two axes with round marks.
struct Axes {
    x: (f64, f64),
    y: (f64, f64),
    /// The second axis grows downwards, as depth does.
    down: bool,
}

impl Axes {
    fn at(&self, x: f64, y: f64) -> [f64; 2] {
        let across = (x - self.x.0) / (self.x.1 - self.x.0);
        let up = (y - self.y.0) / (self.y.1 - self.y.0);
        let up = if self.down { up } else { 1.0 - up };
        [LEFT + SIZE[0] * across, TOP + SIZE[1] * up]
    }

    fn draw(&self, svg: &mut Svg, x_name: &str, x_words: impl Fn(f64) -> String, y_words: impl Fn(f64) -> String) {
        svg.rectangle([LEFT, TOP], SIZE, Pen::line("#000000", 0.3));
        for mark in marks(self.x) {
            let [x, _] = self.at(mark, self.y.0);
            svg.path(&[[x, TOP + SIZE[1]], [x, TOP + SIZE[1] + 1.2]], Pen::line("#000000", 0.3));
            svg.words([x, TOP + SIZE[1] + 5.0], Anchor::Middle, "black", &x_words(mark));
        }
        for mark in marks(self.y) {
            let [_, y] = self.at(self.x.0, mark);
            svg.path(&[[LEFT - 1.2, y], [LEFT, y]], Pen::line("#000000", 0.3));
            svg.sized([LEFT - 2.0, y + 1.0], Anchor::End, "black", 2.8, &y_words(mark));
        }
        svg.words([LEFT + 0.5 * SIZE[0], PAGE[1] - 3.0], Anchor::Middle, "black", x_name);
    }
}

/// Round marks within a range, five at most.
pub(super) fn marks((from, to): (f64, f64)) -> Vec<f64> {
    let least = (to - from) / 5.0;
    let power = 10f64.powf(least.log10().floor());
    let step =
        [1.0, 2.0, 5.0, 10.0].map(|n| n * power).into_iter().find(|s| *s >= least * (1.0 - 1e-9)).unwrap_or(least);
    let (first, last) = ((from / step - 1e-9).ceil() as i64, (to / step + 1e-9).floor() as i64);
    (first..=last).map(|i| i as f64 * step).collect()
}

/// Hang against foam length.
pub(super) fn foam_chart(curves: &Curves, page: &Page) -> Option<String> {
    let (first, last) = (curves.foam.first()?, curves.foam.last()?);
    let wanted = page.target.hang_window();
    let edges = [wanted.low, wanted.high].map(|edge| edge.map(f64::to_degrees));
    let angles = curves.foam.iter().flat_map(|p| [p[1].0, p[2].0]).chain(edges.into_iter().flatten());
    let (low, high) = angles.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
    let axes = Axes { x: (first[0].0, last[0].0), y: (low.max(-90.0) - 3.0, high.min(90.0) + 3.0), down: false };
    if last[0].0 - first[0].0 < 0.5 {
        return None;
    }
    let mut svg = Svg::page(PAGE[0], PAGE[1]);
    let top = axes.at(axes.x.0, edges[1].unwrap_or(axes.y.1).min(axes.y.1));
    let bottom = axes.at(axes.x.0, edges[0].unwrap_or(axes.y.0).max(axes.y.0));
    svg.rectangle(top, [SIZE[0], bottom[1] - top[1]], Pen::fill("#dddddd"));
    axes.draw(&mut svg, "length of the foam", |mm| shown::SIZE.text(mm, 1), whole_hang);
    let path = |which: usize| -> Vec<[f64; 2]> { curves.foam.iter().map(|p| axes.at(p[0].0, p[which].0)).collect() };
    svg.path(&path(2), Pen::line("#000000", 0.6));
    for pair in path(1).chunks(2).filter(|pair| pair.len() == 2) {
        svg.path(pair, Pen::line("#000000", 0.5));
    }
    if let Some(piece) = &page.fly.foam {
        let (foot, head) = (axes.at(piece.length.mm(), axes.y.0), axes.at(piece.length.mm(), axes.y.1));
        svg.path(&[foot, head], Pen::line("#555555", 0.25));
    }
    Some(svg.finish())
}

/// "20° tail down", "level".
fn whole_hang(degrees: f64) -> String {
    hang_words(degrees).replace(".0°", "°").replace(" tail down", " tail").replace(" head down", " head")
}

/// Depth against time, with the shank drawn along the line.
pub(super) fn depth_chart(curves: &Curves) -> Option<String> {
    let last = curves.fall.last()?;
    let axes = Axes { x: (0.0, last[0].0 * 1.04), y: (0.0, last[1].0), down: true };
    let mut svg = Svg::page(PAGE[0], PAGE[1]);
    axes.draw(&mut svg, "seconds after the fly is let down", |s| short(s, 1), |m| DEPTH.text(m, 2));
    let start = axes.at(0.0, 0.0);
    let path: Vec<[f64; 2]> =
        std::iter::once(start).chain(curves.fall.iter().map(|p| axes.at(p[0].0, p[1].0))).collect();
    svg.path(&path, Pen::line("#000000", 0.5));
    for point in curves.fall.iter().skip(2).step_by(4) {
        let [x, y] = axes.at(point[0].0, point[1].0);
        let (sin, cos) = point[2].0.to_radians().sin_cos();
        svg.path(&[[x, y], [x + 6.0 * cos, y + 6.0 * sin]], Pen::line("#000000", 0.9));
        svg.circle([x, y], 0.7, Pen::fill("#000000"));
    }
    Some(svg.finish())
}

#[cfg(test)]
mod tests {
    use super::marks;

    #[test]
    fn marks_are_round_and_lie_within() {
        assert_eq!(marks((5.0, 17.0)), [5.0, 10.0, 15.0]);
        assert_eq!(marks((-33.0, 41.0)), [-20.0, 0.0, 20.0, 40.0]);
        for range in [(0.0, 0.07), (-1.3, 2.2), (4.9, 5.6), (0.0, 99.0)] {
            let all = marks(range);
            assert!((2..=6).contains(&all.len()) && all.iter().all(|m| (range.0 - 1e-9..=range.1 + 1e-9).contains(m)));
        }
    }
}
