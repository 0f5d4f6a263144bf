//! Predicted against seen, before and after, as a picture.

use super::fit::{FitReport, OutcomeReport, SummaryReport};
use super::svg::{Anchor, Pen, Svg, TEXT};
use super::words::short;

/// Page, mm.
const WIDTH: f64 = 180.0;
/// The square in which hangs are drawn, mm.
const SIDE: f64 = 108.0;
const LEFT: f64 = 20.0;
const TOP: f64 = 22.0;
/// Height of a line of the lower part, mm.
const ROW: f64 = 5.6;
/// Small print, mm.
const SMALL: f64 = 2.7;
/// Marks are told apart by shape as well as colour.
const BEFORE: &str = "#b26a00";
const AFTER: &str = "#00558b";
const LEFT_OUT: &str = "#555555";
const GRID: Pen = Pen { stroke: "#dddddd", width: 0.2, fill: "none", opacity: 1.0 };
const RIGHT: Pen = Pen { stroke: "#888888", width: 0.35, fill: "none", opacity: 1.0 };
const MOVE: Pen = Pen { stroke: "#bbbbbb", width: 0.3, fill: "none", opacity: 1.0 };
/// Degrees and per cent between the lines of the grid.
const STEPS: [f64; 7] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];

/// Draws a fit: hangs predicted against seen, and below them how far off times and masses are.
#[must_use]
pub fn fit_chart(report: &FitReport) -> String {
    let hangs: Vec<&OutcomeReport> = report.readings.iter().filter(|r| r.unit == "deg").collect();
    let others: Vec<&OutcomeReport> =
        report.readings.iter().filter(|r| matches!(r.unit, "s" | "mg") && r.seen.is_some()).collect();
    let below = if hangs.is_empty() { TOP + 6.0 } else { TOP + SIDE + 22.0 };
    let height = if others.is_empty() { below - 6.0 } else { below + ROW * others.len() as f64 + 10.0 };
    let mut svg = Svg::page(WIDTH, height);
    svg.sized([6.0, 8.0], Anchor::Start, "black", 4.4, &format!("Predicted against seen: {}", report.log));
    legend(&mut svg);
    if !hangs.is_empty() {
        summary(&mut svg, &report.summary);
        hang_square(&mut svg, &hangs);
    }
    if !others.is_empty() {
        off_lines(&mut svg, &others, below);
    }
    svg.finish()
}

/// How far off, beside the square.
fn summary(svg: &mut Svg, list: &[SummaryReport]) {
    let x = LEFT + SIDE + 5.0;
    for (i, s) in list.iter().enumerate() {
        let y = TOP + 3.0 + 21.0 * i as f64;
        let unit = if s.unit == "deg" { "°" } else { " %" };
        svg.words([x, y], Anchor::Start, "black", &format!("{}: off by (rms)", s.what));
        for (j, (words, off)) in
            [("by the catalog", s.rms_before), ("by the fit", s.rms_after), ("without this fly", s.rms_left_out)]
                .into_iter()
                .enumerate()
        {
            let at = [x + 2.0, y + 4.2 * (j as f64 + 1.0)];
            svg.sized(at, Anchor::Start, "black", SMALL, &format!("{:.1}{unit} {words}", off.0));
        }
    }
}

/// Before: a ring. After: a dot. Left out: a cross.
#[derive(Clone, Copy)]
enum Mark {
    Ring,
    Dot,
    Cross,
}

fn mark(svg: &mut Svg, mark: Mark, [x, y]: [f64; 2]) {
    match mark {
        Mark::Ring => svg.circle([x, y], 1.2, Pen { fill: "white", ..Pen::line(BEFORE, 0.45) }),
        Mark::Dot => svg.circle([x, y], 1.1, Pen::fill(AFTER)),
        Mark::Cross => {
            svg.path(&[[x - 1.1, y - 1.1], [x + 1.1, y + 1.1]], Pen::line(LEFT_OUT, 0.4));
            svg.path(&[[x - 1.1, y + 1.1], [x + 1.1, y - 1.1]], Pen::line(LEFT_OUT, 0.4));
        }
    }
}

fn legend(svg: &mut Svg) {
    let marks = [(Mark::Ring, "by the catalog"), (Mark::Dot, "by the fit"), (Mark::Cross, "by a fit without this fly")];
    for (i, (shape, words)) in marks.into_iter().enumerate() {
        let x = 8.0 + 34.0 * i as f64;
        mark(svg, shape, [x, 14.0]);
        svg.words([x + 3.0, 15.1], Anchor::Start, "black", words);
    }
}

/// Limits on whole steps of a grid of about six lines, and the step.
fn scale(values: impl Iterator<Item = f64>) -> (f64, f64, f64) {
    let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
    let step = STEPS.into_iter().find(|s| (high - low) / s <= 6.0).unwrap_or(100.0);
    let (low, high) = ((low / step).floor() * step, (high / step).ceil() * step);
    if high > low { (low, high, step) } else { (low - step, high + step, step) }
}

