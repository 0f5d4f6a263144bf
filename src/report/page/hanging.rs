//! The fly as it hangs: in the jar, with the band to trim into; and at depth, with what pulls which way.

use super::{Page, span_words};
use crate::assess::predict;
use crate::fly::{Conditions, Fly, body};
use crate::physics::body::Label;
use crate::physics::statics::Rides;
use crate::quantity::shown::WEIGHT;
use crate::report::fly_drawing::{draw_fly, extent};
use crate::report::recipe::RecipeReport;
use crate::report::svg::{Anchor, Pen, Svg, TEXT};
use crate::report::vice::TurnReport;
use crate::report::words::hang_words;

/// Width of the drawings, mm.
const WIDTH: f64 = 110.0;
/// Room above the eye for the line, mm.
const LINE: f64 = 14.0;
const EDGE: f64 = 4.0;
/// Room that a letter of a label takes, mm.
const LETTER: f64 = 0.56 * TEXT;

/// How a drawing is placed: the tie point on the page, mm; the magnification; and how the fly is turned.
struct Placed {
    origin: [f64; 2],
    scale: f64,
    height: f64,
    angle_deg: f64,
    mirrored: bool,
}

impl Placed {
    /// So that the turned fly fills the width, and no more than its true height times five.
    fn of(fly: &Fly, angle_deg: f64, mirrored: bool, above: f64) -> Self {
        let [left, up, right, down] = extent(fly);
        let (sin, cos) = angle_deg.to_radians().sin_cos();
        let corners = [[left, up], [right, up], [left, down], [right, down]].map(|[x, y]| {
            let y = if mirrored { -y } else { y };
            [x * cos - y * sin, x * sin + y * cos]
        });
        let ends = |axis: usize| {
            let all = corners.map(|c| c[axis]);
            (all.into_iter().fold(f64::MAX, f64::min), all.into_iter().fold(f64::MIN, f64::max))
        };
        let ((x0, x1), (y0, y1)) = (ends(0), ends(1));
        // Room for labels on both sides, and no taller than a hand.
        let scale = ((WIDTH - 44.0) / (x1 - x0)).min(60.0 / (y1 - y0)).min(5.0);
        let origin = [0.5 * WIDTH - 0.5 * scale * (x0 + x1), above - scale * y0.min(0.0)];
        Self { origin, scale, height: origin[1] + scale * y1 + EDGE, angle_deg, mirrored }
    }

    /// A point of the hook frame (mm) on the page.
    fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let y = if self.mirrored { -y } else { y };
        let (sin, cos) = self.angle_deg.to_radians().sin_cos();
        [self.origin[0] + self.scale * (x * cos - y * sin), self.origin[1] + self.scale * (x * sin + y * cos)]
    }

    /// A point so far from the tie point in a direction, degrees below horizontal.
    fn towards(&self, degrees: f64, far: f64) -> [f64; 2] {
        let (sin, cos) = degrees.to_radians().sin_cos();
        [self.origin[0] + far * cos, self.origin[1] + far * sin]
    }

    fn draw(&self, svg: &mut Svg, fly: &Fly) {
        svg.path(&[[self.origin[0], 2.0], self.origin], Pen::line("#333333", 0.3));
        svg.placed(self.origin, self.angle_deg, self.mirrored, self.scale, |svg| draw_fly(svg, fly));
        svg.circle(self.origin, 0.9, Pen::fill("#000000"));
    }
}

fn mirrored(turn: &TurnReport) -> bool {
    turn.rides == Rides::PointUp.word()
}

/// What the finished fly shows in the jar.
pub(super) fn shown<'a>(page: &Page<'a>) -> Option<&'a TurnReport> {
    let aim = page.card.trim.as_ref().map(|trim| &trim.jar_shows);
    aim.or_else(|| page.card.stages.last().and_then(|stage| stage.jar().hang.as_ref()))
}

/// Readings to trim into: between these the finished fly is right, degrees.
fn band(page: &Page) -> Option<(f64, f64)> {
    let trimmed = page.card.trim.as_ref().map(|trim| trim.too_far.as_ref().map(|far| (&trim.stop_at, far)));
    let left = || page.card.stages.last()?.jar().go_on.as_ref().map(|[a, b]| (a, b));
    let (a, b) = trimmed.unwrap_or_else(left)?;
    (a.rides == b.rides).then(|| (a.angle_deg.0.min(b.angle_deg.0), a.angle_deg.0.max(b.angle_deg.0)))
}

/// The fly in the jar.
pub(super) fn in_jar(page: &Page) -> Option<String> {
    let shown = shown(page)?;
    let placed = Placed::of(page.fly, shown.angle_deg.0, mirrored(shown), LINE);
    let reach = 0.5 * WIDTH - 6.0;
    let low_edge = band(page).map_or(0.0, |(a, b)| {
        let y = |degrees: f64| placed.towards(degrees, reach)[1];
        y(a).max(y(b))
    });
    let mut svg = Svg::page(WIDTH, placed.height.max(low_edge + EDGE).max(placed.origin[1] + 12.0));
    if let Some((low, high)) = band(page) {
        let arc = (0..=24).map(|i| placed.towards(low + (high - low) * f64::from(i) / 24.0, reach));
        let sector: Vec<[f64; 2]> = std::iter::once(placed.origin).chain(arc).collect();
        svg.path(&sector, Pen { stroke: "#555555", width: 0.2, fill: "#bbbbbb", opacity: 0.35 });
    }
    svg.path(&[placed.towards(0.0, reach), placed.towards(180.0, 18.0)], Pen::line("#999999", 0.2));
    let end = placed.towards(0.0, reach)[0];
    svg.sized([end + 1.0, placed.origin[1] + 1.0], Anchor::Start, "#555555", 3.0, "level");
    placed.draw(&mut svg, page.fly);
    svg.words([WIDTH - 2.0, 5.0], Anchor::End, "black", &format!("{}, {}", hang_words(shown.angle_deg.0), shown.rides));
    Some(svg.finish())
}

