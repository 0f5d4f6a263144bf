//! A fly from the side in letters, to scale, as it hangs: for a terminal.

use crate::fly::{Fly, FrontMount, bead_centre, foam_span, wrap_core, wraps_span};
use crate::physics::statics::Rides;
use crate::recipe::Seat;
use crate::shape::wire_path::Segment;

/// A letter is about twice as high as it is wide.
const TALL: f64 = 2.0;
/// Points a wire segment is drawn with.
const POINTS: usize = 60;

/// A grid of letters over the fly's own space, turned as it hangs.
struct Canvas {
    letters: Vec<Vec<char>>,
    /// Metres a column.
    step: f64,
    left: f64,
    top: f64,
    turn: (f64, f64),
    mirrored: bool,
}

impl Canvas {
    /// From the hook frame to the page: x right, y down, tail down positive.
    fn turned(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let y = if self.mirrored { -y } else { y };
        let (sin, cos) = self.turn;
        [x * cos - y * sin, x * sin + y * cos]
    }

    fn put(&mut self, at: [f64; 2], letter: char) {
        let [x, y] = self.turned(at);
        let (column, row) = ((x - self.left) / self.step, (y - self.top) / (self.step * TALL));
        if column >= 0.0
            && row >= 0.0
            && let Some(cell) =
                self.letters.get_mut(row.round() as usize).and_then(|r| r.get_mut(column.round() as usize))
        {
            *cell = letter;
        }
    }

    fn disc(&mut self, [x, y]: [f64; 2], radius: f64, letter: char) {
        let fine = 0.3 * self.step;
        let n = (radius / fine).ceil() as i32;
        for i in -n..=n {
            for j in -n..=n {
                let (dx, dy) = (f64::from(i) * fine, f64::from(j) * fine);
                if dx.hypot(dy) <= radius {
                    self.put([x + dx, y + dy], letter);
                }
            }
        }
    }

    fn bar(&mut self, [x0, y0]: [f64; 2], [x1, y1]: [f64; 2], letter: char) {
        let fine = 0.3 * self.step;
        let (nx, ny) = (((x1 - x0).abs() / fine).ceil().max(1.0), ((y1 - y0).abs() / fine).ceil().max(1.0));
        for i in 0..=nx as u32 {
            for j in 0..=ny as u32 {
                self.put([x0 + (x1 - x0) * f64::from(i) / nx, y0 + (y1 - y0) * f64::from(j) / ny], letter);
            }
        }
    }
}

/// Lines of letters: the fly as it hangs at `angle` (rad, positive tail down) on `rides`, its line going up from the eye, in
/// at most so many columns. `o` bead or head, `=` wire, `#` foam, `~` dressing; the hook in `-`, `|` and the like.
#[must_use]
pub fn side_view(fly: &Fly, angle: f64, rides: Rides, columns: usize) -> Vec<String> {
    const LINE: usize = 2;
    let [left, up, right, down] = super::fly_drawing::extent(fly).map(|mm| mm * 1e-3);
    let mut canvas = Canvas {
        letters: Vec::new(),
        step: 1.0,
        left: 0.0,
        top: 0.0,
        turn: angle.sin_cos(),
        mirrored: rides == Rides::PointUp,
    };
    let corners = [[left, up], [right, up], [left, down], [right, down]].map(|corner| canvas.turned(corner));
    let ends = |axis: usize| {
        let values = corners.map(|c| c[axis]);
        (values.into_iter().fold(f64::MAX, f64::min), values.into_iter().fold(f64::MIN, f64::max))
    };
    let ((x0, x1), (y0, y1)) = (ends(0), ends(1));
    canvas.step = (x1 - x0) / columns.saturating_sub(1).max(1) as f64;
    (canvas.left, canvas.top) = (x0, y0 - LINE as f64 * canvas.step * TALL);
    let rows = ((y1 - canvas.top) / (canvas.step * TALL)).ceil() as usize + 1;
    canvas.letters = vec![vec![' '; columns]; rows];
    draw(&mut canvas, fly);
    let eye = ((-canvas.left / canvas.step).round() as usize, (-canvas.top / (canvas.step * TALL)).round() as usize);
    for row in canvas.letters.iter_mut().take(eye.1) {
        if let Some(cell) = row.get_mut(eye.0) {
            *cell = '\'';
        }
    }
    let mut lines: Vec<String> =
        canvas.letters.iter().map(|row| row.iter().collect::<String>().trim_end().to_owned()).collect();
    // Of the line only the end, and nothing below the fly.
    let above = lines.iter().take(eye.1).take_while(|line| line.trim().chars().all(|c| c == '\'')).count();
    lines.drain(..above.saturating_sub(LINE));
    lines.truncate(lines.iter().rposition(|line| !line.is_empty()).map_or(0, |last| last + 1));
    lines
}

