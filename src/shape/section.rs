//! Cross sections of cut stock: wedges of a round rod, strips of a sheet, and the core of each that no cut face reaches.

use std::f64::consts::{PI, TAU};

/// A plane figure with one axis of symmetry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Area, m2.
    pub area: f64,
    /// Centroid along the axis of symmetry, m: from the rod's centre, or from one wide face of a strip. Zero when the
    /// area is.
    pub centroid: f64,
}

/// Length of an outline, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Perimeter {
    /// All round.
    pub whole: f64,
    /// The part made by cutting the stock.
    pub cut: f64,
}

const EMPTY: Section = Section { area: 0.0, centroid: 0.0 };

fn is_whole(opening: f64) -> bool {
    opening >= TAU - 1e-9
}

/// A wedge of a round rod.
///
/// A = R^2 a, centroid 2 R sin(a) / (3 a) from the centre along the bisector, a half the opening (standard; formula read
/// in several public source codes). `radius` R > 0, m; `opening` in (0, 2 pi], rad: 2 pi is the whole rod, pi half of it.
#[must_use]
pub fn sector(radius: f64, opening: f64) -> Section {
    if is_whole(opening) {
        return Section { area: PI * radius * radius, centroid: 0.0 };
    }
    let half = 0.5 * opening;
    Section { area: radius * radius * half, centroid: 2.0 * radius * half.sin() / (3.0 * half) }
}

/// The part of a wedge that lies deeper than `layer` behind both straight faces and deeper than `rim` behind the arc.
///
/// Closed form: with r = R - rim, the inset faces meet on the bisector at A = layer / sin(a) from the centre and leave
/// the arc at P, b = a - asin(layer / r) off the bisector; the core is the sector of half angle b less the triangles
/// between the centre, A and P on either side (derived here). Empty when the layers meet.
///
/// A whole rod (opening 2 pi) has no straight face: only `rim` counts. Otherwise `opening` in (0, pi], rad; `layer` and
/// `rim` >= 0, m.
#[must_use]
pub fn inset_sector(radius: f64, opening: f64, layer: f64, rim: f64) -> Section {
    let r = radius - rim.max(0.0);
    if r <= 0.0 {
        return EMPTY;
    }
    if is_whole(opening) {
        return sector(r, opening);
    }
    let half = 0.5 * opening;
    let layer = layer.max(0.0);
    if layer >= r * half.sin() {
        return EMPTY;
    }
    let apex = layer / half.sin();
    let reach = half - (layer / r).asin();
    let (y, x) = (r * reach.sin(), r * reach.cos());
    let triangles = apex * y;
    let area = r * r * reach - triangles;
    let moment = 2.0 / 3.0 * r * r * y - triangles * (apex + x) / 3.0;
    if area > 0.0 { Section { area, centroid: moment / area } } else { EMPTY }
}

/// Outline of a wedge: two straight cut faces and the arc; the arc counts as cut if the rod itself was cut from a block.
#[must_use]
pub fn sector_perimeter(radius: f64, opening: f64, arc_is_cut: bool) -> Perimeter {
    let faces = if is_whole(opening) { 0.0 } else { 2.0 * radius };
    let arc = radius * opening.min(TAU);
    Perimeter { whole: faces + arc, cut: if arc_is_cut { faces + arc } else { faces } }
}

/// A strip of a sheet, centroid from one wide face. m.
#[must_use]
pub fn strip(width: f64, thickness: f64) -> Section {
    inset_strip(width, thickness, 0.0, 0.0)
}

/// The part of a strip deeper than `edge` behind its two cut edges and deeper than `face` behind its wide faces, m.
#[must_use]
pub fn inset_strip(width: f64, thickness: f64, edge: f64, face: f64) -> Section {
    let area = (width - 2.0 * edge.max(0.0)).max(0.0) * (thickness - 2.0 * face.max(0.0)).max(0.0);
    if area > 0.0 { Section { area, centroid: 0.5 * thickness } } else { EMPTY }
}

/// Outline of a strip: its edges are cut, its wide faces only if the sheet was cut from a block.
#[must_use]
pub fn strip_perimeter(width: f64, thickness: f64, faces_are_cut: bool) -> Perimeter {
    let (edges, faces) = (2.0 * thickness, 2.0 * width);
    Perimeter { whole: edges + faces, cut: if faces_are_cut { edges + faces } else { edges } }
}

#[cfg(test)]
mod tests {
    use super::super::quadrature::integrate;
    use super::*;
    use proptest::prelude::*;

    fn close(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    }

