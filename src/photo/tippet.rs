//! The tippet: a thin line above the fly, nearly upright, alike all the way, that ends at the fly's eye.
//!
//! What looks like one but goes on below the fly is a wall, a stripe or a ruled line. Two that are as good as each other
//! are none.

use super::Pixel;
use super::background::Difference;
use super::find::Piece;
use super::mask::Mask;
use super::picture::Picture;

/// A straight line x = x0 + slope (y - y0) that was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tippet {
    pub(super) x0: f64,
    pub(super) y0: f64,
    /// Tangent of its tilt: positive leans to the right on the way down.
    pub(super) slope: f64,
    /// Standard error of the slope.
    pub(super) slope_error: f64,
    /// Topmost row in which it was followed.
    pub(super) top: f64,
    /// How much darker than what is beside it; negative where it is lighter.
    pub(super) depth: f64,
    /// How far it stands out of what other upright lines would show, standard deviations.
    pub(super) clarity: f64,
}

impl Tippet {
    pub(super) fn x_at(&self, y: f64) -> f64 {
        self.x0 + self.slope * (y - self.y0)
    }
}

/// What was found above a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Found {
    /// Nothing clear.
    None,
    /// One line.
    One(Tippet),
    /// Two that are about as clear: either may be the tippet.
    Rivals(Tippet, Tippet),
}

/// Steepest lean that is looked for, tangent of 15 degrees.
const MOST_LEAN: f64 = 0.268;
/// Strips into which the rows are gathered, and sections that must all show the line.
const STRIPS: usize = 96;
const SECTIONS: usize = 8;
/// Distance at which the background beside the line is taken, pixels.
const BESIDE: isize = 6;
/// Least height of the line above the fly, pixels.
const LEAST_ROWS: usize = 40;
/// Standard deviations that the line stands out, and least depth of it.
const CLEARLY: f64 = 7.0;
const LEAST_DEPTH: f64 = 0.012;
/// What is left and right of a line differs by no more than so many times its depth.
const MOST_UNLIKE: f64 = 1.5;
/// A line that is so clear, for each 1 of the best, is a rival.
const RIVAL: f64 = 0.5;
/// A line that shows so much below the fly, for each 1 above, passes it.
const PASSES: f64 = 0.4;
/// How far beyond the sides of the fly lines are looked for, to know what is usual, pixels.
const MARGIN: isize = 60;

/// Rows of the picture gathered into strips.
struct Strips<'p> {
    picture: &'p Picture,
    first: f64,
    height: f64,
    count: usize,
    from: isize,
    columns: usize,
    /// What is left and right of a pixel, less the pixel.
    sides: Vec<[f32; 2]>,
}

impl<'p> Strips<'p> {
    fn new(picture: &'p Picture, rows: (usize, usize), columns: (isize, isize)) -> Self {
        let count = STRIPS.min(rows.1 - rows.0);
        let height = (rows.1 - rows.0) as f64 / count as f64;
        let mut strips = Self {
            picture,
            first: rows.0 as f64,
            height,
            count,
            from: columns.0,
            columns: (columns.1 - columns.0) as usize,
            sides: Vec::new(),
        };
        for i in 0..count {
            let light: Vec<f32> = (columns.0 - BESIDE..columns.1 + BESIDE).map(|x| strips.light(i, x)).collect();
            let side = BESIDE as usize;
            strips.sides.extend((0..strips.columns).map(|x| {
                let here = light[x + side];
                [light[x] - here, light[x + 2 * side] - here]
            }));
        }
        strips
    }

    fn light(&self, strip: usize, x: isize) -> f32 {
        let from = (self.first + strip as f64 * self.height).floor() as isize;
        let to = ((self.first + (strip + 1) as f64 * self.height).floor() as isize).max(from + 1);
        (from..to).map(|y| self.picture.light(x, y)).sum::<f32>() / (to - from) as f32
    }

    fn row(&self, strip: usize) -> f64 {
        self.first + (strip as f64 + 0.5) * self.height
    }

