//! The bench card as a page to print: the fly at its true size, the steps, and what the jar should show.

use super::Notice;
use super::card::{CardReport, countdown_words, trim_words, turn_words};
use super::fly_drawing::{draw_fly, extent};
use super::stages::{StageReport, TestReport};
use super::svg::{Anchor, Pen, Svg};
use crate::fly::Fly;
use crate::physics::statics::Rides;
use crate::quantity::shown::{SIZE, short};
use crate::report::sheet::broken;
use crate::vice::Medium;

/// Page, mm: A5 on its side.
const PAGE: [f64; 2] = [210.0, 148.0];
const EDGE: f64 = 8.0;
/// Left edge of the right column, mm.
const RIGHT: f64 = 118.0;
/// Top of what the jar should show, mm.
const JAR: f64 = 78.0;
/// Line spacing, mm.
const LEADING: f64 = 4.0;
/// Size of the small text, mm: some 54 characters of a wide face in the left column.
const TEXT_SMALL: f64 = 2.7;
/// Length of the bar that shows whether the page was printed to scale, mm.
const BAR: f64 = 50.0;

/// Draws a card on a page of A5, the fly at its true size and again as it hangs.
#[must_use]
pub fn card_picture(card: &CardReport, fly: &Fly, cautions: &[Notice]) -> String {
    let mut svg = Svg::page(PAGE[0], PAGE[1]);
    svg.sized([EDGE, EDGE + 3.0], Anchor::Start, "black", 3.6, &format!("{}  {}", card.id, card.title));
    svg.words([EDGE, EDGE + 8.5], Anchor::Start, "black", &card.purpose);
    if let Some(corrected) = &card.corrected {
        let line = broken(corrected, 150).into_iter().next().unwrap_or_default();
        svg.sized([PAGE[0] - EDGE, EDGE + 8.5], Anchor::End, "#555555", 2.0, &line);
    }
    let (wide, below) = true_size(&mut svg, fly, EDGE + 13.0);
    let mut y = below + 5.0;
    for step in &card.steps {
        svg.sized([EDGE, y], Anchor::Start, "#1b6ca8", TEXT_SMALL, step.part);
        for line in broken(&step.text, 54) {
            svg.sized([EDGE + 12.0, y], Anchor::Start, "black", TEXT_SMALL, &line);
            y += LEADING;
        }
    }
    // A long fly reaches into the right column.
    hanging(&mut svg, card, fly, if wide > RIGHT - 4.0 { below } else { EDGE + 12.5 });
    jar_column(&mut svg, card);
    scale_bar(&mut svg);
    let lines = caution_lines(cautions);
    let mut y = PAGE[1] - EDGE - 2.6 * (lines.len() as f64 - 1.0);
    for line in lines {
        svg.sized([EDGE + BAR + 14.0, y], Anchor::Start, "#555555", 2.0, &line);
        y += 2.6;
    }
    svg.finish()
}

fn caution_lines(cautions: &[Notice]) -> Vec<String> {
    let all: Vec<&str> = cautions.iter().map(|c| c.text.as_str()).collect();
    broken(&format!("take care: {}", all.join("; ")), 108)
}

/// The fly at its true size as it sits in the vice, with what it measures; returns where it ends to the right and below.
fn true_size(svg: &mut Svg, fly: &Fly, top: f64) -> (f64, f64) {
    let [left, up, right, down] = extent(fly);
    let origin = [EDGE + 4.0 - left, top + 2.0 - up];
    svg.placed(origin, 0.0, false, 1.0, |svg| draw_fly(svg, fly));
    svg.circle(origin, 0.35, Pen::fill("#c0392b"));
    let base = origin[1] + down + 3.0;
    let ends = [origin[0] + left, origin[0] + right];
    svg.path(&[[ends[0], base], [ends[1], base]], Pen::line("#555555", 0.15));
    for x in ends {
        svg.path(&[[x, base - 1.0], [x, base + 1.0]], Pen::line("#555555", 0.15));
    }
    let words = format!("true size, {} over all; red: middle of the eye", SIZE.text(right - left, 1));
    svg.sized([ends[0], base + 4.0], Anchor::Start, "#555555", 2.4, &words);
    (ends[1], base + 4.0)
}

