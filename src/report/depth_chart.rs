//! The depth chart of a box: depth downwards, seconds to the right, a line for each recipe, a band for each need.

use super::dot_labels::dot_labels;
use super::figure::Figure;
use super::sheet::broken;
use super::svg::{Anchor, Pen, Svg};
use crate::fly::{Fly, sinking};
use crate::fly_box::plan::{BoxPlan, Tie};
use crate::fly_box::spec::{BoxNeed, BoxOrder};
use crate::physics::fall::{Fall, lowered_countdown};
use crate::quantity::shown::DEPTH;
use serde::Serialize;

/// Depths at which each line is computed, besides the surface.
const STEPS: u32 = 24;

/// What the chart shows.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DepthChart {
    /// One band for each need.
    pub bands: Vec<DepthBand>,
    /// One line for each recipe.
    pub lines: Vec<DepthLine>,
}

/// The depths of one need.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DepthBand {
    /// The need's name.
    pub need: String,
    /// Shallow end, m; the deep end where the need has one depth.
    pub from_m: Figure,
    /// Deep end, m.
    pub to_m: Figure,
    /// Seconds allowed down to the deep end.
    pub within_s: Option<Figure>,
}

/// Lowered on a tight line: when a recipe passes which depth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DepthLine {
    /// Recipe id.
    pub recipe: String,
    /// Seconds and depth, m, from the surface down to the deepest need or as deep as it sinks.
    pub points: Vec<[Figure; 2]>,
    /// Seconds and depth, m, at the deep ends of the needs for which it is tied.
    pub tied_for: Vec<[Figure; 2]>,
}

/// Computes the chart of a plan. Each line is drawn in the water of the first need for which the recipe is tied.
#[must_use]
pub fn depth_chart(order: &BoxOrder, plan: &BoxPlan) -> DepthChart {
    let bands = order.needs.iter().map(|need| DepthBand {
        need: need.name.clone(),
        from_m: Figure(need.target.fall.shallow.unwrap_or(need.target.conditions.depth)),
        to_m: Figure(need.target.conditions.depth),
        within_s: need.target.fall.reach.as_ref().map(|r| Figure(r.within)),
    });
    let deepest = order.needs.iter().map(|n| n.target.conditions.depth).fold(0.0, f64::max);
    let depths: Vec<f64> = (1..=STEPS).map(|i| deepest * f64::from(i) / f64::from(STEPS)).collect();
    let lines = plan.ties.iter().map(|tie| depth_line(tie, order, &depths));
    DepthChart { bands: bands.collect(), lines: lines.collect() }
}

fn depth_line(tie: &Tie, order: &BoxOrder, depths: &[f64]) -> DepthLine {
    let tied: Vec<&BoxNeed> = order.needs.iter().zip(&tie.flies).filter(|(_, n)| **n > 0).map(|(n, _)| n).collect();
    let mut points = vec![[Figure(0.0), Figure(0.0)]];
    if let Some(need) = tied.first() {
        points.extend(passings(&tie.fly, need, depths));
    }
    let tied_for = tied.iter().flat_map(|need| passings(&tie.fly, need, &[need.target.conditions.depth])).collect();
    DepthLine { recipe: tie.fly.recipe().id(), points, tied_for }
}

/// Seconds and depth, m, of those depths that a fly reaches, lowered on a tight line in the water of a need.
pub(super) fn passings(fly: &Fly, need: &BoxNeed, depths: &[f64]) -> Vec<[Figure; 2]> {
    let conditions = &need.target.conditions;
    let body = sinking(fly, conditions);
    let fall = Fall::new(&body, &conditions.water);
    let countdown = lowered_countdown(&fall, (conditions.knot, fly.hook.neck_angle), depths);
    let Ok(countdown) = countdown else { return Vec::new() };
    let passed = countdown.passings.iter().zip(depths);
    passed.filter_map(|(p, d)| p.as_ref().map(|p| [Figure(p.time), Figure(*d)])).collect()
}

/// Page and plot, in millimetres.
const PAGE: (f64, f64) = (180.0, 126.0);
const LEFT: f64 = 20.0;
const TOP: f64 = 20.0;
const WIDTH: f64 = 112.0;
const HEIGHT: f64 = 84.0;
const SHADES: [&str; 6] = ["#1b6ca8", "#c0392b", "#2e8b57", "#8e44ad", "#b9770e", "#34495e"];
const BANDS: [&str; 2] = ["#e8eef3", "#f3ede4"];
/// Rows of names below the plot for which the page has room.
const ROWS: usize = 3;
/// Width of a letter, mm, at most on average.
const LETTER: f64 = 1.9;
/// Least distance of two labels, mm.
const LABEL: f64 = 4.4;
/// Blank between the plot and the names of the needs, mm.
const NAMES: f64 = 5.0;

struct Axes {
    longest: f64,
    deepest: f64,
    /// Height of the plot, mm.
    height: f64,
}