    #[test]
    fn a_half_round_core_is_a_circular_segment() {
        let core = inset_sector(1.0, PI, 0.5, 0.0);
        let angle = 2.0 * 0.5_f64.acos();
        close(core.area, 0.5 * (angle - angle.sin()), 1e-15);
        close(core.centroid, 4.0 * (0.5 * angle).sin().powi(3) / (3.0 * (angle - angle.sin())), 1e-14);
    }

    #[test]
    fn a_quarter_round_core_by_integration_along_a_face() {
        let d = 0.15_f64;
        let end = (1.0 - d * d).sqrt();
        let [area, moment] = integrate(d, end, |x| {
            let y = (1.0 - x * x).sqrt();
            [y - d, (y - d) * x]
        });
        let core = inset_sector(1.0, 0.5 * PI, d, 0.0);
        close(core.area, area, 1e-11);
        close(core.centroid, 2.0_f64.sqrt() * moment / area, 1e-11);
    }

    #[test]
    fn layers_that_meet_leave_nothing() {
        assert_eq!(inset_sector(1.0, 0.25 * PI, (PI / 8.0).sin(), 0.0), EMPTY);
        assert_eq!(inset_sector(1.0, PI, 0.2, 1.0), EMPTY);
        assert_eq!(inset_strip(2.0, 1.0, 1.0, 0.0), EMPTY);
        let almost = inset_sector(1.0, 0.25 * PI, (PI / 8.0).sin() - 1e-6, 0.0);
        assert!(almost.area < 1e-8 && almost.centroid > 0.0);
    }

    #[test]
    fn a_whole_rod_loses_only_its_rim() {
        assert_eq!(inset_sector(2.0, TAU, 0.3, 0.0), sector(2.0, TAU));
        close(inset_sector(2.0, TAU, 0.3, 0.5).area, PI * 2.25, 1e-14);
    }

    #[test]
    fn outlines() {
        assert_eq!(sector_perimeter(1.0, TAU, false), Perimeter { whole: TAU, cut: 0.0 });
        assert_eq!(sector_perimeter(1.0, PI, false), Perimeter { whole: PI + 2.0, cut: 2.0 });
        assert_eq!(sector_perimeter(1.0, PI, true).cut, PI + 2.0);
        assert_eq!(strip_perimeter(3.0, 2.0, false), Perimeter { whole: 10.0, cut: 4.0 });
        assert_eq!(strip_perimeter(3.0, 2.0, true).cut, 10.0);
    }

    #[test]
    fn strips() {
        assert_eq!(strip(3.0, 2.0), Section { area: 6.0, centroid: 1.0 });
        assert_eq!(inset_strip(3.0, 2.0, 0.5, 0.25), Section { area: 3.0, centroid: 1.0 });
    }

    proptest! {
        /// The closed form against rays from the centre: on the ray at angle t off a face the core starts at layer / sin(t).
        #[test]
        fn cores_equal_an_integral_over_rays(pieces in 2..9_i32, share in 0.0..0.95f64, rim in 0.0..0.3f64) {
            let opening = TAU / f64::from(pieces);
            let half = 0.5 * opening;
            let r = 1.0 - rim;
            let layer = share * r * half.sin();
            let core = inset_sector(1.0, opening, layer, rim);
            let first = (layer / r).asin();
            let ray = |t: f64| {
                let start = if layer > 0.0 { layer / t.sin() } else { 0.0 };
                [r * r - start * start, 2.0 / 3.0 * (r.powi(3) - start.powi(3)) * (half - t).cos()]
            };
            // Behind a thin layer the rays change fastest near the face, so the steps grow from there.
            let (mut from, mut area, mut moment) = (first, 0.0, 0.0);
            while from < half {
                let to = (2.0 * from + 1e-4).min(half);
                let [a, m] = integrate(from, to, ray);
                (from, area, moment) = (to, area + a, moment + m);
            }
            prop_assert!((core.area - area).abs() < 1e-9, "{} {}", core.area, area);
            prop_assert!((core.centroid * core.area - moment).abs() < 1e-9);
        }

        #[test]
        fn a_thicker_layer_leaves_less(pieces in 2..9_i32, a in 0.0..0.5f64, b in 0.0..0.5f64) {
            let opening = TAU / f64::from(pieces);
            let [less, more] = [a.max(b), a.min(b)].map(|layer| inset_sector(1.0, opening, layer, 0.0).area);
            prop_assert!(less <= more + 1e-15 && more <= sector(1.0, opening).area);
        }
    }
}
