//! The bench card as a page to print: the fly at its true size, the steps, what the jar should show and how to trim.
//!
//! The page is laid out from the heights of what stands on it: text is set smaller, and what matters least is left out, until
//! all of it fits.

use super::Notice;
use super::card::{CardReport, countdown_words, trim_words, turn_words};
use super::fly_drawing::{draw_fly, extent};
use super::stages::{StageReport, TestReport};
use super::svg::{Anchor, Pen, Svg};
use super::text_block::{Cell, TextBlock, width_of};
use super::vice::{TrimReport, TrimRow, TurnReport};
use crate::fly::Fly;
use crate::physics::statics::Rides;
use crate::quantity::shown::{SIZE, short};
use crate::vice::Medium;

/// Page, mm: A5 on its side.
const PAGE: [f64; 2] = [210.0, 148.0];
const EDGE: f64 = 8.0;
/// Left edge of the right column, mm.
const RIGHT: f64 = 118.0;
/// Widths of the columns, mm.
const WIDTHS: [f64; 2] = [RIGHT - EDGE - 4.0, PAGE[0] - EDGE - RIGHT];
/// Blank between blocks, mm.
const GAP: f64 = 1.8;
/// Size of the small text, mm.
const TEXT_SMALL: f64 = 2.7;
/// Size of the text in tables, mm.
const TEXT_TABLE: f64 = 2.3;
/// Size of the small print, mm.
const TEXT_PRINT: f64 = 2.0;
/// Length of the bar that shows whether the page was printed to scale, mm.
const BAR: f64 = 50.0;
/// Left edge of the small print, right of what is said of the bar, mm.
const PRINT: f64 = EDGE + BAR + 22.0;
const BLUE: &str = "#1b6ca8";
const GREY: &str = "#555555";

/// What is on the card besides the fly, the steps, the jar and the trim.
#[derive(Debug, Clone, Copy)]
struct Kept {
    early: bool,
    picture: bool,
    countdown: bool,
}

/// What is left out where text would have to be set too small, in this order.
const LESS: [Kept; 4] = [
    Kept { early: true, picture: true, countdown: true },
    Kept { early: true, picture: true, countdown: false },
    Kept { early: true, picture: false, countdown: false },
    Kept { early: false, picture: false, countdown: false },
];
/// Sizes of text that are tried before anything is left out, as shares of the ordinary ones.
const SCALES: [f64; 5] = [1.0, 0.94, 0.88, 0.82, 0.77];

/// Draws a card on a page of A5, the fly at its true size and again as it hangs.
#[must_use]
pub fn card_picture(card: &CardReport, fly: &Fly, cautions: &[Notice]) -> String {
    let tried = LESS.iter().flat_map(|kept| SCALES.iter().map(move |scale| (*scale, *kept)));
    let smaller = (1..40).map(|n| (SCALES[SCALES.len() - 1] * 0.92_f64.powi(n), LESS[LESS.len() - 1]));
    let mut layout = Layout::of(card, fly, cautions, (1.0, LESS[0]));
    for attempt in tried.chain(smaller) {
        layout = Layout::of(card, fly, cautions, attempt);
        if layout.fits {
            break;
        }
    }
    layout.draw(card, fly)
}

/// Where everything stands.
struct Layout {
    /// Text with its upper left corner.
    blocks: Vec<([f64; 2], TextBlock)>,
    /// Top of the fly at its true size.
    fly_top: f64,
    /// Top of the fly as it hangs and room for it below, if it is drawn.
    picture: Option<(f64, f64)>,
    /// Whether nothing stands over anything else or off the page.
    fits: bool,
}