    /// Depth of the line x at `y0` with this slope, by its sections without the best and the worst; dark positive.
    fn depth(&self, x: f64, y0: f64, slope: f64) -> f64 {
        let mut sums = [[0.0f32; 2]; SECTIONS];
        let mut counts = [0.0f32; SECTIONS];
        for strip in 0..self.count {
            let column = (x + slope * (self.row(strip) - y0)).round() as isize - self.from;
            if column < 0 || column >= self.columns as isize {
                return 0.0;
            }
            let side = self.sides[strip * self.columns + column as usize];
            let section = strip * SECTIONS / self.count;
            (0..2).for_each(|k| sums[section][k] += side[k]);
            counts[section] += 1.0;
        }
        let trimmed = |sign: f32| {
            let mut each: [f32; SECTIONS] =
                std::array::from_fn(|i| (sign * sums[i][0]).min(sign * sums[i][1]) / counts[i].max(1.0));
            each.sort_by(f32::total_cmp);
            f64::from(each[1..SECTIONS - 2].iter().sum::<f32>()) / (SECTIONS - 3) as f64
        };
        let (dark, light) = (trimmed(1.0), trimmed(-1.0));
        let depth = dark.max(light);
        // Both sides of a line look alike; those of an edge do not.
        let lean: f32 = (0..SECTIONS).map(|i| (sums[i][0] - sums[i][1]) / counts[i].max(1.0)).sum();
        if f64::from(lean.abs()) / SECTIONS as f64 > MOST_UNLIKE * depth.max(0.0) {
            return 0.0;
        }
        if dark >= light { dark } else { -light }
    }
}

/// Looks for the tippet above a piece.
pub(super) fn find(picture: &Picture, piece: &Piece) -> Found {
    let Some([left, top, right, bottom]) = piece.thick.bounds() else { return Found::None };
    if top < LEAST_ROWS + 4 {
        return Found::None;
    }
    let last = top - 3;
    let reach = (right - left).max(bottom - top).max(90).min(last - 1);
    let (left, right) = (left as isize, right as isize);
    let lean = (MOST_LEAN * reach as f64).ceil() as isize;
    let columns = (left - MARGIN - lean - 2, right + MARGIN + lean + 2);
    let strips = Strips::new(picture, (last - reach, last), columns);
    let y0 = last as f64;
    let steps = (0.7 * reach as f64 * MOST_LEAN).ceil() as i32;
    let best_at = |x: isize| {
        let slopes = (-steps..=steps).map(|i| MOST_LEAN * f64::from(i) / f64::from(steps));
        slopes
            .map(|slope| (strips.depth(x as f64, y0, slope), slope))
            .fold((0.0f64, 0.0), |best, found| if found.0.abs() > best.0.abs() { found } else { best })
    };
    let found: Vec<(f64, f64)> = (left - MARGIN..=right + MARGIN).map(best_at).collect();
    let usual = Usual::of(found.iter().map(|f| f.0.abs()));
    let within = |i: usize| (-8..=right - left + 8).contains(&(i as isize - MARGIN));
    let mut peaks: Vec<usize> = (1..found.len() - 1)
        .filter(|i| {
            within(*i) && found[*i].0.abs() >= found[*i - 1].0.abs() && found[*i].0.abs() >= found[*i + 1].0.abs()
        })
        .filter(|i| found[*i].0.abs() > LEAST_DEPTH && usual.clarity(found[*i].0.abs()) > CLEARLY)
        .collect();
    peaks.sort_by(|a, b| found[*b].0.abs().total_cmp(&found[*a].0.abs()));
    let mut kept: Vec<Tippet> = Vec::new();
    for peak in peaks {
        let (depth, slope) = found[peak];
        let x0 = (left - MARGIN + peak as isize) as f64;
        let (top, clarity) = ((last - reach) as f64, usual.clarity(depth.abs()));
        let line = Tippet { x0, y0, slope, slope_error: 0.0, top, depth, clarity };
        let apart = |other: &Tippet| (other.x_at(y0) - x0).abs() > 1.5 * BESIDE as f64;
        if kept.iter().all(apart) && !passes(picture, &line, bottom, reach) {
            kept.extend(refined(picture, line));
        }
        if kept.len() == 2 {
            break;
        }
    }
    match kept[..] {
        [] => Found::None,
        [one, other] if other.depth.abs() > RIVAL * one.depth.abs() => Found::Rivals(one, other),
        [one, ..] => Found::One(one),
    }
}