impl Axes {
    fn x(&self, seconds: f64) -> f64 {
        LEFT + WIDTH * seconds / self.longest
    }

    fn y(&self, depth: f64) -> f64 {
        TOP + self.height * depth / self.deepest
    }
}

/// Something said of a dot: its seconds and depth, m.
pub type DotWords = ([f64; 2], String);

/// Draws the chart: an SVG with the lengths of its page in millimetres. `said` is what stands beside the dots.
#[must_use]
pub fn depth_picture(chart: &DepthChart, title: &str, said: &[DotWords]) -> String {
    let times = chart.lines.iter().flat_map(|l| l.points.iter().chain(&l.tied_for)).map(|p| p[0].0);
    let within = chart.bands.iter().filter_map(|b| b.within_s).map(|s| s.0);
    let names = band_names(chart);
    let axes = Axes {
        height: HEIGHT.max(LABEL * names.iter().map(|(_, lines)| lines.len()).sum::<usize>() as f64),
        longest: times.chain(within).fold(1.0, f64::max),
        deepest: chart.bands.iter().map(|b| b.to_m.0).fold(0.1, f64::max),
    };
    let (ends, rows) = line_ends(chart, &axes);
    let height = PAGE.1 - HEIGHT + axes.height + LABEL * rows.saturating_sub(ROWS) as f64;
    let mut svg = Svg::page(PAGE.0, height);
    svg.words([LEFT, 7.0], Anchor::Start, "black", title);
    bands(&mut svg, chart, &axes, names);
    scales(&mut svg, &axes);
    lines(&mut svg, chart, &axes);
    let dots: Vec<DotWords> = said.iter().map(|([s, d], words)| ([axes.x(*s), axes.y(*d)], words.clone())).collect();
    dot_labels(&mut svg, &dots, [LEFT + 0.5, TOP + 0.5, LEFT + WIDTH - 0.5, TOP + axes.height - 0.5]);
    for (place, (colour, recipe)) in ends {
        svg.words(place, Anchor::Middle, colour, recipe);
    }
    let note = "seconds after it touches the water, lowered on a tight line; dot: tied for that depth";
    svg.words([LEFT, height - 4.0], Anchor::Start, "black", note);
    svg.finish()
}

/// The names of the needs at each band of depths, broken to the room right of the plot; needs of one band stand together.
fn band_names(chart: &DepthChart) -> Vec<(&DepthBand, Vec<String>)> {
    let letters = ((PAGE.0 - LEFT - WIDTH - NAMES) / LETTER) as usize;
    let mut names: Vec<(&DepthBand, Vec<String>)> = Vec::new();
    for band in &chart.bands {
        let limit = band.within_s.map_or_else(String::new, |s| format!(", in {} s", s.rounded()));
        let lines = broken(&format!("{}{limit}", band.need), letters);
        let same = |other: &DepthBand| (other.from_m, other.to_m) == (band.from_m, band.to_m);
        match names.iter_mut().find(|(other, _)| same(other)) {
            Some((_, known)) => known.extend(lines),
            None => names.push((band, lines)),
        }
    }
    names
}

fn bands(svg: &mut Svg, chart: &DepthChart, axes: &Axes, names: Vec<(&DepthBand, Vec<String>)>) {
    // A single depth is drawn as a thin band.
    let ends = |band: &DepthBand| {
        let to = axes.y(band.to_m.0);
        (axes.y(band.from_m.0).min(to - 0.6), to)
    };
    for (i, band) in chart.bands.iter().enumerate() {
        let ((from, to), right) = (ends(band), band.within_s.map_or(LEFT + WIDTH, |s| axes.x(s.0)));
        svg.rectangle([LEFT, from], [right - LEFT, to - from], Pen::fill(BANDS[i % BANDS.len()]));
    }
    let wanted = names.into_iter().map(|(band, lines)| {
        let (from, to) = ends(band);
        (0.5 * (from + to), lines)
    });
    for (y, (band, lines)) in spaced(wanted.collect(), TOP + axes.height) {
        svg.path(&[[LEFT + WIDTH, band], [LEFT + WIDTH + NAMES - 1.0, y]], Pen::line("#777777", 0.15));
        for (nth, line) in lines.iter().enumerate() {
            let at = [LEFT + WIDTH + NAMES, y + 1.1 + LABEL * nth as f64];
            svg.words(at, Anchor::Start, "black", line);
        }
    }
}