impl Layout {
    fn of(card: &CardReport, fly: &Fly, cautions: &[Notice], (scale, kept): (f64, Kept)) -> Self {
        let mut blocks = Vec::new();
        let mut y = EDGE - 0.6;
        for (size, text) in [(3.6, format!("{}  {}", card.id, card.title)), (3.2, card.purpose.clone())] {
            let block = TextBlock::paragraph(size * scale.max(0.8), PAGE[0] - 2.0 * EDGE, "black", text);
            let height = block.height();
            blocks.push(([EDGE, y], block));
            y += height;
        }
        let print = small_print(card, cautions, scale);
        let print_top = PAGE[1] - EDGE + 0.6 - print.height();
        blocks.push(([PRINT, print_top], print));
        let fly_top = y + 2.0;
        let (wide, below) = true_size_ends(fly, fly_top);
        // A long fly reaches into the right column.
        let tops = [below + GAP, if wide > RIGHT - 4.0 { below + GAP } else { y + 2.0 }];
        // The bar stands below the left column.
        let bottoms = [(print_top - GAP).min(PAGE[1] - EDGE - 6.0), print_top - GAP];
        let steps = step_rows(card, scale);
        let jar = jar_table(card, scale);
        let rest = movable(card, scale, kept);
        let room = [bottoms[0] - tops[0] - steps.height(), bottoms[1] - tops[1] - jar.height()];
        let [least, wanted] = if kept.picture { picture_heights(card, fly) } else { [0.0; 2] };
        let (moved, drawn) = shared_out(&rest, room, wanted);
        let mut ends = [tops[0] + steps.height(), tops[1] + drawn.max(0.0) + jar.height()];
        blocks.push(([EDGE, tops[0]], steps));
        blocks.push(([RIGHT, tops[1] + drawn.max(0.0)], jar));
        for (block, left) in rest.into_iter().zip(moved) {
            let side = usize::from(!left);
            ends[side] += GAP;
            let height = block.height();
            blocks.push(([[EDGE, RIGHT][side], ends[side]], block));
            ends[side] += height;
        }
        let picture = (wanted > 0.0).then_some((tops[1], drawn));
        let fits = drawn >= least - 1e-9 && (0..2).all(|side| ends[side] <= bottoms[side] + 1e-9);
        Self { blocks, fly_top, picture, fits }
    }

    fn draw(&self, card: &CardReport, fly: &Fly) -> String {
        let mut svg = Svg::page(PAGE[0], PAGE[1]);
        true_size(&mut svg, fly, self.fly_top);
        if let Some((top, room)) = self.picture {
            hanging(&mut svg, card, fly, top, room);
        }
        for (at, block) in &self.blocks {
            block.draw(&mut svg, *at);
        }
        scale_bar(&mut svg);
        svg.finish()
    }
}

/// Which blocks stand below the steps instead of the jar's table, and what that leaves for the picture (less than nothing: they
/// do not fit): as much as it wants, then as few of them as can be.
fn shared_out(blocks: &[TextBlock], room: [f64; 2], wanted: f64) -> (Vec<bool>, f64) {
    let heights: Vec<f64> = blocks.iter().map(|block| block.height() + GAP).collect();
    let ways = (0..1_usize << blocks.len()).map(|way| (0..blocks.len()).map(|i| way >> i & 1 == 1).collect::<Vec<_>>());
    let judged = ways.map(|moved| {
        let taken =
            |side: bool| -> f64 { heights.iter().zip(&moved).filter(|(_, m)| **m == side).map(|(h, _)| h).sum() };
        let over = (taken(true) - room[0]).max(0.0);
        let left = (room[1] - taken(false)).min(wanted);
        (moved, if over > 0.0 { left.min(-over) } else { left })
    });
    judged.reduce(|best, next| if next.1 > best.1 + 1e-9 { next } else { best }).unwrap_or_default()
}

/// What was corrected, and what to take care of.
fn small_print(card: &CardReport, cautions: &[Notice], scale: f64) -> TextBlock {
    let care: Vec<&str> = cautions.iter().map(|c| c.text.as_str()).collect();
    let care = (!care.is_empty()).then(|| format!("take care: {}", care.join("; ")));
    let width = PAGE[0] - EDGE - PRINT;
    let rows = card.corrected.clone().into_iter().chain(care).map(|text| vec![Cell::new([0.0, width], GREY, text)]);
    TextBlock { size: TEXT_PRINT * (scale / SCALES[SCALES.len() - 1]).min(1.0), rows: rows.collect() }
}

fn step_rows(card: &CardReport, scale: f64) -> TextBlock {
    const PART: f64 = 12.0;
    let row = |(part, text): (&str, &String)| {
        vec![Cell::new([0.0, PART], BLUE, part), Cell::new([PART, WIDTHS[0] - PART], "black", text)]
    };
    let rows = card.steps.iter().map(|step| row((step.part, &step.text))).collect();
    TextBlock { size: TEXT_SMALL * scale, rows }
}