/// What lines show where there is none.
struct Usual {
    middle: f64,
    spread: f64,
}

impl Usual {
    fn of(depths: impl Iterator<Item = f64>) -> Self {
        let middle = |mut values: Vec<f64>| {
            values.sort_by(f64::total_cmp);
            values[values.len() / 2]
        };
        let depths: Vec<f64> = depths.collect();
        let usual = middle(depths.clone());
        let spread = 1.4826 * middle(depths.iter().map(|d| (d - usual).abs()).collect());
        Self { middle: usual, spread: spread.max(4e-4) }
    }

    fn clarity(&self, depth: f64) -> f64 {
        (depth - self.middle) / self.spread
    }
}

/// Whether the line goes on below the fly.
fn passes(picture: &Picture, line: &Tippet, bottom: usize, reach: usize) -> bool {
    let first = bottom + 4;
    let last = (first + reach).min(picture.height - 1);
    if last < first + SECTIONS * 3 {
        return false;
    }
    let at = line.x_at(first as f64);
    let lean = (MOST_LEAN * (last - first) as f64).ceil() as isize;
    let strips = Strips::new(picture, (first, last), (at as isize - lean - 8, at as isize + lean + 8));
    (-3..=3).any(|d| {
        let below = strips.depth(at + f64::from(d), first as f64, line.slope);
        below * line.depth > PASSES * line.depth * line.depth
    })
}

/// Middle of the line in every row, and a straight line through the middles with far ones left out.
fn refined(picture: &Picture, rough: Tippet) -> Option<Tippet> {
    let sign = rough.depth.signum();
    let mut line = rough;
    for reach in [4isize, 3, 3] {
        let mut middles: Vec<Pixel> = Vec::new();
        let mut y = rough.top;
        while y <= rough.y0 {
            let x = line.x_at(y).round() as isize;
            let light = |x: isize| f64::from(picture.light(x, y as isize));
            let beside = 0.5 * (light(x - BESIDE) + light(x + BESIDE));
            let (mut weight, mut moment) = (0.0, 0.0);
            for d in -reach..=reach {
                let dark = (sign * (beside - light(x + d)) - 0.25 * rough.depth.abs()).max(0.0);
                weight += dark;
                moment += dark * (x + d) as f64;
            }
            if weight > 0.3 * rough.depth.abs() {
                middles.push([moment / weight, y]);
            }
            y += 1.0;
        }
        line = straight(&middles, &line)?;
    }
    Some(line)
}

/// Neighbouring rows share the camera's own softening, and a line is never quite straight: least error of the slope is
/// this many pixels over its length (estimate, no source).
const LEAST_OFF: f64 = 0.4;

fn straight(middles: &[Pixel], old: &Tippet) -> Option<Tippet> {
    let mut kept: Vec<Pixel> = middles.to_vec();
    let mut line = *old;
    for _ in 0..4 {
        if kept.len() < LEAST_ROWS / 2 {
            return None;
        }
        let n = kept.len() as f64;
        let mean = |f: &dyn Fn(&Pixel) -> f64| kept.iter().map(f).sum::<f64>() / n;
        let (mx, my) = (mean(&|p| p[0]), mean(&|p| p[1]));
        let spread = kept.iter().map(|p| (p[1] - my).powi(2)).sum::<f64>();
        let slope = kept.iter().map(|p| (p[0] - mx) * (p[1] - my)).sum::<f64>() / spread;
        let off = |p: &Pixel| p[0] - mx - slope * (p[1] - my);
        let scatter = (kept.iter().map(|p| off(p).powi(2)).sum::<f64>() / (n - 2.0)).sqrt();
        let slope_error = (1.5 * scatter / spread.sqrt()).hypot(LEAST_OFF / (old.y0 - old.top).max(1.0));
        line = Tippet { x0: mx, y0: my, slope, slope_error, ..*old };
        let limit = (2.5 * scatter).max(0.3);
        kept = middles.iter().copied().filter(|p| off(p).abs() <= limit).collect();
    }
    // A line that is seen in less than half of its rows is none.
    (kept.len() as f64 > 0.5 * (old.y0 - old.top)).then_some(line)
}