fn scales(svg: &mut Svg, axes: &Axes) {
    svg.path(&[[LEFT, TOP + axes.height], [LEFT, TOP], [LEFT + WIDTH, TOP]], Pen::line("black", 0.3));
    for s in marks(axes.longest) {
        let x = axes.x(s);
        svg.path(&[[x, TOP], [x, TOP - 1.0]], Pen::line("black", 0.3));
        svg.words([x, TOP - 2.0], Anchor::Middle, "black", &format!("{} s", Figure(s).rounded()));
    }
    for d in marks(axes.deepest) {
        let y = axes.y(d);
        svg.path(&[[LEFT, y], [LEFT - 1.0, y]], Pen::line("black", 0.3));
        svg.words([LEFT - 2.0, y + 1.1], Anchor::End, "black", &DEPTH.stated(Figure(d).rounded(), 2));
    }
}

fn lines(svg: &mut Svg, chart: &DepthChart, axes: &Axes) {
    for (i, line) in chart.lines.iter().enumerate() {
        let colour = SHADES[i % SHADES.len()];
        let path: Vec<[f64; 2]> = line.points.iter().map(|[s, d]| [axes.x(s.0), axes.y(d.0)]).collect();
        svg.path(&path, Pen::line(colour, 0.5));
        for [s, d] in &line.tied_for {
            svg.circle([axes.x(s.0), axes.y(d.0)], 1.3, Pen::fill(colour));
        }
    }
}

/// Where the name of a line stands, its colour and the name.
type LineEnd<'c> = ([f64; 2], (&'static str, &'c str));

/// Names of the lines below the plot, side by side, on a further row where two would touch; and the number of rows.
fn line_ends<'c>(chart: &'c DepthChart, axes: &Axes) -> (Vec<LineEnd<'c>>, usize) {
    let mut ends: Vec<(f64, &str, &str)> = Vec::new();
    for (i, line) in chart.lines.iter().enumerate() {
        ends.extend(line.points.last().map(|[s, _]| (axes.x(s.0), SHADES[i % SHADES.len()], line.recipe.as_str())));
    }
    ends.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut free: Vec<f64> = Vec::new();
    let placed = ends.into_iter().map(|(x, colour, recipe)| {
        let half = 0.5 * LETTER * (recipe.chars().count() + 1) as f64;
        let row = free.iter().position(|right| *right < x - half).unwrap_or(free.len());
        free.resize(free.len().max(row + 1), f64::MIN);
        free[row] = x + half;
        ([x, TOP + axes.height + 5.5 + LABEL * row as f64], (colour, recipe))
    });
    let placed = placed.collect();
    (placed, free.len())
}

/// Labels of so many lines, each with the height of what it names: pushed down until no two touch, and up where the last would
/// reach below the end; with the height at which each begins.
fn spaced(mut labels: Vec<(f64, Vec<String>)>, end: f64) -> Vec<(f64, (f64, Vec<String>))> {
    labels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let tall = |lines: &[String]| LABEL * lines.len() as f64;
    let mut free = f64::MIN;
    let mut places: Vec<f64> = Vec::new();
    for (y, lines) in &labels {
        places.push(y.max(free));
        free = y.max(free) + tall(lines);
    }
    // The last line of a label may stand at the end itself.
    let mut most = end + LABEL;
    for (place, (_, lines)) in places.iter_mut().zip(&labels).rev() {
        *place = place.min(most - tall(lines));
        most = *place;
    }
    places.into_iter().zip(labels).collect()
}

/// Round marks from 0 to at most `end`: steps of 1, 2 or 5 times a power of ten, five at most besides 0.
fn marks(end: f64) -> Vec<f64> {
    let least = end / 5.0;
    let power = 10f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|n| n * power).into_iter().find(|s| *s >= least * (1.0 - 1e-9));
    let step = step.unwrap_or(end);
    (0..=(end / step * (1.0 + 1e-9)).floor() as u32).map(|i| f64::from(i) * step).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_few() {
        assert_eq!(marks(36.0), [0.0, 10.0, 20.0, 30.0]);
        assert_eq!(marks(4.0), [0.0, 1.0, 2.0, 3.0, 4.0]);
        assert_eq!(marks(0.5).len(), 6);
        for end in [0.07, 0.9, 1.1, 7.3, 14.0, 99.0, 101.0] {
            let n = marks(end).len();
            assert!((3..=6).contains(&n), "{end}: {n}");
        }
    }

    #[test]
    fn labels_do_not_touch_and_stay_above_the_end() {
        let labels = [(10.0, 1), (9.0, 2), (30.0, 1), (30.5, 3), (31.0, 1)];
        let labels = labels.map(|(y, lines)| (y, vec![String::new(); lines])).to_vec();
        let placed = spaced(labels, 31.0);
        let tall = |lines: &Vec<String>| LABEL * lines.len() as f64;
        for pair in placed.windows(2) {
            assert!(pair[1].0 - pair[0].0 >= tall(&pair[0].1.1) - 1e-9 && pair[0].1.0 <= pair[1].1.0, "{placed:?}");
        }
        let (last, (_, lines)) = placed.last().unwrap();
        assert!(last + tall(lines) <= 31.0 + LABEL + 1e-9, "{placed:?}");
    }
}
