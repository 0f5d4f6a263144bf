//! The foam at true size: what to lay on the paper and cut, with a bar to check the printer by.

use super::Page;
use crate::part::{Cut, FoamForm};
use crate::quantity::shown::SIZE;
use crate::report::svg::{Anchor, Pen, Svg};

/// Length of the bar, mm.
pub(super) const BAR: f64 = 50.0;
const EDGE: f64 = 6.0;

/// The piece from the side and its section, at true size; `None` without foam.
pub(super) fn template(page: &Page) -> Option<String> {
    let piece = page.fly.foam.as_ref()?;
    let section = piece.foam.section(piece.cut);
    let (written, height) = (piece.length.mm(), section.height * 1e3);
    let start = page.card.trim.as_ref().map_or(written, |trim| trim.start_mm.max(written));
    let across = piece.foam.across(piece.cut) * 1e3;
    let width = (EDGE + start + 14.0 + across + 44.0).max(EDGE + BAR + 40.0);
    let top = 9.0;
    let bar_y = top + height.max(across) + 12.0;
    let mut svg = Svg::page(width, bar_y + 7.0);
    let foam = Pen { stroke: "#000000", width: 0.2, fill: "#eeeeee", opacity: 1.0 };
    svg.rectangle([EDGE, top], [start, height], foam);
    svg.sized([EDGE, top - 2.0], Anchor::Start, "black", 2.8, &format!("cut {} long", SIZE.text(start, 1)));
    if start > written {
        let x = EDGE + written;
        svg.path(&[[x, top - 1.0], [x, top + height + 1.0]], Pen::line("#000000", 0.2));
        let y = top + height.max(across) + 4.5;
        svg.sized(
            [EDGE, y],
            Anchor::Start,
            "black",
            2.8,
            &format!("upright line: {}, as the recipe has it", SIZE.text(written, 1)),
        );
    }
    section_drawing(&mut svg, [EDGE + start + 12.0, top], piece.foam.form, piece.cut);
    svg.path(&[[EDGE, bar_y], [EDGE + BAR, bar_y]], Pen::line("#000000", 0.3));
    for tenth in 0..=5 {
        let x = EDGE + f64::from(tenth) * BAR / 5.0;
        svg.path(&[[x, bar_y - 1.5], [x, bar_y + 1.5]], Pen::line("#000000", 0.3));
    }
    svg.sized([EDGE + BAR + 3.0, bar_y + 1.0], Anchor::Start, "black", 2.8, "50 mm");
    Some(svg.finish())
}

/// The stock end on, with the cuts to make.
fn section_drawing(svg: &mut Svg, [x, y]: [f64; 2], form: FoamForm, cut: Cut) {
    let pen = Pen { stroke: "#000000", width: 0.2, fill: "#eeeeee", opacity: 1.0 };
    let saw = Pen::line("#000000", 0.2);
    match form {
        FoamForm::Rod { diameter } => {
            let radius = 0.5e3 * diameter;
            let centre = [x + radius, y + radius];
            svg.circle(centre, radius, pen);
            // Each cut goes right across.
            let cuts = cut.pieces() as u32 / 2;
            for nth in 0..cuts {
                let (sin, cos) = (std::f64::consts::PI * f64::from(nth) / f64::from(cuts)).sin_cos();
                let end = |sign: f64| [centre[0] + sign * radius * cos, centre[1] + sign * radius * sin];
                svg.path(&[end(-1.0), end(1.0)], saw);
            }
        }
        FoamForm::Strip { width, thickness } => {
            svg.rectangle([x, y], [width * 1e3, thickness * 1e3], pen);
            let pieces = cut.pieces();
            for nth in 1..pieces {
                let at = x + width * 1e3 * nth as f64 / pieces as f64;
                svg.path(&[[at, y], [at, y + thickness * 1e3]], saw);
            }
        }
    }
    let words = match cut {
        Cut::Whole => "end on: as bought".to_owned(),
        cut => format!("end on: split in {}, take one", cut.pieces()),
    };
    svg.sized([x, y - 2.0], Anchor::Start, "black", 2.8, &words);
}
