//! The wire of a hook as the stream sees it: eye, neck, shank and bend, bare or hidden.

use super::FrontMount;
use crate::part::{Bead, Dressing, Hook};
use crate::physics::body::{DragElement, DragShape, Label, Rod};
use crate::shape::wire_path::Segment;

/// Unit vector along the neck, from the eye to the corner; along the shank where there is no neck.
pub(super) fn neck_axis(hook: &Hook) -> [f64; 2] {
    if hook.is_jig() { [hook.neck_angle.cos(), -hook.neck_angle.sin()] } else { [1.0, 0.0] }
}

/// Distance from the tie point along the wire to the centre of a bead pushed against the eye, m.
pub(super) fn bead_run(hook: &Hook, bead: &Bead) -> f64 {
    eye_run(hook, bead.length())
}

pub(super) fn eye_run(hook: &Hook, bead_length: f64) -> f64 {
    hook.ring_rear() + 0.5 * bead_length
}

pub(super) fn wire_element(hook: &Hook, from: [f64; 2], to: [f64; 2]) -> Option<DragElement> {
    let wire = Rod { span: hook.wire_span(), ..thin(hook.wire_diameter) };
    slender(Label::Hook, from, to, wire)
}

/// A round rod whose length and axis follow from where it lies.
pub(super) fn thin(diameter: f64) -> Rod {
    Rod::round(diameter, 0.0, [1.0, 0.0])
}

/// A rod between two points; without a span of its own it is as long as it looks.
pub(super) fn slender(label: Label, from: [f64; 2], to: [f64; 2], rod: Rod) -> Option<DragElement> {
    let along = [to[0] - from[0], to[1] - from[1]];
    let length = along[0].hypot(along[1]);
    (length > 1e-9).then(|| DragElement {
        label,
        shape: DragShape::Slender(Rod {
            length,
            span: rod.span.max(length),
            axis: [along[0] / length, along[1] / length],
            ..rod
        }),
        centre: [0.5 * (from[0] + to[0]), 0.5 * (from[1] + to[1])],
    })
}

pub(super) fn hook_elements(hook: &Hook, bead: Option<(&Bead, FrontMount)>, dressing: &Dressing) -> Vec<DragElement> {
    let mut elements = eye_elements(hook);
    if hook.is_jig() {
        let hidden_to = match (bead, &hook.head) {
            (Some((bead, FrontMount::Eye)), _) => bead_run(hook, bead) + 0.5 * bead.length(),
            _ => hook.ring_rear(),
        };
        elements.extend(bare_neck(hook, hidden_to));
    }
    elements.extend(bare_shank(hook, dressing, super::free_shank(hook, bead).0));
    elements.extend(bend_elements(hook));
    elements
}

/// Drag elements of the hook that nothing ever hides.
#[must_use]
pub fn eye_and_bend(hook: &Hook) -> Vec<DragElement> {
    let mut elements = eye_elements(hook);
    elements.extend(bend_elements(hook));
    elements
}

pub(super) fn eye_elements(hook: &Hook) -> Vec<DragElement> {
    let axis = neck_axis(hook);
    let at = |s: f64| [axis[0] * s, axis[1] * s];
    let ring = hook.eye_inner_diameter + hook.wire_diameter;
    // A ring seen in its own plane and across it: of its length pi D, 2 D lies along the neck and 2 D across.
    let mut elements = vec![DragElement {
        label: Label::Hook,
        shape: DragShape::Across { diameter: hook.wire_diameter, length: 2.0 * ring, span: hook.wire_span() },
        centre: [0.0, 0.0],
    }];
    elements.extend(wire_element(hook, at(-ring), at(ring)));
    elements
}

/// The neck of a jig behind a bead that hides it to some distance from the tie point, m, up to the head where it has one.
#[must_use]
pub fn bare_neck(hook: &Hook, hidden_to: f64) -> Option<DragElement> {
    let axis = neck_axis(hook);
    let at = |s: f64| [axis[0] * s, axis[1] * s];
    let visible_to = hook.neck_length - hook.head.as_ref().map_or(0.0, |head| 0.5 * head.diameter());
    (hook.is_jig() && hidden_to < visible_to).then(|| wire_element(hook, at(hidden_to), at(visible_to))).flatten()
}

/// The shank behind some x, m, where no dressing covers it.
#[must_use]
pub fn bare_shank(hook: &Hook, dressing: &Dressing, from: f64) -> Vec<DragElement> {
    let y = hook.shank_y();
    bare_stretches(hook, dressing, from, hook.bend_x())
        .into_iter()
        .filter_map(|(from, to)| wire_element(hook, [from, y], [to, y]))
        .collect()
}

/// Bend arc in four chords, and the point leg.
pub(super) fn bend_elements(hook: &Hook) -> Vec<DragElement> {
    const CHORDS: usize = 4;
    let radius = 0.5 * hook.gap;
    let centre = [hook.bend_x(), hook.shank_y() + radius];
    let arc = Segment::arc(centre, radius, -std::f64::consts::FRAC_PI_2, std::f64::consts::PI);
    let stations: Vec<[f64; 2]> = (0..=CHORDS).map(|i| arc.point_at(i as f64 / CHORDS as f64)).collect();
    let leg = stations[CHORDS];
    stations
        .windows(2)
        .filter_map(|pair| wire_element(hook, pair[0], pair[1]))
        .chain(wire_element(hook, leg, [leg[0] - hook.point_length, leg[1]]))
        .collect()
}

/// Stretches of the shank between two x that no component with a wet diameter covers.
#[must_use]
pub fn bare_stretches(hook: &Hook, dressing: &Dressing, from: f64, to: f64) -> Vec<(f64, f64)> {
    let corner = hook.corner()[0];
    let mut open = vec![(from, to)];
    for component in dressing.components.iter().filter(|c| c.wet_diameter.is_some()) {
        let (a, b) = (corner + component.from * hook.shank_length, corner + component.to * hook.shank_length);
        open = open
            .into_iter()
            .flat_map(|(x0, x1)| [(x0, x1.min(a)), (x0.max(b), x1)])
            .filter(|(x0, x1)| x1 - x0 > 1e-9)
            .collect();
    }
    open
}