/// "+35.2°": positive tail down.
fn signed(turn: &TurnReport) -> String {
    format!("{:+.1}°", turn.angle_deg.0)
}

fn jar_table(card: &CardReport, scale: f64) -> TextBlock {
    let columns = [[0.0, 12.0], [12.5, 11.0], [24.0, 11.0], [35.5, WIDTHS[1] - 35.5]];
    let row = |colour: &'static str, cells: [String; 4]| -> Vec<Cell> {
        columns.into_iter().zip(cells).map(|(place, cell)| Cell::new(place, colour, cell)).collect()
    };
    let hang = |test: &TestReport| test.hang.as_ref().map_or_else(|| "floats".to_owned(), signed);
    let heads = ["after", "hand", "jar", "go on between (+ tail down)"].map(str::to_owned);
    let stages = card.stages.iter().map(|stage| {
        row("black", [stage.stage.to_owned(), hang(stage.hand()), hang(stage.jar()), go_on_signed(stage)])
    });
    TextBlock { size: TEXT_TABLE * scale, rows: std::iter::once(row(BLUE, heads)).chain(stages).collect() }
}

/// "jar: -56.8° to +39.2°", with the sides where they differ.
fn go_on_signed(stage: &StageReport) -> String {
    let test = stage.better();
    let place = if test.medium == Medium::Air.word() { "hand" } else { "jar" };
    match &test.go_on {
        Some([a, b]) if a.rides == b.rides => format!("{place}: {} to {}", signed(a), signed(b)),
        Some([a, b]) => format!("{place}: {} {} to {} {}", signed(a), a.rides, signed(b), b.rides),
        None => "nothing to read".to_owned(),
    }
}

/// What may stand in either column: both are wide enough.
fn movable(card: &CardReport, scale: f64, kept: Kept) -> Vec<TextBlock> {
    let paragraph = |text: String| TextBlock::paragraph(TEXT_SMALL * scale, WIDTHS[1], "black", text);
    let trim = card.trim.as_ref().map(|trim| {
        let mut block = paragraph(trim_words(trim));
        block.rows.extend(trim_chart(trim, block.size));
        block
    });
    let countdown = || paragraph(format!("tight line: {}", countdown_words(card)));
    let countdown = (kept.countdown && !card.countdown.is_empty()).then(countdown);
    let early = kept.early.then(|| paragraph(card.early.words()));
    [early, trim, countdown].into_iter().flatten().collect()
}

/// The chart of trimming, in as many columns side by side as there is room for, read down each of them.
fn trim_chart(trim: &TrimReport, size: f64) -> Vec<Vec<Cell>> {
    /// Letters of a row: what is shown, and what to cut off.
    const LETTERS: [usize; 2] = [17, 8];
    if trim.chart.is_empty() {
        return Vec::new();
    }
    let [shown, cut] = LETTERS.map(|letters| width_of(letters, size));
    let across = (WIDTHS[1] / (shown + cut)).floor().max(1.0) as usize;
    let down = trim.chart.len().div_ceil(across);
    let pair = |nth: usize, colour: &'static str, [a, b]: [String; 2]| {
        let left = (shown + cut) * nth as f64;
        [Cell::new([left, shown], colour, a), Cell::new([left + shown, cut], colour, b)]
    };
    let heads = || ["shows (+ tail)".to_owned(), "cut off".to_owned()];
    let columns = trim.chart.len().div_ceil(down);
    let head = (0..columns).flat_map(|nth| pair(nth, BLUE, heads())).collect();
    let rows = (0..down).map(|row| {
        let entries = trim.chart.iter().skip(row).step_by(down).enumerate();
        entries.flat_map(|(nth, entry)| pair(nth, "black", chart_words(entry))).collect()
    });
    std::iter::once(head).chain(rows).collect()
}

/// "+0.3° to -5.8°" and "0.5 mm".
fn chart_words(row: &TrimRow) -> [String; 2] {
    let shows = match &row.to {
        Some(to) => format!("{} to {}", signed(&row.from), signed(to)),
        None => format!("{} and on", signed(&row.from)),
    };
    [shows, SIZE.text(row.cut_mm, 2)]
}

/// How high above and below what it measures the fly at its true size stands, mm.
const MEASURED: [f64; 2] = [3.0, 4.0];