/// The finished fly on its line at the fishing depth, twice its size if there is room.
fn hanging(svg: &mut Svg, card: &CardReport, fly: &Fly, top: f64) {
    const SCALE: f64 = 2.0;
    let room = [PAGE[0] - RIGHT - EDGE, JAR - 6.0 - top];
    let Some(at) = &card.at_depth else { return };
    let mirrored = at.rides == Rides::PointUp.word();
    let (sin, cos) = at.angle_deg.0.to_radians().sin_cos();
    let [left, up, right, down] = extent(fly);
    let corners = [[left, up], [right, up], [left, down], [right, down]].map(|[x, y]| {
        let y = if mirrored { -y } else { y };
        [x * cos - y * sin, x * sin + y * cos]
    });
    let span = |axis: usize| {
        let values = corners.map(|c| c[axis]);
        (values.into_iter().fold(f64::INFINITY, f64::min), values.into_iter().fold(f64::NEG_INFINITY, f64::max))
    };
    let (x, y) = (span(0), span(1));
    let scale = SCALE.min(room[0] / (x.1 - x.0)).min((room[1] - 10.0) / (y.1 - y.0));
    let origin = [RIGHT + 2.0 - scale * x.0, top + 10.0 - scale * y.0];
    svg.path(&[[origin[0], top + 3.0], origin], Pen::line("#555555", 0.2));
    let level = [[origin[0] + scale * x.0, origin[1]], [origin[0] + scale * x.1, origin[1]]];
    svg.path(&level, Pen::line("#1b6ca8", 0.15));
    svg.placed(origin, at.angle_deg.0, mirrored, scale, |svg| draw_fly(svg, fly));
    let words = format!("as it hangs, {} x: {}", short(scale, 1), turn_words(at));
    svg.sized([RIGHT, top], Anchor::Start, "#1b6ca8", TEXT_SMALL, &words);
}

fn jar_column(svg: &mut Svg, card: &CardReport) {
    let mut y = JAR;
    let columns = [RIGHT, RIGHT + 10.0, RIGHT + 21.0, RIGHT + 32.0];
    for (x, head) in columns.into_iter().zip(["after", "hand", "jar", "go on between (+ tail down)"]) {
        svg.sized([x, y], Anchor::Start, "#1b6ca8", TEXT_SMALL, head);
    }
    for stage in &card.stages {
        y += LEADING;
        let hang = |test: &TestReport| {
            test.hang.as_ref().map_or_else(|| "floats".to_owned(), |turn| format!("{:+.1}°", turn.angle_deg.0))
        };
        let cells = [stage.stage.to_owned(), hang(stage.hand()), hang(stage.jar()), go_on_signed(stage)];
        for (x, cell) in columns.into_iter().zip(cells) {
            svg.sized([x, y], Anchor::Start, "black", 2.3, &cell);
        }
    }
    y += 1.5;
    let trim = card.trim.as_ref().map(trim_words);
    let countdown = (!card.countdown.is_empty()).then(|| format!("tight line: {}", countdown_words(card)));
    for words in [Some(card.early.words()), trim, countdown].into_iter().flatten() {
        for line in broken(&words, 54) {
            y += LEADING;
            svg.sized([RIGHT, y], Anchor::Start, "black", TEXT_SMALL, &line);
        }
    }
}

/// "jar: -56.8° to +39.2°", with the sides where they differ.
fn go_on_signed(stage: &StageReport) -> String {
    let test = stage.better();
    let place = if test.medium == Medium::Air.word() { "hand" } else { "jar" };
    match &test.go_on {
        Some([a, b]) if a.rides == b.rides => format!("{place}: {:+.1}° to {:+.1}°", a.angle_deg.0, b.angle_deg.0),
        Some([a, b]) => format!("{place}: {:+.1}° {} to {:+.1}° {}", a.angle_deg.0, a.rides, b.angle_deg.0, b.rides),
        None => "nothing to read".to_owned(),
    }
}

fn scale_bar(svg: &mut Svg) {
    let y = PAGE[1] - EDGE;
    svg.path(&[[EDGE, y], [EDGE + BAR, y]], Pen::line("black", 0.3));
    for i in 0..=5 {
        let x = EDGE + 10.0 * f64::from(i);
        svg.path(&[[x, y - 1.5], [x, y]], Pen::line("black", 0.3));
    }
    svg.sized([EDGE, y - 2.5], Anchor::Start, "black", 2.4, "this bar is 50 mm long when printed at full size");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_blanks() {
        assert_eq!(broken("one two three", 7), ["one two", "three"]);
        assert_eq!(broken("tungsten-slotted-3.5 at", 5), ["tungsten-slotted-3.5", "at"]);
    }
}