/// The lines of a grid.
fn stations((low, high, step): (f64, f64, f64)) -> impl Iterator<Item = f64> {
    let lines = ((high - low) / step).round().min(1e3) as u32;
    (0..=lines).map(move |i| low + step * f64::from(i))
}

fn predicted(reading: &OutcomeReport) -> (f64, [f64; 3]) {
    let seen = reading.seen.map_or(0.0, |s| s.0);
    (seen, [reading.off_before, reading.off_after, reading.off_left_out].map(|off| seen + off.0))
}

fn hang_square(svg: &mut Svg, hangs: &[&OutcomeReport]) {
    let all = hangs.iter().flat_map(|r| {
        let (seen, [before, after, left_out]) = predicted(r);
        [seen, before, after, left_out]
    });
    let limits = scale(all);
    let (low, high, _) = limits;
    let at = |seen: f64, predicted: f64| {
        let share = |v: f64| (v - low) / (high - low) * SIDE;
        [LEFT + share(seen), TOP + SIDE - share(predicted)]
    };
    for value in stations(limits) {
        svg.path(&[at(value, low), at(value, high)], GRID);
        svg.path(&[at(low, value), at(high, value)], GRID);
        let ([x, bottom], [left, y]) = (at(value, low), at(low, value));
        let words = format!("{}°", short(value, 1));
        svg.words([x, bottom + 4.5], Anchor::Middle, "black", &words);
        svg.words([left - 1.5, y + 1.1], Anchor::End, "black", &words);
    }
    svg.path(&[at(low, low), at(high, high)], RIGHT);
    let middle = [LEFT + 0.5 * SIDE, TOP + SIDE + 10.0];
    svg.words(middle, Anchor::Middle, "black", "seen: hang, positive tail down");
    svg.placed([6.0, TOP + 0.5 * SIDE], -90.0, false, 1.0, |svg| {
        svg.words([0.0, 0.0], Anchor::Middle, "black", "predicted");
    });
    let mut labels: Vec<[f64; 2]> = Vec::new();
    for reading in hangs {
        let (seen, [before, after, left_out]) = predicted(reading);
        svg.path(&[at(seen, before), at(seen, after)], MOVE);
        mark(svg, Mark::Ring, at(seen, before));
        mark(svg, Mark::Cross, at(seen, left_out));
        mark(svg, Mark::Dot, at(seen, after));
        let [x, mut y] = at(seen, after);
        // One label a place: a later one moves down until it is clear of those before, by a hair less than a line: a sum that
        // rounds down must not be asked to move for ever.
        while let Some(taken) = labels.iter().find(|l| (l[0] - x).abs() < 8.0 && (l[1] - y).abs() < TEXT - 1e-6) {
            y = taken[1] + TEXT;
        }
        labels.push([x, y]);
        let doubt = if reading.looks_misread { " misread?" } else { "" };
        let words = format!("#{}{doubt}", reading.number);
        svg.sized([x + 2.2, y + 1.0], Anchor::Start, "black", SMALL, &words);
    }
}

fn off_lines(svg: &mut Svg, others: &[&OutcomeReport], top: f64) {
    let percent = |r: &OutcomeReport| {
        let (seen, predicted) = predicted(r);
        predicted.map(|p| (p / seen - 1.0) * 100.0)
    };
    let limits = scale(others.iter().flat_map(|r| percent(r)).chain([0.0]));
    let (low, high, _) = limits;
    let (left, width) = (84.0, 84.0);
    let at = |value: f64| left + (value - low) / (high - low) * width;
    svg.words([6.0, top - 3.5], Anchor::Start, "black", "times and masses: how far off they are predicted");
    let bottom = top + ROW * others.len() as f64;
    for value in stations(limits) {
        let pen = if value == 0.0 { RIGHT } else { GRID };
        svg.path(&[[at(value), top], [at(value), bottom]], pen);
        svg.words([at(value), bottom + 4.5], Anchor::Middle, "black", &format!("{} %", short(value, 1)));
    }
    for (i, reading) in others.iter().enumerate() {
        let y = top + ROW * (i as f64 + 0.5);
        let words = format!("#{} {}: {}", reading.number, reading.what, shortened(&reading.test));
        svg.sized([6.0, y + 1.0], Anchor::Start, "black", SMALL, &words);
        let [before, after, left_out] = percent(reading);
        svg.path(&[[at(before), y], [at(after), y]], MOVE);
        mark(svg, Mark::Ring, [at(before), y]);
        mark(svg, Mark::Cross, [at(left_out), y]);
        mark(svg, Mark::Dot, [at(after), y]);
    }
}

/// What fits beside the lines.
fn shortened(words: &str) -> String {
    const MOST: usize = 34;
    if words.chars().count() <= MOST {
        return words.to_owned();
    }
    words.chars().take(MOST - 1).chain(std::iter::once('…')).collect()
}