/// Where the fly at its true size ends to the right and below, with what it measures.
fn true_size_ends(fly: &Fly, top: f64) -> (f64, f64) {
    let [left, up, right, down] = extent(fly);
    (EDGE + 4.0 + right - left, top + 2.0 + down - up + MEASURED[0] + MEASURED[1] + 1.0)
}

/// The fly at its true size as it sits in the vice, with what it measures.
fn true_size(svg: &mut Svg, fly: &Fly, top: f64) {
    let [left, up, right, down] = extent(fly);
    let origin = [EDGE + 4.0 - left, top + 2.0 - up];
    svg.placed(origin, 0.0, false, 1.0, |svg| draw_fly(svg, fly));
    svg.circle(origin, 0.35, Pen::fill("#c0392b"));
    let base = origin[1] + down + MEASURED[0];
    let ends = [origin[0] + left, origin[0] + right];
    svg.path(&[[ends[0], base], [ends[1], base]], Pen::line(GREY, 0.15));
    for x in ends {
        svg.path(&[[x, base - 1.0], [x, base + 1.0]], Pen::line(GREY, 0.15));
    }
    let words = format!("true size, {} over all; red: middle of the eye", SIZE.text(right - left, 1));
    svg.sized([ends[0], base + MEASURED[1]], Anchor::Start, GREY, 2.4, &words);
}

/// Room above the eye for what is said of it and the line, and below the fly, mm.
const AROUND: [f64; 2] = [12.0, 4.0];
/// How often its true size it is drawn, at least and where there is room.
const MAGNIFIED: [f64; 2] = [0.8, 2.0];

/// The fly as it hangs, at its true size: from left to right and from top to bottom of the eye, mm.
fn hanging_spans(turn: &TurnReport, fly: &Fly) -> [(f64, f64); 2] {
    let mirrored = turn.rides == Rides::PointUp.word();
    let (sin, cos) = turn.angle_deg.0.to_radians().sin_cos();
    let [left, up, right, down] = extent(fly);
    let corners = [[left, up], [right, up], [left, down], [right, down]].map(|[x, y]| {
        let y = if mirrored { -y } else { y };
        [x * cos - y * sin, x * sin + y * cos]
    });
    [0, 1].map(|axis: usize| {
        let values = corners.map(|c| c[axis]);
        (values.into_iter().fold(f64::INFINITY, f64::min), values.into_iter().fold(f64::NEG_INFINITY, f64::max))
    })
}

/// Heights that the fly as it hangs takes at least and would take; nothing where it floats.
fn picture_heights(card: &CardReport, fly: &Fly) -> [f64; 2] {
    let Some(at) = &card.at_depth else { return [0.0; 2] };
    let [x, y] = hanging_spans(at, fly);
    MAGNIFIED.map(|scale| AROUND[0] + scale.min(widest(x)) * (y.1 - y.0) + AROUND[1])
}

/// Most by which a fly may be magnified to stay within its column.
fn widest((left, right): (f64, f64)) -> f64 {
    (WIDTHS[1] - 2.0) / (right - left)
}

/// The finished fly on its line at the fishing depth, twice its size if there is room.
fn hanging(svg: &mut Svg, card: &CardReport, fly: &Fly, top: f64, room: f64) {
    let Some(at) = &card.at_depth else { return };
    let [x, y] = hanging_spans(at, fly);
    let scale = MAGNIFIED[1].min(widest(x)).min((room - AROUND[0] - AROUND[1]) / (y.1 - y.0));
    let origin = [RIGHT + 2.0 - scale * x.0, top + AROUND[0] - scale * y.0];
    svg.path(&[[origin[0], top + 5.0], origin], Pen::line(GREY, 0.2));
    let level = [[origin[0] + scale * x.0, origin[1]], [origin[0] + scale * x.1, origin[1]]];
    svg.path(&level, Pen::line(BLUE, 0.15));
    let mirrored = at.rides == Rides::PointUp.word();
    svg.placed(origin, at.angle_deg.0, mirrored, scale, |svg| draw_fly(svg, fly));
    let words = format!("as it hangs, {} x: {}", short(scale, 1), turn_words(at));
    svg.sized([RIGHT, top + TEXT_SMALL], Anchor::Start, BLUE, TEXT_SMALL, &words);
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