/// Where a line ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LineEnd {
    /// Last row in which it was seen.
    pub(super) seen: f64,
    /// Last row in which it may go on behind the fly.
    pub(super) hidden: f64,
    /// Rows below in which it would be seen, and is not; none where something like it shows again.
    pub(super) clear: usize,
}

/// What a row shows of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Row {
    Seen,
    Missed,
    /// The fly, or hair beside the line, may hide it.
    Hidden,
}

/// What is so many times as deep as the line is not the line.
const DARKER: f64 = 2.5;
/// Difference from the background from which a place beside a line is no background.
const NOT_CLEAN: f32 = 0.06;

fn row(picture: &Picture, difference: &Difference, line: &Tippet, body: &Mask, y: usize) -> Row {
    let x = line.x_at(y as f64).round() as isize;
    if (-2..=2).any(|d| body.has(x + d, y as isize)) {
        return Row::Hidden;
    }
    let sign = line.depth.signum();
    let mean = |of: &dyn Fn(isize, isize) -> f64| {
        let rows = y.saturating_sub(2) as isize..=(y + 2).min(picture.height - 1) as isize;
        rows.map(|r| of(line.x_at(r as f64).round() as isize, r)).sum::<f64>() / 5.0
    };
    let light = |x: isize, r: isize| sign * f64::from(picture.light(x, r));
    let here = mean(&|x, r| light(x - 1, r).min(light(x, r)).min(light(x + 1, r)));
    let beside = [-BESIDE, BESIDE].map(|d| {
        let off = mean(&|x, r| {
            let at = (x + d).clamp(0, picture.width as isize - 1) as usize;
            f64::from(difference.at(at, r as usize))
        });
        (off < f64::from(NOT_CLEAN)).then(|| mean(&|x, r| light(x + d, r)) - here)
    });
    match beside.into_iter().flatten().reduce(f64::min) {
        None => Row::Hidden,
        // Much darker than the line: the ring of the eye, or wire.
        Some(depth) if depth > DARKER * line.depth.abs() => Row::Hidden,
        Some(depth) if depth > 0.4 * line.depth.abs() => Row::Seen,
        Some(_) => Row::Missed,
    }
}

/// Where the line ends: the eye is there.
pub(super) fn end(picture: &Picture, difference: &Difference, line: &Tippet, thick: &Mask) -> Option<LineEnd> {
    /// Rows without the line that end it, and with it that show it again.
    const MISSED: usize = 8;
    const AGAIN: usize = 8;
    let [_, top, _, bottom] = thick.bounds()?;
    let body = thick.grown(2);
    let (first, last) = (top.saturating_sub(4), (bottom + 4).min(picture.height - 1));
    let mut end = LineEnd { seen: first as f64, hidden: first as f64, clear: 0 };
    let (mut missed, mut again, mut behind) = (0, 0, 0);
    for y in first..last {
        match row(picture, difference, line, &body, y) {
            Row::Missed => missed += 1,
            Row::Seen if missed >= MISSED => again += 1,
            Row::Seen => {
                // What shows below a stretch of fly may be a hair: the line may end before it as well.
                if behind < MISSED {
                    (end.seen, behind) = (y as f64, 0);
                }
                (end.hidden, missed) = (y as f64, 0);
            }
            Row::Hidden => {
                behind += 1;
                if missed < MISSED {
                    end.hidden = y as f64;
                }
            }
        }
    }
    end.clear = if again >= AGAIN { 0 } else { missed };
    Some(end)
}

/// The piece without its line: above the eye, and beside the body.
pub(super) fn cut_off(piece: &Piece, line: &Tippet, end: f64) -> Mask {
    /// Half of the widest line, pixels.
    const HALF: isize = 5;
    let mut fly = piece.whole.clone();
    let body = piece.thick.grown(1);
    for y in 0..=(end.max(0.0) as isize) {
        let x = line.x_at(y as f64).round() as isize;
        for d in -HALF..=HALF {
            if !body.has(x + d, y) {
                fly.clear(x + d, y);
            }
        }
    }
    fly.reached_from(&piece.thick)
}
