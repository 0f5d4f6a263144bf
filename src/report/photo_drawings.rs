//! Drawings that go with photographs: the card of squares to print, and the course of a hang over several pictures.

use super::svg::{Anchor, Pen, Svg};
use super::words::short;

/// White around the squares, mm.
const MARGIN: f64 = 8.0;
/// Small print, mm.
const SMALL: f64 = 2.2;

/// A card of so many squares across and down, to scale.
#[must_use]
pub fn square_card((across, down): (usize, usize), side_mm: f64) -> String {
    let (width, height) = (across as f64 * side_mm, down as f64 * side_mm);
    let mut svg = Svg::page(width + 2.0 * MARGIN, height + 2.0 * MARGIN + 6.0);
    for i in (0..across * down).filter(|i| (i % across + i / across).is_multiple_of(2)) {
        let at = [MARGIN + (i % across) as f64 * side_mm, MARGIN + (i / across) as f64 * side_mm];
        svg.rectangle(at, [side_mm, side_mm], Pen::fill("black"));
    }
    let lines = [
        format!("Squares of {side_mm} mm. Print, keep dry (film, clear bag), stay flat, hang upright and broadside"),
        "in the fly's place; photograph once, then the fly, with camera and vessel left as they are.".to_owned(),
    ];
    for (i, line) in lines.iter().enumerate() {
        let y = height + 2.0 * MARGIN + 3.0 * i as f64 - 2.0;
        svg.sized([0.5 * width + MARGIN, y], Anchor::Middle, "black", 1.6, line);
    }
    svg.finish()
}

/// One picture of a course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Hang, degrees; `None` where nothing was told.
    pub hang_deg: Option<f64>,
    /// Standard error.
    pub error_deg: f64,
    /// Left out.
    pub outlier: bool,
}

const WIDTH: f64 = 150.0;
const HEIGHT: f64 = 90.0;
const LEFT: f64 = 18.0;
const TOP: f64 = 12.0;
const PLOT: [f64; 2] = [124.0, 62.0];
const SEEN: &str = "#00558b";
const LEFT_OUT: &str = "#b26a00";
const GRID: Pen = Pen { stroke: "#dddddd", width: 0.2, fill: "none", opacity: 1.0 };

/// The hang over the pictures, with errors; `rest`: first picture at rest (counted from 0), mean and its error.
#[must_use]
pub fn course_chart(frames: &[Frame], rest: Option<(usize, f64, f64)>) -> String {
    let ends = frames.iter().filter_map(|f| f.hang_deg.map(|h| (h - f.error_deg, h + f.error_deg)));
    let (low, high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), (l, h)| (a.min(l), b.max(h)));
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 45.0].into_iter().find(|s| (high - low) / s < 8.0).unwrap_or(45.0);
    let (low, high) =
        ((low / step).floor() * step, ((high / step).ceil() * step).max((low / step).floor() * step + step));
    let x = |i: f64| LEFT + PLOT[0] * (i + 0.5) / frames.len() as f64;
    let y = |h: f64| TOP + PLOT[1] * (high - h) / (high - low);
    let mut svg = Svg::page(WIDTH, HEIGHT);
    svg.sized([6.0, 7.0], Anchor::Start, "black", 3.6, "Hang over the pictures (degrees, tail down positive)");
    let mut at = low;
    while at <= high + 1e-9 {
        svg.path(&[[LEFT, y(at)], [LEFT + PLOT[0], y(at)]], GRID);
        svg.sized([LEFT - 2.0, y(at) + 0.8], Anchor::End, "black", SMALL, &short(at, 0));
        at += step;
    }
    if let Some((from, mean, error)) = rest {
        let (a, b) = (x(from as f64 - 0.5), LEFT + PLOT[0]);
        let band = Pen { stroke: "none", width: 0.0, fill: "#9fc5e8", opacity: 0.5 };
        svg.rectangle([a, y(mean + error)], [b - a, y(mean - error) - y(mean + error)], band);
        svg.path(&[[a, y(mean)], [b, y(mean)]], Pen::line(SEEN, 0.3));
    }
    let every = frames.len().div_ceil(20).max(1);
    for (i, frame) in frames.iter().enumerate() {
        if i.is_multiple_of(every) {
            svg.sized([x(i as f64), TOP + PLOT[1] + 4.0], Anchor::Middle, "black", SMALL, &(i + 1).to_string());
        }
        let Some(hang) = frame.hang_deg else { continue };
        let colour = if frame.outlier { LEFT_OUT } else { SEEN };
        let up_down = [[x(i as f64), y(hang - frame.error_deg)], [x(i as f64), y(hang + frame.error_deg)]];
        svg.path(&up_down, Pen::line(colour, 0.2));
        // Shape tells what colour does.
        let pen = if frame.outlier { Pen::line(colour, 0.4) } else { Pen::fill(colour) };
        svg.circle([x(i as f64), y(hang)], 0.9, pen);
    }
    let foot = "dots: pictures with their standard error; open rings: left out; band: mean at rest with its error";
    svg.sized([LEFT, HEIGHT - 4.0], Anchor::Start, "black", SMALL, foot);
    svg.finish()
}
