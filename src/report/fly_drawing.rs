//! A fly from the side, in millimetres of the hook frame: origin at the tie point, x aft, y towards the point side.

use super::svg::{Pen, Svg};
use crate::fly::{Fly, FrontMount, bead_centre, foam_span, pin_span, wrap_core, wraps_span};
use crate::part::Hook;
use crate::recipe::Seat;
use crate::shape::wire_path::Segment;

const MM: f64 = 1e3;
const STEEL: &str = "#444444";
const BEAD: &str = "#b08d57";
const LEAD: &str = "#7d8894";
const FOAM: &str = "#f2c14e";
const DRESSING: &str = "#8a9a5b";
/// Points that stand for a bend or a ring.
const CURVE: usize = 24;

/// Draws a fly, everything to scale; dressing as the space it fills when wet.
pub fn draw_fly(svg: &mut Svg, fly: &Fly) {
    draw_dressing(svg, fly);
    draw_foam(svg, fly);
    draw_hook(svg, fly.hook);
    draw_wraps(svg, fly);
    draw_front(svg, fly);
}

fn mm([x, y]: [f64; 2]) -> [f64; 2] {
    [x * MM, y * MM]
}

/// The hook's wire, with its ring edge on, and its moulded head.
fn draw_hook(svg: &mut Svg, hook: &Hook) {
    let pen = Pen::line(STEEL, hook.wire_diameter * MM);
    let mut points = Vec::new();
    for segment in hook.path().segments() {
        match segment {
            Segment::Ring { .. } => svg.path(&[mm(segment.point_at(0.5)), mm(segment.point_at(0.0))], pen),
            Segment::Line { from, to } => points.extend([mm(*from), mm(*to)]),
            Segment::Arc { .. } => {
                points.extend((0..=CURVE).map(|i| mm(segment.point_at(i as f64 / CURVE as f64))));
            }
        }
    }
    svg.path(&points, pen);
    if let Some(head) = &hook.head {
        let centre = [hook.corner()[0] + head.centre_aft_of_corner, hook.shank_y()];
        svg.circle(
            mm(centre),
            0.5 * head.diameter() * MM,
            Pen { stroke: "black", width: 0.15, fill: LEAD, opacity: 0.9 },
        );
    }
}

fn draw_front(svg: &mut Svg, fly: &Fly) {
    let Some((bead, mount)) = fly.bead else { return };
    let centre = bead_centre(fly.hook, bead, mount);
    if let FrontMount::Pin(pin, projection) = mount {
        let (front, rear) = pin_span(fly.hook, pin, projection);
        svg.path(&[mm([front, centre[1]]), mm([rear, centre[1]])], Pen::line(LEAD, pin.diameter * MM));
        let head = [mm([front, centre[1] - 0.5 * pin.head_diameter]), [pin.head_length * MM, pin.head_diameter * MM]];
        svg.rectangle(head[0], head[1], Pen::fill(LEAD));
    }
    svg.circle(mm(centre), 0.5 * bead.diameter * MM, Pen { stroke: "black", width: 0.15, fill: BEAD, opacity: 0.9 });
}

/// The coil, one turn a stroke.
fn draw_wraps(svg: &mut Svg, fly: &Fly) {
    let Some(wraps) = &fly.wraps else { return };
    let (front, _) = wraps_span(fly.hook, fly.bead, wraps);
    let (wire, y) = (wraps.wire.diameter, fly.hook.shank_y());
    let half = 0.5 * wrap_core(fly.hook, fly.bead) + wire;
    for turn in 0..wraps.turns {
        let x = front + (f64::from(turn) + 0.5) * wire;
        svg.path(&[mm([x, y - half]), mm([x, y + half])], Pen::line(LEAD, 0.85 * wire * MM));
    }
}

fn draw_foam(svg: &mut Svg, fly: &Fly) {
    let Some(piece) = &fly.foam else { return };
    let (front, rear) = foam_span(fly.hook, piece);
    let height = piece.foam.section(piece.cut).height;
    let away = 0.5 * fly.hook.wire_diameter;
    let top = match piece.seat {
        Seat::Tail | Seat::Back => fly.hook.shank_y() - away - height,
        Seat::TailAlong => fly.hook.shank_y() - 0.5 * height,
        Seat::TailUnder | Seat::Belly => fly.hook.shank_y() + away,
    };
    let pen = Pen { stroke: "#7a5c00", width: 0.15, fill: FOAM, opacity: 0.8 };
    svg.rectangle(mm([front, top]), [(rear - front) * MM, height * MM], pen);
}

fn draw_dressing(svg: &mut Svg, fly: &Fly) {
    let (corner, shank) = (fly.hook.corner(), fly.hook.shank_length);
    let scale = fly.dressing.scale(shank);
    for component in &fly.dressing.components {
        let Some(diameter) = component.wet_diameter else { continue };
        let (from, length) = (corner[0] + component.from * shank, (component.to - component.from) * shank);
        let wide = diameter * scale;
        let pen = Pen { stroke: "none", width: 0.0, fill: DRESSING, opacity: 0.3 };
        svg.rectangle(mm([from, corner[1] - 0.5 * wide]), [length * MM, wide * MM], pen);
    }
}

/// Smallest box around a fly, mm: left, top, right, bottom.
#[must_use]
pub fn extent(fly: &Fly) -> [f64; 4] {
    let hook = fly.hook;
    let ring = 0.5 * hook.eye_outer_diameter();
    let mut extent = [-ring, hook.shank_y().min(-ring), hook.rear_x(), hook.shank_y() + hook.gap + hook.wire_diameter];
    let mut add = |left: f64, top: f64, right: f64, bottom: f64| {
        extent = [extent[0].min(left), extent[1].min(top), extent[2].max(right), extent[3].max(bottom)];
    };
    if let Some(head) = &hook.head {
        let (x, radius) = (hook.corner()[0] + head.centre_aft_of_corner, 0.5 * head.diameter());
        add(x - radius, hook.shank_y() - radius, x + radius, hook.shank_y() + radius);
    }
    if let Some((bead, mount)) = fly.bead {
        let [x, y] = bead_centre(hook, bead, mount);
        let radius = 0.5 * bead.diameter;
        add(x - radius, y - radius, x + radius, y + radius);
        if let FrontMount::Pin(_, projection) = mount {
            add(-projection.m(), y, x, y);
        }
    }
    if let Some(piece) = &fly.foam {
        let (front, rear) = foam_span(hook, piece);
        let height = piece.foam.section(piece.cut).height + hook.wire_diameter;
        let (a, b) = if piece.seat == Seat::TailAlong {
            (hook.shank_y() - 0.5 * height, hook.shank_y() + 0.5 * height)
        } else {
            (hook.shank_y(), hook.shank_y() + piece.seat.side() * height)
        };
        add(front, a.min(b), rear, a.max(b));
    }
    let scale = fly.dressing.scale(hook.shank_length);
    for component in &fly.dressing.components {
        if let Some(diameter) = component.wet_diameter {
            let half = 0.5 * diameter * scale;
            let at = |station: f64| hook.corner()[0] + station * hook.shank_length;
            add(at(component.from), hook.shank_y() - half, at(component.to), hook.shank_y() + half);
        }
    }
    extent.map(|metres| metres * MM)
}