/// A fly as it hangs at the depth of its report; `None` where it floats.
pub(super) fn hanging(fly: &Fly, report: &RecipeReport) -> Option<String> {
    let (angle, rides) = (report.hang.angle_deg?, report.hang.rides?);
    let placed = Placed::of(fly, angle.0, rides == Rides::PointUp.word(), LINE);
    let mut svg = Svg::page(WIDTH, placed.height.max(placed.origin[1] + EDGE));
    placed.draw(&mut svg, fly);
    Some(svg.finish())
}

/// What stands under the drawing of the jar.
pub(super) fn caption(page: &Page) -> String {
    match band(page) {
        Some((low, high)) => {
            format!("Grey: where the shank may lie when the fly is finished, {}.", span_words(low, high))
        }
        None => "The finished fly in the jar, water still, bubbles worked off.".to_owned(),
    }
}

/// What pulls, N, and where, mm of the hook frame; all that is one part together.
fn pulls(fly: &Fly, conditions: &Conditions) -> Vec<(&'static str, f64, [f64; 2])> {
    let mut all: Vec<(&'static str, f64, [f64; 2])> = Vec::new();
    for load in &body(fly, conditions).loads {
        let name = match load.label {
            Label::Hook => "hook",
            Label::Head => "head",
            Label::Bead => "bead",
            Label::Pin => "pin",
            Label::Wraps => "wire",
            Label::Foam => "foam",
            Label::Dressing(_) => "dressing",
        };
        let (newton, at) = (load.submerged_weight(conditions.water.density), load.centroid.map(|c| c * 1e3));
        match all.iter_mut().find(|known| known.0 == name) {
            Some((_, sum, centre)) => {
                let total = *sum + newton;
                if total.abs() > 0.0 {
                    *centre = [0, 1].map(|i| (*sum * centre[i] + newton * at[i]) / total);
                }
                *sum = total;
            }
            None => all.push((name, newton, at)),
        }
    }
    all
}

/// Parts of at least this share of the greatest force are drawn.
const LEAST_SHARE: f64 = 0.04;
/// Length of the longest arrow, mm.
const LONGEST: f64 = 22.0;

/// The fly at its depth with an arrow for each part.
pub(super) fn forces(page: &Page) -> Option<String> {
    let conditions = &page.target.conditions;
    let prediction = predict(page.fly, conditions);
    let rest = prediction.hang.rest()?;
    let placed = Placed::of(page.fly, rest.angle.to_degrees(), rest.rides == Rides::PointUp, LONGEST + 6.0);
    let loads = pulls(page.fly, conditions);
    let greatest = loads.iter().map(|(_, newton, _)| newton.abs()).fold(0.0, f64::max);
    let lowest =
        loads.iter().map(|(_, n, at)| placed.at(*at)[1] + LONGEST * (n / greatest).max(0.0)).fold(0.0, f64::max);
    let mut svg = Svg::page(WIDTH, placed.height.max(lowest + EDGE));
    placed.draw(&mut svg, page.fly);
    let mut labels: Vec<([f64; 2], String)> = Vec::new();
    for (name, newton, at) in loads.iter().filter(|(_, n, _)| n.abs() >= LEAST_SHARE * greatest) {
        let from = placed.at(*at);
        let long = LONGEST * newton / greatest;
        let to = [from[0], from[1] + long];
        let head = 1.6 * long.signum();
        svg.path(&[from, to], Pen::line("#000000", 0.5));
        svg.path(
            &[[to[0] - 1.1, to[1] - head], to, [to[0] + 1.1, to[1] - head]],
            Pen { stroke: "#000000", width: 0.5, fill: "none", opacity: 1.0 },
        );
        labels.push((to, format!("{name} {} {}", WEIGHT.fixed(newton.abs() * 1e3, 2), WEIGHT.unit())));
    }
    in_margins(&mut svg, labels);
    Some(svg.finish())
}

/// Puts labels into the margin that is nearer to what they name, pushed apart until no two touch, with a thin line to it.
fn in_margins(svg: &mut Svg, mut labels: Vec<([f64; 2], String)>) {
    const APART: f64 = 4.2;
    let middle = labels.iter().map(|(at, _)| at[0]).sum::<f64>() / labels.len().max(1) as f64;
    labels.sort_by(|a, b| a.0[1].total_cmp(&b.0[1]));
    let mut free = [f64::MIN; 2];
    for (at, text) in labels {
        let right = at[0] > middle;
        let y = (at[1] + 1.0).max(free[usize::from(right)]);
        free[usize::from(right)] = y + APART;
        let (anchor, x, long) = match right {
            true => (Anchor::End, WIDTH - 1.0, -LETTER),
            false => (Anchor::Start, 1.0, LETTER),
        };
        let edge = x + long * text.chars().count() as f64;
        svg.path(&[at, [edge, y - 1.0]], Pen::line("#777777", 0.15));
        svg.over([x, y], anchor, &text);
    }
}
