//! Minutes at the vice: what tying a fly takes, step by step.
//!
//! Every figure is an estimate of a practised hand (common practice, no source): good for comparing recipes and for planning an
//! evening, not for a stop-watch.

use crate::fly::{Fly, FrontMount};

/// Hook in the vice, thread on; whip finish and varnish.
const FRAME: f64 = 1.5;
/// Each material of the dressing: body, tail, hackle.
const COMPONENT: f64 = 1.0;
/// A bead pushed on and set.
const BEAD: f64 = 0.3;
/// A pin cut, bound and glued ahead of the eye.
const PIN: f64 = 2.0;
/// Wire begun, cut and set with thread; and each turn of it.
const WIRE: f64 = 0.3;
const TURN: f64 = 0.02;
/// Foam measured, cut to length and bound; and each further piece that its stock is split into.
const FOAM: f64 = 0.8;
const SPLIT: f64 = 0.2;
/// A fly hung in the jar with its bubbles worked off, trimmed in some looks.
const TRIM: f64 = 2.0;
/// A recipe begun: parts laid out, the first one measured.
pub const BEGIN: f64 = 5.0;

/// Minutes for one fly, trimmed in the jar where its foam can be.
#[must_use]
pub fn minutes(fly: &Fly) -> f64 {
    let bead = fly.bead.map_or(0.0, |(_, mount)| match mount {
        FrontMount::Eye => BEAD,
        FrontMount::Pin(..) => BEAD + PIN,
    });
    let wire = fly.wraps.map_or(0.0, |wraps| WIRE + TURN * f64::from(wraps.turns));
    let foam = fly.foam.map_or(0.0, |piece| {
        let splits = piece.cut.pieces().saturating_sub(1).min(8) as f64;
        FOAM + SPLIT * splits + if piece.seat.in_tail() { TRIM } else { 0.0 }
    });
    FRAME + COMPONENT * fly.dressing.components.len() as f64 + bead + wire + foam
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    /// Each step adds its minutes; bare hooks take the frame alone.
    #[test]
    fn steps_add_up() {
        let catalog = Catalog::built_in().unwrap();
        let (hook, dressing) = (&catalog.hooks[0], catalog.dressing("fur-leech").unwrap());
        let bare = Fly { hook, dressing, bead: None, wraps: None, foam: None };
        let components = dressing.components.len() as f64;
        assert!((minutes(&bare) - FRAME - COMPONENT * components).abs() < 1e-12);
        let pin = (&catalog.pins[0], catalog.pins[0].projections[0]);
        let beaded = |mount| Fly { bead: Some((&catalog.beads[0], mount)), ..bare };
        let (eye, ahead) = (beaded(FrontMount::Eye), beaded(FrontMount::Pin(pin.0, pin.1)));
        assert!((minutes(&eye) - minutes(&bare) - BEAD).abs() < 1e-12);
        assert!((minutes(&ahead) - minutes(&eye) - PIN).abs() < 1e-12);
    }
}
