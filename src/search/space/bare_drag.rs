//! Drag of what lies bare on one hook: the hook itself behind what hides it, and coils that no dressing covers.
//!
//! A shorter stretch has less drag in each of its parts, so what is bare behind some place has the less drag the farther
//! back the place: its drag at a few places bounds it at every other.

use crate::fly;
use crate::part::{Dressing, Hook};
use crate::physics::drag::short::LEAST_LENGTH_POWER;
use crate::search::bounds::range::Range;
use crate::search::bounds::{Bounds, DragRange, MOSTS};
use crate::search::space::shelf::Shelf;

/// Drag of what is bare behind some places, front to rear.
#[derive(Debug, Clone, PartialEq)]
struct Behind(Vec<(f64, DragRange)>);

/// Places at which the drag is computed.
const PLACES: u32 = 12;

impl Behind {
    fn new(from: f64, to: f64, drag: impl Fn(f64) -> DragRange) -> Self {
        let at = |i: u32| from + (to - from) * f64::from(i) / f64::from(PLACES);
        Self((0..PLACES).map(at).chain([to]).map(|x| (x, drag(x))).collect())
    }

    /// Range over places.
    fn range(&self, place: Range) -> DragRange {
        let rear = self.0.iter().find(|(x, _)| *x >= place.high);
        let front = self.0.iter().rfind(|(x, _)| *x <= place.low).or(self.0.first());
        DragRange {
            least: rear.map_or_else(Default::default, |(_, drag)| drag.least),
            most: front.map_or([0.0; MOSTS], |(_, drag)| drag.most),
        }
    }
}

/// Drag of a bare coil by the diameter of its wire: greatest for any wire up to that.
#[derive(Debug, Clone, PartialEq)]
struct Coils(Vec<(f64, [f64; MOSTS])>);

/// Diameters at which the drag of a coil is computed.
const DIAMETERS: u32 = 8;

/// Drag of what lies bare on one hook.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::search) struct BareDrag {
    shank: Behind,
    neck: Behind,
    coils: Coils,
    /// Shortest of the stretches that no dressing covers, m.
    shortest: f64,
}

impl BareDrag {
    /// `front`: where the shank is free without a bead.
    pub(in crate::search) fn new(hook: &Hook, dressing: &Dressing, shelf: &Shelf, bounds: &Bounds, front: f64) -> Self {
        let stretches = fly::bare_stretches(hook, dressing, front, hook.bend_x());
        let rear = stretches.iter().map(|s| s.1).fold(front, f64::max);
        let neck = |hidden_to: f64| fly::bare_neck(hook, hidden_to).map_or(DragRange::default(), |e| bounds.drag(&[e]));
        Self {
            shank: Behind::new(front, rear, |x| bounds.drag(&fly::bare_shank(hook, dressing, x))),
            neck: Behind::new(hook.ring_rear(), hook.neck_length.max(hook.ring_rear()), neck),
            coils: Coils::new(hook, shelf, bounds, &stretches),
            shortest: stretches.iter().map(|s| s.1 - s.0).fold(f64::INFINITY, f64::min),
        }
    }

    /// Shank and neck of the hook, free behind an x and hidden along the neck to some distance from the tie point.
    pub(in crate::search) fn hook(&self, begins: Range, hidden_to: Range) -> DragRange {
        self.shank.range(begins).plus(self.neck.range(hidden_to))
    }

    /// Greatest drag of coils of no thicker wire and no greater length, m.
    pub(in crate::search) fn coil(&self, diameter: f64, length: f64) -> [f64; MOSTS] {
        let whole = self.coils.0.iter().find(|(d, _)| *d >= diameter).map_or([f64::INFINITY; MOSTS], |(_, most)| *most);
        whole.map(|most| most * (length / self.shortest).min(1.0).powf(LEAST_LENGTH_POWER))
    }
}

impl Coils {
    fn new(hook: &Hook, shelf: &Shelf, bounds: &Bounds, stretches: &[(f64, f64)]) -> Self {
        let Some(hull) = shelf.wire_diameters() else { return Self(Vec::new()) };
        let thickest_pin = shelf.thickest_pin().unwrap_or(0.0);
        let wire = |i: u32| hull.low + (hull.high - hull.low) * f64::from(i) / f64::from(DIAMETERS);
        let mut most = [0.0_f64; MOSTS];
        Self(
            (0..DIAMETERS)
                .map(|i| {
                    let (thin, thick) = (wire(i), if i + 1 == DIAMETERS { hull.high } else { wire(i + 1) });
                    let outside = Range {
                        low: hook.wire_diameter + 2.0 * thin,
                        high: hook.wire_diameter + thickest_pin + 2.0 * thick,
                    };
                    let drag = stretches
                        .iter()
                        .map(|(from, to)| bounds.rod_drag(outside, hook.wire_diameter, Range::point(to - from)))
                        .fold(DragRange::default(), DragRange::plus);
                    most = std::array::from_fn(|i| most[i].max(drag.most[i]));
                    (thick, most)
                })
                .collect(),
        )
    }
}