fn draw(canvas: &mut Canvas, fly: &Fly) {
    let (hook, shank_y) = (fly.hook, fly.hook.shank_y());
    let scale = fly.dressing.scale(hook.shank_length);
    for component in &fly.dressing.components {
        let Some(diameter) = component.wet_diameter else { continue };
        let at = |station: f64| hook.corner()[0] + station * hook.shank_length;
        let half = 0.5 * diameter * scale;
        canvas.bar([at(component.from), shank_y - half], [at(component.to), shank_y + half], '~');
    }
    if let Some(piece) = &fly.foam {
        let (front, rear) = foam_span(hook, piece);
        let (height, away) = (piece.foam.section(piece.cut).height, 0.5 * hook.wire_diameter);
        let (a, b) = match piece.seat {
            Seat::Tail | Seat::Back => (shank_y - away - height, shank_y - away),
            Seat::TailAlong => (shank_y - 0.5 * height, shank_y + 0.5 * height),
            Seat::TailUnder | Seat::Belly => (shank_y + away, shank_y + away + height),
        };
        canvas.bar([front, a], [rear, b], '#');
    }
    for segment in hook.path().segments() {
        let letter = |from: [f64; 2], to: [f64; 2]| {
            let (a, b) = (canvas.turned(from), canvas.turned(to));
            slope_letter(b[0] - a[0], (b[1] - a[1]) / TALL)
        };
        if let Segment::Ring { .. } = segment {
            continue;
        }
        let points: Vec<[f64; 2]> = (0..=POINTS).map(|i| segment.point_at(i as f64 / POINTS as f64)).collect();
        let letters: Vec<char> = points.windows(2).map(|pair| letter(pair[0], pair[1])).collect();
        for (at, letter) in points.iter().zip(letters) {
            canvas.put(*at, letter);
        }
    }
    if let Some(wraps) = &fly.wraps {
        let (front, rear) = wraps_span(hook, fly.bead, wraps);
        let half = 0.5 * wrap_core(hook, fly.bead) + wraps.wire.diameter;
        canvas.bar([front, shank_y - half], [rear, shank_y + half], '=');
    }
    if let Some(head) = &hook.head {
        canvas.disc([hook.corner()[0] + head.centre_aft_of_corner, shank_y], 0.5 * head.diameter(), 'o');
    }
    if let Some((bead, mount)) = fly.bead {
        let centre = bead_centre(hook, bead, mount);
        if let FrontMount::Pin(_, projection) = mount {
            canvas.bar([-projection.m(), centre[1]], [0.0, centre[1]], '-');
        }
        canvas.disc(centre, 0.5 * bead.diameter, 'o');
    }
    canvas.put([0.0, 0.0], '@');
}

/// The letter that lies as the wire lies.
fn slope_letter(dx: f64, dy: f64) -> char {
    let steep = dy.abs() / dx.abs().max(1e-12);
    match steep {
        s if s < 0.35 => '-',
        s if s > 2.5 => '|',
        _ if (dx > 0.0) == (dy > 0.0) => '\\',
        _ => '/',
    }
}
